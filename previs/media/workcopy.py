"""Work copies: small all-key movies of the tapes on the sequence's frame grid, to look at and to cut from; never masters."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from hashlib import blake2b
from pathlib import Path

import av

from previs.clock import ClockFault, Timebase
from previs.cut.wording import counted
from previs.faults import Fault
from previs.media.encode import PictureWriter, SoundWriter, all_key_codec
from previs.media.fingerprint import fingerprint, must_be_unchanged
from previs.media.frames import FrameReader
from previs.media.index import FrameIndex, constant_index, frame_clock, frame_index
from previs.media.opening import opened, picture_stream
from previs.media.probe import LONGEST_SECONDS, probe
from previs.media.raster import Fitter, Raster
from previs.media.sound import sample_at, tape_sound
from previs.media.workers import Tick, run_jobs
from previs.progress import Report, Step
from previs.replacing import replacing

_VERSION = 1
_LOOK_EVERY_SECONDS = 0.1
_copying = threading.Lock()


@dataclass(frozen=True, slots=True)
class TapeToCopy:
    """A tape of which a work copy is wanted; `start_label` is its time code at the first picture, on the sequence's timebase."""

    path: Path
    reel: str = ""
    start_label: str | None = None


@dataclass(frozen=True, slots=True)
class WorkCopy:
    """A finished work copy. Frame n shows the tape frame that is on at n / rate seconds; every frame is a key frame."""

    path: Path
    fingerprint: str
    frames: int
    rate: Fraction

    @property
    def index(self) -> FrameIndex:
        """Its index, for `FrameReader`."""
        return constant_index(self.rate, self.frames)


@dataclass(frozen=True, slots=True)
class _Job:
    tape: TapeToCopy
    fingerprint: str
    timebase: Timebase
    raster: Raster
    cache_dir: Path


def find_work_copy(tape_fingerprint: str, rate: Fraction, raster: Raster, cache_dir: Path) -> WorkCopy | None:
    """The work copy of a tape when it has been made and is whole, else None."""
    path = _place(tape_fingerprint, rate, raster, cache_dir)
    if not path.exists():
        return None
    try:
        with opened(path) as movie:
            frames = picture_stream(movie, path).frames
    except Fault:  # a damaged copy is made anew
        return None
    # A count that no tape has is damage, and there would be no room for its index.
    return WorkCopy(path, tape_fingerprint, frames, rate) if 0 < frames <= LONGEST_SECONDS * rate else None


def forget_work_copies(tape_fingerprint: str, cache_dir: Path) -> None:
    """Remove the work copies of a tape, which are made anew when they are next needed."""
    for copy in (cache_dir / "copies").glob(f"{tape_fingerprint}.*.mov"):
        copy.unlink(missing_ok=True)


def make_work_copies(tapes: Sequence[TapeToCopy], timebase: Timebase, raster: Raster, cache_dir: Path, report: Report) -> list[WorkCopy]:
    """Make the work copies that are missing, two at a time, and give back those of all `tapes` in order.

    A copy costs about one decode of its tape. The reel name and the time code are written into the copy when it is made.
    Finished copies stay when the work is stopped; half-made ones do not. Raises `UseFault` and `MediaFault` as `probe`
    does, after the other tapes have been copied.
    """
    with _one_at_a_time(report):
        return _made_where_missing(tapes, timebase, raster, cache_dir, report)


def _made_where_missing(tapes: Sequence[TapeToCopy], timebase: Timebase, raster: Raster, cache_dir: Path, report: Report) -> list[WorkCopy]:
    rate = timebase.rate.fps
    marks = [fingerprint(tape.path) for tape in tapes]
    made = {mark: copy for mark in marks if (copy := find_work_copy(mark, rate, raster, cache_dir))}
    missing = {mark: _Job(tape, mark, timebase, raster, cache_dir) for tape, mark in zip(tapes, marks, strict=True) if mark not in made}
    total = sum(frame_index(job.tape.path, cache_dir).grid_frames(rate) for job in missing.values())
    if missing:
        copies = run_jobs(
            _make,
            list(missing.values()),
            total,
            f"making work copies of {counted(len(missing), 'tape')}",
            report,
        )
        made |= {copy.fingerprint: copy for copy in copies}
    return [made[mark] for mark in marks]


@contextmanager
def _one_at_a_time(report: Report) -> Iterator[None]:
    """Of two pieces of work in one program that need copies, the second waits and finds them made; it can be stopped meanwhile."""
    while not _copying.acquire(timeout=_LOOK_EVERY_SECONDS):
        report(Step(0, 1, "waiting for work copies"))
    try:
        yield
    finally:
        _copying.release()


def _make(job: _Job, tick: Tick) -> WorkCopy:
    rate = job.timebase.rate.fps
    path = _place(job.fingerprint, rate, job.raster, job.cache_dir)
    facts = probe(job.tape.path, job.cache_dir)
    index = frame_index(job.tape.path, job.cache_dir)
    sound = tape_sound(job.tape.path, job.cache_dir, job.fingerprint)
    frames = index.grid_frames(rate)
    options = {"video_track_timescale": str(frame_clock(rate)[0])}
    with (
        replacing(path) as temporary,
        FrameReader(job.tape.path, index, threads=1) as reader,
        av.open(str(temporary), "w", options=options) as movie,
    ):
        movie.metadata["comment"] = f"work copy of {job.tape.path.name}"
        picture = PictureWriter(movie, all_key_codec(job.raster, rate), _metadata(job))
        track = SoundWriter(movie, sound, "pcm_s16le") if len(sound) else None
        fitter = Fitter(job.raster, facts.rotation, facts.sample_aspect)
        shown = -1
        for grid_frame in range(frames):
            tick()
            wanted = index.frame_shown(grid_frame, rate)
            if wanted != shown:
                fitted = fitter.fit(reader.frame(wanted))
                shown = wanted
            picture.write(fitted)
            if track:
                track.write_to(sample_at(grid_frame + 1, rate))
        picture.finish()
        if track:
            track.finish()
        must_be_unchanged(job.tape.path, job.fingerprint)
    return WorkCopy(path, job.fingerprint, frames, rate)


def _metadata(job: _Job) -> dict[str, str]:
    metadata = {"reel_name": job.tape.reel} if job.tape.reel else {}
    if job.tape.start_label:
        try:
            job.timebase.frame(job.tape.start_label)
        except ClockFault:  # a label that this rate cannot count would only mislead
            return metadata
        metadata["timecode"] = job.tape.start_label
    return metadata


def _place(tape_fingerprint: str, rate: Fraction, raster: Raster, cache_dir: Path) -> Path:
    settings = blake2b(f"{_VERSION} {all_key_codec(raster, rate).key}".encode(), digest_size=6).hexdigest()
    return cache_dir / "copies" / f"{tape_fingerprint}.{settings}.mov"
