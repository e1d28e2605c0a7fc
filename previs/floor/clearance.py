"""Where a way is narrower than a weapon's reach: pinch points at doors, columns and walls; figures of a drawing, no judgement.

A reach counts to all sides of the middle of the body, since the plan does not know how a weapon is held at a moment. Which reach: the
longest that is known of what the role attacks with in that phrase; where it attacks with nothing that has a reach, what it does so
with elsewhere in the fight, since it will still have it in hand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from previs.document.floor import Floor, LineKind, PlanLine
from previs.document.model import Move, Sequence
from previs.floor.clearance_width import Narrowing, edges_of, free_widths, narrowings
from previs.floor.cues import over_columns
from previs.floor.routes import Spot, Walk, nearest_place, walks
from previs.floor.routes_geometry import geometry_of, lines_near

EVERY_MM = 25
"""Ways are looked at every so many millimetres and at every spot that is drawn; at a door's post this misjudges by 0.2 mm."""
MOST_SPOTS = 20_000
"""A way of more than half a kilometre is looked at less often, so that no slip of the pen in a table takes an hour."""
_OFTEN_ENOUGH = 4
"""Walls that draw together are a metre long at least: every fourth spot finds them."""
_IN_A_DOOR_MM = 100
"""A wall's end so near to the end of a door's line is that door's jamb."""
_ONE_PINCH_MM = 500
"""Parts of ways that are pinched by walls and lie no further apart are one pinch."""

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pinch:
    """A place where something stands nearer to a way than a weapon reaches, with all ways that lead through it.

    `at` is the spot of the way with the least `clearance_mm`, of `role`, who there has a `weapon` of `reach_mm`. `moves` are, for each
    role, the moves that land in it or are walked to through it. `free_width_mm` is the least width of the passage there, None where
    a side of it is open.
    """

    what: str
    kind: LineKind
    at: Spot
    near: str
    role: str
    weapon: str
    reach_mm: int
    clearance_mm: float
    moves: Mapping[str, tuple[int, ...]]
    free_width_mm: float | None

    @property
    def missing_mm(self) -> float:
        """How much of the reach there is no room for."""
        return self.reach_mm - self.clearance_mm


@dataclass(frozen=True, slots=True)
class Width:
    """The narrowest free width that a role passes on its way in one phrase, and where; None where it is never bounded."""

    role: str
    phrase: int
    narrowest_mm: float | None
    at: Spot
    near: str


@dataclass(frozen=True, slots=True)
class Clearance:
    """What was found: pinches by place along the ways, the narrowest width of each route, passages that narrow, weapons without reach."""

    pinches: tuple[Pinch, ...]
    widths: tuple[Width, ...]
    narrowings: tuple[Narrowing, ...]
    without_reach: tuple[str, ...]
    unchecked: tuple[tuple[str, int], ...]
    """Roles and phrases whose weapons have no reach, so that no pinch was looked for."""
    guessed: bool
    """True where nobody drew one of the routes."""


@dataclass(frozen=True, slots=True)
class _Looked:
    """A walk looked at spot by spot; arrays are as long as there are spots, `reach` 0 where none is known."""

    walk: Walk
    along: Points
    spots: Points
    headings: Points
    phrase: NDArray[np.int64]
    reach: Points
    weapons: Mapping[int, str]
    widths: Points


def clearance(sequence: Sequence, roles: Collection[str] | None = None) -> Clearance:
    """The room along the ways of these roles, or of all; without a plan there is nothing in the way, and nothing found."""
    floor = sequence.floor or Floor()
    wanted = [walk for walk in walks(sequence) if roles is None or walk.role in roles]
    looked = [_measured(sequence, floor, _looked(sequence, floor, walk)) for walk in wanted]
    walls = edges_of(floor.lines, (LineKind.WALL,))
    narrow = [one for each in looked for one in narrowings(walls, each.spots[::_OFTEN_ENOUGH], each.headings[::_OFTEN_ENOUGH])]
    known = {reach.weapon for reach in floor.reaches}
    return Clearance(
        pinches=tuple(_pinches(sequence, floor, looked)),
        widths=tuple(width for each in looked for width in _widths(floor, each)),
        narrowings=tuple({(round(one.from_mm), one.wide_at, one.narrow_at): one for one in narrow}.values()),
        without_reach=tuple(dict.fromkeys(move.weapon for move in sequence.moves if move.weapon and move.weapon not in known)),
        unchecked=tuple(
            (each.walk.role, phrase.number)
            for each in looked
            for phrase in sequence.phrases
            if phrase.number in each.phrase and phrase.number not in each.weapons
        ),
        guessed=any(step.guessed for walk in wanted for step in walk.steps),
    )


