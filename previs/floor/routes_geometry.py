"""Where a walk touches or comes near something drawn, and where it bends; plain geometry in millimetres, no words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, hypot
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from previs.document.floor import Floor, PlanLine, PointMm
from previs.document.remembering import remembered
from previs.floor.routes import Spot, Step, Walk

STRAY_MM = 150
"""A spot that lies no further than this from the straight way between its neighbours is no bend of it: shuffling of feet."""
STEP_BACK_MM = 300
"""Whoever goes back no further than this only takes a step back."""
BEND_DEGREES = 35
"""A bend over this is told as a turn; a limit of ours."""
BACK_DEGREES = 150
"""A bend over this is going back the way one came, to neither side; a limit of ours."""
_ONE_TURN_MM = 600
"""Bends to one side with less way than this between them are one turn, as a drawn curve has many."""
_SAME_MM = 1.0
_ROUND = 64
"""Pieces of a quarter circle: at a reach of 2 m the outline is then 0.2 mm inside the true one at most."""

Legs: TypeAlias = Sequence[tuple[Step, Step]]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a walk, as distances along it; of no length where something is touched in one spot."""

    start_mm: float
    end_mm: float


@dataclass(frozen=True, slots=True)
class Bend:
    """A turn of a walk: where, and by how many degrees, counter-clockwise and so to the left positive."""

    along_mm: float
    degrees: float

    @property
    def back(self) -> bool:
        """True where it goes back the way it came."""
        return abs(self.degrees) > BACK_DEGREES


def geometry_of(line: PlanLine) -> BaseGeometry:
    """A line of the plan to reckon with; a closed one is filled, where it can be."""
    if line.closed and len(line.points) > 2:
        filled = Polygon(line.points)
        return filled if filled.is_valid else shapely.make_valid(filled)
    return LineString(line.points)


@remembered(newest=2)
def _drawn(floor: Floor) -> shapely.STRtree:
    return shapely.STRtree([geometry_of(line) for line in floor.lines])


def lines_near(floor: Floor, walk: Walk, limit_mm: float) -> list[PlanLine]:
    """The lines of the plan that come no further than a limit from a walk's legs, in the plan's order."""
    near = np.unique(_drawn(floor).query(_ways(walk.legs), predicate="dwithin", distance=limit_mm)[1])
    return [floor.lines[int(at)] for at in near]


def touching(legs: Legs, drawn: BaseGeometry) -> list[Stretch]:
    """The parts of the legs that touch or lie on what is drawn, in the walk's order; parts that meet are one."""
    if not legs:
        return []
    lines = _ways(legs)
    there = np.flatnonzero(shapely.intersects(lines, drawn))
    found: list[Stretch] = []
    for at in there:
        one, two = legs[int(at)]
        for part in shapely.get_parts(shapely.intersection(lines[at], drawn)):
            ends = sorted(one.along_mm + hypot(x - one.at[0], y - one.at[1]) for x, y in shapely.get_coordinates(part))
            if ends:
                found.append(Stretch(ends[0], min(ends[-1], two.along_mm)))
    return _joined(found)


def _ways(legs: Legs) -> list[BaseGeometry]:
    return [LineString([one.at, two.at]) if one.at != two.at else shapely.Point(one.at) for one, two in legs]


def within(legs: Legs, drawn: BaseGeometry, limit_mm: float) -> list[Stretch]:
    """The parts of the legs that lie no further than a limit from what is drawn, in the walk's order."""
    return touching(legs, shapely.buffer(drawn, limit_mm, quad_segs=_ROUND))


def part_of(walk: Walk, stretch: Stretch) -> BaseGeometry:
    """A part of a walk as a line, or as a point where it has no length."""
    inside = [step.at for step in walk.steps if stretch.start_mm < step.along_mm < stretch.end_mm]
    spots = [walk.at(stretch.start_mm), *inside, walk.at(stretch.end_mm)]
    return LineString(spots) if stretch.end_mm > stretch.start_mm else shapely.Point(spots[0])


