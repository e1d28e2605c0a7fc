"""Where a spot of the plan comes to lie in the room, and back; what of the plan is laid at all. How to lay it is decided elsewhere."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from math import cos, radians, sin

import msgspec
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, points, prepare
from shapely import distance as distances

from previs.document.floor import Floor, Laid, NamedPlace, PlanLine, PointMm

Spot = tuple[float, float]
"""x and y in millimetres, not rounded."""

_FULL_TURN = 360_000
_ON_EDGE_MM = 0.3


def turned(millidegrees: int) -> tuple[float, float]:
    """Cosine and sine of a turn; exact at every quarter of a turn."""
    quarter, rest = divmod(millidegrees % _FULL_TURN, _FULL_TURN // 4)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarter]
    angle = radians(millidegrees % _FULL_TURN / 1000)
    return cos(angle), sin(angle)


def spot_in_room(point: Spot, laid: Laid) -> Spot:
    """Where a spot of the plan lies in the room, in millimetres that are not rounded."""
    cosine, sine = turned(laid.turn_millidegrees)
    x, y = point
    return x * cosine - y * sine + laid.shift_x_mm, x * sine + y * cosine + laid.shift_y_mm


def placed(point: Spot, laid: Laid) -> PointMm:
    """Where a spot of the plan lies in the room, to the nearest whole millimetre; exact for quarters of a turn."""
    x, y = spot_in_room(point, laid)
    return round(x), round(y)


def unplaced(point: Spot, laid: Laid) -> PointMm:
    """Which spot of the plan lies at a spot of the room, to the nearest whole millimetre: `placed` backwards."""
    cosine, sine = turned(laid.turn_millidegrees)
    x, y = point[0] - laid.shift_x_mm, point[1] - laid.shift_y_mm
    return round(x * cosine + y * sine), round(y * cosine - x * sine)


def within_part(point: Spot, laid: Laid) -> bool:
    """Whether a spot of the plan is laid: it is inside `part`, or on its edge, or all of the plan is laid."""
    return not laid.part or bool(_off([point], Polygon(laid.part))[0] <= _ON_EDGE_MM)


def laid_places(floor: Floor, laid: Laid) -> tuple[NamedPlace, ...]:
    """The named places that are laid, in room coordinates."""
    return tuple(NamedPlace(place.name, placed(place.at, laid)) for place in floor.places if within_part(place.at, laid))


def laid_lines(floor: Floor, laid: Laid) -> tuple[PlanLine, ...]:
    """The plan's lines in room coordinates, in their order; of a line that leaves `part`, what is inside it, in pieces.

    A piece keeps kind, name, height and direction of its line. A piece of a door without its hinge no longer says how the leaf swings.
    """
    inside = _clipped(floor.lines, laid.part) if laid.part else ((line, line.points) for line in floor.lines)
    lines = (msgspec.structs.replace(line, points=tuple(placed(spot, laid) for spot in spots)) for line, spots in inside)
    return tuple(line for line in lines if len(set(line.points)) > 1)


def _clipped(lines: tuple[PlanLine, ...], part: tuple[PointMm, ...]) -> Iterator[tuple[PlanLine, Sequence[Spot]]]:
    """Each line with the spots of it that are laid, once for every piece that is left of it."""
    polygon = Polygon(part)
    prepare(polygon)
    for line in lines:
        pieces = _pieces(line, polygon)
        if len(pieces) == 1 and tuple(pieces[0]) == line.points + line.points[:1] * line.closed:
            yield line, line.points
            continue
        for piece in pieces:
            side = line.opens_left if piece[0] == line.points[0] else None
            yield msgspec.structs.replace(line, closed=False, opens_left=side), piece


def _pieces(line: PlanLine, polygon: Polygon) -> list[list[Spot]]:
    """What of a line lies inside, as chains of spots in the line's direction; round a closed line's start the chain goes on."""
    pieces: list[list[Spot]] = []
    for start, end in line.edges:
        for first, last in _kept(start, end, polygon):
            if pieces and pieces[-1][-1] == first:
                pieces[-1].append(last)
            else:
                pieces.append([first, last])
    if line.closed and len(pieces) > 1 and pieces[-1][-1] == pieces[0][0]:
        pieces[0] = [*pieces.pop(), *pieces[0][1:]]
    return pieces


def _kept(start: PointMm, end: PointMm, polygon: Polygon) -> Iterator[tuple[Spot, Spot]]:
    """The stretches of a straight piece that lie inside, one after the other."""
    cuts = [0.0, *_crossings(start, end, polygon), 1.0]
    spots = [_along(start, end, cut) for cut in cuts]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(spots)]
    inside = _off(middles, polygon) <= _ON_EDGE_MM
    first: Spot | None = None
    for number, kept in enumerate(inside):
        first = first or spots[number] if kept else None
        if first and (number + 1 == len(inside) or not inside[number + 1]):
            yield first, spots[number + 1]


def _crossings(start: PointMm, end: PointMm, polygon: Polygon) -> list[float]:
    """Where a straight piece meets the polygon's edges, as shares of the piece, in order."""
    (x, y), (run, rise) = start, (end[0] - start[0], end[1] - start[1])
    corners = list(polygon.exterior.coords)
    shares = set()
    for (ax, ay), (bx, by) in itertools.pairwise(corners):
        across, up = bx - ax, by - ay
        slant = run * up - rise * across
        if slant == 0:
            continue
        along = ((ax - x) * up - (ay - y) * across) / slant
        beside = ((ax - x) * rise - (ay - y) * run) / slant
        if 0 < along < 1 and 0 <= beside <= 1:
            shares.add(along)
    return sorted(shares)


def _along(start: PointMm, end: PointMm, share: float) -> Spot:
    if share in (0.0, 1.0):
        return end if share else start
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _off(spots: list[Spot], polygon: Polygon) -> NDArray[np.float64]:
    return np.asarray(distances(points(spots), polygon))
