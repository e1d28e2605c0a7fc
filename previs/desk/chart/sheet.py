"""What the step chart shows, as plain values worked out from a cut; the printed chart shows the same. No Qt, no pixels."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from previs.clock import Span
from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_seen, moves_held, place, treatments_seen
from previs.document.model import Black, Card, Cut, Kind, Sequence, Size
from previs.document.remembering import remembered
from previs.exchange.chart_data import Lines, lines_of, phrase_names, stretches
from previs.exchange.lists import moves_text
from previs.fight.balance import Spell, spells


@dataclass(frozen=True, slots=True)
class Step:
    """One shot: `runs` are the record frames in which it keeps a size, on under a transition; none for a card and for black."""

    placed: Placed
    runs: tuple[tuple[Span, Size], ...]
    moves: str

    @property
    def number(self) -> int:
        """The shot's number, from 1."""
        return self.placed.number

    @property
    def record(self) -> Span:
        """Its record frames."""
        return self.placed.record

    @property
    def card(self) -> Card | None:
        """The card, where it is one."""
        picture = self.placed.shot.picture
        return picture if isinstance(picture, Card) else None

    @property
    def black(self) -> bool:
        """Whether it is black."""
        return isinstance(self.placed.shot.picture, Black)


@dataclass(frozen=True, slots=True)
class Hatched:
    """A treatment over the record frames in which a step, `shot` by its number, has one size."""

    shot: int
    record: Span
    size: Size
    kind: Kind
    role: str


@dataclass(frozen=True, slots=True)
class ChartSheet:
    """All of the chart.

    `ticks` are hits with the size at which each is seen, in running order; `phrases` the record frames through which each
    phrase is seen, with its number.
    """

    steps: tuple[Step, ...]
    ticks: tuple[tuple[SeenHit, Size], ...]
    hatched: tuple[Hatched, ...]
    spells: tuple[Spell, ...]
    roles: tuple[str, ...]
    phrases: tuple[tuple[Span, str], ...]
    lines: Lines
    frames: int
    target_frames: int

    @property
    def end_frame(self) -> int:
        """The end of the cut or its target, whichever is later."""
        return max(self.frames, self.target_frames)

    def step_at(self, frame: int) -> Step | None:
        """The step that a record frame belongs to."""
        at = bisect_right(self.steps, frame, key=lambda step: step.record.start) - 1
        return self.steps[at] if at >= 0 and self.steps[at].record.holds(frame) else None

    def steps_in(self, seen: Span) -> tuple[Step, ...]:
        """The steps that show any of these record frames, and their neighbours; also one that plays on under a transition."""
        first = bisect_left(self.steps, seen.start, key=lambda step: step.placed.on_screen.end_exclusive)
        last = bisect_right(self.steps, seen.end_exclusive, key=lambda step: step.record.start)
        return self.steps[max(first - 1, 0) : last + 1]

    def ticks_in(self, seen: Span) -> tuple[tuple[SeenHit, Size], ...]:
        """The ticks in these record frames, and the next one after them."""
        first = bisect_left(self.ticks, seen.start, key=lambda tick: tick[0].record_frame)
        last = bisect_right(self.ticks, seen.end_exclusive, key=lambda tick: tick[0].record_frame)
        return self.ticks[first : last + 1]


@remembered(newest=2)
def sheet_of(sequence: Sequence, cut: Cut) -> ChartSheet:
    """The chart of a cut."""
    fps = sequence.timebase.rate.fps
    placed = place(sequence, cut)
    hits, held = hits_seen(sequence, placed), moves_held(sequence, placed)
    steps = tuple(
        Step(one, tuple((span, framing.size) for span, framing in one.framings(fps)), moves_text(held[one.number])) for one in placed
    )
    runs = {step.number: step.runs for step in steps}
    return ChartSheet(
        steps=steps,
        ticks=tuple((seen, _size_at(runs[seen.placed.number], seen.record_frame)) for seen in hits),
        hatched=tuple(part for seen in treatments_seen(sequence, placed) for part in _hatched(seen, runs[seen.placed.number])),
        spells=spells(sequence, cut),
        roles=sequence.roles,
        phrases=tuple(stretches(hits, phrase_names(sequence), cut.frames)),
        lines=lines_of(size for step in steps for _, size in step.runs),
        frames=cut.frames,
        target_frames=cut.target_frames,
    )


def _size_at(runs: tuple[tuple[Span, Size], ...], frame: int) -> Size:
    return next((size for span, size in runs if span.holds(frame)), runs[-1][1])


def _hatched(seen: SeenTreatment, runs: tuple[tuple[Span, Size], ...]) -> list[Hatched]:
    parts = [(span.meet(seen.record), size) for span, size in runs]
    return [Hatched(seen.placed.number, span, size, seen.treatment.kind, seen.treatment.role) for span, size in parts if span]
