"""Which frame is on at which moment while something plays, exactly; it owns no clock and shows nothing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from previs.clock import Span

SPEEDS = (Fraction(1, 8), Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2))
"""The speeds to play at, slowest first."""


WAKING, STALLED = Fraction(3), Fraction(1, 2)
"""Seconds that a sound may need to begin, since some outputs sleep, and that it may stand still once it has begun."""


@dataclass(frozen=True, slots=True)
class Run:
    """A run of playing: from frame `first` at `began` seconds of some clock, `speed` times `fps` frames a second."""

    first: int
    began: Fraction
    speed: Fraction
    fps: Fraction

    def frame(self, now: Fraction) -> int:
        """The frame that is on at `now`, as if there were no end."""
        return self.first + int((now - self.began) * self.speed * self.fps)


@dataclass(frozen=True, slots=True)
class Shown:
    """The frame to show, and whether the run has come to the end with it."""

    frame: int
    ended: bool = False


def shown_at(run: Run, now: Fraction, frames: int, loop: Span | None = None) -> Shown:
    """The frame of something `frames` long that is on at `now`; in a loop from its end to its beginning, else held at the end.

    A run that begins before the loop plays into it; one that begins behind it plays on to the end.
    """
    frame = run.frame(now)
    if loop and loop.length and run.first < loop.end_exclusive and frame >= loop.end_exclusive:
        return Shown(loop.start + (frame - loop.start) % loop.length)
    return Shown(max(frames - 1, 0), ended=True) if frame >= frames else Shown(max(frame, 0))


def coming(frame: int, frames: int, loop: Span | None, count: int) -> tuple[int, ...]:
    """The frames that are shown after `frame` while it plays on, at most `count`; from a loop's end to its beginning."""
    found: list[int] = []
    while len(found) < count:
        frame += 1
        if loop and loop.length and frame == loop.end_exclusive:
            frame = loop.start
        if frame >= frames or frame in found:
            break
        found.append(frame)
    return tuple(found)


class Lead:
    """Which clock leads a run: the sound's as long as it moves, else the silent one, on from where the sound stood still.

    A sound that stands still for longer than it may (its output was unplugged) is `lost` for the rest of the run.
    """

    def __init__(self, run: Run) -> None:
        self.lost = False
        self._run = run
        self._heard: Fraction | None = None
        self._moved = run.began
        self._patience = WAKING
        self._behind = Fraction(0)

    def moment(self, now: Fraction, heard: Fraction | None) -> Fraction:
        """The moment of the run, on the silent clock's scale, at `now`; `heard` are the seconds of sound since it began, if any."""
        if not self.lost and heard is not None:
            if heard != self._heard:
                if self._heard is not None:
                    self._patience = STALLED
                self._heard, self._moved = heard, now
            if now - self._moved < self._patience:
                return self._run.began + heard
        if not self.lost and self._heard is not None:
            self._behind = now - (self._run.began + self._heard)
        self.lost = self.lost or self._heard is not None
        return now - self._behind


def slower(speed: Fraction) -> Fraction:
    """The next slower speed, or the slowest."""
    return max((one for one in SPEEDS if one < speed), default=SPEEDS[0])


def faster(speed: Fraction) -> Fraction:
    """The next faster speed, or the fastest."""
    return min((one for one in SPEEDS if one > speed), default=SPEEDS[-1])
