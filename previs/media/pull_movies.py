"""One pull as a movie and as numbered stills, from the tape itself; which frames and which numbers is decided elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from previs.clock import Span
from previs.cut.wording import counted
from previs.media.encode import PictureCodec, PictureWriter
from previs.media.fingerprint import fingerprint, must_be_unchanged
from previs.media.frames import FrameReader
from previs.media.index import FrameIndex, frame_clock, frame_index
from previs.media.opening import MediaFault
from previs.media.probe import TapeFacts, probe
from previs.media.raster import Fitter, Raster, frame_of_rgb
from previs.media.slates import slate_picture, write_png
from previs.media.workers import Tick, run_jobs
from previs.progress import Report
from previs.replacing import filling, replacing

Rgb = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class PullFrames:
    """What a pull shows: `frames` of the grid of the tape at `path` at `rate` a second, `first` the first one's number.

    `mark` is the tape's fingerprint when it was logged. The slate stands before them under number `first - 1`;
    `slate_label` is its time code.
    """

    path: Path
    mark: str
    rate: Fraction
    frames: Span
    first: int
    title: str
    facts: tuple[tuple[str, str], ...]
    slate_label: str


@dataclass(frozen=True, slots=True)
class PullJob:
    """A pull to be written at `path`: as a movie, or with `stills` as a folder of numbered pictures."""

    pull: PullFrames
    path: Path
    stills: bool
    cache_dir: Path


def write_pulls(jobs: Sequence[PullJob], report: Report, finished: Callable[[int, Path], None]) -> None:
    """Write these pulls, as `write_pull_movie` and `write_pull_stills` do; `finished` gets number and path of each that is whole."""
    total = sum(job.pull.frames.length for job in jobs)
    if jobs:
        run_jobs(_write, jobs, total, f"pulling {counted(len(jobs), 'file')}", report, finished=finished)


def _write(job: PullJob, tick: Tick) -> Path:
    (write_pull_stills if job.stills else write_pull_movie)(job.pull, job.path, job.cache_dir, tick)
    return job.path


def pull_codec(raster: Raster, rate: Fraction) -> PictureCodec:
    """Every frame a key frame, to step through in any order, and near to the tape's own quality."""
    return PictureCodec(
        raster, rate, (("preset", "veryfast"), ("crf", "12"), ("g", "1"), ("bf", "0"), ("x264-params", "keyint=1:scenecut=0"))
    )


def pull_raster(facts: TapeFacts) -> Raster:
    """The tape's own upright picture in square pixels, an odd side one pixel longer since coders halve the colour."""
    return Raster(facts.width + facts.width % 2, facts.height + facts.height % 2)


def write_pull_movie(pull: PullFrames, path: Path, cache_dir: Path, tick: Tick) -> None:
    """Write the slate and the frames as a movie (.mov or .mp4), whole or not at all; `tick` is called for each frame.

    Raises `MediaFault` when the tape is another than was logged, or cannot be read.
    """
    with _tape(pull.path, pull.mark, cache_dir) as (facts, index), replacing(path) as temporary:
        _write_movie(pull, temporary, slate_picture(pull.title, pull.facts, pull_raster(facts)), facts, index, tick)
        must_be_unchanged(pull.path, pull.mark)


def write_pull_stills(pull: PullFrames, folder: Path, cache_dir: Path, tick: Tick) -> None:
    """Write the slate and the frames as PNG (`FOLDER/FOLDER.1001.png`), all or none; stills there already are replaced.

    Raises `MediaFault` as `write_pull_movie` does.
    """
    with _tape(pull.path, pull.mark, cache_dir) as (facts, index), filling(folder) as making:
        slate = slate_picture(pull.title, pull.facts, pull_raster(facts))
        write_png(slate, making / f"{folder.name}.{pull.first - 1:04d}.png")
        for number, picture in enumerate(_upright(pull, facts, index), start=pull.first):
            tick()
            write_png(picture, making / f"{folder.name}.{number:04d}.png")
        must_be_unchanged(pull.path, pull.mark)


def pictures_of(path: Path, mark: str, frames: tuple[int, ...], rate: Fraction, height_px: int, cache_dir: Path) -> list[Rgb]:
    """These frames of the tape's grid as upright RGB pictures of this height, for a contact sheet."""
    with _tape(path, mark, cache_dir) as (facts, index):
        size = max(2, round(facts.width * height_px / facts.height)), height_px
        with FrameReader(path, index, rotation=facts.rotation, size_px=size) as reader:
            return [reader.picture(index.frame_shown(frame, rate)) for frame in frames]


@contextmanager
def _tape(path: Path, mark: str, cache_dir: Path) -> Iterator[tuple[TapeFacts, FrameIndex]]:
    if fingerprint(path) != mark:
        raise MediaFault(f"{path} is not the tape that was logged; put the right file there, or relink: look for tapes in another folder.")
    yield probe(path, cache_dir), frame_index(path, cache_dir)


def _write_movie(pull: PullFrames, path: Path, slate: Rgb, facts: TapeFacts, index: FrameIndex, tick: Tick) -> None:
    raster = pull_raster(facts)
    fitter = Fitter(raster, facts.rotation, facts.sample_aspect)
    options = {"movflags": "+faststart", "video_track_timescale": str(frame_clock(pull.rate)[0])}
    with ExitStack() as held:
        reader = held.enter_context(FrameReader(pull.path, index))
        out = held.enter_context(av.open(str(path), "w", options=options))
        writer = PictureWriter(out, pull_codec(raster, pull.rate), {"timecode": pull.slate_label})
        writer.write(frame_of_rgb(slate))
        for grid_frame in range(pull.frames.start, pull.frames.end_exclusive):
            tick()
            writer.write(fitter.fit(reader.frame(index.frame_shown(grid_frame, pull.rate))))
        writer.finish()


def _upright(pull: PullFrames, facts: TapeFacts, index: FrameIndex) -> Iterator[Rgb]:
    raster = pull_raster(facts)
    with FrameReader(pull.path, index, rotation=facts.rotation, size_px=(raster.width, raster.height)) as reader:
        for grid_frame in range(pull.frames.start, pull.frames.end_exclusive):
            yield reader.picture(index.frame_shown(grid_frame, pull.rate))