def _looked(sequence: Sequence, floor: Floor, walk: Walk) -> _Looked:
    along, spots, headings, phrases = [], [], [], []
    every = max(EVERY_MM, walk.length_mm / MOST_SPOTS)
    for one, two in walk.legs:
        count = max(int((two.along_mm - one.along_mm) // every), 1)
        share = np.linspace(0, 1, count + 1)[:, None]
        along.append((one.along_mm + share * (two.along_mm - one.along_mm)).ravel())
        spots.append(np.array(one.at) + share * (np.array(two.at) - np.array(one.at)))
        headings.append(np.full(count + 1, atan2(two.at[1] - one.at[1], two.at[0] - one.at[0])))
        phrases.append(np.full(count + 1, two.phrase))
    weapons = _weapons(sequence, floor, walk.role)
    reaches = {reach.weapon: reach.reach_mm for reach in floor.reaches}
    where, heading, phrase = np.concatenate(spots), np.concatenate(headings), np.concatenate(phrases)
    return _Looked(
        walk=walk,
        along=np.concatenate(along),
        spots=where,
        headings=heading,
        phrase=phrase,
        reach=np.array([reaches.get(weapons.get(int(number), ""), 0) for number in phrase], dtype=np.float64),
        weapons=weapons,
        widths=np.full(len(where), np.inf),
    )


def _measured(sequence: Sequence, floor: Floor, looked: _Looked) -> _Looked:
    """The walk with its free widths; a column that it goes over is not beside it there."""
    widths = free_widths(edges_of(floor.lines, (LineKind.WALL, LineKind.COLUMN)), looked.spots, looked.headings)
    over = np.zeros(len(widths), dtype=np.bool_)
    for column in lines_near(floor, looked.walk, 0):
        if column.kind is LineKind.COLUMN:
            over |= _leapt(sequence, looked, column)
    if over.any():
        widths[over] = free_widths(edges_of(floor.lines, (LineKind.WALL,)), looked.spots[over], looked.headings[over])
    return replace(looked, widths=widths)


def _weapons(sequence: Sequence, floor: Floor, role: str) -> dict[int, str]:
    """For each phrase the weapon that counts for a role, see above; empty when nothing that it attacks with has a known reach."""
    reaches = {reach.weapon: reach.reach_mm for reach in floor.reaches}

    def longest(moves: Iterable[Move]) -> str | None:
        used = [move.weapon for move in moves if move.attacker == role and move.weapon in reaches]
        return max(used, key=lambda weapon: reaches[weapon], default=None)

    ever = longest(sequence.moves)
    return {} if ever is None else {phrase.number: longest(phrase.moves) or ever for phrase in sequence.phrases}


def _widths(floor: Floor, looked: _Looked) -> Iterable[Width]:
    for number in dict.fromkeys(looked.phrase.tolist()):
        here = np.flatnonzero(looked.phrase == number)
        width = float(looked.widths[here].min())
        # A door is as wide a hand before it: the middle of what is narrowest is its place.
        narrowest = here[looked.widths[here] <= width + 1]
        at = _spot(looked.spots[narrowest[len(narrowest) // 2]])
        yield Width(looked.walk.role, number, width if np.isfinite(width) else None, at, nearest_place(floor.places, at))


@dataclass(frozen=True, slots=True)
class _Pinched:
    """What of one walk is pinched by one thing: the numbers of its spots, and how far the thing is from each of all of them."""

    looked: _Looked
    spots: NDArray[np.int64]
    far: Points

    @property
    def worst(self) -> int:
        """The number of the spot where most of the reach is missing."""
        return int(self.spots[(self.looked.reach[self.spots] - self.far[self.spots]).argmax()])

    @property
    def missing(self) -> float:
        """How much is missing there."""
        return float(self.looked.reach[self.worst] - self.far[self.worst])


def _pinches(sequence: Sequence, floor: Floor, looked: list[_Looked]) -> list[Pinch]:
    """Every pinch, by how far along the first walk through it."""
    reach = max((float(each.reach.max(initial=0)) for each in looked), default=0.0)
    near = {id(line) for each in looked for line in lines_near(floor, each.walk, reach)} if reach else set()
    lines = [line for line in floor.lines if id(line) in near]
    doors, columns, walls = ([line for line in lines if line.kind is kind] for kind in (LineKind.DOOR, LineKind.COLUMN, LineKind.WALL))
    found: list[tuple[PlanLine | None, list[_Pinched]]] = []
    for door in doors:
        jambs = shapely.multipoints([door.points[0], door.points[-1]])
        found.append((door, [_pinched(each, jambs) for each in looked]))
    for column in columns:
        found.append((column, [_pinched(each, geometry_of(column), _leapt(sequence, each, column)) for each in looked]))
    found += [(None, group) for group in _by_walls(looked, walls, doors)]
    pinches = [
        _pinch(floor, line, [one for one in group if len(one.spots)]) for line, group in found if any(len(one.spots) for one in group)
    ]
    return sorted(pinches, key=lambda pinch: _first_along(looked, pinch))


def _first_along(looked: list[_Looked], pinch: Pinch) -> tuple[float, float]:
    """How far along the first walk the spot nearest to a pinch is."""
    far = np.hypot(*(looked[0].spots - np.array(pinch.at)).T)
    return float(looked[0].along[int(far.argmin())]), pinch.clearance_mm


def _pinched(looked: _Looked, thing: BaseGeometry, left_out: NDArray[np.bool_] | None = None) -> _Pinched:
    far = np.asarray(shapely.distance(shapely.points(looked.spots), thing), dtype=np.float64)
    near = far < looked.reach
    return _Pinched(looked, np.flatnonzero(near if left_out is None else near & ~left_out), far)


def _leapt(sequence: Sequence, looked: _Looked, column: PlanLine) -> NDArray[np.bool_]:
    """Which spots lie on a leg on which the role goes over the column because its move says so."""
    over = np.zeros(len(looked.along), dtype=np.bool_)
    for stretch in over_columns(sequence, looked.walk, column):
        for one, two in looked.walk.legs:
            if one.along_mm < stretch.end_mm and two.along_mm > stretch.start_mm:
                # Where it takes off and where it lands the column is beside it.
                over |= (looked.along > one.along_mm) & (looked.along < two.along_mm)
    return over


def _by_walls(looked: list[_Looked], walls: list[PlanLine], doors: list[PlanLine]) -> list[list[_Pinched]]:
    """What walls pinch where no door's jamb is what is nearest, parts that lie together as one."""
    if not walls:
        return []
    drawn = shapely.unary_union([geometry_of(wall) for wall in walls])
    jambs = shapely.multipoints([spot for door in doors for spot in (door.points[0], door.points[-1])]) if doors else None
    found: list[_Pinched] = []
    for each in looked:
        points = shapely.points(each.spots)
        nearest = shapely.get_point(shapely.shortest_line(points, drawn), 1)
        at_jamb = shapely.distance(nearest, jambs) < _IN_A_DOOR_MM if jambs is not None else np.zeros(len(points), dtype=np.bool_)
        found.append(_pinched(each, drawn, at_jamb))
    shapes = [
        shapely.buffer(shapely.multipoints(one.looked.spots[one.spots]), _ONE_PINCH_MM / 2, quad_segs=2) for one in found if len(one.spots)
    ]
    return [[_inside(one, area) for one in found] for area in shapely.get_parts(shapely.unary_union(shapes))]


def _inside(pinched: _Pinched, area: BaseGeometry) -> _Pinched:
    there = shapely.intersects(area, shapely.points(pinched.looked.spots[pinched.spots]))
    return _Pinched(pinched.looked, pinched.spots[there], pinched.far)


def _pinch(floor: Floor, line: PlanLine | None, group: list[_Pinched]) -> Pinch:
    """One thing with all that it pinches as one pinch, told where most is missing."""
    worst = max(group, key=lambda one: one.missing)
    looked, number = worst.looked, worst.worst
    phrase = int(looked.phrase[number])
    at = _spot(looked.spots[number])
    kind = line.kind if line else LineKind.WALL
    width = min(float(one.looked.widths[one.spots].min()) for one in group)
    return Pinch(
        what=(line.name or kind.value) if line else "walls",
        kind=kind,
        at=at,
        near=nearest_place(floor.places, at),
        role=looked.walk.role,
        weapon=looked.weapons[phrase],
        reach_mm=int(looked.reach[number]),
        clearance_mm=float(worst.far[number]),
        moves={one.looked.walk.role: _moves(one) for one in group},
        free_width_mm=width if np.isfinite(width) else None,
    )


def _moves(pinched: _Pinched) -> tuple[int, ...]:
    """The moves that land on a pinched spot or are walked to over one."""
    along = pinched.looked.along[pinched.spots]
    marks = [step for step in pinched.looked.walk.steps if step.move is not None]
    found = {step.move for step in marks if np.any(np.abs(along - step.along_mm) < 0.5)}
    for one, two in pairwise(marks):
        if np.any((along > one.along_mm + 0.5) & (along < two.along_mm)):
            found.add(two.move)
    if marks and np.any(along < marks[0].along_mm):
        found.add(marks[0].move)
    return tuple(sorted(move for move in found if move is not None))


def _spot(point: Points) -> Spot:
    return (float(point[0]), float(point[1]))
