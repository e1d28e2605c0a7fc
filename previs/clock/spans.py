"""Half-open spans, of whole frames in a cut and of exact seconds on a tape."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, TypeVar

Moment = TypeVar("Moment", int, Fraction)


@dataclass(frozen=True, slots=True, order=True)
class _HalfOpen(Generic[Moment]):
    start: Moment
    end_exclusive: Moment

    def __post_init__(self) -> None:
        if self.end_exclusive < self.start:
            raise ValueError(f"a span cannot end at {self.end_exclusive}, before its start at {self.start}")

    @property
    def length(self) -> Moment:
        """End less start; zero for an empty span."""
        return self.end_exclusive - self.start

    def holds(self, moment: Moment) -> bool:
        """True from the start up to, not including, the end."""
        return self.start <= moment < self.end_exclusive


@dataclass(frozen=True, slots=True, order=True)
class Span(_HalfOpen[int]):
    """A run of whole frames: `start` is in it, `end_exclusive` is not."""

    def meet(self, other: Span) -> Span | None:
        """The frames in both, or None when there are none."""
        start, end = max(self.start, other.start), min(self.end_exclusive, other.end_exclusive)
        return Span(start, end) if start < end else None

    def without(self, covered: Iterable[Span]) -> list[Span]:
        """What is left of it outside the covered ones, in order."""
        left, at = [], self.start
        for cover in sorted(covered):
            if at < (end := min(cover.start, self.end_exclusive)):
                left.append(Span(at, end))
            at = max(at, cover.end_exclusive)
        return [*left, Span(at, self.end_exclusive)] if at < self.end_exclusive else left

    def shifted(self, frames: int) -> Span:
        """The same length, `frames` later (earlier when negative)."""
        return Span(self.start + frames, self.end_exclusive + frames)


@dataclass(frozen=True, slots=True, order=True)
class TapeSpan(_HalfOpen[Fraction]):
    """A stretch of tape in exact seconds from the tape's first frame."""

    def meet(self, other: TapeSpan) -> TapeSpan | None:
        """The stretch in both, or None when there is none."""
        start, end = max(self.start, other.start), min(self.end_exclusive, other.end_exclusive)
        return TapeSpan(start, end) if start < end else None
