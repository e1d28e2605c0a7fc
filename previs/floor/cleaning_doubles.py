"""Lines that lie on others, whole or in part, taken away; it knows nothing else of cleaning."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec.structs import replace
from shapely import STRtree, linestrings

from previs.document.floor import LineKind, PlanLine, PointMm
from previs.floor.cleaning_findings import TOUCH_MM, Finding, Odd

_Span = tuple[float, float]
"""From where to where along an edge, in millimetres from its beginning."""
_WHOLE = (LineKind.DOOR, LineKind.COLUMN)
"""What stays whole or goes whole: half a door or an open column is none."""


def without_doubles(lines: Sequence[PlanLine]) -> tuple[tuple[PlanLine, ...], list[Finding]]:
    """The lines without what lies on an earlier one of the same kind, within 2 mm; of a wall, a step or a drop also in part.

    A line with a name, a height or a swing that the earlier one has not stays.
    What is left of a line after its middle is gone are two lines of its kind and name.
    """
    covered = _covered(lines)
    found: list[Finding] = []
    kept: list[PlanLine] = []
    for number, line in enumerate(lines):
        edges = list(line.edges)
        spans = [covered.get((number, edge), []) for edge in range(len(edges))]
        if not any(spans):
            kept.append(line)
            continue
        left = [_left(span, math.dist(*edge)) for span, edge in zip(spans, edges, strict=True)]
        if not any(left):
            found.append(Finding(Odd.DOUBLE, line.points[0], round(sum(math.dist(*edge) for edge in edges)), line.name))
        elif line.kind in _WHOLE:
            kept.append(line)
        else:
            found += [_overlap(line, edge, span) for edge, own in zip(edges, spans, strict=True) for span in own]
            kept += _remains(line, edges, left)
    return tuple(kept), found


def _covered(lines: Sequence[PlanLine]) -> dict[tuple[int, int], list[_Span]]:
    """For every edge, by its line and its number there, the spans of it that lie on an earlier edge of the same kind."""
    keys = [(number, edge) for number, line in enumerate(lines) for edge, _ in enumerate(line.edges)]
    ends = np.array([edge for line in lines for edge in line.edges], dtype=float).reshape(-1, 2, 2)
    if not len(ends):
        return {}
    shapes = linestrings(ends)
    later, earlier = STRtree(shapes).query(shapes, predicate="dwithin", distance=TOUCH_MM)
    kinds = np.array([list(LineKind).index(lines[number].kind) for number, _ in keys])
    ahead = (earlier < later) & (kinds[earlier] == kinds[later])
    later, earlier = later[ahead], earlier[ahead]
    low, high = _spans_along(ends[later], ends[earlier])
    found: dict[tuple[int, int], list[_Span]] = defaultdict(list)
    for at in np.flatnonzero(high - low > TOUCH_MM):
        number, below = keys[later[at]][0], keys[earlier[at]][0]
        if number == below or not _says_more(lines[number], lines[below]):
            found[keys[later[at]]].append((float(low[at]), float(high[at])))
    return {key: _joined(spans) for key, spans in found.items()}


def _says_more(line: PlanLine, below: PlanLine) -> bool:
    """Whether a line has a name, a height or a swing that the one it lies on has not: with it, that would be lost."""
    return (
        line.name not in ("", below.name)
        or line.height_mm not in (None, below.height_mm)
        or line.opens_left not in (None, below.opens_left)
    )


def _spans_along(edges: np.ndarray, others: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """From where to where along each edge the other one lies on it; nothing long where they lie at an angle or side by side."""
    start, along = edges[:, 0], edges[:, 1] - edges[:, 0]
    length = np.hypot(along[:, 0], along[:, 1])
    unit = along / np.maximum(length, 1e-9)[:, None]
    to = others - start[:, None]
    ahead = to[:, :, 0] * unit[:, None, 0] + to[:, :, 1] * unit[:, None, 1]
    aside = to[:, :, 1] * unit[:, None, 0] - to[:, :, 0] * unit[:, None, 1]
    low, high = np.maximum(ahead.min(axis=1), 0.0), np.minimum(ahead.max(axis=1), length)
    # How far the other one lies aside at the two ends of the common stretch.
    run = ahead[:, 1] - ahead[:, 0]
    slope = np.divide(aside[:, 1] - aside[:, 0], run, out=np.zeros_like(run), where=np.abs(run) > 1e-9)
    offset = aside[:, 0] - slope * ahead[:, 0]
    apart = np.maximum(np.abs(offset + slope * low), np.abs(offset + slope * high))
    on_it = (apart <= TOUCH_MM) & (np.abs(run) > 1e-9)
    return np.where(on_it, low, 0.0), np.where(on_it, high, 0.0)


def _joined(spans: list[_Span]) -> list[_Span]:
    spans = sorted(spans)
    joined = [spans[0]]
    for low, high in spans[1:]:
        if low <= joined[-1][1] + TOUCH_MM:
            joined[-1] = joined[-1][0], max(high, joined[-1][1])
        else:
            joined.append((low, high))
    return joined


def _left(covered: list[_Span], length: float) -> list[_Span]:
    """What of an edge is not covered; nothing as short as a touch is left."""
    left, at = [], 0.0
    for low, high in [*covered, (length, length)]:
        if low - at > TOUCH_MM or (not covered and low > at):
            left.append((at, low))
        at = max(at, high)
    return left


def _overlap(line: PlanLine, edge: tuple[PointMm, PointMm], span: _Span) -> Finding:
    middle = _on(edge, (span[0] + span[1]) / 2)
    return Finding(Odd.OVERLAP, middle, round(span[1] - span[0]), line.name)


def _remains(line: PlanLine, edges: Sequence[tuple[PointMm, PointMm]], left: Sequence[Sequence[_Span]]) -> Iterator[PlanLine]:
    """The stretches that are left, each as a line; what goes on round a closed line's beginning is one."""
    runs: list[list[PointMm]] = []
    for edge, spans in zip(edges, left, strict=True):
        for span in spans:
            start, end = _on(edge, span[0]), _on(edge, span[1])
            if runs and runs[-1][-1] == start:
                runs[-1].append(end)
            elif start != end:
                runs.append([start, end])
    if line.closed and len(runs) > 1 and runs[-1][-1] == runs[0][0]:
        first = runs.pop(0)
        runs[-1] += first[1:]
    for run in runs:
        yield replace(line, points=tuple(run), closed=False)


def _on(edge: tuple[PointMm, PointMm], far: float) -> PointMm:
    """The spot so far along an edge, its own ends exactly."""
    (x, y), (to_x, to_y) = edge
    length = math.dist(*edge)
    share = 0.0 if far <= TOUCH_MM else 1.0 if far >= length - TOUCH_MM else far / length
    return round(x + (to_x - x) * share), round(y + (to_y - y) * share)
