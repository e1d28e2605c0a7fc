"""A plan too large for its room, cut into overlapping sections that are rehearsed one after the other, each laid for itself.

The cuts go across the run of the set, its long way. A section is as long as still fits; when as many sections of equal length fit,
these are taken. Where not even a short section fits, because the set is too wide across, it is cut both ways.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import msgspec
import numpy as np

from previs.document.floor import Floor, Laid, PlanLine
from previs.faults import UseFault
from previs.floor.fitting import Fitting, clearance_mm, fits, fitted, room_of, share_of
from previs.floor.fitting_part import easy_turns, free_rectangles, inside_of, laid_window, segments_of
from previs.floor.fitting_search import Lie, best_lie, best_turned
from previs.floor.fitting_shape import Corners, Space, box_of, hull_of, outline_of, space_of, turned_corners
from previs.floor.fitting_turns import FULL_TURN, QUARTERS
from previs.floor.placing import laid_lines, unplaced
from previs.progress import Report, Step, silent

OVERLAP_MM = 1500
"""How much of a section is seen again in the next; common practice, no source."""

_LEAST_NEW_MM = 500
_MOST = 60
_AROUND_MM = 100


@dataclass(frozen=True, slots=True)
class _Run:
    """The plan turned so that its long way lies along x: its straight pieces, and how far they reach."""

    turn: int
    segments: Corners
    box: tuple[float, float, float, float]

    def between(self, first: float, last: float) -> Corners:
        """The outline of what lies between two places of the run, in the plan's own coordinates; empty where there is nothing.

        Off the quarters a millimetre more is looked at on either side, since the corners of a part are rounded.
        """
        hair = 0 if self.turn in QUARTERS else 1
        return turned_corners(hull_of(_spots_between(self.segments, first - hair, last + hair)), -self.turn)


def in_sections(plan: Floor, report: Report = silent, keep_turn: int | None = None) -> Fitting:
    """How the plan lies in its room, cut into sections when it does not fit as one; each has its `part` and its name.

    Every section overlaps the next by `OVERLAP_MM` or more. With `keep_turn`, in millidegrees, all lie by that turn. A room in which
    no section can be laid is a `UseFault`.
    """
    whole = fitted(plan, report, keep_turn)
    if whole.fits:
        return whole
    outline, space = outline_of(plan.lines), space_of(room_of(plan))
    run = _run_of(plan.lines, outline)
    laid = _along_the_run(run, space, report, keep_turn) or _both_ways(plan.lines, run, space, keep_turn)
    if not laid:
        raise UseFault(
            f"This room is too small to rehearse the set even in {_MOST} sections that overlap by {OVERLAP_MM / 1000:g} m; "
            "keep less to walls and columns, or take a larger room."
        )
    named = tuple(msgspec.structs.replace(one, name=f"section {number} of {len(laid)}") for number, one in enumerate(laid, 1))
    clear = min(clearance_mm(plan, one) for one in named)
    return Fitting(False, named, clear, share_of(plan, named), whole.misses, whole.missed_turn_millidegrees)


def _run_of(lines: tuple[PlanLine, ...], outline: Corners) -> _Run:
    """Along the longest of the ways that the plan's lines and the page have; the page's own x first where it is as long."""

    def length(turn: int) -> float:
        left, _, right, _ = box_of(turned_corners(outline, turn))
        return round(right - left)

    turn = max(easy_turns(outline), key=length)
    if turn >= FULL_TURN // 2:
        turn -= FULL_TURN // 2
    lying = turned_corners(segments_of(lines).reshape(-1, 2), turn)
    return _Run(turn, lying.reshape(-1, 4), box_of(lying))


def _along_the_run(run: _Run, space: Space, report: Report, keep_turn: int | None) -> tuple[Laid, ...]:
    """Sections across which the set is whole; none when the set is too wide for that."""
    first, last = run.box[0], run.box[2]
    ways = _Ways(space, run, keep_turn, report)
    ends: list[float] = []
    start = first
    while not ends or ends[-1] < last:
        report(Step(round(start - first), round(last - first), "cutting the plan into sections"))
        end = ways.farthest(start, last)
        if end is None or len(ends) == _MOST:
            return ()
        ends.append(end)
        start = end - OVERLAP_MM
    equal = ceil((last - first + (len(ends) - 1) * OVERLAP_MM) / len(ends))
    spans = [(first + number * (equal - OVERLAP_MM), first + number * (equal - OVERLAP_MM) + equal) for number in range(len(ends))]
    lies = [ways.lie(*span) for span in spans]
    if not all(map(ways.fit, lies)):
        spans = list(zip([first, *(end - OVERLAP_MM for end in ends)], ends, strict=False))
        lies = [ways.lie(*span) for span in spans]
    return tuple(_laid_section(run, span, lie) for span, lie in zip(spans, lies, strict=True))


class _Ways:
    """How stretches of the run lie in the room: by an easy turn when it fits so, else by any turn.

    Among columns, where every turn takes long to search, any turn is tried only when not even a short section lies by an easy one.
    """

    def __init__(self, space: Space, run: _Run, keep_turn: int | None, report: Report) -> None:
        self._space, self._run, self._keep_turn, self._report = space, run, keep_turn, report
        self._any_turn = not space.columns

    def fit(self, lie: Lie) -> bool:
        """Whether the margin is kept."""
        return fits(lie, self._space)

    def lie(self, first: float, last: float) -> Lie:
        """How what lies between two places of the run is laid; in the middle when there is nothing."""
        outline = self._run.between(first, last)
        if not len(outline):
            return Lie(0, (0, 0), float(self._space.margin_mm))
        if self._keep_turn is not None:
            return best_lie(outline, self._space, (self._keep_turn % FULL_TURN,))
        easy = best_lie(outline, self._space, easy_turns(outline))
        return easy if self.fit(easy) or not self._any_turn else best_turned(outline, self._space, self._report)

    def farthest(self, start: float, last: float) -> float | None:
        """How far a section that begins here can reach; None when it would bring nothing new."""
        least = min(start + OVERLAP_MM + _LEAST_NEW_MM, last)
        if self.fit(self.lie(start, last)):
            return last
        if not self.fit(self.lie(start, least)):
            if self._any_turn:
                return None
            self._any_turn = True
            return self.farthest(start, last)
        most = last
        # A longer section holds a shorter one, so that what fits is found by halving.
        while most - least > 1:
            middle = (least + most) // 2
            if self.fit(self.lie(start, middle)):
                least = middle
            else:
                most = middle
        return least


def _laid_section(run: _Run, span: tuple[float, float], lie: Lie) -> Laid:
    first, last = span
    low, high = run.box[1] - _AROUND_MM, run.box[3] + _AROUND_MM
    corners = ((first, low), (last, low), (last, high), (first, high))
    return Laid(lie.turn, *lie.shift, part=tuple(unplaced(corner, Laid(run.turn)) for corner in corners))


def _both_ways(lines: tuple[PlanLine, ...], run: _Run, space: Space, keep_turn: int | None) -> tuple[Laid, ...]:
    """Sections as large as the largest free rectangle of the room, in rows; empty ones are left out."""
    turn = run.turn if keep_turn is None else keep_turn % FULL_TURN
    outline = outline_of(lines)
    for free in (inside_of(free, turn) for free in free_rectangles(space)):
        if min(free[2] - free[0], free[3] - free[1]) < OVERLAP_MM + _LEAST_NEW_MM:
            continue
        box = box_of(turned_corners(outline, turn))
        windows = [(x, y, x + free[2] - free[0], y + free[3] - free[1]) for y in _steps(box, free, 1) for x in _steps(box, free, 0)]
        if len(windows) > _MOST:
            return ()
        sections = (laid_window(outline, turn, window, free, "") for window in windows)
        return tuple(section for section in sections if laid_lines(Floor(lines), section))
    return ()


def _steps(box: tuple[float, float, float, float], free: tuple[float, float, float, float], axis: int) -> Iterator[float]:
    """Where windows of the free size begin along an axis, spread evenly over the plan."""
    reach, size = box[axis + 2] - box[axis], free[axis + 2] - free[axis]
    count = max(1, ceil((reach - OVERLAP_MM) / (size - OVERLAP_MM)))
    if count == 1:
        yield (box[axis] + box[axis + 2] - size) // 2
        return
    for number in range(count):
        yield box[axis] + (reach - size) * number // (count - 1)


def _spots_between(segments: Corners, first: float, last: float) -> Corners:
    """The ends of what is left of straight pieces between two places along x."""
    x, across = segments[:, 0], segments[:, 2] - segments[:, 0]
    upright = across == 0
    run = np.where(upright, 1.0, across)
    ends = np.sort(np.column_stack([(first - x) / run, (last - x) / run]), axis=1)
    ends[upright] = (0, 1)
    ends = np.clip(ends, 0, 1)
    inside = np.where(upright, (x >= first) & (x <= last), (np.minimum(x, x + across) <= last) & (np.maximum(x, x + across) >= first))
    kept, ends = segments[inside], ends[inside]
    start, way = kept[:, :2], kept[:, 2:] - kept[:, :2]
    return np.concatenate([start + way * ends[:, :1], start + way * ends[:, 1:]])
