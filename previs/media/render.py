"""Segments of a cut as short movies that join by their packets: which frames, mixed how; joining them is `publish`'s work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import ExitStack, nullcontext
from dataclasses import dataclass
from fractions import Fraction
from hashlib import blake2b
from pathlib import Path
from typing import assert_never

import av
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from previs.clock import frame_played
from previs.media.cards import leader_pictures, load_picture
from previs.media.encode import PictureCodec, PictureWriter
from previs.media.events import Black, TapePicture, Transition
from previs.media.fingerprint import must_be_unchanged
from previs.media.frames import FrameReader
from previs.media.index import constant_index, frame_clock, frame_index
from previs.media.opening import from_cache
from previs.media.raster import Fitter, Raster, frame_of_planes, frame_of_rgb, planes_of
from previs.media.wipes import wipe_order
from previs.media.workers import Tick
from previs.replacing import replacing

_VERSION = 1
# Frames are asked for in runs of this many, so that those played backwards are decoded forwards; more only holds more memory.
_RUN_FRAMES = 24


@dataclass(frozen=True, slots=True)
class Leader:
    """The countdown before the first picture, at `nominal` frames a second."""

    nominal: int


@dataclass(frozen=True, slots=True)
class Drawn:
    """A card that has been drawn, kept in a file named after what is on it."""

    path: Path


@dataclass(frozen=True, slots=True)
class Side:
    """One picture of a segment, from frame `first` of its event on; `first` may lie past the event's end."""

    picture: TapePicture | Drawn | Leader | Black
    first: int


@dataclass(frozen=True, slots=True)
class Segment:
    """`frames` frames of `coming`; with a transition, of the change from `going` to it."""

    frames: int
    coming: Side
    going: Side | None = None
    transition: Transition | None = None


@dataclass(frozen=True, slots=True)
class TapeSource:
    """The movie that a tape's frames are taken from: its work copy, then with the copy's number of frames, or the tape itself."""

    path: Path
    fingerprint: str
    copy_frames: int | None = None
    rotation: int = 0
    sample_aspect: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class RenderJob:
    """A segment, and all that a process of its own needs to render it. `tapes` are by the path that the events name."""

    segment: Segment
    codec: PictureCodec
    tapes: Mapping[Path, TapeSource]
    cache_dir: Path

    @property
    def frames(self) -> int:
        """How many frames the segment has."""
        return self.segment.frames

    @property
    def place(self) -> Path:
        """Where the rendered segment is kept; its name follows from everything that makes the picture."""
        sides = [self._content(side) for side in (self.segment.coming, self.segment.going) if side]
        content = repr((_VERSION, self.codec.key, self.segment.frames, self.segment.transition, sides)).encode()
        return self.cache_dir / "segments" / f"{blake2b(content, digest_size=16).hexdigest()}.mp4"

    def _content(self, side: Side) -> tuple[object, ...]:
        match side.picture:
            case TapePicture() as tape:
                source = self.tapes[tape.path]
                return source.fingerprint, source.copy_frames, tape.first_frame, tape.speed, side.first
            case Drawn(path):
                return (path.name,)
            case Leader(nominal):
                return "leader", nominal, side.first
            case Black():
                return ("black",)
        assert_never(side.picture)


def render_segment(job: RenderJob, tick: Tick) -> Path:
    """Render one segment into the cache and give back its path. Raises `MediaFault` when a tape cannot be read."""
    segment = job.segment
    with ExitStack() as open_tapes, replacing(job.place) as temporary:
        coming = _frames(segment.coming, segment.frames, job, open_tapes)
        shown = coming
        if segment.going and segment.transition:
            going = _frames(segment.going, segment.frames, job, open_tapes)
            shown = _mixed(going, coming, segment.transition, job.codec.raster)
        options = {"video_track_timescale": str(frame_clock(job.codec.rate)[0])}
        with av.open(str(temporary), "w", options=options) as movie:
            picture = PictureWriter(movie, job.codec)
            for frame in shown:
                tick()
                picture.write(frame)
            picture.finish()
        for source in _originals(job):
            must_be_unchanged(source.path, source.fingerprint)
    return job.place


