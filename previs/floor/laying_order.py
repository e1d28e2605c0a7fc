"""In which order points are laid so that little is walked: the nearest next, then made shorter until no single change helps."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import dist

import numpy as np
from numpy.typing import NDArray

from previs.floor.placing import Spot

WORST_TO_BEST = 1.25
"""For up to 8 points the walk is no longer than this times the shortest there is; a limit of ours, held against every order in tests."""
_MOST_PASSES = 40
_LEAST_GAIN_MM = 0.01
_LONGEST_MOVED = 3

_Order = NDArray[np.intp]
_Lengths = NDArray[np.float64]


def walk_order(start: Spot, points: Sequence[Spot]) -> list[int]:
    """The order, as indices of the points, of a short walk from `start` through all of them, which ends anywhere.

    Nearest neighbour, ties by index, improved by reversing stretches (2-opt) and by moving short stretches elsewhere, until neither
    helps or after 40 rounds. The same points always give the same order.
    """
    if not points:
        return []
    spots = np.array([start, *points], dtype=float)
    order = _nearest_next(spots)
    for _ in range(_MOST_PASSES):
        shorter = _stretch_moved(spots, _reversed_stretches(spots, order))
        if np.array_equal(shorter, order):
            break
        order = shorter
    return [int(index) - 1 for index in order[1:]]


def walked_mm(start: Spot, points: Sequence[Spot], order: Sequence[int]) -> float:
    """How long the walk from `start` through the points in this order is."""
    return sum(dist(one, other) for one, other in pairwise([start, *(points[index] for index in order)]))


def _nearest_next(spots: _Lengths) -> _Order:
    left = np.ones(len(spots), dtype=bool)
    order = [0]
    for _ in range(len(spots) - 1):
        left[order[-1]] = False
        lengths = np.hypot(*(spots - spots[order[-1]]).T)
        # Rounded, so that ties do not depend on the last bit of a root.
        order.append(int(np.argmin(np.where(left, lengths.round(3), np.inf))))
    return np.array(order)


def _reversed_stretches(spots: _Lengths, order: _Order) -> _Order:
    """One round of 2-opt: from each place on the walk, the reversal of a stretch that shortens it most."""
    order = order.copy()
    for at in range(len(order) - 1):
        way = spots[order]
        steps = np.append(np.hypot(*(way[1:] - way[:-1]).T), 0.0)
        after = np.vstack([way[1:], way[-1:]])
        # The stretch at+1..end turned round: at -> end, at+1 -> what comes after the end; behind the last point nothing comes.
        joined = np.hypot(*(way[at + 1 :] - way[at]).T) + np.hypot(*(after[at + 1 :] - way[at + 1]).T) * _has_next(len(order), at)
        gain = steps[at] + steps[at + 1 :] - joined
        best = int(np.argmax(gain.round(3)))
        if gain[best] > _LEAST_GAIN_MM:
            order[at + 1 : at + 2 + best] = order[at + 1 : at + 2 + best][::-1]
    return order


def _has_next(count: int, at: int) -> _Lengths:
    has = np.ones(count - at - 1)
    has[-1] = 0.0
    return has


def _stretch_moved(spots: _Lengths, order: _Order) -> _Order:
    """One round of moving stretches of up to three points to where they lengthen the walk least, either way round."""
    for length in range(1, _LONGEST_MOVED + 1):
        for at in range(1, len(order) - length + 1):
            order = _moved(spots, order, at, length)
    return order


def _moved(spots: _Lengths, order: _Order, at: int, length: int) -> _Order:
    stretch, rest = order[at : at + length], np.concatenate([order[:at], order[at + length :]])
    if len(rest) < 2:
        return order
    way, first, last = spots[rest], spots[stretch[0]], spots[stretch[-1]]
    gap = np.append(np.hypot(*(way[1:] - way[:-1]).T), 0.0)
    to_first, to_last = np.hypot(*(way - first).T), np.hypot(*(way - last).T)
    added = np.stack([to_first + np.append(to_last[1:], 0.0), to_last + np.append(to_first[1:], 0.0)]) - gap
    turned, best = np.unravel_index(int(np.argmin(added.round(3))), added.shape)
    if added[turned, best] >= added[0, at - 1] - _LEAST_GAIN_MM:
        return order
    piece = stretch[::-1] if turned else stretch
    return np.concatenate([rest[: best + 1], piece, rest[best + 1 :]])
