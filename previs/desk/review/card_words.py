"""All that is said of one note, in whole sentences; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.cut.wording import counted
from previs.desk.review.rows import reviewer_words, where_now
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.document.notes import Note, NoteKind
from previs.exchange.lists import record_label
from previs.review.note_lists import Standing
from previs.review.whereabouts import How


@dataclass(frozen=True, slots=True)
class CardWords:
    """Who asks for what, when it was written, what it was given on, and where that is now."""

    heading: str
    written: str
    given: str
    now: str


def card_words(sequence: Sequence, cut: Cut | None, one: Standing) -> CardWords:
    """The words on a note's card."""
    note = one.note
    kind = tr("\u26a0 {kind}", kind=note.kind.value) if note.kind is NoteKind.SAFETY else note.kind.value
    heading = tr("{kind}, {reviewer}", kind=kind, reviewer=reviewer_words(note.reviewer))
    return CardWords(heading, _written(note), _given(sequence, note), _now(sequence, cut, one))


def _written(note: Note) -> str:
    moment = note.moment
    return tr("{day} {rest} {zone}", day=moment.day, rest=f"{moment:%B %Y, %H:%M}", zone=moment.tzname())


def _given(sequence: Sequence, note: Note) -> str:
    if not note.shot:
        return tr("Given on cut {cut} as a whole.", cut=note.cut)
    at = record_label(sequence, note.first_frame)
    if note.move is None:
        if note.frames == 1:
            return tr("Given on cut {cut} at {at}.", cut=note.cut, at=at)
        return tr("Given on cut {cut} from {at}, for {frames}.", cut=note.cut, at=at, frames=counted(note.frames, "frame"))
    move = next((move for move in sequence.moves if move.number == note.move), None)
    label = move.label if move else tr("which is not in the fight any more")
    return tr("Given on cut {cut} at {at}, on the hit of move {move}, {label}.", cut=note.cut, at=at, move=note.move, label=label)


def _now(sequence: Sequence, cut: Cut | None, one: Standing) -> str:
    found = one.found
    if found is None or cut is None:
        return tr("Homeless: {why}.", why=one.lost)
    if found.how is How.WHOLE:
        return tr("It is about cut {cut} as a whole.", cut=cut.name)
    at, shot = where_now(sequence, cut, one)
    return tr("Now in cut {cut} at {at}, {shot}: {how}.", cut=cut.name, at=at, shot=shot, how=found.how.value)
