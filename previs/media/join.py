"""Joining pieces of coded picture into one movie with its sound, packet by packet; nothing is decoded here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

import av
from av.container import InputContainer
from av.video.stream import VideoStream

from previs.media.encode import SoundWriter
from previs.media.index import frame_clock
from previs.media.opening import MediaFault, opened, picture_stream
from previs.media.sound import SAMPLE_RATE, StoredSound, sample_at
from previs.media.workers import Tick

_MOST_OPEN = 16


@dataclass(frozen=True, slots=True)
class Piece:
    """`frames` coded frames of a movie, from frame `first` on."""

    path: Path
    first: int
    frames: int


def join(pieces: Sequence[Piece], rate: Fraction, sound: StoredSound | None, out: Path, label: str, tick: Tick) -> None:
    """Write the pieces one after another to `out`, frame k stamped k / rate, with `sound` coded once as AAC beside them.

    Raises `MediaFault` when the pieces were not coded alike, since their packets would then not play.
    """
    try:
        _write(pieces, rate, sound, out, label, tick)
    except av.ArgumentError as error:  # what the head of the first piece says of itself can be in no movie
        raise _damaged(pieces[0].path) from error


def _write(pieces: Sequence[Piece], rate: Fraction, sound: StoredSound | None, out: Path, label: str, tick: Tick) -> None:
    ticks_a_second, step = frame_clock(rate)
    # A coarser clock of the whole movie would round its last sixteen samples of sound away.
    options = {"movflags": "+faststart", "video_track_timescale": str(ticks_a_second), "movie_timescale": str(SAMPLE_RATE)}
    with _Sources() as sources, av.open(str(out), "w", options=options) as movie:
        picture = movie.add_stream_from_template(sources.of(pieces[0].path)[1])
        picture.time_base = Fraction(1, ticks_a_second)
        picture.metadata.clear()
        picture.metadata["timecode"] = label
        track = SoundWriter(movie, sound, "aac", {"aac_coder": "fast"}) if sound is not None else None
        written = 0
        for piece in pieces:
            for coded, is_key in _packets(*sources.of(piece.path), piece, step):
                tick()
                packet = av.Packet(coded)
                packet.stream, packet.time_base = picture, Fraction(1, ticks_a_second)
                packet.pts = packet.dts = written * step
                packet.duration, packet.is_keyframe = step, is_key
                movie.mux(packet)
                written += 1
                if track:
                    track.write_to(sample_at(written, rate))
        if track:
            track.finish()


class _Sources:
    """The movies that pieces are taken from, each open while it is among the last few used: one of a long cut holds hundreds."""

    def __init__(self) -> None:
        self._held: dict[Path, tuple[ExitStack, InputContainer, VideoStream]] = {}
        self._first: tuple[Path, bytes | None] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        holders = [holder for holder, _, _ in self._held.values()]
        for holder in holders[:-1]:
            holder.close()
        # What goes wrong belongs to the movie that was read last, which says so in words.
        for holder in holders[-1:]:
            holder.__exit__(kind, error, trace)

    def of(self, path: Path) -> tuple[InputContainer, VideoStream]:
        """A movie and its picture; raises `MediaFault` when it was coded otherwise than the first."""
        if path in self._held:
            self._held[path] = self._held.pop(path)
        else:
            if len(self._held) == _MOST_OPEN:
                self._held.pop(next(iter(self._held)))[0].close()
            with ExitStack() as holder:
                container = holder.enter_context(opened(path))
                stream = picture_stream(container, path)
                self._held[path] = holder.pop_all(), container, stream
            self._check_alike(path)
        _, container, stream = self._held[path]
        return container, stream

    def _check_alike(self, path: Path) -> None:
        head = self._held[path][2].codec_context.extradata
        first, wanted = self._first = self._first or (path, head)
        if head != wanted:
            raise MediaFault(
                f"The cached movies {first.name} and {path.name} were coded differently; delete the cache folder and publish again."
            )


def _packets(container: InputContainer, stream: VideoStream, piece: Piece, step: int) -> Iterator[tuple[bytes, bool]]:
    """The coded frames of a piece, in order of showing, which is that of coding, since none of our movies has B frames."""
    start, end = piece.first * step, (piece.first + piece.frames) * step
    container.seek(start, stream=stream)
    given = 0
    for packet in container.demux(stream):
        if packet.pts is None or packet.pts >= end:
            break
        if packet.pts >= start:
            given += 1
            yield bytes(packet), packet.is_keyframe
    if given != piece.frames:
        raise _damaged(piece.path)


def _damaged(path: Path) -> MediaFault:
    return MediaFault(f"The cached movie {path.name} is damaged; delete the cache folder and publish again.")
