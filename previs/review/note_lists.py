"""The document's notes as rows and as a sheet: what was asked, what became of it and where it is in a cut; it changes nothing."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from previs.document.model import Cut, Sequence
from previs.document.notes import Note, NoteKind, NoteState
from previs.exchange.lists import OUT_NOTE, Row, record_label
from previs.handoff.cautions import cautions
from previs.handoff.sheets import Sheet, Table, head
from previs.review.as_given import why_homeless
from previs.review.whereabouts import Found, How, find_all

HOMELESS = "homeless"
WHOLE_CUT = "whole cut"
SAFETY = (
    "A safety worry is settled with the stunt coordinator, before anybody works on. This list passes on what reviewers wrote, answers "
    "nothing and rules nothing out."
)
_LEAST_MARK = 6
_COLUMNS = ("mark", "state", "kind", "reviewer", "cut", "shot", "at", "out", "move", "note", "answer", "found")
_OF_A_MOVE = ("mark", "state", "kind", "reviewer", "cut", "shot", "at", "note", "answer")
_MOVE_COLUMNS = ("move", "label", "takes", *_OF_A_MOVE)


@dataclass(frozen=True, slots=True)
class Standing:
    """A note, the mark that a person may call it by, and where it is in a cut: None when it is homeless or there is no cut.

    `lost` says why it was not found, and is empty when it was.
    """

    note: Note
    mark: str
    found: Found | None
    lost: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which notes are listed: those in a state, of a kind, of a reviewer, named without regard to capitals; None for all."""

    state: NoteState | None = None
    kind: NoteKind | None = None
    reviewer: str | None = None
    on_moves: bool = False

    def holds(self, one: Standing) -> bool:
        """Whether a note is among them."""
        note = one.note
        return (
            self.state in (None, note.state)
            and self.kind in (None, note.kind)
            and (self.reviewer is None or note.reviewer.casefold() == self.reviewer.strip().casefold())
            and (not self.on_moves or note.move is not None)
        )


def standing(sequence: Sequence, cut: Cut | None) -> tuple[Standing, ...]:
    """Every note of the document, in running order of the cut, those on the whole first and the homeless last."""
    places = find_all(sequence, cut, sequence.notes) if cut else [None] * len(sequence.notes)
    marks = _marks(note.ident for note in sequence.notes)
    every = [
        Standing(note, marks[note.ident], found, "" if found else why_homeless(sequence, cut, note))
        for note, found in zip(sequence.notes, places, strict=True)
    ]
    return tuple(sorted(every, key=_in_running_order))


def of_these(every: Iterable[Standing], idents: Container[str]) -> tuple[Standing, ...]:
    """Those of the notes that have one of these idents, in the same order."""
    return tuple(one for one in every if one.note.ident in idents)


def safety_first(every: Iterable[Standing]) -> tuple[Standing, ...]:
    """The same notes in the same order, but safety worries before all others, and the open ones among them first."""
    return tuple(sorted(every, key=lambda one: (one.note.kind is not NoteKind.SAFETY, not has_safety_worry((one,)))))


def note_row(sequence: Sequence, one: Standing) -> Row:
    """One note with its place as record time code; an out is the frame after the last."""
    note, found = one.note, one.found
    begins, ends = _place(sequence, found)
    return {
        "mark": one.mark,
        "state": note.state.value,
        "kind": note.kind.value,
        "reviewer": note.reviewer,
        "cut": note.cut,
        "shot": found.shot if found else None,
        "at": begins,
        "out": ends,
        "move": note.move,
        "note": note.text,
        "answer": note.answer,
        "found": found.how.value if found else f"nowhere: {one.lost}",
    }


def move_rows(sequence: Sequence, every: Iterable[Standing]) -> list[Row]:
    """The notes about hits by move, each with every take that holds the move: what is asked of a hit is asked of all its takes."""
    labels = {move.number: move.label for move in sequence.moves}
    takes: dict[int, list[str]] = {}
    for take in sequence.takes:
        for held in dict.fromkeys(hit.move for hit in take.hits):
            takes.setdefault(held, []).append(take.name)
    about = [(number, note_row(sequence, one)) for one in every if (number := one.note.move) is not None]
    return [
        {
            "move": number,
            "label": labels.get(number, "(not in the fight any more)"),
            "takes": ", ".join(takes.get(number, ())),
            **{name: row[name] for name in _OF_A_MOVE},
        }
        for number, row in sorted(about, key=lambda one: one[0])
    ]


def notes_sheet(sequence: Sequence, cut: Cut, made: date, every: Iterable[Standing]) -> Sheet:
    """The notes as a sheet: the open ones, those that were answered, and those about hits by move."""
    listed = tuple(every)
    still_open = [note_row(sequence, one) for one in listed if one.note.state is NoteState.OPEN]
    answered = [note_row(sequence, one) for one in listed if one.note.state is not NoteState.OPEN]
    by_move = move_rows(sequence, listed)
    remark = f"Where each is in cut {cut.name}. {OUT_NOTE}"
    tables = (
        _table("open", "Open notes", _COLUMNS, still_open, "No note is open.", remark),
        _table("answered", "Answered notes", _COLUMNS, answered, "No note has been answered.", remark),
        _table("moves", "Notes about hits, by move", _MOVE_COLUMNS, by_move, "No note is about a hit.", "Asked of every take of the move."),
    )
    return Sheet("notes", "Notes", head(sequence, cut, made), tables, cautions(SAFETY))


def has_safety_worry(every: Iterable[Standing]) -> bool:
    """Whether an open note among them worries about safety."""
    return any(one.note.kind is NoteKind.SAFETY and one.note.state is NoteState.OPEN for one in every)


def one_line(text: str, longest: int) -> str:
    """A text of a note on one line of at most so many signs, without signs that would steer a terminal or turn a line around."""
    words = " ".join("".join(sign if sign.isprintable() else " " for sign in text[: 4 * longest]).split())
    return words if len(words) <= longest else f"{words[:longest].rstrip()} ..."


def _table(name: str, title: str, columns: tuple[str, ...], rows: list[Row], empty: str, remark: str) -> Table:
    cells = tuple(tuple(row[column] for column in columns) for row in rows)
    return Table(name, f"{title}: {len(rows)}", columns, cells, empty, remark)


def _place(sequence: Sequence, found: Found | None) -> tuple[str, str]:
    if found is None:
        return HOMELESS, ""
    if found.how is How.WHOLE:
        return WHOLE_CUT, ""
    return record_label(sequence, found.record.start), record_label(sequence, found.record.end_exclusive)


def _in_running_order(one: Standing) -> tuple[bool, bool, int, str, str]:
    found = one.found
    is_whole = found is not None and found.how is How.WHOLE
    return found is None, not is_whole, found.record.start if found else 0, one.note.written, one.note.ident


def _marks(idents: Iterable[str]) -> dict[str, str]:
    """The beginning of each ident that no other begins with, of at least a few signs."""
    ordered = sorted(idents)
    least = dict.fromkeys(ordered, _LEAST_MARK)
    for one, other in pairwise(ordered):
        shared = next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
        for ident in (one, other):
            least[ident] = max(least[ident], shared + 1)
    return {ident: ident[:length] for ident, length in least.items()}
