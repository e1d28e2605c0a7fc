"""From frames to pixels and back, and what lies under a point of the chart; no Qt, no drawing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from math import floor

from previs.desk.chart.sheet import ChartSheet

MOST_PIXELS_A_FRAME = 24.0
EDGE_PIXELS = 6.0
"""How near an edge counts as on it."""
_BEYOND_SHARE = 1.03


class Part(StrEnum):
    """What of a shot is under a point."""

    HEAD = "head"
    TAIL = "tail"
    BODY = "body"


@dataclass(frozen=True, slots=True)
class Scale:
    """`first` is the record frame at pixel `left`; `width` pixels are there; `each` is how many pixels a frame has."""

    first: float
    each: float
    left: float
    width: float

    def x(self, frame: float) -> float:
        """The pixel of a frame's beginning."""
        return self.left + (frame - self.first) * self.each

    def frame(self, x: float) -> int:
        """The frame under a pixel; it may lie outside the cut."""
        return floor((x - self.left) / self.each + self.first + 1e-9)

    def at(self, x: float) -> float:
        """The moment under a pixel, in frames and parts of one."""
        return (x - self.left) / self.each + self.first

    def moved(self, frames: float) -> Scale:
        """So many frames further on, wherever that leads."""
        return replace(self, first=self.first + frames)

    def whole(self, end_frame: int) -> Scale:
        """All of the cut, with a little room behind it."""
        return replace(self, first=0.0, each=self._least(end_frame))

    def zoomed(self, factor: float, about_x: float, end_frame: int) -> Scale:
        """Closer or wider, with the frame at `about_x` staying where it is; never wider than the whole."""
        each = min(max(self.each * factor, self._least(end_frame)), MOST_PIXELS_A_FRAME)
        return replace(self, each=each, first=self.at(about_x) - (about_x - self.left) / each).within(end_frame)

    def shifted(self, pixels: float, end_frame: int) -> Scale:
        """So many pixels further on."""
        return replace(self, first=self.first + pixels / self.each).within(end_frame)

    def showing(self, start: float, end: float, end_frame: int) -> Scale:
        """Shifted as little as it takes to have these frames in view, their beginning if they are too many."""
        room, edge = self.width / self.each, 12 / self.each
        first = self.first
        if end + edge > first + room:
            first = end + edge - room
        if start - edge < first:
            first = start - edge
        return replace(self, first=first).within(end_frame)

    def within(self, end_frame: int) -> Scale:
        """Not before the beginning, and not further than the end."""
        last = max(end_frame * _BEYOND_SHARE - self.width / self.each, 0.0)
        return replace(self, first=min(max(self.first, 0.0), last))

    def _least(self, end_frame: int) -> float:
        return self.width / max(end_frame * _BEYOND_SHARE, 1.0)


def under(sheet: ChartSheet, scale: Scale, x: float) -> tuple[int, Part] | None:
    """The number of the shot under a pixel, and which part of it; of the two edges at a cut the one on the pointer's side."""
    step = sheet.step_at(scale.frame(x))
    if step is None:
        last = sheet.steps[-1] if sheet.steps else None
        return (last.number, Part.TAIL) if last and 0 <= x - scale.x(last.record.end_exclusive) <= EDGE_PIXELS else None
    head, tail = x - scale.x(step.record.start), scale.x(step.record.end_exclusive) - x
    # A narrow step keeps a third of itself to be chosen by.
    near = min(EDGE_PIXELS, (head + tail) / 3)
    if tail <= near:
        return step.number, Part.TAIL
    return step.number, Part.HEAD if head <= near else Part.BODY
