"""Which frame is on at which moment while something plays, exactly; it owns no clock and shows nothing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from previs.clock import Span

SPEEDS = (Fraction(1, 8), Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2))
"""The speeds to play at, slowest first."""


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


def slower(speed: Fraction) -> Fraction:
    """The next slower speed, or the slowest."""
    return max((one for one in SPEEDS if one < speed), default=SPEEDS[0])


def faster(speed: Fraction) -> Fraction:
    """The next faster speed, or the fastest."""
    return min((one for one in SPEEDS if one > speed), default=SPEEDS[-1])
