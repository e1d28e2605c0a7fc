"""All points of a plan as laid in the room: numbered in the order of laying, each with the pair that it is measured from.

First come the points that are well measured from A and B, then those that need a point laid before, or a help cross, for one of
their tapes. Within each round little is walked.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import dist

from shapely import LineString, Point, Polygon, prepare
from shapely.ops import unary_union

from previs.document.floor import PlanLine, Room
from previs.faults import UseFault
from previs.floor.laying_lines import DOUBLE_MM
from previs.floor.laying_order import walk_order, walked_mm
from previs.floor.measuring import MOST_ERROR_MM, Fixed, Measured, Reaches, checked, measured
from previs.floor.placing import Spot

MOST_POINTS = 999
"""More points than this are no work for two people with tapes; a limit of ours."""
_MOST_CROSSES = 2
_CROSS_GRID = 7
_CROSS_WELL_MM = 20.0
_TOUCHING_MM = 1.0


@dataclass(frozen=True, slots=True)
class LaidPoint:
    """A point of the floor with its number, where it lies and how it is found.

    `label` is its number, `A` or `B` for a point that lies there anyway, or `H1` for a help cross. `how` is None at A and B.
    """

    label: str
    at: Spot
    how: Measured | None

    @property
    def error_mm(self) -> float:
        """How far off it may come by misread tapes."""
        return 0.0 if self.how is None else self.how.error_mm

    @property
    def doubtful(self) -> bool:
        """Whether no pair measures it well, or a column stands in the way of its tapes."""
        return self.how is not None and (self.how.error_mm > MOST_ERROR_MM or self.how.blocked)


@dataclass(frozen=True, slots=True)
class Laying:
    """The points in the order of laying, help crosses among them; `of` gives for each point asked for its index in `points`."""

    points: tuple[LaidPoint, ...]
    of: tuple[int, ...]
    walked_mm: float


def lay(spots: Sequence[Spot], room: Room) -> Laying:
    """Number the points and say how each is measured; raises `UseFault` for too many points, or when tapes never cross at one."""
    if len(spots) > MOST_POINTS:
        raise UseFault(
            f"The plan as laid has {len(spots)} points, more than the {MOST_POINTS} that a sheet holds; "
            "read a simpler plan with 'previs plan'."
        )
    reaches = straight_tapes(room.columns)
    fixed = [Fixed("A", _spot(room.datum_a)), Fixed("B", _spot(room.datum_b))]
    found = {index: one for index, spot in enumerate(spots) for one in fixed if dist(spot, one.at) < DOUBLE_MM}
    points: list[LaidPoint] = []
    index_of: dict[int, int] = {}
    rest = [index for index in range(len(spots)) if index not in found]
    crosses, at, walked = 0, fixed[0].at, 0.0
    while rest:
        tried = {index: measured(spots[index], fixed, reaches) for index in rest}
        now = [index for index in rest if _well(tried[index])]
        if not now and crosses < _MOST_CROSSES and (cross := _help_cross([spots[index] for index in rest], fixed, room, reaches)):
            crosses += 1
            points.append(LaidPoint(f"H{crosses}", cross[0], _with_check(cross[0], cross[1], fixed, reaches)))
            fixed.append(Fixed(f"H{crosses}", cross[0], cross[1].error_mm))
            walked, at = walked + dist(at, cross[0]), cross[0]
            continue
        now = now or rest
        order = walk_order(at, [spots[index] for index in now])
        walked += walked_mm(at, [spots[index] for index in now], order)
        for index in (now[one] for one in order):
            how = tried[index]
            if how is None:
                raise UseFault(_in_line(spots[index]))
            label = str(1 + len(points) - crosses)
            index_of[index] = len(points)
            points.append(LaidPoint(label, spots[index], _with_check(spots[index], how, fixed, reaches)))
            fixed.append(Fixed(label, spots[index], how.error_mm))
        at = points[-1].at
        rest = [index for index in rest if index not in index_of]
    for index, one in found.items():
        index_of[index] = len(points)
        points.append(LaidPoint(one.label, one.at, None))
    return Laying(tuple(points), tuple(index_of[index] for index in range(len(spots))), walked)


def straight_tapes(columns: Iterable[PlanLine]) -> Reaches:
    """Whether a tape between two spots passes the room's columns; one that only touches a column does."""
    shapes = [Polygon(one.points) if one.closed and len(one.points) > 2 else LineString(one.points) for one in columns]
    solid = unary_union([shape.buffer(0) if isinstance(shape, Polygon) else shape for shape in shapes])
    if solid.is_empty:
        return lambda _first, _second: True
    # Points are laid at columns too: a tape held to a corner of one is not stopped by it.
    core = solid.buffer(-_TOUCHING_MM) if solid.area else solid
    prepare(core)
    return lambda first, second: not core.intersects(LineString([first, second]))


def _help_cross(needed: Sequence[Spot], fixed: Sequence[Fixed], room: Room, reaches: Reaches) -> tuple[Spot, Measured] | None:
    """A spot in the room, well measured itself, from which most of the points that are left come out well; None when none helps."""
    best: tuple[int, float, Spot, Measured] | None = None
    for spot in _crossing_spots(room):
        how = measured(spot, fixed, reaches)
        if how is None or how.blocked or how.error_mm > _CROSS_WELL_MM:
            continue
        with_it = [*fixed, Fixed("H", spot, how.error_mm)]
        tried = [measured(point, with_it, reaches) for point in needed]
        well, worst = sum(map(_well, tried)), max((one.error_mm for one in tried if one is not None and _well(one)), default=0.0)
        if well and (best is None or (-well, worst) < (-best[0], best[1])):
            best = (well, worst, spot, how)
    return None if best is None else (best[2], best[3])


def _crossing_spots(room: Room) -> Iterable[Spot]:
    """Round spots on a grid over the room that stand free of its columns."""
    columns = [Polygon(one.points) if one.closed and len(one.points) > 2 else LineString(one.points) for one in room.columns]
    for row in range(1, _CROSS_GRID):
        for column in range(1, _CROSS_GRID):
            spot = (round(room.length_mm * column / _CROSS_GRID, -2), round(room.width_mm * row / _CROSS_GRID, -2))
            if all(one.distance(Point(spot)) > room.margin_mm for one in columns):
                yield float(spot[0]), float(spot[1])


def _with_check(spot: Spot, how: Measured, fixed: Sequence[Fixed], reaches: Reaches) -> Measured:
    check = checked(spot, how, fixed, reaches)
    return how if check is None else replace(how, third=check[0], third_mm=check[1])


def _well(how: Measured | None) -> bool:
    return how is not None and how.error_mm <= MOST_ERROR_MM and not how.blocked


def _spot(point: tuple[int, int]) -> Spot:
    return float(point[0]), float(point[1])


def _in_line(spot: Spot) -> str:
    return (
        f"The point at {spot[0] / 1000:.3f}, {spot[1] / 1000:.3f} m of the room lies in line with everything it could be measured from; "
        "give the room other points A and B with 'previs room'."
    )
