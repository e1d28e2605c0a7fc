"""The largest part of a plan that fits a room which cannot hold all of it, by length of lines: a rectangle cut out of the plan.

The rectangle is as large as the floor that is left between walls and columns. For each turn that is tried it is moved over the plan;
along one axis the best place is found exactly, since the length inside changes evenly between ends of lines, and the axes are taken
in turns from several starts. For a plan too long one way only, that is the best there is for the turn; else it is a good part.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
import shapely
from numpy.typing import NDArray

from previs.document.floor import Laid, PlanLine
from previs.floor.fitting_shape import Corners, Space, box_of, outline_of, turned_corners
from previs.floor.fitting_turns import FULL_TURN, QUARTERS
from previs.floor.placing import unplaced
from previs.progress import Report, Step

_RECTANGLES = 48
_STARTS = 16
_ROUNDS = 8
_AROUND_MM = 100
_NAME = "largest part"

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""


@dataclass(frozen=True, slots=True)
class _Window:
    inside_mm: float
    turn: int
    box: Box
    free: Box


def largest_part(lines: tuple[PlanLine, ...], space: Space, turns: tuple[int, ...], report: Report) -> Laid | None:
    """The largest part that was found by these turns, laid; None when no floor is left or no line gets onto it."""
    segments = segments_of(lines)
    outline = outline_of(lines)
    frees = _sizes(free_rectangles(space))
    best: _Window | None = None
    # Half a turn more cuts the same rectangles out of the plan.
    turns = tuple(turn for turn in turns if turn < FULL_TURN // 2 or turn - FULL_TURN // 2 not in turns)
    for number, turn in enumerate(turns):
        lying = turned_corners(segments.reshape(-1, 2), turn).reshape(-1, 4)
        for free in frees:
            report(Step(number * len(frees), len(turns) * len(frees), "looking for the largest part that fits"))
            found = _best_window(lying, inside_of(free, turn), turn)
            if found and (best is None or found.inside_mm > best.inside_mm + 1):
                best = found
    return None if best is None else laid_window(outline, best.turn, best.box, best.free, _NAME)


def laid_window(outline: Corners, turn: int, box: Box, free: Box, name: str) -> Laid:
    """A rectangle of the turned plan, laid on a free rectangle of the room of the same size."""
    shift = round(free[0] - box[0]), round(free[1] - box[1])
    left, low, right, high = box_of(turned_corners(outline, turn))
    left, low = max(box[0], left - _AROUND_MM), max(box[1], low - _AROUND_MM)
    right, high = min(box[2], right + _AROUND_MM), min(box[3], high + _AROUND_MM)
    corners = ((left, low), (right, low), (right, high), (left, high))
    return Laid(turn, *shift, part=tuple(unplaced(corner, Laid(turn)) for corner in corners), name=name)


def _sizes(boxes: list[Box]) -> list[Box]:
    """The boxes that are not narrower than another and no taller: what they hold does not depend on where they are."""
    kept: list[Box] = []
    for box in boxes:
        if not any(one[2] - one[0] >= box[2] - box[0] and one[3] - one[1] >= box[3] - box[1] for one in kept):
            kept.append(box)
    return kept


def inside_of(free: Box, turn: int) -> Box:
    """A free rectangle for a plan with this turn: off the quarters a hair less, so that rounded corners stay inside."""
    hair = 0 if turn in QUARTERS else 1
    return free[0] + hair, free[1] + hair, free[2] - hair, free[3] - hair


def segments_of(lines: tuple[PlanLine, ...]) -> Corners:
    """The straight pieces of all lines: x, y, x, y."""
    return np.array([(*start, *end) for line in lines for start, end in line.edges], dtype=np.float64).reshape(-1, 4)


def easy_turns(outline: Corners) -> tuple[int, ...]:
    """Quarters, and the four turns by which the plan's own long side lies along a wall."""
    rectangle = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.multipoints(outline)))
    (ax, ay), (bx, by) = rectangle[0], rectangle[1 % len(rectangle)]
    first = round(-np.rad2deg(np.arctan2(by - ay, bx - ax)) * 1000) % (FULL_TURN // 4)
    return tuple(dict.fromkeys((*QUARTERS, *(first + quarter for quarter in QUARTERS))))


def free_rectangles(space: Space) -> list[Box]:
    """Rectangles of floor that keep the margin to walls and to the boxes of columns, none inside another; the largest first."""
    margin = space.margin_mm
    found: list[Box] = [(margin, margin, space.length_mm - margin, space.width_mm - margin)]
    for column in space.columns:
        left, low, right, high = box_of(column)
        left, low, right, high = left - margin, low - margin, right + margin, high + margin
        cut: list[Box] = []
        for box in found:
            if left >= box[2] or right <= box[0] or low >= box[3] or high <= box[1]:
                cut.append(box)
                continue
            cut += [(box[0], box[1], left, box[3]), (right, box[1], box[2], box[3])]
            cut += [(box[0], box[1], box[2], low), (box[0], high, box[2], box[3])]
        found = _outermost([box for box in cut if box[2] > box[0] and box[3] > box[1]])
    return [box for box in found if box[2] > box[0] and box[3] > box[1]]


def _outermost(boxes: list[Box]) -> list[Box]:
    kept: list[Box] = []
    for box in sorted(set(boxes), key=lambda box: (-(box[2] - box[0]) * (box[3] - box[1]), box)):
        if not any(one[0] <= box[0] and one[1] <= box[1] and one[2] >= box[2] and one[3] >= box[3] for one in kept):
            kept.append(box)
    return kept[:_RECTANGLES]


def _best_window(segments: Corners, free: Box, turn: int) -> _Window | None:
    """Where a rectangle as large as the free floor holds most of the lines."""
    wide, tall = free[2] - free[0], free[3] - free[1]
    if wide <= 0 or tall <= 0:
        return None
    best: _Window | None = None
    for start in _starts(segments[:, 1::2], tall):
        y, x, inside = start, 0.0, -1.0
        for _ in range(_ROUNDS):
            x, _inside = _best_place(_cut_to(segments, y, y + tall), wide)
            y, now = _best_place(_cut_to(segments[:, [1, 0, 3, 2]], x, x + wide), tall)
            if now <= inside + 0.5:
                break
            inside = now
        if inside > 0 and (best is None or inside > best.inside_mm + 1):
            best = _Window(inside, turn, (x, y, x + wide, y + tall), free)
    return best


def _starts(heights: Corners, tall: float) -> NDArray[np.float64]:
    """Where the rectangle begins its way up and down; in the middle alone when all of the plan is inside there."""
    low, high = heights.min(), heights.max()
    if high - low <= tall:
        return np.array([(low + high - tall) / 2])
    return np.linspace(low, high - tall, min(_STARTS, 2 + ceil(4 * (high - low) / tall)))


def _cut_to(segments: Corners, low: float, high: float) -> Corners:
    """What of each straight piece lies between two heights, as (least x, greatest x, length); pieces outside are left out."""
    x, y, across, up = segments[:, 0], segments[:, 1], segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1]
    level = up == 0
    rise = np.where(level, 1.0, up)
    first, last = (low - y) / rise, (high - y) / rise
    first, last = np.minimum(first, last), np.maximum(first, last)
    inside = level & (y >= low) & (y <= high)
    first = np.where(level, np.where(inside, 0.0, 1.0), np.maximum(first, 0.0))
    last = np.where(level, np.where(inside, 1.0, 0.0), np.minimum(last, 1.0))
    kept = last > first
    ends = x[kept, None] + across[kept, None] * np.column_stack([first[kept], last[kept]])
    length = np.hypot(across, up)[kept] * (last - first)[kept]
    return np.column_stack([ends.min(axis=1), ends.max(axis=1), length])


