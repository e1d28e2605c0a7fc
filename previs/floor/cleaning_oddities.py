"""What is odd in a plan and left as it is: crossings, islands, open ends, doors that a wall shuts, drops without a height."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from shapely import STRtree, linestrings
from shapely.geometry import LineString, Point

from previs.document.floor import LineKind, PlanLine, PointMm
from previs.floor.cleaning_findings import TOUCH_MM, Finding, Odd
from previs.floor.cleaning_shapes import Shapes, line_shapes, spot_shapes


def oddities(lines: Sequence[PlanLine]) -> Iterator[Finding]:
    """Everything odd in the lines, with its place on the plan."""
    if not lines:
        return
    shapes = line_shapes([(line.points, line.closed) for line in lines])
    tree = STRtree(shapes)
    yield from _crossings(lines)
    yield from _islands(lines, shapes, tree)
    yield from _open_walls(lines, tree)
    yield from _shut_doors(lines, shapes)
    for line in lines:
        if line.kind is LineKind.DROP and line.height_mm is None:
            yield Finding(Odd.NO_HEIGHT, line.points[0], name=line.name)


def _crossings(lines: Sequence[PlanLine]) -> Iterator[Finding]:
    """Walls that run through one another, and lines of any kind that run through themselves; meeting at an end is none."""
    owners = np.array([number for number, line in enumerate(lines) for _ in line.edges])
    names = [line.name for line in lines]
    walls = np.array([line.kind is LineKind.WALL for line in lines])
    ends = np.array([edge for line in lines for edge in line.edges], dtype=float).reshape(-1, 2, 2)
    shapes = linestrings(ends)
    one, other = STRtree(shapes).query(shapes, predicate="crosses")
    once = one < other
    one, other = one[once], other[once]
    own = owners[one] == owners[other]
    wanted = own | (walls[owners[one]] & walls[owners[other]])
    told: set[tuple[Odd, PointMm]] = set()
    for a, b in zip(one[wanted].tolist(), other[wanted].tolist(), strict=True):
        at = _meeting(ends[a], ends[b])
        near_end = min(math.dist(at, tuple(end)) for end in (*ends[a], *ends[b])) <= TOUCH_MM
        odd = Odd.SELF_CROSSING if owners[a] == owners[b] else Odd.CROSSING
        if not near_end and (odd, at) not in told:
            told.add((odd, at))
            yield Finding(odd, at, name=names[owners[a]] or names[owners[b]])


def _meeting(one: np.ndarray, other: np.ndarray) -> PointMm:
    """Where two edges that are known to cross do so."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    share = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
    return round(ax + (bx - ax) * share), round(ay + (by - ay) * share)


def _islands(lines: Sequence[PlanLine], shapes: Shapes, tree: STRtree) -> Iterator[Finding]:
    """Parts that touch nothing of the largest part; columns may stand free, so they neither are islands nor join any."""
    numbers = [number for number, line in enumerate(lines) if line.kind is not LineKind.COLUMN]
    if not numbers:
        return
    one, other = tree.query(shapes, predicate="dwithin", distance=TOUCH_MM)
    columns = np.array([line.kind is LineKind.COLUMN for line in lines])
    free = ~columns[one] & ~columns[other]
    one, other = one[free], other[free]
    graph = coo_array((np.ones(len(one), dtype=bool), (one, other)), shape=(len(lines), len(lines)))
    _, part_of = connected_components(graph, directed=False)
    long = shapely.length(shapes)
    lengths: Counter[int] = Counter()
    for number in numbers:
        lengths[int(part_of[number])] += round(long[number])
    # The longest is the plan; of two as long, the one that comes first in it.
    main = max(lengths, key=lambda part: lengths[part])
    parts: dict[int, list[int]] = {}
    for number in numbers:
        parts.setdefault(int(part_of[number]), []).append(number)
    for part, members in parts.items():
        if part != main:
            first = lines[members[0]]
            yield Finding(Odd.ISLAND, first.points[0], lengths[part], next((lines[at].name for at in members if lines[at].name), ""))


def _open_walls(lines: Sequence[PlanLine], tree: STRtree) -> Iterator[Finding]:
    """Ends of walls that nothing touches."""
    ends = [
        (number, line.points[at]) for number, line in enumerate(lines) if line.kind is LineKind.WALL and not line.closed for at in (0, -1)
    ]
    if not ends:
        return
    which, touching = tree.query(spot_shapes(at for _, at in ends), predicate="dwithin", distance=TOUCH_MM)
    met = set(which[touching != np.array([number for number, _ in ends])[which]].tolist())
    for index, (number, at) in enumerate(ends):
        if index not in met and not _meets_itself(lines[number], at):
            yield Finding(Odd.OPEN_WALL, at, name=lines[number].name)


def _meets_itself(line: PlanLine, at: PointMm) -> bool:
    """Whether a line's end lies on another piece of that line."""
    if line.points.count(at) > 1:
        return True
    edges = [edge for edge in line.edges if at not in edge] if len(line.points) > 2 else []
    return any(LineString(edge).distance(Point(at)) <= TOUCH_MM for edge in edges)


def _shut_doors(lines: Sequence[PlanLine], shapes: Shapes) -> Iterator[Finding]:
    """Doors along more than half of whose opening a wall runs: where the wall is drawn through, no one comes through."""
    walls = [shape for line, shape in zip(lines, shapes, strict=True) if line.kind is LineKind.WALL]
    tree = STRtree(walls)
    for line, shape in zip(lines, shapes, strict=True):
        if line.kind is not LineKind.DOOR or not shape.length:
            continue
        strip = shape.buffer(TOUCH_MM, cap_style="flat")
        along = sum(walls[at].intersection(strip).length for at in tree.query(strip).tolist())
        if along > shape.length / 2:
            yield Finding(Odd.SHUT_DOOR, line.points[0], round(along), line.name)
