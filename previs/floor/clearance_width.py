"""How wide the passage is along a way, between the walls to its left and right, and where two walls draw together.

At a spot the free width is the gap between the nearest thing on the left of the way and the nearest on its right, each sought up
to `ASLANT_DEGREES` from square to the way: so it is measured across the passage also where the way runs aslant in it, and at a door
between its jambs. Of two straight walls that face each other it is measured square to the line midway between them, their medial axis.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray

from previs.document.floor import LineKind, PlanLine
from previs.floor.routes import Spot

FARTHEST_MM = 6000
"""A wall further away than this to either side bounds no passage; a limit of ours."""
NARROWER_MM = 100
"""Two walls that draw together by less than this are told as even; a limit of ours."""
LEAST_LONG_MM = 1000
"""Walls that face each other over less than this make no passage that narrows; a limit of ours."""
ASLANT_DEGREES = 30
"""A wider angle would take a door for narrow long before it, a smaller one a passage for wide where the way runs aslant in it."""
_MEETS_MM = 100.0

Edges = NDArray[np.float64]
"""Straight pieces of what stands on the plan, one a row: x and y of both ends, millimetres."""


@dataclass(frozen=True, slots=True)
class Narrowing:
    """Two walls that draw together: the passage's width at its wide and at its narrow end, the way between, and the ends' middles."""

    from_mm: float
    to_mm: float
    over_mm: float
    wide_at: Spot
    narrow_at: Spot


def edges_of(lines: Iterable[PlanLine], kinds: Sequence[LineKind]) -> Edges:
    """The straight pieces of the lines of these kinds; a line that runs straight on through a point is one piece."""
    found = [
        (*one, *two)
        for line in lines
        if line.kind in kinds
        for one, two in pairwise(_corners([*line.points, line.points[0]] if line.closed else line.points))
    ]
    return np.array(found, dtype=np.float64).reshape(-1, 4)


@dataclass(frozen=True, slots=True)
class Beside:
    """What is nearest on one side of each spot of a way: how far, where, and the number of its piece; infinite and -1 for nothing."""

    far: NDArray[np.float64]
    at: NDArray[np.float64]
    piece: NDArray[np.int64]


def beside(edges: Edges, spots: NDArray[np.float64], headings: NDArray[np.float64]) -> tuple[Beside, Beside]:
    """What is to the left and to the right of a way at spots where it goes in these directions (radians), within `FARTHEST_MM`."""
    ahead = np.stack([np.cos(headings), np.sin(headings)], axis=1)
    of_spot, of_edge = _close(edges, spots)
    return _nearest(edges, spots, ahead, of_spot, of_edge), _nearest(edges, spots, -ahead, of_spot, of_edge)


def free_widths(edges: Edges, spots: NDArray[np.float64], headings: NDArray[np.float64]) -> NDArray[np.float64]:
    """The free width at each spot of a way, millimetres; infinite where a side is open."""
    left, right = beside(edges, spots, headings)
    bounded = (left.piece >= 0) & (right.piece >= 0)
    return np.where(bounded, np.hypot(*(left.at - right.at).T), np.inf)


def narrowings(edges: Edges, spots: NDArray[np.float64], headings: NDArray[np.float64]) -> list[Narrowing]:
    """Where the walls to both sides of a way draw together, each pair of walls once, in the order of the way."""
    left, right = beside(edges, spots, headings)
    pairs = dict.fromkeys((int(one), int(other)) for one, other in zip(left.piece, right.piece, strict=True) if min(one, other) >= 0)
    found = {tuple(sorted(pair)): _between(edges[pair[0]], edges[pair[1]]) for pair in pairs}
    return _run_on([one for one in found.values() if one is not None])


def _run_on(found: Iterable[Narrowing]) -> list[Narrowing]:
    """Narrowings of walls that are drawn in several pieces made one, where one begins as wide and at the spot where the other ends."""
    joined: list[Narrowing] = []
    for one in found:
        for at, other in enumerate(joined):
            wide, narrow = (other, one) if _meets(other, one) else (one, other)
            if _meets(wide, narrow):
                joined[at] = Narrowing(wide.from_mm, narrow.to_mm, wide.over_mm + narrow.over_mm, wide.wide_at, narrow.narrow_at)
                break
        else:
            joined.append(one)
    return joined


def _meets(wide: Narrowing, narrow: Narrowing) -> bool:
    (x, y), (to_x, to_y) = wide.narrow_at, narrow.wide_at
    return hypot(to_x - x, to_y - y) < _MEETS_MM and abs(wide.to_mm - narrow.from_mm) < _MEETS_MM / 2


def _corners(points: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The points without those on a straight line between their neighbours, a millimetre allowed, and without doubles."""
    kept: list[tuple[int, int]] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        while len(kept) > 1 and _on_the_way(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return kept


def _on_the_way(one: tuple[int, int], two: tuple[int, int], three: tuple[int, int]) -> bool:
    ahead, then = (two[0] - one[0], two[1] - one[1]), (three[0] - two[0], three[1] - two[1])
    long = hypot(three[0] - one[0], three[1] - one[1])
    return ahead[0] * then[0] + ahead[1] * then[1] > 0 and abs(ahead[0] * then[1] - ahead[1] * then[0]) <= long


def _close(edges: Edges, spots: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Pairs of a spot and a piece within `FARTHEST_MM` of it, as their numbers."""
    if not len(edges) or not len(spots):
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    drawn = shapely.STRtree(shapely.linestrings(edges.reshape(-1, 2, 2)))
    found = drawn.query(shapely.points(spots), predicate="dwithin", distance=FARTHEST_MM)
    return found[0], found[1]


def _nearest(
    edges: Edges, spots: NDArray[np.float64], ahead: NDArray[np.float64], of_spot: NDArray[np.int64], of_edge: NDArray[np.int64]
) -> Beside:
    """What is nearest to the left of each spot, when it is looked ahead.

    Sought are the foot of each piece and its ends, as far as they lie within `ASLANT_DEGREES` from square, and what stands square
    to the way: a wall across the way, whose foot lies ahead, bounds the passage only by its ends.
    """
    forth = ahead[of_spot]
    aside = np.stack([-forth[:, 1], forth[:, 0]], axis=1)
    start, end = (edges[of_edge, at : at + 2] - spots[of_spot] for at in (0, 2))
    along = end - start
    with np.errstate(divide="ignore", invalid="ignore"):
        square = (start * forth).sum(axis=1) / -(along * forth).sum(axis=1)
        foot = -(start * along).sum(axis=1) / (along * along).sum(axis=1)
    zero = np.zeros(len(start))
    shares = np.stack([foot, zero, zero + 1, square])
    sound = np.isfinite(shares) & (shares >= 0) & (shares <= 1)
    spots_there = start + np.where(sound, shares, 0)[:, :, None] * along
    ahead_of, to_left = (spots_there * forth).sum(axis=2), (spots_there * aside).sum(axis=2)
    steep = np.tan(np.radians([ASLANT_DEGREES] * 3 + [1]))[:, None]
    met = sound & (to_left >= 0) & (np.abs(ahead_of) <= to_left * steep)
    far = np.where(met, np.hypot(*np.moveaxis(spots_there, 2, 0)), np.inf)
    best = far.argmin(axis=0)
    pairs = np.arange(len(start))
    return _first_of(len(spots), spots, of_spot, of_edge, spots_there[best, pairs], far[best, pairs])


def _first_of(
    count: int,
    spots: NDArray[np.float64],
    of_spot: NDArray[np.int64],
    of_edge: NDArray[np.int64],
    at: NDArray[np.float64],
    far: NDArray[np.float64],
) -> Beside:
    """For each spot the nearest of what was found for it."""
    met = np.flatnonzero(far <= FARTHEST_MM)
    # Of several the nearest is written last.
    order = met[np.argsort(-far[met], kind="stable")]
    nearest = Beside(np.full(count, np.inf), spots.copy(), np.full(count, -1))
    nearest.far[of_spot[order]] = far[order]
    nearest.at[of_spot[order]] = at[order] + spots[of_spot[order]]
    nearest.piece[of_spot[order]] = of_edge[order]
    return nearest


def _between(one: NDArray[np.float64], other: NDArray[np.float64]) -> Narrowing | None:
    """The passage between two straight walls, where they face each other; None when it is even, or too short."""
    ends = [one[:2], one[2:]], [other[:2], other[2:]]
    ahead, then = (_unit(pair[1] - pair[0]) for pair in ends)
    axis = _unit(ahead + then if ahead @ then >= 0 else ahead - then)
    spans = [sorted(float(spot @ axis) for spot in pair) for pair in ends]
    start, end = max(span[0] for span in spans), min(span[1] for span in spans)
    if end - start < LEAST_LONG_MM:
        return None
    crossings = [[_at(pair[0], pair[1], axis, along) for pair in ends] for along in (start, end)]
    gaps = [float(np.hypot(*(two - one_))) for one_, two in crossings]
    middles = [(float(spot[0]), float(spot[1])) for spot in ((one_ + two) / 2 for one_, two in crossings)]
    wide, narrow = (0, 1) if gaps[0] >= gaps[1] else (1, 0)
    if gaps[wide] - gaps[narrow] < NARROWER_MM:
        return None
    return Narrowing(gaps[wide], gaps[narrow], end - start, middles[wide], middles[narrow])


def _at(start: NDArray[np.float64], end: NDArray[np.float64], axis: NDArray[np.float64], along: float) -> NDArray[np.float64]:
    """The spot of a wall at a distance along an axis."""
    share = (along - start @ axis) / ((end - start) @ axis)
    return np.asarray(start + share * (end - start))


def _unit(vector: NDArray[np.float64]) -> NDArray[np.float64]:
    long = float(np.hypot(*vector))
    return vector / long if long else vector
