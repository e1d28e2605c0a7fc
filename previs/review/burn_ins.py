"""What is burnt into each frame of a movie for review: time code, shot, phrase, move, treatment, version; it draws nothing.

Two shots are named while a transition leads from one to the other; the move is that of the shot which has half of the picture
or more; a treatment stands to the transition's last frame. A shot's run-up belongs to the first hit that it shows, and from
there a move is named until the next one lands. In a shot that shows no hit the move before is named while its phrase is on.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import date

from previs.clock import Span
from previs.cut.placing import Placed, SeenHit, hits_seen, moves_held, place, treatments_seen
from previs.document.model import Black, Card, Cut, Move, Phrase, Sequence
from previs.exchange.captions import phrases_on
from previs.exchange.lists import moves_text, record_label
from previs.media.strips import Line, Words

CONFIDENTIAL = "rehearsal footage: not for distribution"


class BurnIns:
    """The words of every frame of a cut; called with a frame's number, counted from the cut's first."""

    def __init__(self, sequence: Sequence, cut: Cut, made: date, *, confidential: bool = True) -> None:
        """`made` is the date that stands on the movie; `confidential` adds that it is not for distribution."""
        self._sequence = sequence
        self._foot = CONFIDENTIAL if confidential else ""
        told = _Told(sequence, cut, made)
        self._edges = told.edges()
        self._lines = [told.lines(edge) for edge in self._edges]

    def __call__(self, frame: int) -> Words:
        """The words of a record frame; past the cut's ends those of its first or its last."""
        lines = self._lines[max(0, bisect_right(self._edges, frame) - 1)]
        return Words(record_label(self._sequence, frame), lines, self._foot)


@dataclass(frozen=True, slots=True)
class _Said:
    """Words that stand on a run of frames."""

    on: Span
    words: str


class _Told:
    """What there is to say of a cut, gathered once."""

    def __init__(self, sequence: Sequence, cut: Cut, made: date) -> None:
        self._version = f"cut {cut.name}, {made.isoformat()}"
        self._placed = place(sequence, cut)
        self._hits = hits_seen(sequence, self._placed)
        self._held = moves_held(sequence, self._placed)
        self._moves = {move.number: move for move in sequence.moves}
        self._phrases: list[tuple[Phrase, Span]] = phrases_on(sequence, cut)
        self._shots = [_Said(one.on_screen, _shot_name(one)) for one in self._placed if not isinstance(one.shot.picture, Black)]
        self._treated = [
            _Said(seen.record, ", ".join(filter(None, (seen.treatment.kind.value, seen.treatment.role))))
            for seen in treatments_seen(sequence, self._placed)
        ]

    def edges(self) -> list[int]:
        """Every record frame from which on something else may be said."""
        spans = [said.on for said in (*self._shots, *self._treated)] + [span for _, span in self._phrases]
        starts = [0, *(one.comes_in.__ceil__() for one in self._placed), *(hit.record_frame for hit in self._hits)]
        return sorted({*starts, *(edge for span in spans for edge in (span.start, span.end_exclusive))})

    def lines(self, frame: int) -> tuple[Line, ...]:
        """All that stands on a frame but its time code."""
        shots = _joined(self._shots, frame, " > ")
        phrase = next((f"phrase {one.number}" for one, span in self._phrases if span.holds(frame)), "")
        where = ", ".join(filter(None, (f"shot {shots}" if shots else "black", phrase)))
        return Line(where, self._version), Line(self._move(frame), _joined(self._treated, frame, "; "))

    def _move(self, frame: int) -> str:
        one = next((one for one in self._placed if one.comes_in <= frame < one.goes_out), None)
        if one is None:
            return ""
        if isinstance(one.shot.picture, Card):
            return self._on_card(self._held[one.number])
        own = [hit for hit in self._hits if hit.placed.number == one.number]
        if own:
            landed = [hit for hit in own if hit.record_frame <= max(frame, own[0].record_frame)]
        else:
            landed = [hit for hit in self._hits if hit.record_frame <= frame and self._phrase_on(hit, frame)]
        together = [hit for hit in landed if hit.record_frame == landed[-1].record_frame]
        return "; ".join(_move_name(hit.move) for hit in together)

    def _phrase_on(self, hit: SeenHit, frame: int) -> bool:
        return any(span.holds(frame) and hit.move in phrase.moves for phrase, span in self._phrases)

    def _on_card(self, moves: tuple[int, ...]) -> str:
        if not moves:
            return ""
        what = _move_name(self._moves[moves[0]]) if len(moves) == 1 else f"moves {moves_text(moves)}"
        return f"{what}: not shot yet"


def _joined(every: list[_Said], frame: int, between: str) -> str:
    return between.join(dict.fromkeys(said.words for said in every if said.on.holds(frame)))


def _shot_name(one: Placed) -> str:
    return one.shot.code or str(one.number)


def _move_name(move: Move) -> str:
    return f"{move.number} {move.label}" + (f" ({move.line})" if move.line else "")