def bends(piece: Sequence[Step]) -> list[Bend]:
    """The turns of a piece of a walk that are wider than `BEND_DEGREES`, in its order; a curve of many bends is one turn."""
    spots = [step for at, step in enumerate(piece) if at == 0 or step.along_mm > piece[at - 1].along_mm]
    kept = [spots[at] for at in kept_of([step.at for step in spots])]
    single = [Bend(two.along_mm, _bend(one.at, two.at, three.at)) for one, two, three in zip(kept, kept[1:], kept[2:], strict=False)]
    turns: list[list[Bend]] = []
    for bend in single:
        before = turns[-1][-1] if turns else None
        one_way = before is not None and before.degrees * bend.degrees > 0 and not (before.back or bend.back)
        if before is not None and one_way and bend.along_mm - before.along_mm < _ONE_TURN_MM:
            turns[-1].append(bend)
        else:
            turns.append([bend])
    together = [Bend((turn[0].along_mm + turn[-1].along_mm) / 2, sum(bend.degrees for bend in turn)) for turn in turns]
    return [turn for turn in together if abs(turn.degrees) > BEND_DEGREES]


def kept_of(spots: Sequence[PointMm]) -> list[int]:
    """The numbers of the spots that make the shape of a way, its ends among them.

    Douglas and Peucker 1973, within `STRAY_MM`; and since a way may go back over itself, which they do not look for, the two
    spots between which it goes back furthest are kept too, from `STEP_BACK_MM` on.
    """
    kept = {0, len(spots) - 1}
    open_parts = [(0, len(spots) - 1)]
    while open_parts:
        first, last = open_parts.pop()
        if last - first < 2:
            continue
        middle = _split(spots[first : last + 1])
        kept.update(first + at for at in middle)
        open_parts += pairwise([first, *(first + at for at in middle), last]) if middle else []
    return sorted(kept)


def _split(spots: Sequence[PointMm]) -> list[int]:
    """Where a way must be bent, as numbers of its spots between the first and the last; none where the straight way will do."""
    way = np.array(spots, dtype=np.float64)
    start, ahead = way[0], way[-1] - way[0]
    long = float(np.hypot(*ahead))
    along = (way - start) @ ahead / long if long else np.zeros(len(way))
    nearest = start + np.outer(np.clip(along, 0, long), ahead / long) if long else np.repeat(way[:1], len(way), axis=0)
    strays = np.hypot(*(way - nearest).T)
    farthest = int(np.argmax(strays))
    if strays[farthest] > STRAY_MM:
        return [farthest]
    back = np.maximum.accumulate(along) - along
    valley = int(np.argmax(back))
    if back[valley] <= STEP_BACK_MM:
        return []
    peak = int(np.argmax(along[: valley + 1]))
    return [at for at in (peak, valley) if 0 < at < len(spots) - 1]


def side(edge: tuple[Spot, Spot], spot: Spot) -> float:
    """How far a spot lies to the left of a directed edge, in millimetres; to the right negative."""
    (x, y), (to_x, to_y) = edge
    long = hypot(to_x - x, to_y - y) or 1.0
    return ((to_x - x) * (spot[1] - y) - (to_y - y) * (spot[0] - x)) / long


def _bend(one: PointMm, two: PointMm, three: PointMm) -> float:
    ahead, then = (two[0] - one[0], two[1] - one[1]), (three[0] - two[0], three[1] - two[1])
    cross, dot = ahead[0] * then[1] - ahead[1] * then[0], ahead[0] * then[0] + ahead[1] * then[1]
    return degrees(atan2(cross, dot))


def _joined(found: Iterable[Stretch]) -> list[Stretch]:
    joined: list[Stretch] = []
    for one in sorted(found, key=lambda stretch: (stretch.start_mm, stretch.end_mm)):
        if joined and one.start_mm <= joined[-1].end_mm + _SAME_MM:
            joined[-1] = Stretch(joined[-1].start_mm, max(joined[-1].end_mm, one.end_mm))
        else:
            joined.append(one)
    return joined
