"""Ends of lines that nearly meet a corner, an end or a line, moved onto it; it knows nothing else of cleaning."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from msgspec.structs import replace
from scipy.spatial import cKDTree

from previs.document.floor import PlanLine, PointMm
from previs.floor.cleaning_findings import Finding, Odd
from previs.floor.cleaning_shapes import line_shapes, spot_shapes

_MOST_ROUNDS = 3
"""Snapping moves lines that others were snapped to; after a few rounds nothing moves any more, or only by less than a tape's width."""


def snapped(lines: Sequence[PlanLine], within_mm: int) -> tuple[tuple[PlanLine, ...], list[Finding]]:
    """The lines with their open ends moved by at most `within_mm`: onto corners and ends, else onto lines; earlier lines stay.

    No line becomes a point by it, and none of its inner corners moves. A line of three points or more whose two ends meet
    is closed.
    """
    if within_mm <= 0:
        return tuple(lines), []
    points = [list(line.points) for line in lines]
    ends = [(number, at) for number, line in enumerate(lines) if not line.closed for at in (0, -1)]
    before = {end: points[end[0]][end[1]] for end in ends}
    for _ in range(_MOST_ROUNDS):
        moved = _to_corners(points, lines, ends, before, within_mm)
        if not _to_lines(points, lines, ends, before, within_mm) + moved:
            break
    findings = [
        Finding(Odd.SNAPPED, points[number][at], math.ceil(math.dist(before[number, at], points[number][at])), lines[number].name)
        for number, at in ends
        if before[number, at] != points[number][at]
    ]
    return tuple(_line(line, own) for line, own in zip(lines, points, strict=True)), findings


_End = tuple[int, int]
"""A line's number, and 0 for its beginning or -1 for its end."""


def _to_corners(
    points: list[list[PointMm]], lines: Sequence[PlanLine], ends: list[_End], before: dict[_End, PointMm], within_mm: int
) -> int:
    """Move ends onto the nearest corner or earlier end; how many moved."""
    corners = [(number, at % len(own)) for number, own in enumerate(points) for at in range(len(own))]
    tree = cKDTree(np.array([points[number][at] for number, at in corners], dtype=float))
    places = np.array([points[number][at] for number, at in ends], dtype=float)
    near = tree.query_ball_point(places, within_mm) if ends else []
    moved = 0
    for (number, at), found in zip(ends, near, strict=True):
        here, index = points[number][at], at % len(points[number])
        best: tuple[float, int] | None = None
        for candidate in found:
            other, other_at = corners[candidate]
            inner = lines[other].closed or 0 < other_at < len(points[other]) - 1
            # Of two loose ends the later one goes to the earlier.
            if other == number and (inner or other_at >= index or len(points[number]) < 4):
                continue
            if other != number and not inner and (other, other_at) > (number, index):
                continue
            there = points[other][other_at]
            far = math.dist(here, there)
            if math.dist(before[number, at], there) <= within_mm and (best is None or (far, candidate) < best):
                best = far, candidate
        if best is not None:
            other, other_at = corners[best[1]]
            moved += _move(points[number], at, points[other][other_at], other == number)
    return moved


def _to_lines(points: list[list[PointMm]], lines: Sequence[PlanLine], ends: list[_End], before: dict[_End, PointMm], within_mm: int) -> int:
    """Move ends that meet no corner onto the nearest other line; how many moved."""
    owners: dict[PointMm, set[int]] = {}
    for number, own in enumerate(points):
        for point in own:
            owners.setdefault(point, set()).add(number)
    free = [end for end in ends if len(owners[points[end[0]][end[1]]]) == 1]
    if not free:
        return 0
    shapes = line_shapes([(own, line.closed) for own, line in zip(points, lines, strict=True)])
    spots = spot_shapes(points[number][at] for number, at in free)
    which, found = shapely.STRtree(shapes).query(spots, predicate="dwithin", distance=within_mm)
    others = found != np.array([number for number, _ in free])[which]
    which, found = which[others], found[others]
    far = shapely.distance(spots[which], shapes[found])
    # A foot in whole millimetres lies up to 0.71 mm beside its line: what is that near is there.
    order = np.lexsort((found, far, which))
    first = order[np.unique(which[order], return_index=True)[1]]
    first = first[far[first] > math.sqrt(0.5)]
    feet = shapely.line_interpolate_point(shapes[found[first]], shapely.line_locate_point(shapes[found[first]], spots[which[first]]))
    moved = 0
    for index, x, y in zip(which[first].tolist(), shapely.get_x(feet).tolist(), shapely.get_y(feet).tolist(), strict=True):
        number, at = free[index]
        there = round(x), round(y)
        if math.dist(before[number, at], there) <= within_mm:
            moved += _move(points[number], at, there, False)
    return moved


def _move(own: list[PointMm], at: int, there: PointMm, closing: bool) -> bool:
    """Move one end, unless it is there or the line would lose its last length by it."""
    neighbour = own[1 if at == 0 else -2]
    opposite = own[-1 if at == 0 else 0]
    if own[at] == there or there == neighbour or (there == opposite and not closing and len(own) < 4):
        return False
    own[at] = there
    return True


def _line(line: PlanLine, points: list[PointMm]) -> PlanLine:
    if tuple(points) == line.points:
        return line
    if not line.closed and len(points) > 3 and points[0] == points[-1]:
        return replace(line, points=tuple(points[:-1]), closed=True)
    return replace(line, points=tuple(points))
