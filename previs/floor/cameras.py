"""What each camera of the plan sees at each move: where both roles stand in its picture, how close, what is in the way, which side.

A camera stands and points as the plan says, without pans; how close somebody is framed takes the lens as turned to them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, groupby, pairwise
from math import atan2, degrees, hypot

from shapely.geometry import LineString

from previs.cut.placing import hits_seen, place
from previs.document.floor import CameraPlace, Floor, LineKind, PlanLine
from previs.document.model import Cut, Move, Sequence, Size
from previs.floor.cameras_lens import degrees_wide, held_statures, size_from
from previs.floor.cameras_line import Pair, apart_degrees, bearing, crosses, on_the_left, pair_of
from previs.floor.cameras_wedge import in_the_way
from previs.floor.routes import Spot, walks
from previs.floor.routes_timed import where


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a role stands when a move lands; `guessed` when nobody drew its way."""

    at: Spot
    guessed: bool


@dataclass(frozen=True, slots=True)
class Framed:
    """One role in one camera's picture at a move.

    `distance_mm` is over the floor from the lens, `off_axis_degrees` how far to the left of where the camera points, negative to the
    right; `in_frame` whether the picture's width holds it. `statures` is how many standing persons would fill the frame's height.
    `behind` are the walls and columns of the real set in between, the nearest to the lens first.
    """

    role: str
    stand: Stand
    distance_mm: float
    off_axis_degrees: float
    in_frame: bool
    statures: float
    size: Size
    behind: tuple[PlanLine, ...]


@dataclass(frozen=True, slots=True)
class Look:
    """One camera at one move: its bearing, who stands left (empty on the line), and both roles; `pair` says what 0 degrees is."""

    camera: CameraPlace
    move: int
    pair: Pair
    bearing: float | None
    left: str
    framed: tuple[Framed, ...]

    @property
    def sizes(self) -> tuple[Size, Size]:
        """The wider and the closer of the two roles' sizes."""
        found = sorted((one.size for one in self.framed), key=lambda size: size.closeness)
        return found[0], found[-1]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Two cameras on opposite sides of the line at these moves, with who is on the left of each."""

    cameras: tuple[str, str]
    left: tuple[str, str]
    moves: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One camera comes to the other side of the line between two of its moves, since the roles go round each other or it moves."""

    camera: str
    moves: tuple[int, int]
    left: tuple[str, str]


def cameras_of(sequence: Sequence) -> tuple[CameraPlace, ...]:
    """Every camera of the plan, in its order."""
    return sequence.floor.cameras if sequence.floor else ()


def moves_of(sequence: Sequence, camera: CameraPlace) -> tuple[Move, ...]:
    """The moves that a camera is there for: those of its phrases, or all when it names none."""
    return tuple(move for phrase in sequence.phrases if not camera.phrases or phrase.number in camera.phrases for move in phrase.moves)


def stands(sequence: Sequence, cut: Cut | None) -> dict[tuple[str, int], Stand]:
    """Where each role stands when each of its moves lands: its way's spot for that move; else by the times of the cut, if it has them."""
    found: dict[tuple[str, int], Stand] = {}
    for walk in walks(sequence):
        for step in walk.steps:
            if step.move is not None:
                found.setdefault((walk.role, step.move), Stand((float(step.at[0]), float(step.at[1])), step.guessed))
    if cut is not None:
        _add_timed(sequence, cut, found)
    return found


def _add_timed(sequence: Sequence, cut: Cut, found: dict[tuple[str, int], Stand]) -> None:
    for seen in hits_seen(sequence, place(sequence, cut)):
        for role in (seen.move.attacker, seen.move.defender):
            spot = None if (role, seen.move.number) in found else where(sequence, cut, role, seen.record_frame)
            if spot is not None:
                found[role, seen.move.number] = Stand(spot, guessed=True)


def looks(sequence: Sequence, cut: Cut | None) -> tuple[Look, ...]:
    """What every camera sees at every move of its phrases, camera by camera; a move where nobody's spot is known is left out."""
    floor, known = sequence.floor or Floor(), stands(sequence, cut)
    return tuple(
        look
        for camera in cameras_of(sequence)
        for move in moves_of(sequence, camera)
        if (look := _look(sequence, floor, camera, move, known)).framed
    )


def unplaced_moves(sequence: Sequence, cut: Cut | None) -> tuple[int, ...]:
    """The moves of which one role's spot, or both, is not known."""
    known = stands(sequence, cut)
    return tuple(move.number for move in sequence.moves if any((role, move.number) not in known for role in (move.attacker, move.defender)))


def _look(sequence: Sequence, floor: Floor, camera: CameraPlace, move: Move, known: dict[tuple[str, int], Stand]) -> Look:
    pair = pair_of(sequence, move)
    spots = [known.get((role, move.number)) for role in pair]
    turned = bearing(camera.at, spots[0].at, spots[1].at) if spots[0] and spots[1] else None
    raster = (sequence.settings.raster_width, sequence.settings.raster_height)
    framed = tuple(_framed(floor, camera, role, spot, raster) for role, spot in dict(zip(pair, spots, strict=True)).items() if spot)
    return Look(camera, move.number, pair, turned, on_the_left(pair, turned), framed)


def _framed(floor: Floor, camera: CameraPlace, role: str, stand: Stand, raster: tuple[int, int]) -> Framed:
    (x, y), (aim_x, aim_y) = camera.at, camera.aim
    to_x, to_y = stand.at[0] - x, stand.at[1] - y
    off = apart_degrees(degrees(atan2(to_y, to_x)), degrees(atan2(aim_y - y, aim_x - x)))
    away = hypot(to_x, to_y)
    return Framed(
        role=role,
        stand=stand,
        distance_mm=away,
        off_axis_degrees=off,
        in_frame=abs(off) <= degrees_wide(camera) / 2,
        statures=held_statures(camera, raster, away),
        size=size_from(camera, raster, away),
        behind=in_the_way(floor, camera, stand.at),
    )


def crossings(found: tuple[Look, ...]) -> tuple[Crossing, ...]:
    """Every two cameras that look from opposite sides of the line at one move; a cut between them there would cross it."""
    by_move: dict[int, dict[str, str]] = {}
    for look in found:
        by_move.setdefault(look.move, {}).setdefault(look.camera.name, look.left)
    groups: dict[tuple[tuple[str, str], tuple[str, str]], list[int]] = {}
    for move, sides in sorted(by_move.items()):
        for (one, left), (other, other_left) in combinations(sides.items(), 2):
            if crosses(left, other_left):
                groups.setdefault(((one, other), (left, other_left)), []).append(move)
    return tuple(Crossing(names, left, tuple(moves)) for (names, left), moves in groups.items())


def changes(found: tuple[Look, ...]) -> tuple[Change, ...]:
    """Where a camera, by its letter, comes to the other side of the line from one of its moves to the next."""
    told = []
    by_name = sorted((look for look in found if look.left), key=lambda look: (look.camera.name, look.move))
    for name, group in groupby(by_name, key=lambda look: look.camera.name):
        row = list(group)
        for one, two in pairwise(row):
            if set(one.pair) == set(two.pair) and crosses(one.left, two.left):
                told.append(Change(name, (one.move, two.move), (one.left, two.left)))
    return tuple(told)


def beyond_drops(floor: Floor, camera: CameraPlace) -> tuple[PlanLine, ...]:
    """The drops that lie between a camera and what it points at: it may not stand on the floor that its height is counted from."""
    sight = LineString([camera.at, camera.aim])
    return tuple(line for line in floor.lines if line.kind is LineKind.DROP and sight.intersects(LineString(line.points)))