def _best_place(pieces: Corners, wide: float) -> tuple[float, float]:
    """Where a stretch so wide holds most, and how much; of places as good, the one nearest to the middle of all pieces."""
    if not len(pieces):
        return 0.0, 0.0
    first, last, length = pieces.T
    middle = (first.min() + last.max() - wide) / 2
    places = np.unique(np.floor(np.concatenate([[middle], first, last - wide, last, first - wide])))
    steep = last - first < 1e-9
    held = _up_to(pieces[~steep], places + wide) - _up_to(pieces[~steep], places)
    order = np.argsort(first[steep])
    heap = np.concatenate([[0.0], np.cumsum(length[steep][order])])
    at = first[steep][order]
    held += heap[np.searchsorted(at, places + wide, side="right")] - heap[np.searchsorted(at, places, side="left")]
    best = np.flatnonzero(held >= held.max() - 0.5)
    chosen = best[np.argmin(abs(places[best] - middle))]
    return float(places[chosen]), float(held[chosen])


def _up_to(pieces: Corners, at: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much of the pieces, none of them upright, lies at or before each place."""
    if not len(pieces):
        return np.zeros(len(at))
    first, last, length = pieces.T
    density = length / (last - first)
    turns = np.concatenate([first, last])
    order = np.argsort(turns)
    slopes = np.cumsum(np.concatenate([density, -density])[order])
    sums = np.concatenate([[0.0], np.cumsum(slopes[:-1] * np.diff(turns[order]))])
    return np.asarray(np.interp(at, turns[order], sums))
