"""The pace of a cut in plain words for a director: how long, where it is dead, where it rushes, who is winning; it judges nothing.

Where something is longest or quickest is said with its figure; whether that is too long is for the reader.
"""

from __future__ import annotations

from bisect import bisect_right
from statistics import median

from previs.clock import Span
from previs.cut.pace import RUSH_HITS, Pace, rushes
from previs.cut.placing import Placed
from previs.document.model import LEVEL, Card, Cut, Sequence
from previs.exchange.lists import against_target, counted_shots, record_label
from previs.fight.balance import Balance, Shown
from previs.review.page_values import Line, Told

_MOST = 3


def told(sequence: Sequence, cut: Cut, placed: tuple[Placed, ...], figures: Pace, hands: Balance) -> Told:
    """The pace and the upper hand in four groups of sentences, those about a place with its frames."""
    words = _Words(sequence, cut, placed, figures)
    return Told(words.length(), words.dead(), words.rush(), words.winning(hands))


class _Words:
    def __init__(self, sequence: Sequence, cut: Cut, placed: tuple[Placed, ...], figures: Pace) -> None:
        self._sequence, self._cut, self._placed, self._figures = sequence, cut, placed, figures

    def length(self) -> tuple[Line, ...]:
        lengths, longest = self._figures.lengths, self._figures.shots.sort_values("seconds", ascending=False, kind="stable").iloc[0]
        one = self._placed[int(longest["shot"]) - 1]
        return (
            Line(f"It lasts {self._said(self._cut.frames)}: {against_target(self._sequence, self._cut)}."),
            Line(f"It has {counted_shots(self._cut)}; the middle one lasts {lengths.median:.1f} s, the shortest {lengths.shortest:.1f} s."),
            self._line(one.record, f"The longest shot lasts {lengths.longest:.1f} s"),
        )

    def dead(self) -> tuple[Line, ...]:
        if not self._figures.hits:
            return (Line("No hit is seen, so nothing can be said of where it is dead."),)
        middle = median(span.length for span in self._figures.dead_air)
        return tuple(self._dead_line(span, middle) for span in self._figures.dead_air[:_MOST])

    def _dead_line(self, span: Span, middle: float) -> Line:
        times = span.length / middle
        held = any(isinstance(one.shot.picture, Card) and one.record.meet(span) for one in self._placed)
        beside = f", {times:.1f} times the middle gap" if times >= 1.05 else ""
        return self._line(span, f"{self._seconds(span.length)} without a hit{beside}{', part of it on a card' if held else ''}")

    def rush(self) -> tuple[Line, ...]:
        found = rushes(self._figures.hits)
        if not found:
            return (Line(f"Fewer than {RUSH_HITS} hits are seen, so nothing can be said of where it rushes."),)
        return tuple(self._line(span, f"{RUSH_HITS} hits within {self._seconds(span.length)}") for span in found[:_MOST])

    def winning(self, hands: Balance) -> tuple[Line, ...]:
        shares = ", ".join(f"{'level' if name == LEVEL else name} {100 * float(hands.share(name)):.0f} %" for name in hands.frames)
        times = {0: "never goes", 1: "goes once"}.get(hands.changes_of_side, f"goes {hands.changes_of_side} times")
        lines = [Line(f"Who has the upper hand: {shares}. It {times} from one side to the other.")]
        if run := hands.longest_run:
            lines.append(self._line(run.record, f"{run.holder} has it longest, {self._seconds(run.record.length)}"))
        for turn in hands.turns:
            if turn.shown is Shown.AS_PLANNED:
                continue
            what = f"The turn to {turn.holder} with move {turn.move} is {turn.shown}"
            at = turn.record_frame
            lines.append(
                Line(f"{what}.") if at is None else self._line(Span(min(at, self._cut.frames - 1), min(at, self._cut.frames - 1) + 1), what)
            )
        if hands.turns and all(turn.shown is Shown.AS_PLANNED for turn in hands.turns):
            lines.append(Line(f"All {len(hands.turns)} turns of the written fight are seen as planned."))
        return tuple(lines)

    def _line(self, span: Span, what: str) -> Line:
        first, last = (self._number(frame) for frame in (span.start, span.end_exclusive - 1))
        shots = f"shot {first}" if first == last else f"shots {first} to {last}"
        return Line(f"{what}, from {record_label(self._sequence, span.start)}, {shots}.", span.start, span.length)

    def _number(self, frame: int) -> int:
        return max(1, bisect_right(self._placed, frame, key=lambda one: one.record.start))

    def _seconds(self, frames: int) -> str:
        return f"{float(frames / self._figures.fps):.1f} s"

    def _said(self, frames: int) -> str:
        return f"{self._seconds(frames)} ({self._sequence.timebase.label(self._sequence.timebase.wrap(frames))})"