def _originals(job: RenderJob) -> Iterator[TapeSource]:
    """The tapes themselves that a segment is rendered from, each once; none where it is from work copies."""
    sides = (job.segment.coming, job.segment.going)
    shown = {side.picture.path for side in sides if side and isinstance(side.picture, TapePicture)}
    return (job.tapes[path] for path in shown if job.tapes[path].copy_frames is None)


def _frames(side: Side, count: int, job: RenderJob, open_tapes: ExitStack) -> Iterator[VideoFrame]:
    """`count` frames of one side, in the codec's raster."""
    raster = job.codec.raster
    match side.picture:
        case TapePicture() as tape:
            yield from _tape_frames(tape, side.first, count, job, open_tapes)
        case Drawn(path):
            with from_cache(job.cache_dir):
                still = frame_of_rgb(load_picture(path))
            yield from (still for _ in range(count))
        case Leader(nominal):
            for number, picture in enumerate(leader_pictures(raster, nominal)):
                if side.first <= number < side.first + count:
                    yield frame_of_rgb(picture)
        case Black():
            black = frame_of_rgb(np.zeros((raster.height, raster.width, 3), np.uint8))
            yield from (black for _ in range(count))
        case _:
            assert_never(side.picture)


def _tape_frames(tape: TapePicture, first: int, count: int, job: RenderJob, open_tapes: ExitStack) -> Iterator[VideoFrame]:
    source, rate = job.tapes[tape.path], job.codec.rate
    copied = source.copy_frames
    index = constant_index(rate, copied) if copied else frame_index(source.path, job.cache_dir)
    with from_cache(job.cache_dir) if copied else nullcontext():
        reader = open_tapes.enter_context(FrameReader(source.path, index, threads=1))
        fitter = Fitter(job.codec.raster, source.rotation, source.sample_aspect)
        for begin in range(first, first + count, _RUN_FRAMES):
            run = range(begin, min(begin + _RUN_FRAMES, first + count))
            wanted = [index.frame_shown(frame_played(tape.first_frame, tape.speed, k), rate) for k in run]
            fitted = {number: fitter.fit(reader.frame(number)) for number in sorted(set(wanted))}
            yield from (fitted[number] for number in wanted)


def _mixed(going: Iterator[VideoFrame], coming: Iterator[VideoFrame], transition: Transition, raster: Raster) -> Iterator[VideoFrame]:
    """The frames of a transition. Frame j of n is (j + 1/2) / n of the way, so that both ends are treated alike."""
    for j, (old, new) in enumerate(zip(going, coming, strict=True)):
        yield mixed(old, new, transition, j, raster)


def mixed(old: VideoFrame, new: VideoFrame, transition: Transition, j: int, raster: Raster) -> VideoFrame:
    """Frame j of a transition, of the two frames that are on then, both in the raster."""
    share, parts = 2 * j + 1, 2 * transition.frames
    planes = zip(planes_of(old), planes_of(new), strict=True)
    if transition.kind != "wipe":
        return frame_of_planes([_dissolved(old_plane, new_plane, share, parts) for old_plane, new_plane in planes])
    covered = wipe_order(transition.wipe, raster) * parts < share
    return frame_of_planes(
        [
            np.where(covered[:: 1 if number == 0 else 2, :: 1 if number == 0 else 2], new_plane, old_plane)
            for number, (old_plane, new_plane) in enumerate(planes)
        ]
    )


def _dissolved(old: NDArray[np.uint8], new: NDArray[np.uint8], share: int, parts: int) -> NDArray[np.uint8]:
    mixed = (old.astype(np.int32) * (parts - share) + new.astype(np.int32) * share + parts // 2) // parts
    return mixed.astype(np.uint8)
