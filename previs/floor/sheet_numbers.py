"""Where the numbers and words of a plan stand: beside their points, never on each other or on a point, lines crossed where need be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray

Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""
_DIRECTIONS = 16
_REACHES = (0.0, 3.0, 7.0, 12.0, 18.0, 26.0, 36.0, 50.0, 70.0)
"""How far from its point a label may begin, tried in this order, in the units of the page."""
_GAP = 0.8
_FAINT_WEIGHT = 0.1


@dataclass(frozen=True, slots=True)
class Label:
    """Something to stand beside a spot: its width and height; `over` says that it may stand on the spot itself.

    It goes up to `line_cost` further from its spot rather than across a line of the drawing.
    """

    at: tuple[float, float]
    width: float
    height: float
    over: bool = False
    line_cost: float = 9.0


@dataclass(frozen=True, slots=True)
class Stands:
    """The box in which a label stands, and how far it begins from its spot."""

    box: Box
    reach: float

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the box."""
        return (self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2


class Placing:
    """A page that is filled label by label; every label placed keeps the next ones away."""

    def __init__(self, bounds: Box, segments: Sequence[Box], faint: Sequence[Box] = ()) -> None:
        """`segments` are the lines of the drawing, as x, y, x, y, which labels keep off where they can; `faint` ones count little."""
        self._bounds = bounds
        self._segments = np.array([*segments, *faint], dtype=float).reshape(-1, 4)
        self._weights = np.array([1.0] * len(segments) + [_FAINT_WEIGHT] * len(faint))
        self._taken: NDArray[np.float64] = np.empty((0, 4))

    def keep_free(self, boxes: Sequence[Box]) -> None:
        """Let no label stand on these."""
        self._taken = np.vstack([self._taken, np.array(boxes, dtype=float).reshape(-1, 4)])

    def place(self, label: Label) -> Stands | None:
        """The best free place for a label, which is taken from now on; None when there is none within reach."""
        best: tuple[float, Box, float] | None = None
        for reach in (-1.0, *_REACHES) if label.over else _REACHES:
            if best is not None and best[0] <= reach:
                break
            for box in _around(label, reach):
                if not self._free(box):
                    continue
                cost = max(reach, 0.0) + label.line_cost * self._crossed(box)
                if best is None or cost < best[0] - 1e-9:
                    best = (cost, box, reach)
        if best is None:
            return None
        self.keep_free([best[1]])
        return Stands(best[1], best[2])

    def _free(self, box: Box) -> bool:
        left, bottom, right, top = box
        inside = left >= self._bounds[0] and bottom >= self._bounds[1] and right <= self._bounds[2] and top <= self._bounds[3]
        if not inside or not len(self._taken):
            return inside
        taken = self._taken
        over = (taken[:, 0] < right + _GAP) & (taken[:, 2] > left - _GAP) & (taken[:, 1] < top + _GAP) & (taken[:, 3] > bottom - _GAP)
        return not over.any()

    def _crossed(self, box: Box) -> float:
        """How many lines of the drawing run through a box, faint ones by their weight."""
        return float(self._weights[crossing(self._segments, box)].sum())


def crossing(segments: NDArray[np.float64], box: Box) -> NDArray[np.bool_]:
    """Which segments (x, y, x, y a row) run through a box, by clipping them at its sides (Liang and Barsky 1984)."""
    low, high = np.zeros(len(segments)), np.ones(len(segments))
    with np.errstate(divide="ignore", invalid="ignore"):
        for axis in (0, 1):
            start, way = segments[:, axis], segments[:, axis + 2] - segments[:, axis]
            one, other = (box[axis] - start) / way, (box[axis + 2] - start) / way
            still = way == 0
            outside = still & ((start < box[axis]) | (start > box[axis + 2]))
            low = np.where(still, np.where(outside, 2.0, low), np.maximum(low, np.minimum(one, other)))
            high = np.where(still, high, np.minimum(high, np.maximum(one, other)))
    return low <= high


def _around(label: Label, reach: float) -> list[Box]:
    """The boxes all around a spot whose nearest edge is so far from it; at less than 0, the one that stands on it."""
    (x, y), half_width, half_height = label.at, label.width / 2, label.height / 2
    if reach < 0:
        return [(x - half_width, y - half_height, x + half_width, y + half_height)]
    boxes = []
    for turn in range(_DIRECTIONS):
        # From the upper right on, where a number is looked for first.
        angle = pi / 4 + 2 * pi * turn / _DIRECTIONS
        middle_x, middle_y = x + cos(angle) * (reach + 2 + half_width), y + sin(angle) * (reach + 2 + half_height)
        boxes.append((middle_x - half_width, middle_y - half_height, middle_x + half_width, middle_y + half_height))
    return boxes
