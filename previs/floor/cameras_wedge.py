"""The wedge of floor that a camera's picture holds, seen from above, and what of it walls and columns of the real set hide.

Nobody knows how high a wall of a plan is: every wall and column counts as higher than every line of sight, a door as open.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, ceil, cos, hypot, pi, radians, sin

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from previs.document.floor import CameraPlace, Floor, LineKind, PlanLine, PointMm
from previs.document.remembering import remembered
from previs.floor.cameras_lens import degrees_wide
from previs.floor.routes import Spot
from previs.floor.routes_geometry import geometry_of

IN_A_DOOR_MM = 50
"""A wall that is drawn on through a door's opening is no wall there: within so much of the door's line."""
_TOUCHES_MM = 1.0
"""What is so near to a lens or to the spot that is looked at hides nothing: both may stand against a wall."""
_PIECES = 8
"""Straight pieces of the round far end of a shadow."""
_AT_FIRST, _GROWING = 100, 2
"""How many pieces throw their shadows together; measured as the fastest on 50,000 pieces. What is hidden by then throws none."""
_LEAST_AREA_MM2 = 100.0
"""What is left of a wedge between two shadows that meet is rounding, not light."""


@dataclass(frozen=True, slots=True)
class Wedge:
    """What a camera's picture holds on the plan, as polygons in millimetres.

    `whole` is all of it, from the lens as far as anything is drawn; `seen` what of it is not hidden, in pieces, biggest first.
    """

    whole: tuple[PointMm, ...]
    seen: tuple[tuple[PointMm, ...], ...]

    @property
    def hidden_share(self) -> float:
        """How much of the whole is hidden, 0 to 1."""
        seen = sum(float(Polygon(piece).area) for piece in self.seen)
        return max(0.0, 1 - seen / float(Polygon(self.whole).area))


@dataclass(frozen=True, slots=True)
class _Blocks:
    """What hides: straight pieces as (from x, from y, to x, to y), and of which line of the plan each is."""

    ends: NDArray[np.float64]
    lines: tuple[PlanLine, ...]
    tree: shapely.STRtree


def wedge(floor: Floor, camera: CameraPlace) -> Wedge:
    """The wedge of floor that a camera holds where it stands and points; pure, and the same for the same plan."""
    whole = whole_wedge(camera, _reach_mm(floor, camera))
    pieces = shapely.get_parts(_seen(floor, camera, whole))
    seen = [piece for piece in pieces if isinstance(piece, Polygon) and piece.area > _LEAST_AREA_MM2]
    return Wedge(_corners(whole), tuple(_corners(piece) for piece in sorted(seen, key=lambda piece: -piece.area)))


def whole_wedge(camera: CameraPlace, reach_mm: float) -> Polygon:
    """The field of view as a sector so far from the lens, its round side in pieces of a degree at most; nothing is hidden in it."""
    x, y = camera.at
    wide, axis = radians(degrees_wide(camera)), atan2(camera.aim[1] - y, camera.aim[0] - x)
    count = max(2, ceil(degrees_wide(camera)))
    turns = [axis + wide * (share / count - 0.5) for share in range(count + 1)]
    return Polygon([(x, y), *((x + reach_mm * cos(turn), y + reach_mm * sin(turn)) for turn in turns)])


def in_the_way(floor: Floor, camera: CameraPlace, spot: Spot) -> tuple[PlanLine, ...]:
    """The walls and columns that stand between a lens and a spot, the nearest to the lens first, each once.

    Where a way of sight goes through a door's opening there is no wall.
    """
    blocks, (x, y) = _blocks(floor), camera.at
    away = hypot(spot[0] - x, spot[1] - y)
    if away <= 2 * _TOUCHES_MM:
        return ()
    off = _TOUCHES_MM / away
    ends = [(x + share * (spot[0] - x), y + share * (spot[1] - y)) for share in (off, 1 - off)]
    sight = LineString(ends)
    found: dict[int, tuple[float, PlanLine]] = {}
    for at in blocks.tree.query(sight, predicate="intersects"):
        line, far = blocks.lines[at], float(shapely.distance(shapely.Point(x, y), shapely.intersection(sight, blocks.tree.geometries[at])))
        if id(line) not in found or far < found[id(line)][0]:
            found[id(line)] = (far, line)
    return tuple(line for _, line in sorted(found.values(), key=lambda one: one[0]))


@remembered(newest=2)
def _blocks(floor: Floor) -> _Blocks:
    """Every straight piece of walls and columns; of walls, what is left of them beside the doors."""
    drawn = [(line, edge) for line in floor.lines if line.kind in (LineKind.WALL, LineKind.COLUMN) for edge in line.edges]
    lines = [line for line, _ in drawn]
    edges = shapely.linestrings(np.array([edge for _, edge in drawn], dtype=np.float64).reshape(-1, 2, 2))
    doors = [geometry_of(line).buffer(IN_A_DOOR_MM, cap_style="flat") for line in floor.lines if line.kind is LineKind.DOOR]
    for edge, door in shapely.STRtree(doors).query(edges, predicate="intersects").T:
        if lines[edge].kind is LineKind.WALL:
            edges[edge] = shapely.difference(edges[edge], doors[door])
    parts, of = shapely.get_parts(edges, return_index=True)
    ends = [(*spots[0], *spots[-1]) for spots in map(shapely.get_coordinates, parts) if len(spots)]
    kept = np.array(ends, dtype=np.float64).reshape(-1, 4)
    there = [lines[number] for number, part in zip(of, parts, strict=True) if not part.is_empty]
    return _Blocks(kept, tuple(there), shapely.STRtree(shapely.linestrings(kept.reshape(-1, 2, 2))))


def _seen(floor: Floor, camera: CameraPlace, whole: Polygon) -> BaseGeometry:
    """The wedge less everything behind a wall or a column, the nearest first, so that what is hidden already costs nothing."""
    blocks = _blocks(floor)
    near = blocks.tree.query(whole, predicate="intersects")
    far = shapely.distance(shapely.Point(camera.at), blocks.tree.geometries[near])
    order = near[np.argsort(far, kind="stable")]
    reach = float(np.hypot(*(np.array(whole.exterior.coords[1]) - np.array(camera.at))))
    seen: BaseGeometry = whole
    many = _AT_FIRST
    while len(order):
        some, order = order[:many], order[many:]
        seen = shapely.difference(seen, shapely.union_all(_shadows(blocks.ends[some], camera.at, reach)))
        shapely.prepare(seen)
        order = order[shapely.intersects(seen, blocks.tree.geometries[order])]
        many *= _GROWING
    return seen


def _shadows(ends: NDArray[np.float64], lens: PointMm, reach: float) -> NDArray[np.object_]:
    """What lies behind each straight piece, seen from a lens, as far as the reach; one on which the lens stands throws no shadow."""
    one, two = ends[:, :2] - lens, ends[:, 2:] - lens
    turn = np.arctan2(one[:, 1], one[:, 0])
    wide = (np.arctan2(two[:, 1], two[:, 0]) - turn + pi) % (2 * pi) - pi
    off = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / np.maximum(np.hypot(*(two - one).T), 1e-9)
    kept = off > _TOUCHES_MM
    one, two, turn, wide = one[kept], two[kept], turn[kept], wide[kept]
    turns = turn[:, None] + wide[:, None] * np.linspace(0, 1, _PIECES + 1)[None, ::-1]
    # Half a turn in eight pieces: a chord comes within cos(pi / 16) of its ends, so that none of it is inside the reach.
    back = np.stack([np.cos(turns), np.sin(turns)], axis=2) * (reach / cos(pi / 16) + 1)
    rings = np.concatenate([one[:, None], two[:, None], back], axis=1) + np.array(lens)
    return np.asarray(shapely.make_valid(shapely.polygons(rings)), dtype=np.object_)


def _reach_mm(floor: Floor, camera: CameraPlace) -> float:
    """As far as the farthest thing of the plan, its places, its ways and what the camera points at; a metre at least."""
    spots = [point for line in floor.lines for point in line.points]
    spots += [place.at for place in floor.places] + [point.at for route in floor.routes for point in route.points] + [camera.aim]
    return max(1000.0, float(np.hypot(*(np.array(spots, dtype=np.float64) - camera.at).T).max()))


def _corners(polygon: Polygon) -> tuple[PointMm, ...]:
    return tuple((round(x), round(y)) for x, y in polygon.exterior.coords[:-1])
