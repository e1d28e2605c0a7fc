"""Exact access to a tape's frames by number, upright; it shows one frame as it is and knows nothing of cuts."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import TracebackType
from typing import Self, cast

import av
import numpy as np
from av.container import InputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, VideoReformatter
from av.video.stream import VideoStream
from numpy.typing import NDArray

from previs.media.index import FrameIndex
from previs.media.opening import MediaFault, WentAway, fault_of_reading, opened, picture_stream
from previs.media.raster import matrix_of

# Up to here it is cheaper to decode on than to seek, flush the decoder and start at the next key frame.
_DECODE_ON_FRAMES = 12
_SEEKS_BEFORE_STARTING_OVER = 2


class FrameReader:
    """A tape held open, to look at its frames in any order.

    `rotation` is the turn to the left in degrees from `probe`. `size_px` (width, height), upright, scales the pictures;
    without it they have the stored pixels. `threads` is the decoder's number of threads, 0 for one a core.
    A frame that is damaged is stood in for by the next one that can be decoded, or by the last of the tape. One that the
    index has and the file has not any more is not: the drive went away, or the file was written over.
    Use in a `with` block, by one thread at a time.
    """

    def __init__(
        self, path: Path, index: FrameIndex, *, rotation: int = 0, size_px: tuple[int, int] | None = None, threads: int = 0
    ) -> None:
        self._path = path
        self._index = index
        self._turns = rotation // 90 % 4
        self._size = size_px
        self._threads = threads
        self._reformatter = VideoReformatter()
        self._shown: VideoFrame | None = None
        self._shown_number = -1
        self._open()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file; the reader cannot be used any more."""
        self._holder.__exit__(None, None, None)

    def picture(self, frame: int) -> NDArray[np.uint8]:
        """Frame `frame` (from 0) as upright RGB, (height, width, 3). Raises `IndexError` outside the tape, `MediaFault` if unreadable."""
        shown = self.frame(frame)
        width, height = self._size or (None, None)
        if self._turns % 2:
            width, height = height, width
        try:
            rgb = self._reformatter.reformat(
                shown, width, height, "rgb24", src_colorspace=matrix_of(shown), dst_color_range=ColorRange.JPEG
            )
        except av.FFmpegError as error:  # damage can say that the picture is of a kind that nothing can be made of
            raise fault_of_reading(self._path, error) from error
        stored = cast(NDArray[np.uint8], rgb.to_ndarray())
        return np.ascontiguousarray(np.rot90(stored, self._turns))

    def pictures(self, frames: Iterable[int]) -> Iterator[NDArray[np.uint8]]:
        """The pictures of `frames` in the order asked for; a rising order is decoded in one run."""
        return (self.picture(frame) for frame in frames)

    def frame(self, frame: int) -> VideoFrame:
        """Frame `frame` as the decoder gives it, not turned and not scaled; valid until the next call.

        Raises `IndexError` outside the tape, `WentAway` when the file cannot be read any more, `MediaFault` if unreadable.
        """
        if not 0 <= frame < self._index.frames:
            raise IndexError(f"frame {frame} of a tape of {self._index.frames}")
        if self._shown is None or frame != self._shown_number:
            try:
                self._shown = self._found(frame)
            except av.FFmpegError as error:
                raise fault_of_reading(self._path, error) from error
            self._shown_number = frame
        return self._shown

    def _open(self) -> None:
        self._holder = opened(self._path)
        self._container: InputContainer = self._holder.__enter__()
        self._stream: VideoStream = picture_stream(self._container, self._path)
        self._stream.codec_context.thread_count = self._threads
        self._stream.thread_type = "AUTO"
        self._coming = self._decoded()
        self._next_number = 0
        self._needed_pts: int | None = None
        self._packets = 0
        self._read_to: int | None = None
        self._shown = None
        self._shown_number = -1

    def _start_over(self) -> None:
        self.close()
        self._open()

    def _decoded(self) -> Iterator[VideoFrame]:
        context = self._stream.codec_context
        for packet in self._container.demux(self._stream):
            if packet.size:
                self._packets += 1
                if packet.pts is not None:
                    self._read_to = packet.pts if self._read_to is None else max(self._read_to, packet.pts)
            # What no other frame refers to need not be decoded on the way to a later one.
            passing = self._needed_pts is not None and packet.pts is not None and packet.pts < self._needed_pts
            context.skip_frame = "NONREF" if passing else "DEFAULT"
            try:
                yield from packet.decode()
            except av.InvalidDataError:
                continue

    def _found(self, frame: int) -> VideoFrame:
        if self._index.counted:
            return self._counted_to(frame)
        before = self._shown_number if self._shown is not None else -1
        key = self._index.key_before(frame)
        if frame < before or key - before > _DECODE_ON_FRAMES:
            self._seek(key)
        # A seek may land on a key frame past the wanted one: then from an earlier key, at last from the beginning.
        for attempt in range(_SEEKS_BEFORE_STARTING_OVER + 1):
            found = self._decoded_to(frame)
            if found is not None and found.pts == self._pts_of(frame):
                return found
            if attempt < _SEEKS_BEFORE_STARTING_OVER and key > 0:
                key = self._index.key_before(key - 1)
                self._seek(key)
            else:
                self._start_over()
        if (found := self._decoded_to(frame)) is not None:
            return found
        if self._read_to is None or self._read_to < self._pts_of(frame):
            raise self._cut_off(frame)
        return self._last_decodable()

    def _pts_of(self, frame: int) -> int:
        return self._index.start_tick + int(self._index.ticks[frame])

    def _seek(self, key: int) -> None:
        try:
            self._container.seek(self._pts_of(key), stream=self._stream)
        except av.FFmpegError:
            self._start_over()
        else:
            self._coming = self._decoded()

    def _decoded_to(self, frame: int) -> VideoFrame | None:
        """The first frame at or after the wanted one's time, or None at the end of the tape."""
        self._needed_pts = self._pts_of(frame)
        return next((found for found in self._coming if found.pts is not None and found.pts >= self._needed_pts), None)

    def _counted_to(self, frame: int) -> VideoFrame:
        if frame < self._next_number:
            self._start_over()
        for found in self._coming:
            self._next_number += 1
            if self._next_number == frame + 1:
                return found
        if self._packets <= frame:
            raise self._cut_off(frame)
        return self._last_decodable()

    def _cut_off(self, frame: int) -> MediaFault:
        return WentAway(self._path, f"it ends before frame {frame}, which it had")

    def _last_decodable(self) -> VideoFrame:
        self._start_over()
        last = next(iter(deque(self._coming, maxlen=1)), None)
        # The decoder has come to the end, so whatever is asked for next begins anew.
        self._coming = iter(())
        self._next_number = self._index.frames
        if last is None:
            raise MediaFault(f"No frame of {self._path} can be decoded; copy it from the camera again.")
        return last
