"""What each role passes on its walk and after which move: doors, turns, steps, drops; and where a route goes through a wall."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

import shapely
from shapely.geometry.base import BaseGeometry

from previs.document.floor import Floor, LineKind, PlanLine
from previs.document.model import Cut, Sequence
from previs.floor.routes import Spot, Step, Walk, nearest_place
from previs.floor.routes_geometry import Stretch, bends, geometry_of, lines_near, part_of, side, touching, within
from previs.floor.routes_timed import TimedWalk, timed_walks

NEAR_MM = 1000
"""Steps and drops are told from so far away on; a limit of ours."""
_ASIDE_MM = 1.0
"""How far before and after a door's line it is looked which side of it a walk is on."""
_IN_A_DOOR_MM = 50
"""A wall that is drawn on through a door's opening is no wall there: within so much of the door's line."""


class CueKind(StrEnum):
    """What a cue tells of; walls and columns in the way are faults of the route."""

    DOOR = "door"
    TURN = "turn"
    STEPS = "steps"
    DROP = "drop"
    OVER = "over"
    WALL = "wall in the way"
    COLUMN = "column in the way"


@dataclass(frozen=True, slots=True)
class Cue:
    """One thing that a role meets on its walk.

    `after` is the last move before it at which the role's spot is drawn, None before the first; `phrase` is that one's, and `count`
    how many moves of that phrase have landed by then; `on` is True when it is met on the very spot of that move. `before` is the
    next such move.

    `record_frame` and `seconds_after`, counted from the hit of `after`, follow from the cut at an even pace, None where nothing
    times it. `degrees` is how far a turn goes, to the left positive. `to_left` says for a door whether it is passed to the left
    side of its line. `nearest_mm` is how near steps or a drop come; `lines` and `crossed` how many steps there are, and are gone over.
    """

    role: str
    phrase: int
    kind: CueKind
    name: str
    along_mm: float
    at: Spot
    near: str
    after: int | None
    before: int | None
    count: int
    on: bool
    record_frame: float | None
    seconds_after: float | None
    guessed: bool = False
    degrees: float = 0.0
    to_left: bool | None = None
    opens_left: bool | None = None
    nearest_mm: float = 0.0
    height_mm: int | None = None
    lines: int = 0
    crossed: int = 0

    @property
    def faulty(self) -> bool:
        """True for what stands in the way, so that the route cannot be as it is drawn."""
        return self.kind in (CueKind.WALL, CueKind.COLUMN)


def cues(sequence: Sequence, cut: Cut | None) -> tuple[Cue, ...]:
    """Every cue of every role, by role and along its walk; without a cut they have no times."""
    floor = sequence.floor or Floor()
    return tuple(
        _placed(sequence, floor, timed, found)
        for timed in timed_walks(sequence, cut)
        for found in sorted(_found(sequence, floor, timed.walk), key=lambda one: one.along_mm)
    )


@dataclass(frozen=True, slots=True)
class _Met:
    """What is met where on a walk, before its moves and times are known."""

    along_mm: float
    kind: CueKind
    name: str = ""
    degrees: float = 0.0
    to_left: bool | None = None
    opens_left: bool | None = None
    nearest_mm: float = 0.0
    height_mm: int | None = None
    lines: int = 0
    crossed: int = 0


def _found(sequence: Sequence, floor: Floor, walk: Walk) -> Iterator[_Met]:
    lines = lines_near(floor, walk, NEAR_MM)
    doors = [line for line in lines if line.kind is LineKind.DOOR]
    for piece in walk.pieces:
        for bend in bends(piece):
            yield _Met(bend.along_mm, CueKind.TURN, degrees=bend.degrees)
        for door in doors:
            yield from _passes(walk, piece, door)
    yield from _steps(walk, [line for line in lines if line.kind is LineKind.STEP])
    for line in lines:
        if line.kind is LineKind.DROP:
            yield from _drops(walk, line)
        elif line.kind is LineKind.COLUMN:
            yield from _columns(sequence, walk, line)
        elif line.kind is LineKind.WALL:
            yield from _walls(walk, line, doors)


def _passes(walk: Walk, piece: tuple[Step, ...], door: PlanLine) -> Iterator[_Met]:
    """Where a piece of a walk goes from one side of a door's line to the other; standing in it and turning back is no passing."""
    start, end = piece[0].along_mm, piece[-1].along_mm
    legs = [leg for leg in walk.legs if leg[0].along_mm >= start and leg[1].along_mm <= end]
    line = (_spot(door.points[0]), _spot(door.points[-1]))
    for met in touching(legs, geometry_of(door)):
        if met.start_mm - _ASIDE_MM < start or met.end_mm + _ASIDE_MM > end:
            continue
        came, goes = (side(line, walk.at(along)) for along in (met.start_mm - _ASIDE_MM, met.end_mm + _ASIDE_MM))
        if came * goes < 0:
            yield _Met(met.end_mm, CueKind.DOOR, door.name, to_left=goes > 0, opens_left=door.opens_left)


