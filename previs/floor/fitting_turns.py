"""By which turns an outline lies best between four walls, exactly: columns are no business of this.

For a turn, the outline takes w along the room's length and h across it. Between two neighbouring turns at which an edge of the
outline is parallel to a wall, the same two pairs of corners decide w and h; both are then arcs of a sine, hollow seen from below,
so that the least of (length - w) / 2 and (width - h) / 2 is greatest at an end of the stretch or where the two are equal. These
turns are finitely many and all of them are listed here; nothing is sampled.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previs.floor.fitting_shape import Corners, Space

FULL_TURN = 360_000
QUARTERS = (0, 90_000, 180_000, 270_000)
_AT_ONCE = 2_000_000

Turns = NDArray[np.int64]
"""Turns in whole millidegrees."""


def slack_mm(outline: Corners, space: Space, turns: Turns) -> NDArray[np.float64]:
    """Per turn the distance that the outline, laid in the middle, keeps from the nearest walls; less than nothing where it is too large."""
    along, across = extents_mm(outline, turns)
    return np.minimum(space.length_mm - along, space.width_mm - across) / 2


def extents_mm(outline: Corners, turns: Turns) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Per turn how long the outline is along the room's length, and how long across."""
    along, across = np.empty(len(turns)), np.empty(len(turns))
    step = max(1, _AT_ONCE // max(1, len(outline)))
    for first in range(0, len(turns), step):
        some = slice(first, first + step)
        cosines, sines = _directions(turns[some])
        along[some] = np.ptp(np.outer(cosines, outline[:, 0]) - np.outer(sines, outline[:, 1]), axis=1)
        across[some] = np.ptp(np.outer(sines, outline[:, 0]) + np.outer(cosines, outline[:, 1]), axis=1)
    return along, across


def critical_turns(outline: Corners, space: Space) -> Turns:
    """Every turn at which the slack between walls can be greatest, to the millidegree on both sides of it; quarters first."""
    parallel = _parallel_turns(outline)
    exact = np.concatenate([parallel, _equal_turns(outline, space, parallel)]) * 1000
    whole = np.concatenate([np.floor(exact), np.ceil(exact)]).astype(np.int64) % FULL_TURN
    rest = np.setdiff1d(whole, np.array(QUARTERS))
    return np.concatenate([np.array(QUARTERS, dtype=np.int64), rest])


def _directions(turns: Turns) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Cosines and sines; exact at the quarters, so that a room just large enough is not a hair too small."""
    angles = np.deg2rad(turns / 1000)
    cosines, sines = np.cos(angles), np.sin(angles)
    quarter = turns % (FULL_TURN // 4) == 0
    return np.where(quarter, np.round(cosines), cosines), np.where(quarter, np.round(sines), sines)


def _parallel_turns(outline: Corners) -> NDArray[np.float64]:
    """The turns, in degrees from 0 to 360, at which an edge of the outline is parallel to a wall."""
    edges = np.roll(outline, -1, axis=0) - outline
    angles = np.rad2deg(np.arctan2(edges[:, 1], edges[:, 0]))
    first = np.unique(np.concatenate([[0.0], -angles % 90]))
    return np.concatenate([first + quarter for quarter in (0, 90, 180, 270)])


def _equal_turns(outline: Corners, space: Space, parallel: NDArray[np.float64]) -> NDArray[np.float64]:
    """The turns, in degrees, at which as much is left along the room as across it."""
    starts = np.sort(parallel)
    ends = np.append(starts[1:], 360.0)
    middles = np.deg2rad((starts + ends) / 2)
    longest = _widest(outline, np.cos(middles), -np.sin(middles))
    broadest = _widest(outline, np.sin(middles), np.cos(middles))
    # length - w = width - h, with w = lx cos - ly sin and h = bx sin + by cos, is A cos + B sin = width - length.
    a, b = broadest[:, 1] - longest[:, 0], broadest[:, 0] + longest[:, 1]
    size, wanted = np.hypot(a, b), space.width_mm - space.length_mm
    possible = (size > 0) & (size >= abs(wanted))
    reach = np.arccos(np.clip(wanted / np.where(possible, size, 1), -1, 1))
    found = []
    for side in (-1, 1):
        turns = np.rad2deg(np.arctan2(b, a) + side * reach) % 360
        found.append(turns[possible & (turns >= starts) & (turns <= ends)])
    return np.concatenate(found)


def _widest(outline: Corners, across: NDArray[np.float64], up: NDArray[np.float64]) -> Corners:
    """Per direction, from the outline's first corner that way to its last, as (x, y)."""
    found = []
    step = max(1, _AT_ONCE // max(1, len(outline)))
    for first in range(0, len(across), step):
        some = slice(first, first + step)
        spread = np.outer(across[some], outline[:, 0]) + np.outer(up[some], outline[:, 1])
        found.append(outline[spread.argmax(axis=1)] - outline[spread.argmin(axis=1)])
    return np.concatenate(found)
