"""What has to fit, and where: the plan's outline drawn tight, and the room's floor with its columns; as corners in millimetres.

The outline is the convex hull of all lines. Walls need no more than that. For columns it is our choice, and the careful one: no
column stands inside the outline or nearer to it than the margin, so that all floor between the lines stays free for people.
A column in the bay of a set that turns a corner is thereby refused too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from previs.document.floor import PlanLine, PointMm, Room
from previs.floor.placing import turned

_MANY = 60
_STANDS_OUT_MM = 0.25

Corners: TypeAlias = NDArray[np.float64]
"""Spots in millimetres, one row each; of an outline they run counter-clockwise."""


@dataclass(frozen=True, slots=True)
class Space:
    """A room to fit something in; every column is a convex outline."""

    length_mm: int
    width_mm: int
    margin_mm: int
    columns: tuple[Corners, ...] = ()


def space_of(room: Room) -> Space:
    """The room with each of its columns drawn tight around its line."""
    return Space(room.length_mm, room.width_mm, room.margin_mm, tuple(hull_of(column.points) for column in room.columns))


def outline_of(lines: Iterable[PlanLine]) -> Corners:
    """The plan drawn tight around all of its lines; two corners when all lie on one line, none when there are no lines."""
    return hull_of([point for line in lines for point in line.points])


def hull_of(spots: Iterable[PointMm] | Corners) -> Corners:
    """The convex hull of spots."""
    given = np.array(list(spots), dtype=np.float64).reshape(-1, 2)
    if not len(given):
        return given
    hull = shapely.convex_hull(shapely.multipoints(given))
    corners = shapely.get_coordinates(shapely.normalize(hull))
    if hull.geom_type != "Polygon":
        return np.asarray(corners)
    return np.asarray(shapely.get_coordinates(orient(hull))[:-1])


def fewer_corners(corners: Corners) -> Corners:
    """An outline of many corners, as an arc's, without those that stand out by a quarter of a millimetre or less."""
    if len(corners) <= _MANY:
        return corners
    return np.asarray(shapely.get_coordinates(shapely.simplify(shapely.polygons(corners), _STANDS_OUT_MM))[:-1])


def turned_corners(corners: Corners, turn: int) -> Corners:
    """Corners turned about the origin by millidegrees, counter-clockwise."""
    cosine, sine = turned(turn)
    return np.asarray(corners @ np.array([[cosine, sine], [-sine, cosine]]))


def box_of(corners: Corners) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y."""
    (left, low), (right, high) = corners.min(axis=0), corners.max(axis=0)
    return float(left), float(low), float(right), float(high)
