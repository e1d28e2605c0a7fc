"""The document's notes as the next review page shows them: what became of each, and where it is in this version; changes nothing."""

from __future__ import annotations

from previs.cut.wording import counted
from previs.document.model import Cut, Sequence
from previs.document.notes import Note
from previs.exchange.lists import record_label
from previs.review.page_values import Drawn, EarlierNote
from previs.review.whereabouts import Found, How, find_all


def earlier_notes(sequence: Sequence, cut: Cut) -> tuple[EarlierNote, ...]:
    """Every note of the document for the page of a cut, those with a place in running order, the homeless ones last."""
    found = [_earlier(sequence, note, there) for note, there in zip(sequence.notes, find_all(sequence, cut, sequence.notes), strict=True)]
    return tuple(sorted(found, key=lambda one: (one.first is None, one.first or 0, one.written, one.ident)))


def _earlier(sequence: Sequence, note: Note, there: Found | None) -> EarlierNote:
    return EarlierNote(
        ident=note.ident,
        cut=note.cut,
        reviewer=note.reviewer,
        written=note.written,
        kind=note.kind.value,
        text=note.text,
        about=_about(sequence, note),
        state=note.state.value,
        answer=note.answer,
        first=there.record.start if there else None,
        frames=there.record.length if there else 0,
        shot=there.shot if there else None,
        how=there.how.value if there else "its frames, its hit and its shot are not in this version",
        # What was drawn on one picture says nothing on another.
        drawings=tuple(Drawn(one.shape.value, one.from_x, one.from_y, one.to_x, one.to_y) for one in note.drawings)
        if there and there.how in (How.SAME_FRAMES, How.OTHER_SHOT)
        else (),
    )


def _about(sequence: Sequence, note: Note) -> str:
    if not note.shot:
        return "the whole cut"
    move = next((move for move in sequence.moves if move.number == note.move), None)
    if note.move is not None:
        return f"the hit of move {note.move}{f', {move.label}' if move else ''}"
    begins = record_label(sequence, note.first_frame)
    return begins if note.frames == 1 else f"{begins}, {counted(note.frames, 'frame')}"
