"""Heads followed on tapes from the boxes that a person marked, kept in the cache; heights are those of the delivery picture."""

from __future__ import annotations

from collections.abc import Sequence as Several
from dataclasses import dataclass
from fractions import Fraction
from hashlib import blake2b
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previs.analysis.heads import follow_head
from previs.clock import first_grid_frame
from previs.cut.wording import counted
from previs.document.model import HeadBox, Sequence, Take
from previs.media.frames import FrameReader
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.kept import kept_array
from previs.media.opening import cache_gone, from_cache
from previs.media.workcopy import WorkCopy, make_work_copies
from previs.media.workers import Tick, run_jobs
from previs.progress import Report
from previs.replacing import replacing

_VERSION = 1
_TALLEST_PX = 100_000
"""No head is taller in any picture; a limit of ours."""


@dataclass(frozen=True, slots=True, eq=False)
class TakeHead:
    """One role's head through a take: the tape frame that the first height belongs to, and the heights in delivery pixels.

    `heights_px` is (n,), NaN where the head is lost; frames count on the sequence-rate grid of the tape.
    """

    take: Take
    role: str
    first_frame: int
    heights_px: NDArray[np.float64]

    @property
    def found_share(self) -> float:
        """The share of the take in which the head was found."""
        return float((~np.isnan(self.heights_px)).mean()) if len(self.heights_px) else 0.0

    def largest_between(self, start: int, end_exclusive: int) -> float | None:
        """The largest height on these tape frames, or None where it is lost in all of them."""
        part = self.heights_px[max(0, start - self.first_frame) : max(0, end_exclusive - self.first_frame)]
        found = part[~np.isnan(part)]
        return float(found.max()) if len(found) else None


@dataclass(frozen=True, slots=True)
class _Job:
    copy: WorkCopy
    place: Path
    first: int
    end: int
    start: int
    box: tuple[float, float, float, float]


def heads_followed(sequence: Sequence, document: Path, cache_dir: Path, report: Report) -> list[TakeHead]:
    """Every marked head, followed through the take that it was marked in; a box outside every take is left out.

    The first box of a role in a take is the one that is followed. Raises `UseFault` and `MediaFault` as `probe` does.
    """
    marked = _first_boxes(sequence)
    reels = list(dict.fromkeys(take.reel for take, _ in marked))
    tapes = [sequence.tape(reel) for reel in reels]
    copies = dict(
        zip(
            reels,
            make_work_copies(tapes_to_copy(sequence, tapes, document), sequence.timebase, raster_of(sequence), cache_dir, report),
            strict=True,
        )
    )
    jobs = [_job(sequence, take, head, copies[take.reel], cache_dir) for take, head in marked]
    missing = [job for job in jobs if _restored(job) is None]
    if missing:
        run_jobs(_follow, missing, sum(job.end - job.first for job in missing), f"following {counted(len(missing), 'head')}", report)
    found = []
    for (take, head), job in zip(marked, jobs, strict=True):
        heights = _restored(job)
        if heights is None:
            raise cache_gone(cache_dir)
        found.append(TakeHead(take, head.role, job.first, heights))
    return found


def _first_boxes(sequence: Sequence) -> list[tuple[Take, HeadBox]]:
    found: dict[tuple[str, str], tuple[Take, HeadBox]] = {}
    for head in sequence.heads:
        for take in sequence.takes:
            if take.reel == head.reel and take.span.holds(head.at):
                found.setdefault((take.name, head.role), (take, head))
    return list(found.values())


def _job(sequence: Sequence, take: Take, head: HeadBox, copy: WorkCopy, cache_dir: Path) -> _Job:
    tape, fps = sequence.tape(take.reel), sequence.timebase.rate.fps
    first, end = first_grid_frame(take.start, fps), min(copy.frames, first_grid_frame(take.end_exclusive, fps))
    scale, left, top = fitted(tape.width, tape.height, tape.sample_aspect, sequence.settings.raster_width, sequence.settings.raster_height)
    wide = scale * float(tape.sample_aspect)
    box = (head.left * wide + left, head.top * scale + top, head.width * wide, head.height * scale)
    start = min(max(first, first_grid_frame(head.at, fps)), end - 1) - first
    key = blake2b(f"{_VERSION} {copy.fingerprint} {copy.path.name} {first} {end} {start} {box}".encode(), digest_size=12).hexdigest()
    return _Job(copy, cache_dir / "heads" / f"{key}.npy", first, end, start, box)


def fitted(width: int, height: int, aspect: Fraction, raster_width: int, raster_height: int) -> tuple[float, float, float]:
    """How an upright picture of this size stands in the delivery raster, between bars: scale of its height, left, top."""
    square = float(width * aspect)
    scale = min(raster_width / square, raster_height / height)
    return scale, (raster_width - square * scale) / 2, (raster_height - height * scale) / 2


class _Pictures:
    """The pictures of a stretch of a work copy, decoded as they are asked for."""

    def __init__(self, reader: FrameReader, job: _Job, tick: Tick) -> None:
        self._reader, self._job, self._tick = reader, job, tick

    def __len__(self) -> int:
        return self._job.end - self._job.first

    def __getitem__(self, number: int) -> NDArray[np.uint8]:
        self._tick()
        return self._reader.picture(self._job.first + number)


def _follow(job: _Job, tick: Tick) -> None:
    with from_cache(job.place.parent.parent), FrameReader(job.copy.path, job.copy.index, threads=1) as reader:
        track = follow_head(_Pictures(reader, job, tick), job.start, job.box)
    with replacing(job.place) as temporary, temporary.open("wb") as file:
        np.save(file, track.heights_px)


def _restored(job: _Job) -> NDArray[np.float64] | None:
    heights = kept_array(job.place, (job.end - job.first,), np.float64)
    # What is no height, and not lost either, is damage.
    return None if heights is None or bool((np.isinf(heights) | (heights < 0) | (heights > _TALLEST_PX)).any()) else heights


def largest_in(found: Several[TakeHead], take: str, role: str, start: int, end_exclusive: int) -> float | None:
    """The largest height of a role's head on these tape frames of a take, or None where it was not marked or is lost."""
    heads = [one for one in found if one.take.name == take and one.role == role]
    return heads[0].largest_between(start, end_exclusive) if heads else None
