"""For one turn of an outline: how far it can be kept from walls and columns, and by which shift in whole millimetres.

A shift is forbidden by a column when the outline would touch it: these shifts are the column plus the outline turned about its
origin (a Minkowski sum of two convex shapes, itself convex). The distance of a shift to that shape is exactly the distance of
outline and column. What is kept free all round is then the greatest distance at which any shift is left, found by halving.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from previs.document.floor import PointMm
from previs.floor.fitting_shape import Corners, Space, box_of, turned_corners

# An arc in 32 chords a quarter lies within a third of a millimetre of a circle of a metre.
_CHORDS = 32
_HAIR_MM = 1e-6
_ENDS = np.array([-1, 0, 1, 2])


@dataclass(frozen=True, slots=True)
class Shifts:
    """All shifts of an outline that has its turn: the box that walls leave, and what columns take away from it."""

    box: tuple[float, float, float, float]
    forbidden: tuple[shapely.Geometry, ...]

    @property
    def slack_mm(self) -> float:
        """What walls alone leave all round."""
        left, low, right, high = self.box
        return min(right - left, high - low) / 2

    def left_at(self, distance_mm: float) -> shapely.Geometry:
        """The shifts that keep this distance, or more; with a distance less than nothing, that go no deeper than that."""
        left, low, right, high = self.box
        left, low, right, high = left + distance_mm, low + distance_mm, right - distance_mm, high - distance_mm
        if right < left or high < low:
            return shapely.Point()
        kept = shapely.envelope(shapely.multipoints([(left, low), (right, high)]))
        if not self.forbidden:
            return kept
        return shapely.difference(kept, shapely.union_all(shapely.buffer(self.forbidden, distance_mm, quad_segs=_CHORDS)))

    def clearances_mm(self, shifts: NDArray[np.int64]) -> NDArray[np.float64]:
        """Per shift the distance to the nearest wall or column, exactly; less than nothing is how deep it goes in."""
        left, low, right, high = self.box
        x, y = shifts[:, 0], shifts[:, 1]
        least = np.minimum.reduce([x - left, right - x, y - low, high - y])
        for shape in self.forbidden:
            spots = shapely.points(shifts)
            inside = shapely.intersects(spots, shape) * shapely.distance(spots, shapely.boundary(shape))
            least = np.minimum(least, shapely.distance(spots, shape) - inside)
        return np.asarray(least)


def shifts_of(outline: Corners, space: Space, turn: int) -> Shifts:
    """The shifts of an outline in a room, turned by millidegrees."""
    corners = turned_corners(outline, turn)
    left, low, right, high = box_of(corners)
    sums = ((column[:, None, :] - corners[None, :, :]).reshape(-1, 2) for column in space.columns)
    forbidden = tuple(shapely.convex_hull(shapely.multipoints(spots)) for spots in sums)
    return Shifts((-left, -low, space.length_mm - right, space.width_mm - high), forbidden)


def kept_mm(shifts: Shifts, least: float, most: float, within_mm: float) -> tuple[float, float]:
    """The greatest distance that can be kept all round, between two numbers that are `within_mm` apart.

    `least` and `most` bracket it; when even `least` cannot be kept, both numbers are `least`.
    """
    most = min(most, shifts.slack_mm)
    if most <= least or shifts.left_at(least).is_empty:
        return least, least
    if not shifts.forbidden:
        return most, most
    while most - least > within_mm:
        middle = (least + most) / 2
        if shifts.left_at(middle).is_empty:
            most = middle
        else:
            least = middle
    return least, most


def best_shift(shifts: Shifts, kept: float, exact: Shifts) -> tuple[PointMm, float]:
    """The shift in whole millimetres that keeps most free all round, and what it keeps, measured on the exact shifts.

    `shifts` may be those of an outline with fewer corners, and `kept` is what `kept_mm` found for them.

    Where many shifts keep as much, to the millimetre, the one nearest to the middle of the room is taken, then the one with the
    least x, then the least y.
    """
    left, low, right, high = shifts.box
    middle = shapely.Point((left + right) / 2, (low + high) / 2)
    near = [middle]
    for below in (1.5, 0.75, 0.05):
        region = shifts.left_at(kept - below)
        if not region.is_empty:
            near += [shapely.shortest_line(region, middle).interpolate(0), shapely.point_on_surface(region)]
    spots = np.unique(np.concatenate([_around(point) for point in near]), axis=0)
    clear = exact.clearances_mm(spots)
    off = np.hypot(spots[:, 0] - middle.x, spots[:, 1] - middle.y)
    first = np.lexsort((spots[:, 1], spots[:, 0], np.round(off, 3), -np.floor(clear + _HAIR_MM)))[0]
    return (int(spots[first, 0]), int(spots[first, 1])), float(clear[first])


def _around(point: shapely.Point) -> NDArray[np.int64]:
    across, up = np.meshgrid(np.floor(point.x) + _ENDS, np.floor(point.y) + _ENDS)
    return np.column_stack([across.ravel(), up.ravel()]).astype(np.int64)
