"""Where the number of each move stands beside its tick, so that as many as possible can be read; no Qt, no drawing."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

_BESIDE, _ABOVE = 4.0, 3.0
"""Pixels between a tick and a number to its right, and between the line that a tick stands on and its number."""
_KEPT_IN_MIND = 8


@dataclass(frozen=True, slots=True)
class Tick:
    """A hit at pixel `x` on the line `top` of its step; its number is `width` wide, and `room` is free to the right of it."""

    x: float
    top: float
    width: float
    room: float


@dataclass(frozen=True, slots=True)
class Label:
    """Where a number stands: its left edge, and its base line."""

    left: float
    base: float


class Skyline:
    """The tops of the steps, as (left, right, top) from left to right."""

    def __init__(self, runs: list[tuple[float, float, float]]) -> None:
        self._runs = sorted(runs)
        self._lefts = [left for left, _, _ in self._runs]

    def top(self, left: float, right: float) -> float:
        """The highest top between two pixels, infinity where nothing stands."""
        # A step plays on under a transition, so that the one before the last that begins before `left` may still be there.
        first = max(bisect_right(self._lefts, left) - 2, 0)
        within = self._runs[first : bisect_left(self._lefts, right)]
        return min((top for _, end, top in within if end > left), default=float("inf"))


def labels(ticks: list[Tick], ascent: float, ceiling: float, skyline: Skyline, *, crowded: bool) -> list[Label | None]:
    """A place for each number, None where there is none: to the right of its tick, else above it, once or twice.

    A number stays clear of the numbers before it, of every step that is higher, and below `ceiling`. Where a chart is
    `crowded` nothing is put above, since that would be a thicket.
    """
    found: list[Label | None] = []
    taken: list[tuple[Label, float]] = []
    for tick in ticks:
        label = next(
            (one for one in _candidates(tick, ascent, crowded=crowded) if _clear(one, tick, taken, ascent, ceiling, skyline)), None
        )
        found.append(label)
        if label:
            taken = [*taken[1 - _KEPT_IN_MIND :], (label, tick.width)]
    return found


def _candidates(tick: Tick, ascent: float, *, crowded: bool) -> Iterator[Label]:
    beside = Label(tick.x + _BESIDE, tick.top - _ABOVE)
    if tick.room > tick.width + _BESIDE + 1:
        yield beside
    if crowded:
        return
    for floors in (1, 2):
        base = beside.base - floors * (ascent + 1)
        for left in (tick.x + 1 - tick.width / 2, tick.x - 1, tick.x + 3 - tick.width):
            yield Label(left, base)


def _clear(label: Label, tick: Tick, taken: list[tuple[Label, float]], ascent: float, ceiling: float, skyline: Skyline) -> bool:
    right = label.left + tick.width
    if any(
        label.left < other.left + width + 2 and other.left - 2 < right and abs(label.base - other.base) < ascent for other, width in taken
    ):
        return False
    if label.base >= tick.top - _ABOVE:
        return True
    return label.base - ascent >= ceiling and skyline.top(label.left - 1, right + 1) >= label.base
