"""When a role is where on its walk, from the cut: a spot with a move has the record frame on which that move's hit is seen."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from previs.cut.placing import hits_seen, place
from previs.document.model import Cut, Sequence
from previs.document.remembering import remembered
from previs.floor.routes import Spot, Step, Walk, walks


@dataclass(frozen=True, slots=True)
class Mark:
    """A spot of a walk that has a time: the record frame, counted from the cut's first."""

    step: Step
    frame: int


@dataclass(frozen=True, slots=True)
class TimedWalk:
    """A walk with those of its spots that have a time, in the walk's own order.

    `unseen` are the moves of its spots that are on no shot of the cut, also those that a card stands for. `out_of_order` are
    moves that are seen before one that lies earlier on the walk; a cut that tells the fight in another order has such.
    """

    walk: Walk
    marks: tuple[Mark, ...] = ()
    unseen: tuple[int, ...] = ()
    out_of_order: tuple[int, ...] = ()

    def frame_at(self, along_mm: float) -> float | None:
        """The record frame, with its part, on which a distance along the walk is reached; None where nothing times it.

        Between two timed spots the pace is taken to be even. Where the role stands for a while it is when it leaves.
        """
        after = bisect_right(self.marks, along_mm + 1e-6, key=lambda mark: mark.step.along_mm)
        if after == 0:
            return None
        one = self.marks[after - 1]
        if one.step.along_mm >= along_mm - 1e-6:
            return float(one.frame)
        if after == len(self.marks):
            return None
        two = self.marks[after]
        if two.frame <= one.frame:
            return None
        share = (along_mm - one.step.along_mm) / (two.step.along_mm - one.step.along_mm)
        return one.frame + share * (two.frame - one.frame)

    def where(self, frame: float) -> Spot | None:
        """The spot on a record frame, which may have a part; None when no spot of the walk is timed.

        Before the first timed spot in running order it is that one, after the last that one. Where the cut goes back on the walk
        or the role jumps, the way from one to the other is a straight line.
        """
        marks = sorted(self.marks, key=lambda mark: mark.frame)
        after = bisect_right(marks, frame, key=lambda mark: mark.frame)
        if not marks or after in (0, len(marks)):
            return None if not marks else _spot(marks[0 if after == 0 else -1])
        one, two = marks[after - 1], marks[after]
        share = (frame - one.frame) / (two.frame - one.frame)
        if two.step.along_mm >= one.step.along_mm:
            return self.walk.at(one.step.along_mm + share * (two.step.along_mm - one.step.along_mm))
        (x, y), (to_x, to_y) = _spot(one), _spot(two)
        return (x + share * (to_x - x), y + share * (to_y - y))


def _spot(mark: Mark) -> Spot:
    return (float(mark.step.at[0]), float(mark.step.at[1]))


@remembered(newest=4)
def timed_walks(sequence: Sequence, cut: Cut | None) -> tuple[TimedWalk, ...]:
    """Every walk with the times of a cut; without a cut nothing is timed. A move seen twice counts where it is seen first."""
    frames: dict[int, int] = {}
    if cut is not None:
        for seen in hits_seen(sequence, place(sequence, cut)):
            frames.setdefault(seen.move.number, seen.record_frame)
    return tuple(_timed(walk, frames) for walk in walks(sequence))


def where(sequence: Sequence, cut: Cut | None, role: str, frame: float) -> Spot | None:
    """Where a role is on a record frame of a cut, in millimetres on the plan; None when nothing tells."""
    return next((timed.where(frame) for timed in timed_walks(sequence, cut) if timed.walk.role == role), None)


def _timed(walk: Walk, frames: Mapping[int, int]) -> TimedWalk:
    marks = tuple(Mark(step, frames[step.move]) for step in walk.steps if step.move is not None and step.move in frames)
    unseen = tuple(dict.fromkeys(step.move for step in walk.steps if step.move is not None and step.move not in frames))
    back = tuple(two.step.move for one, two in pairwise(marks) if two.frame < one.frame and two.step.move is not None)
    return TimedWalk(walk, marks, unseen, back)
