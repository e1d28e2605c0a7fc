"""The points of the laid lines with doubles merged, which of them are joined by tape, and what each of them is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from math import dist

from previs.document.floor import LineKind, PlanLine, PointMm
from previs.floor.placing import Spot

DOUBLE_MM = 5.0
"""Points nearer than this are one: no tape is read more finely; a limit of ours."""
_MOST_WORDS = 3


@dataclass(frozen=True, slots=True)
class Joined:
    """One line of tape: the indices of its points in order, the first once more at the end when it is closed.

    `name` is never empty: the plan's own, or the kind with a number.
    """

    kind: LineKind
    name: str
    points: tuple[int, ...]
    height_mm: int | None = None
    opens_left: bool | None = None

    @property
    def edges(self) -> tuple[tuple[int, int], ...]:
        """Its straight pieces."""
        return tuple(zip(self.points, self.points[1:], strict=False))


@dataclass(frozen=True, slots=True)
class Outline:
    """The points to lay, in room millimetres, what each of them is in a few words, and the lines of tape between them."""

    spots: tuple[Spot, ...]
    words: tuple[str, ...]
    joined: tuple[Joined, ...]


def outline(lines: Sequence[PlanLine]) -> Outline:
    """The outline of lines in room coordinates; a line whose points are all one is no tape and falls away."""
    spots, index = merged([point for line in lines for point in line.points])
    joined: list[Joined] = []
    for line, name in zip(lines, _names(lines), strict=True):
        found = [index[point] for point in line.points]
        if line.closed and len(set(found)) > 2:
            found.append(found[0])
        points = tuple(key for key, _ in groupby(found))
        if len(points) > 1:
            joined.append(Joined(line.kind, name, points, line.height_mm, line.opens_left))
    used = sorted({point for one in joined for point in one.points})
    number = {old: new for new, old in enumerate(used)}
    kept = tuple(Joined(one.kind, one.name, tuple(number[point] for point in one.points), one.height_mm, one.opens_left) for one in joined)
    return Outline(tuple(spots[old] for old in used), _words(len(used), kept), kept)


def merged(points: Sequence[PointMm]) -> tuple[list[Spot], dict[PointMm, int]]:
    """The points without doubles, in their order, and the index of each; a double is drawn to the nearest point met before."""
    spots: list[Spot] = []
    cells: dict[tuple[int, int], list[int]] = {}
    index: dict[PointMm, int] = {}
    for point in points:
        if point in index:
            continue
        column, row = int(point[0] // DOUBLE_MM), int(point[1] // DOUBLE_MM)
        beside = (one for x in (-1, 0, 1) for y in (-1, 0, 1) for one in cells.get((column + x, row + y), ()))
        near = min(((dist(point, spots[one]), one) for one in beside), default=(DOUBLE_MM, -1))
        if near[0] >= DOUBLE_MM:
            cells.setdefault((column, row), []).append(len(spots))
            near = (0.0, len(spots))
            spots.append((float(point[0]), float(point[1])))
        index[point] = near[1]
    return spots, index


def tape_mm(joined: Sequence[Joined], spots: Sequence[Spot], kind: LineKind) -> float:
    """How much tape the lines of one kind take; an edge that two of them share is taped once."""
    edges = {tuple(sorted(edge)) for one in joined if one.kind is kind for edge in one.edges}
    return sum(dist(spots[first], spots[last]) for first, last in edges)


def _names(lines: Sequence[PlanLine]) -> list[str]:
    """The lines' own names; of those without one the kind, numbered where there are several, except walls."""
    nameless = [line.kind for line in lines if not line.name]
    counted: dict[LineKind, int] = {}
    names = []
    for line in lines:
        counted[line.kind] = counted.get(line.kind, 0) + (not line.name)
        numbered = line.kind is not LineKind.WALL and nameless.count(line.kind) > 1
        names.append(line.name or (f"{_word(line.kind)} {counted[line.kind]}" if numbered else _word(line.kind)))
    return names


def _word(kind: LineKind) -> str:
    return "line" if kind is LineKind.OTHER else kind.value


def _words(count: int, joined: Sequence[Joined]) -> tuple[str, ...]:
    said: list[dict[str, None]] = [{} for _ in range(count)]
    # What has a name of its own says more than that it is a wall too.
    for one in sorted(joined, key=lambda one: one.kind is LineKind.WALL):
        for number, point in enumerate(one.points):
            said[point][_as_point(one, number)] = None
    return tuple(", ".join(list(words)[:_MOST_WORDS]) for words in said)


def _as_point(one: Joined, number: int) -> str:
    if one.kind is LineKind.DOOR and len(one.points) == 2:
        return f"{one.name}: {'latch' if number else 'hinge'}"
    if one.kind is LineKind.DROP:
        return one.name if "drop" in one.name else f"{one.name}: drop"
    return one.name
