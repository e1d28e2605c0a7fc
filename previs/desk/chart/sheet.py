"""What the step chart shows, as plain values worked out from a cut; the printed chart shows the same. No Qt, no pixels."""

from __future__ import annotations

from dataclasses import dataclass

from previs.clock import Span
from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_seen, moves_held, place, treatments_seen
from previs.document.model import Black, Card, Cut, Kind, Sequence, Size
from previs.document.remembering import remembered
from previs.exchange.lists import moves_text
from previs.fight.balance import Spell, balance


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
    """A treatment over the record frames in which a step has one size."""

    record: Span
    size: Size
    kind: Kind
    role: str


@dataclass(frozen=True, slots=True)
class ChartSheet:
    """All of the chart. `sizes` are those that have a line, widest first: those used and one more on either side.

    `ticks` are hits with the size at which each is seen; `phrases` the record frames at which a phrase's first hit is seen.
    """

    steps: tuple[Step, ...]
    ticks: tuple[tuple[SeenHit, Size], ...]
    hatched: tuple[Hatched, ...]
    spells: tuple[Spell, ...]
    roles: tuple[str, ...]
    phrases: tuple[tuple[int, int], ...]
    sizes: tuple[Size, ...]
    frames: int
    target_frames: int

    @property
    def end_frame(self) -> int:
        """The end of the cut or its target, whichever is later."""
        return max(self.frames, self.target_frames)

    def level(self, size: Size) -> int:
        """The line of a size, from 1 for the lowest."""
        return size.closeness - self.sizes[0].closeness + 1

    def step_at(self, frame: int) -> Step | None:
        """The step that a record frame belongs to."""
        return next((step for step in self.steps if step.record.holds(frame)), None)


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
    used = [size.closeness for step in steps for _, size in step.runs] or [0, len(Size) - 1]
    return ChartSheet(
        steps=steps,
        ticks=tuple((seen, _size_at(runs[seen.placed.number], seen.record_frame)) for seen in hits),
        hatched=tuple(part for seen in treatments_seen(sequence, placed) for part in _hatched(seen, runs[seen.placed.number])),
        spells=balance(sequence, cut).spells,
        roles=sequence.roles,
        phrases=_phrases(sequence, hits),
        sizes=tuple(Size)[max(min(used) - 1, 0) : max(used) + 2],
        frames=cut.frames,
        target_frames=cut.target_frames,
    )


def _size_at(runs: tuple[tuple[Span, Size], ...], frame: int) -> Size:
    return next((size for span, size in runs if span.holds(frame)), runs[-1][1])


def _hatched(seen: SeenTreatment, runs: tuple[tuple[Span, Size], ...]) -> list[Hatched]:
    parts = [(span.meet(seen.record), size) for span, size in runs]
    return [Hatched(span, size, seen.treatment.kind, seen.treatment.role) for span, size in parts if span]


def _phrases(sequence: Sequence, hits: tuple[SeenHit, ...]) -> tuple[tuple[int, int], ...]:
    """Where each phrase is first seen, with its number, in running order."""
    of = {move.number: phrase.number for phrase in sequence.phrases for move in phrase.moves}
    first: dict[int, int] = {}
    for seen in hits:
        first.setdefault(of[seen.move.number], seen.record_frame)
    return tuple((frame, number) for number, frame in first.items())
