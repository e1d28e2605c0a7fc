"""Single pictures of tapes and cuts to look at, each just as it is published, from work copies when there; it plays nothing."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self, cast

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter
from numpy.typing import NDArray

from previs.clock import frame_played
from previs.cut.placing import Placed, place
from previs.document.model import Cut, Sequence, Tape
from previs.document.paths import locate
from previs.faults import Fault
from previs.media.cards import card_picture, load_picture
from previs.media.events import CardPicture, TapePicture
from previs.media.frames import FrameReader
from previs.media.from_cut import picture_of, raster_of, transition_of
from previs.media.index import FrameIndex, frame_index
from previs.media.opening import MediaFault, WentAway
from previs.media.publish import planned_length
from previs.media.raster import Fitter, Raster, frame_of_rgb
from previs.media.render import mixed
from previs.media.workcopy import find_work_copy

_OPEN_TAPES = 6


@dataclass(slots=True)
class _OpenTape:
    """A tape or its work copy held open; `index` finds the frame that is on at a frame of the grid."""

    reader: FrameReader
    index: FrameIndex
    is_copy: bool
    turned: tuple[int, Fraction] = (0, Fraction(1))
    fitter: tuple[Raster, Fitter] | None = None

    def picture(self, grid_frame: int, rate: Fraction, raster: Raster) -> VideoFrame:
        """What is on at a frame of the grid, in the raster."""
        if self.fitter is None or self.fitter[0] != raster:
            self.fitter = raster, Fitter(raster, *self.turned)
        wanted = self.index.frame_shown(max(0, grid_frame), rate)
        return self.fitter[1].fit(self.reader.frame(min(wanted, self.index.frames - 1)))


class Viewing:
    """Pictures of one document's tapes and cuts, as upright RGB arrays (height, width, 3), by one thread at a time.

    `size_px` (width, height) is the box that pictures are scaled into; they have the shape of the delivery picture.
    Every call raises `Fault` for a tape or a drawing that is away or cannot be read, naming it. A work copy that is made
    meanwhile is used from then on.
    """

    def __init__(self, document: Path, cache_dir: Path, size_px: tuple[int, int]) -> None:
        self._document = document
        self._cache = cache_dir
        self._size = size_px
        self._open: OrderedDict[tuple[object, ...], _OpenTape] = OrderedDict()
        self._reformatter = VideoReformatter()
        self._placed: tuple[Cut | None, Sequence | None, tuple[Placed, ...]] = (None, None, ())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Let go of every tape; a later call opens them again."""
        for one in self._open.values():
            one.reader.close()
        self._open.clear()

    def resize(self, size_px: tuple[int, int]) -> None:
        """Scale pictures into another box from now on."""
        self._size = size_px

    def tape_picture(self, sequence: Sequence, reel: str, grid_frame: int) -> NDArray[np.uint8]:
        """What is on at a frame of the tape's grid at the sequence rate; beyond the tape its first or last picture."""
        return self._rgb(self._tape_frame(sequence, sequence.tape(reel), grid_frame, self._raster(sequence)))

    def cut_picture(self, sequence: Sequence, cut: Cut, record_frame: int) -> NDArray[np.uint8]:
        """A record frame of a cut, from 0; raises `IndexError` outside it."""
        placed = self._places(sequence, cut)
        raster = self._raster(sequence)
        at = next((number for number, one in enumerate(placed) if one.record.holds(record_frame)), None)
        if at is None:
            raise IndexError(f"record frame {record_frame} of a cut of {cut.frames}")
        one = placed[at]
        k = record_frame - one.record.start
        shown = self._shot_frame(sequence, one, k, raster)
        change = one.shot.transition
        if change and k < change.frames:
            before = placed[at - 1] if at else None
            old = self._shot_frame(sequence, before, record_frame - before.record.start, raster) if before else _black(raster)
            shown = mixed(old, shown, transition_of(change), k, raster)
        return self._rgb(shown)

    def _places(self, sequence: Sequence, cut: Cut) -> tuple[Placed, ...]:
        # The values are frozen, so the same two have the same places.
        if self._placed[0] is not cut or self._placed[1] is not sequence:
            self._placed = (cut, sequence, place(sequence, cut))
        return self._placed[2]

    def _shot_frame(self, sequence: Sequence, one: Placed, k: int, raster: Raster) -> VideoFrame:
        picture = picture_of(sequence, one.shot, self._document)
        if isinstance(picture, TapePicture) and one.source:
            return self._tape_frame(sequence, one.source.tape, frame_played(picture.first_frame, picture.speed, k), raster)
        if isinstance(picture, CardPicture):
            whole = raster_of(sequence)
            drawn = card_picture(picture, planned_length(one.shot.frames, sequence.timebase), whole, self._cache)
            return Fitter(raster).fit(frame_of_rgb(load_picture(drawn)))
        return _black(raster)

    def _tape_frame(self, sequence: Sequence, tape: Tape, grid_frame: int, raster: Raster) -> VideoFrame:
        try:
            return self._tape(sequence, tape).picture(grid_frame, sequence.timebase.rate.fps, raster)
        except Fault as fault:
            if isinstance(fault, WentAway):  # opened anew when it is asked for again
                self.close()
            raise MediaFault(str(fault) if tape.reel in str(fault) else f"Tape {tape.reel} cannot be shown. {fault}") from fault

    def _tape(self, sequence: Sequence, tape: Tape) -> _OpenTape:
        key = (tape.fingerprint, tape.path, tape.rotation, tape.sample_aspect, sequence.timebase.rate.fps, raster_of(sequence))
        found = self._open.pop(key, None)
        if found is None or not found.is_copy:
            copied = self._copy(sequence, tape)
            if copied and found:
                found.reader.close()
            found = copied or found or self._original(tape)
        self._open[key] = found
        while len(self._open) > _OPEN_TAPES:
            self._open.popitem(last=False)[1].reader.close()
        return found

    def _copy(self, sequence: Sequence, tape: Tape) -> _OpenTape | None:
        copy = find_work_copy(tape.fingerprint, sequence.timebase.rate.fps, raster_of(sequence), self._cache)
        return _OpenTape(FrameReader(copy.path, copy.index, threads=1), copy.index, is_copy=True) if copy else None

    def _original(self, tape: Tape) -> _OpenTape:
        path = locate(self._document, tape)
        if not path.exists():
            raise MediaFault(f"Tape {tape.reel} is not at {path} and has no work copy; bring it back, or look for it in another folder.")
        index = frame_index(path, self._cache)
        return _OpenTape(FrameReader(path, index), index, is_copy=False, turned=(tape.rotation, tape.sample_aspect))

    def _raster(self, sequence: Sequence) -> Raster:
        """The delivery picture scaled into the box, with even sides, and never larger than it is."""
        whole = raster_of(sequence)
        scale = min(1.0, self._size[0] / whole.width, self._size[1] / whole.height)
        # A pixel larger than the box would have every picture scaled once more.
        return Raster(*(max(64, int(side * scale / 2 + 1e-6) * 2) for side in (whole.width, whole.height)))

    def _rgb(self, frame: VideoFrame) -> NDArray[np.uint8]:
        rgb = self._reformatter.reformat(
            frame, format="rgb24", src_colorspace=Colorspace.ITU709, dst_color_range=ColorRange.JPEG, threads=1
        )
        return cast(NDArray[np.uint8], rgb.to_ndarray())


def _black(raster: Raster) -> VideoFrame:
    return frame_of_rgb(np.zeros((raster.height, raster.width, 3), np.uint8))
