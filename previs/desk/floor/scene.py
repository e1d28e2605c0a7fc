"""What of a floor is drawn: its lines, the swing of its doors, its words, and the room around it as it is laid; no Qt, no colours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from math import atan2, cos, hypot, pi, sin

from previs.desk.words import tr
from previs.document.floor import Floor, Laid, LineKind, PlanLine, PointMm, Room
from previs.document.remembering import remembered
from previs.floor.placing import Spot, unplaced
from previs.floor.tape_out import NO_FALL

_ARC_PIECES = 12
_WORD_ORDER = (LineKind.DROP, LineKind.DOOR, LineKind.COLUMN, LineKind.STEP, LineKind.OTHER)
"""Drops come first, since their words must be read."""
_MOST_WORDS = 120
"""More names than this are no plan that anybody reads; the first ones are written."""


@dataclass(frozen=True, slots=True)
class Word:
    """Words beside a spot of the plan, one or more lines, of a kind of line, or of a named place where there is none."""

    at: Spot
    lines: tuple[str, ...]
    kind: LineKind | None


@dataclass(frozen=True, slots=True)
class Swing:
    """A door's open leaf, from the hinge, and the arc of its latch."""

    leaf: tuple[Spot, Spot]
    arc: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class RoomAround:
    """The room as spots of the plan: its corners, the line that nothing is laid beyond, its columns, and the points A and B."""

    corners: tuple[PointMm, ...]
    margin: tuple[PointMm, ...]
    columns: tuple[tuple[PointMm, ...], ...]
    a: PointMm
    b: PointMm


@remembered(newest=2)
def swings(floor: Floor) -> tuple[Swing, ...]:
    """The swing of every door that says to which side it opens."""
    return tuple(_swing(line, left=line.opens_left) for line in floor.lines if line.kind is LineKind.DOOR and line.opens_left is not None)


@remembered(newest=2)
def words(floor: Floor) -> tuple[Word, ...]:
    """What is written on the plan, what must be read first; places that a line's name says already are left out."""
    found = [word for kind in _WORD_ORDER for word in _words_of(floor, kind)]
    named = {line.name for line in floor.lines if line.name}
    found += [Word(place.at, (place.name,), None) for place in floor.places if place.name not in named]
    return tuple(found[:_MOST_WORDS])


def room_around(room: Room, laid: Laid) -> RoomAround:
    """The room as it lies around the plan."""

    def there(*spots: Spot) -> tuple[PointMm, ...]:
        return tuple(unplaced(spot, laid) for spot in spots)

    long, wide, free = room.length_mm, room.width_mm, room.margin_mm
    return RoomAround(
        corners=there((0, 0), (long, 0), (long, wide), (0, wide)),
        margin=there((free, free), (long - free, free), (long - free, wide - free), (free, wide - free)),
        columns=tuple(there(*column.points) for column in room.columns),
        a=there(room.datum_a)[0],
        b=there(room.datum_b)[0],
    )


def extent(floor: Floor) -> tuple[Spot, ...]:
    """The corners of a rectangle around the plan and its places; none without a plan."""
    points = [point for line in floor.lines for point in line.points] + [place.at for place in floor.places]
    if not points:
        return ()
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys))


def _swing(line: PlanLine, *, left: bool) -> Swing:
    (x, y), (to_x, to_y) = line.points[0], line.points[-1]
    wide, begins, turn = hypot(to_x - x, to_y - y), atan2(to_y - y, to_x - x), pi / 2 if left else -pi / 2
    angles = [begins + turn * piece / _ARC_PIECES for piece in range(_ARC_PIECES + 1)]
    arc = tuple((x + wide * cos(angle), y + wide * sin(angle)) for angle in angles)
    return Swing(((x, y), arc[-1]), arc)


def _words_of(floor: Floor, kind: LineKind) -> Iterator[Word]:
    mine = [line for line in floor.lines if line.kind is kind]
    for (name, height), group in groupby(mine, key=lambda line: (line.name, line.height_mm)):
        lines = list(group)
        said = _said(kind, name, height, len(lines))
        if said:
            middle = lines[len(lines) // 2]
            yield Word(_top(middle) if kind is LineKind.STEP else _middle(middle), said, kind)


def _said(kind: LineKind, name: str, height_mm: int | None, count: int) -> tuple[str, ...]:
    high = "" if height_mm is None else f"{height_mm / 1000:.2f} m"
    if kind is LineKind.DROP:
        on_set = tr("{name}: on the set {high} down", name=name or tr("drop"), high=high) if high else name
        return (NO_FALL, on_set) if on_set else (NO_FALL,)
    if kind is LineKind.STEP:
        steps = name or (tr("{count} steps", count=count) if count > 1 else tr("1 step"))
        return (tr("{steps}, each {high} on the set", steps=steps, high=high),) if high else (steps,)
    return (name,) if name else ()


def _middle(line: PlanLine) -> Spot:
    """The middle of a closed line's corners, else of a line's longest piece."""
    if line.closed:
        return sum(x for x, _ in line.points) / len(line.points), sum(y for _, y in line.points) / len(line.points)
    (x, y), (to_x, to_y) = max(line.edges, key=lambda edge: hypot(edge[1][0] - edge[0][0], edge[1][1] - edge[0][1]))
    return (x + to_x) / 2, (y + to_y) / 2


def _top(line: PlanLine) -> Spot:
    """The upper end: words in the middle of a stair would cover its steps."""
    x, y = max(line.points, key=lambda point: point[1])
    return float(x), float(y)
