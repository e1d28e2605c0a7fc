"""Rooms to fit plans in, and a slow independent search and check of how a plan lies: shapely's own turns over a grid."""

from __future__ import annotations

from itertools import product

import numpy as np
import shapely
from shapely import affinity

from previs.document.floor import Floor, Laid, LineKind, PlanLine, Room


def room(length: int, width: int, *columns: PlanLine, margin: int = 500) -> Room:
    return Room(length, width, (0, 0), (length, 0), columns, margin)


def post(x: int, y: int, half: int = 150) -> PlanLine:
    corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    return PlanLine(LineKind.COLUMN, corners, closed=True)


def walls(*points: tuple[int, int]) -> PlanLine:
    return PlanLine(LineKind.WALL, points)


def hull(lines: tuple[PlanLine, ...]) -> shapely.Geometry:
    return shapely.MultiPoint([point for line in lines for point in line.points]).convex_hull


def kept(outline: shapely.Geometry, laid: Laid, where: Room) -> float:
    """The distance from the whole outline, so laid, to walls and columns; less than nothing outside or in a column."""
    lying = affinity.rotate(outline, laid.turn_millidegrees / 1000, origin=(0, 0))
    return float(_kept(np.array([affinity.translate(lying, laid.shift_x_mm, laid.shift_y_mm)]), where)[0])


def _kept(lying: np.ndarray, where: Room) -> np.ndarray:
    left, low, right, high = shapely.bounds(lying).T
    free = np.minimum.reduce([left, low, where.length_mm - right, where.width_mm - high])
    for column in where.columns:
        stands = shapely.MultiPoint(column.points).convex_hull
        free = np.minimum(free, np.where(shapely.intersects(lying, stands), -1.0, shapely.distance(lying, stands)))
    return free


def best_by_grid(outline: shapely.Geometry, where: Room, turns: np.ndarray, steps: int) -> float:
    """The most that is kept at any of these turns, in degrees, and at shifts of a grid over all that walls allow."""
    best = -np.inf
    for turn in turns:
        lying = affinity.rotate(outline, turn, origin=(0, 0))
        left, low, right, high = lying.bounds
        if right - left > where.length_mm or high - low > where.width_mm:
            continue
        across = np.linspace(-left, where.length_mm - right, steps)
        up = np.linspace(-low, where.width_mm - high, steps)
        shifted = np.array([affinity.translate(lying, x, y) for x, y in product(across, up)])
        best = max(best, float(_kept(shifted, where).max()))
    return best


def verified(plan: Floor, laid: Laid) -> bool:
    """Whether all of the plan, so laid, keeps the margin."""
    assert plan.room is not None
    return not laid.part and kept(hull(plan.lines), laid, plan.room) >= plan.room.margin_mm - 1e-5
