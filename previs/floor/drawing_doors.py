"""Doors told by how they are drawn, a leaf and the arc of its swing, as openings from the hinge; it reads no drawing."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree
from shapely import STRtree
from shapely.geometry import LineString, Point

from previs.document.floor import LineKind
from previs.floor.drawing_curves import Spot
from previs.floor.drawing_pieces import Piece, Swing

_LEAF_MM = 80.0
"""A leaf is drawn as thick as it is: its corner may lie this far from the hinge."""
_NEARER_MM, _BESIDE_MM = 50.0, 300.0
"""Where no leaf tells, the latch is the end that lies beside a wall's end, and clearly nearer to one than the other. Ours, no source."""
_LEAST_SWING, _MOST_SWING = math.radians(20), math.radians(181)


@dataclass(frozen=True, slots=True)
class Door:
    """A door's opening in millimetres of the drawing, and to which side of hinge to latch its leaf swings, None when unknown."""

    hinge: Spot
    latch: Spot
    opens_left: bool | None
    name: str


@dataclass(slots=True)
class DoorsTold:
    """The doors by the number of the piece in whose place they stand, and the pieces that they are drawn with.

    `unsure` are the pieces of door layers that tell no door, each with the spot where to look.
    """

    doors: dict[int, list[Door]]
    used: set[int]
    unsure: dict[int, Spot]


def doors_told(pieces: Sequence[Piece]) -> DoorsTold:
    """The doors among pieces of every kind: by swing where an arc is drawn, in a block else by its longest straight line."""
    told = DoorsTold({}, set(), {})
    walls = _Walls(pieces)
    of_blocks: dict[int, list[int]] = defaultdict(list)
    loose: list[int] = []
    for number, piece in enumerate(pieces):
        if piece.kind is LineKind.DOOR:
            (of_blocks[piece.put] if piece.put else loose).append(number)
    for numbers in of_blocks.values():
        _of_block(pieces, numbers, walls, told)
    _loose(pieces, loose, walls, told)
    return told


def _of_block(pieces: Sequence[Piece], numbers: list[int], walls: _Walls, told: DoorsTold) -> None:
    """A block is one door, or two leaves; what else is drawn in it (frame, leaf's thickness) goes with it."""
    straights = [straight for number in numbers for straight in pieces[number].straights]
    found: list[Door] = []
    for number in numbers:
        for swing in pieces[number].swings:
            door = _swung(swing, straights, walls, pieces[number].name)
            if door is not None:
                found.append(door)
    swings = [swing for number in numbers for swing in pieces[number].swings]
    if not found and straights and not swings:
        hinge, latch = max(straights, key=lambda straight: math.dist(*straight))
        found.append(Door(hinge, latch, None, pieces[numbers[0]].name))
    if found:
        told.doors[numbers[0]] = found
        told.used.update(numbers)
    else:
        spot = swings[0][0] if swings else next((spot for number in numbers for spot in pieces[number].points), (0.0, 0.0))
        told.unsure.update(dict.fromkeys(numbers, spot))


def _loose(pieces: Sequence[Piece], numbers: list[int], walls: _Walls, told: DoorsTold) -> None:
    """Lines and arcs drawn one by one: an arc takes the leaf that begins at its hinge; lines without an arc stay as they are."""
    owners = [(straight, number) for number in numbers for straight in pieces[number].straights]
    near = STRtree([LineString(straight) for straight, _ in owners])
    for number in numbers:
        for swing in pieces[number].swings:
            about = [owners[found] for found in near.query(Point(swing[0]).buffer(_LEAF_MM))] if owners else []
            door = _swung(swing, [straight for straight, _ in about], walls, pieces[number].name)
            if door is None:
                told.unsure[number] = swing[0]
                continue
            told.doors.setdefault(number, []).append(door)
            told.used.add(number)
            # The leaf, and the opening where that is drawn as well.
            told.used.update(owner for straight, owner in about if len(pieces[owner].points) == 2 and _from_hinge(straight, swing))

    for number in numbers:
        # A panel or a handle drawn as an outline, without an arc.
        if number not in told.used and number not in told.unsure and len(pieces[number].points) != 2:
            _of_block(pieces, [number], walls, told)


def _from_hinge(straight: tuple[Spot, Spot], swing: Swing) -> bool:
    return any(_leads(straight, swing[0], end) for end in swing[1:])


def _swung(swing: Swing, straights: Sequence[tuple[Spot, Spot]], walls: _Walls, name: str) -> Door | None:
    """The door whose leaf swings so: one end of the arc is the leaf's, the other the latch. None when it cannot be told."""
    hinge, one, other = swing
    first, second = math.dist(hinge, one), math.dist(hinge, other)
    if min(first, second) < 1 or not _LEAST_SWING < _angle(swing) < _MOST_SWING:
        return None
    to_one, to_other = (any(_leads(straight, hinge, end) for straight in straights) for end in (one, other))
    if to_one == to_other:
        from_one, from_other = walls.far(one), walls.far(other)
        if min(from_one, from_other) > _BESIDE_MM or abs(from_one - from_other) < _NEARER_MM:
            return None
        to_one = from_one > from_other
    leaf, latch = (one, other) if to_one else (other, one)
    side = (latch[0] - hinge[0]) * (leaf[1] - hinge[1]) - (latch[1] - hinge[1]) * (leaf[0] - hinge[0])
    return Door(hinge, latch, side > 0, name)


def _angle(swing: Swing) -> float:
    """By how much the leaf turns, in radians, half a turn at most."""
    hinge, one, other = swing
    (ax, ay), (bx, by) = ((end[0] - hinge[0], end[1] - hinge[1]) for end in (one, other))
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def _leads(straight: tuple[Spot, Spot], hinge: Spot, end: Spot) -> bool:
    """Whether a straight line is a leaf from the hinge to this end of the arc, one way or the other."""
    return any(math.dist(a, hinge) <= _LEAF_MM and math.dist(b, end) <= _LEAF_MM for a, b in _both_ways(straight))


def _both_ways(straight: tuple[Spot, Spot]) -> Iterator[tuple[Spot, Spot]]:
    yield straight
    yield straight[1], straight[0]


class _Walls:
    """The corners and ends of the walls, to ask how far a spot is from the nearest."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self._pieces = pieces

    @cached_property
    def _tree(self) -> cKDTree:
        return cKDTree(np.array([spot for piece in self._pieces if piece.kind is LineKind.WALL for spot in piece.points]).reshape(-1, 2))

    def far(self, spot: Spot) -> float:
        """Millimetres to the nearest corner or end of a wall; infinite without walls."""
        return float(self._tree.query(spot)[0]) if self._tree.n else math.inf
