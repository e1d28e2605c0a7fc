"""The turn by which an outline keeps most free of walls and columns: quarters first, then every millidegree, by proof and not by sample.

Between walls alone `fitting_turns` lists the turns that matter. With columns, the outline may be shifted so that its middle stays
while it turns; how far it reaches to any side, and with that what can be kept, then changes by no more than the turn (in radians)
times the farthest that a corner lies from the middle along an edge that meets there. Two turns that were worked out therefore
bound all turns between them, and the stretch with the greatest bound is halved until no stretch can hold more than a millimetre
more than the best that was found.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from math import pi

import numpy as np
import shapely
from numpy.typing import NDArray

from previs.document.floor import PointMm
from previs.floor.fitting_shape import Corners, Space, fewer_corners
from previs.floor.fitting_shifts import best_shift, kept_mm, shifts_of
from previs.floor.fitting_turns import FULL_TURN, QUARTERS, Turns, critical_turns, slack_mm
from previs.progress import Report, Step, silent

NEAR_ENOUGH_MM = 1.0
_FIRST_STEP = 10_000
_FINE_MM = 0.02
_DOING = "trying turns of the plan"


@dataclass(frozen=True, slots=True)
class Lie:
    """One way to lay an outline: turn, shift and the distance kept from walls and columns; less than nothing where it does not fit."""

    turn: int
    shift: PointMm
    kept_mm: float


def best_lie(outline: Corners, space: Space, turns: tuple[int, ...] = QUARTERS) -> Lie:
    """The best of a few turns; of turns that keep as much, to the millimetre, the first."""
    lies = [lie_at(outline, space, turn) for turn in turns]
    return max(lies, key=lambda lie: (np.floor(lie.kept_mm + 1e-6), -turns.index(lie.turn)))


def lie_at(outline: Corners, space: Space, turn: int) -> Lie:
    """The best shift for one turn."""
    exact, shifts = shifts_of(outline, space, turn), shifts_of(fewer_corners(outline), space, turn)
    least, _ = kept_mm(shifts, _floor_of(space), shifts.slack_mm, _FINE_MM)
    return Lie(turn, *best_shift(shifts, least, exact))


def best_turned(outline: Corners, space: Space, report: Report = silent) -> Lie:
    """The best of all turns, to a millimetre of what is kept."""
    turns = critical_turns(outline, space)
    slacks = slack_mm(outline, space, turns)
    if not space.columns:
        best = slacks.max()
        return lie_at(outline, space, int(turns[np.flatnonzero(slacks >= best - 1e-6)[0]]))
    turn = _Circle(outline, space, turns, slacks).best(report) % (FULL_TURN // 2)
    return best_lie(outline, space, (turn, turn + FULL_TURN // 2))


def _floor_of(space: Space) -> float:
    """The deepest that is told apart: further in than this, it is all the same how far an outline stands in a column."""
    return -float(min(space.length_mm, space.width_mm))


def _most_change(outline: Corners) -> float:
    """By how many millimetres a radian the reach of an outline to any side changes at most, when it turns about its middle.

    The reach to a side is that of one corner until an edge faces that side, and its change is how far that corner lies sideways.
    """
    circle = shapely.minimum_bounding_circle(shapely.multipoints(outline))
    corners = outline - shapely.get_coordinates(shapely.centroid(circle))
    following = np.roll(corners, -1, axis=0)
    edges = following - corners
    lengths = np.hypot(*edges.T)
    ways = edges[lengths > 0] / lengths[lengths > 0, None]
    ends = np.concatenate([(corners[lengths > 0] * ways).sum(axis=1), (following[lengths > 0] * ways).sum(axis=1)])
    return float(abs(ends).max(initial=0.0))


class _Circle:
    """All turns of an outline among columns, in stretches that are halved where the best may still be."""

    def __init__(self, outline: Corners, space: Space, turns: Turns, slacks: NDArray[np.float64]) -> None:
        self._outline, self._space = fewer_corners(outline), space
        order = np.argsort(turns)
        self._turns, self._slacks = turns[order], slacks[order]
        self._per_turn = _most_change(self._outline) * pi / (FULL_TURN / 2)
        self._best, self._best_turn = -np.inf, 0
        self._open: list[tuple[float, int, int, float, float]] = []

    def best(self, report: Report) -> int:
        """The turn that keeps most, to a millimetre."""
        deepest = _floor_of(self._space)
        starts = range(0, FULL_TURN, _FIRST_STEP)
        reach = self._per_turn * _FIRST_STEP
        known = [self._kept(0, deepest, np.inf, reach / 4)]
        for turn in starts[1:]:
            report(Step(0, FULL_TURN, _DOING))
            known.append(self._kept(turn, max(deepest, known[-1] - 1.25 * reach - NEAR_ENOUGH_MM), known[-1] + reach, reach / 4))
        for start, here, there in zip(starts, known, [*known[1:], known[0]], strict=True):
            self._look_later(start, start + _FIRST_STEP, here, there)
        while self._open and -self._open[0][0] > self._best + NEAR_ENOUGH_MM:
            self._halve(*heapq.heappop(self._open)[1:])
            report(Step(FULL_TURN - sum(end - start for _, start, end, _, _ in self._open), FULL_TURN, _DOING))
        return self._best_turn

    def _halve(self, start: int, end: int, here: float, there: float) -> None:
        middle = (start + end) // 2
        reach = self._per_turn * (end - middle)
        found = self._kept(middle, max(_floor_of(self._space), self._best - 2 * reach), max(here, there) + reach, reach / 4)
        self._look_later(start, middle, here, found)
        self._look_later(middle, end, found, there)

    def _kept(self, turn: int, least: float, most: float, within_mm: float) -> float:
        """What can be kept at a turn, at most; the best is remembered."""
        least, most = kept_mm(shifts_of(self._outline, self._space, turn), least, most, max(NEAR_ENOUGH_MM / 4, within_mm))
        if least > self._best:
            self._best, self._best_turn = least, turn
        return most

    def _look_later(self, start: int, end: int, here: float, there: float) -> None:
        """Keep a stretch for halving when a turn inside it may be better than the best."""
        first, after = np.searchsorted(self._turns, [start, end + 1])
        ends = slack_mm(self._outline, self._space, np.array([start, end]))
        walls = max(*ends, *self._slacks[first:after])
        most = min((here + there + self._per_turn * (end - start)) / 2, walls)
        if end - start > 1 and most > self._best + NEAR_ENOUGH_MM:
            heapq.heappush(self._open, (-most, start, end, here, there))