def _steps(walk: Walk, lines: list[PlanLine]) -> Iterator[_Met]:
    """Each flight of steps that is come near to, once as long as the role stays near it."""
    drawn = [geometry_of(line) for line in lines]
    for stretch, nearest in _near(walk, shapely.unary_union(drawn)):
        way = part_of(walk, stretch)
        near = [at for at, one in enumerate(drawn) if shapely.distance(way, one) <= NEAR_MM]
        crossed = sum(bool(shapely.intersects(way, drawn[at])) for at in near)
        name = next((lines[at].name for at in near if lines[at].name), "")
        yield _Met(stretch.start_mm, CueKind.STEPS, name, nearest_mm=nearest, lines=len(near), crossed=crossed)


def _drops(walk: Walk, line: PlanLine) -> Iterator[_Met]:
    for stretch, nearest in _near(walk, geometry_of(line)):
        yield _Met(stretch.start_mm, CueKind.DROP, line.name, nearest_mm=nearest, height_mm=line.height_mm)


def _near(walk: Walk, drawn: BaseGeometry) -> Iterator[tuple[Stretch, float]]:
    for stretch in within(walk.legs, drawn, NEAR_MM):
        yield stretch, float(shapely.distance(part_of(walk, stretch), drawn))


def _columns(sequence: Sequence, walk: Walk, line: PlanLine) -> Iterator[_Met]:
    for stretch in touching(walk.legs, geometry_of(line)):
        kind = CueKind.OVER if _meant(sequence, walk, stretch, line.name) else CueKind.COLUMN
        yield _Met(stretch.start_mm, kind, line.name)


def _meant(sequence: Sequence, walk: Walk, stretch: Stretch, name: str) -> bool:
    """True when a move that lands there, or the one after, names the column in its label or as what it uses."""
    landing = {step.move for step in walk.steps if stretch.start_mm <= step.along_mm <= stretch.end_mm}
    after = walk.marked(stretch.end_mm)[1]
    numbers = landing | ({after.move} if after else set())
    return bool(name) and any(
        name.casefold() in move.label.casefold() or name.casefold() == move.weapon.casefold()
        for move in sequence.moves
        if move.number in numbers
    )


def over_columns(sequence: Sequence, walk: Walk, line: PlanLine) -> list[Stretch]:
    """Where a walk goes over a column because its moves say so; elsewhere it goes through it, which is a fault of the route."""
    return [one for one in touching(walk.legs, geometry_of(line)) if _meant(sequence, walk, one, line.name)]


def _walls(walk: Walk, wall: PlanLine, doors: Iterable[PlanLine]) -> Iterator[_Met]:
    openings = shapely.unary_union([geometry_of(door) for door in doors])
    for stretch in touching(walk.legs, geometry_of(wall)):
        middle = shapely.Point(walk.at((stretch.start_mm + stretch.end_mm) / 2))
        if openings.is_empty or shapely.distance(middle, openings) > _IN_A_DOOR_MM:
            yield _Met(stretch.start_mm, CueKind.WALL, wall.name)


def _placed(sequence: Sequence, floor: Floor, timed: TimedWalk, met: _Met) -> Cue:
    """What is met, with its place, its moves and its time."""
    walk = timed.walk
    before, after = walk.marked(met.along_mm)
    frame = timed.frame_at(met.along_mm)
    hit = next((mark.frame for mark in timed.marks if before is not None and mark.step is before), None)
    on = before is not None and abs(before.along_mm - met.along_mm) <= 1
    at = walk.at(met.along_mm)
    return Cue(
        role=walk.role,
        phrase=before.phrase if before else walk.steps[0].phrase,
        kind=met.kind,
        name=met.name,
        along_mm=met.along_mm,
        at=at,
        near=nearest_place(floor.places, at),
        after=before.move if before else None,
        before=after.move if after else None,
        count=_count(sequence, before.move) if before else 0,
        on=on,
        record_frame=frame,
        seconds_after=None if frame is None or hit is None else (frame - hit) / float(sequence.timebase.rate.fps),
        guessed=any(step.guessed for step in (before, after) if step is not None),
        degrees=met.degrees,
        to_left=met.to_left,
        opens_left=met.opens_left,
        nearest_mm=met.nearest_mm,
        height_mm=met.height_mm,
        lines=met.lines,
        crossed=met.crossed,
    )


def _count(sequence: Sequence, move: int | None) -> int:
    """Which move of its phrase a move is, the first being 1."""
    return next(
        (at for phrase in sequence.phrases for at, one in enumerate(phrase.moves, start=1) if one.number == move),
        0,
    )


def _spot(point: tuple[int, int]) -> Spot:
    return (float(point[0]), float(point[1]))
