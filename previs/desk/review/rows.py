"""The notes as rows to look at, what they can be filtered by, and how it stands with them in words; no Qt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from previs.cut.wording import counted
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.document.notes import Note, NoteKind, NoteState
from previs.exchange.lists import record_label
from previs.review.note_lists import HOMELESS, WHOLE_CUT, Standing, has_safety_worry, one_line
from previs.review.whereabouts import How

_LONGEST_SHOWN = 240
"""Signs of a text in the list; beside it the whole is read."""


class Column(IntEnum):
    """The columns, from the left."""

    STATE = 0
    KIND = 1
    GIVEN = 2
    NOW = 3
    NOTE = 4


FIGURES = frozenset({Column.GIVEN, Column.NOW})
"""The columns of time code."""


@dataclass(frozen=True, slots=True)
class NoteRow:
    """One note: the words of each column, in two lines at most; `worries` for an open safety worry."""

    standing: Standing
    cells: tuple[str, ...]
    worries: bool

    @property
    def ident(self) -> str:
        """The note's own, which it keeps."""
        return self.standing.note.ident


def headings(cut: Cut | None) -> tuple[str, ...]:
    """Over the columns."""
    now = tr("Now in {cut}", cut=cut.name) if cut else tr("Now")
    return (tr("State"), tr("Kind, reviewer"), tr("Given"), now, tr("Note"))


def state_words(state: NoteState) -> str:
    """A state by its sign and its name."""
    return {
        NoteState.OPEN: tr("\u25cb open"),
        NoteState.DONE: tr("\u2714 done"),
        NoteState.DECLINED: tr("\u2716 declined"),
        NoteState.TAKEN_BACK: tr("\u21a9 taken back"),
    }[state]


def note_rows(sequence: Sequence, cut: Cut | None, every: tuple[Standing, ...]) -> tuple[NoteRow, ...]:
    """A row for each note, in their order."""
    return tuple(_row(sequence, cut, one) for one in every)


def reviewers(every: Iterable[Standing]) -> tuple[str, ...]:
    """Everybody who gave a note, each once, in the order of the alphabet."""
    return tuple(sorted({one.note.reviewer for one in every}, key=lambda name: (name.casefold(), name)))


def reviewer_words(name: str) -> str:
    """A reviewer's name on one line; nobody writes their name with signs that cannot be printed."""
    return one_line(name, 40) or tr("without a name")


def told(every: tuple[Standing, ...], listed: int, cut: Cut | None) -> str:
    """How it stands with the notes, in a line or two."""
    if not every:
        return tr(
            "There are no notes yet. Write the review folder and send it; take in the files that reviewers send back, or drop them here."
        )
    still = sum(one.note.state is NoteState.OPEN for one in every)
    homeless = sum(one.found is None for one in every)
    notes = counted(len(every), "note")
    if cut is None:
        said = tr("{notes}, {open} open. Without a cut all of them are homeless.", notes=notes, open=still)
    else:
        said = tr("{notes}, {open} open, {homeless} homeless in cut {cut}.", notes=notes, open=still, homeless=homeless, cut=cut.name)
    return said if listed == len(every) else tr("{said} {listed} of them are listed.", said=said, listed=listed)


def where_now(sequence: Sequence, cut: Cut | None, one: Standing) -> tuple[str, str]:
    """Where a note is in the cut: its time code, and its shot by number and code; homeless, and nothing."""
    found = one.found
    if found is None or cut is None:
        return HOMELESS, ""
    if found.how is How.WHOLE or found.shot is None:
        return WHOLE_CUT, ""
    code = cut.shots[found.shot - 1].code
    at = record_label(sequence, found.record.start)
    return at, tr("shot {number}, {code}", number=found.shot, code=code) if code else tr("shot {number}", number=found.shot)


def how_worried(every: tuple[Standing, ...]) -> int:
    """How many open notes worry about safety."""
    return sum(has_safety_worry((one,)) for one in every)


def _row(sequence: Sequence, cut: Cut | None, one: Standing) -> NoteRow:
    note = one.note
    given = record_label(sequence, note.first_frame) if note.shot else WHOLE_CUT
    worries = has_safety_worry((one,))
    kind = tr("\u26a0 {kind}", kind=note.kind.value) if note.kind is NoteKind.SAFETY else note.kind.value
    text = one_line(note.text, _LONGEST_SHOWN) or tr("(no words)")
    answer = one_line(note.answer, _LONGEST_SHOWN)
    cells = (
        state_words(note.state),
        f"{kind}\n{reviewer_words(note.reviewer)}",
        f"{_given_on(note)}\n{given}",
        "\n".join(where_now(sequence, cut, one)).rstrip(),
        tr("{text}\n\u2192 {answer}", text=text, answer=answer) if answer else text,
    )
    return NoteRow(one, cells, worries)


def _given_on(note: Note) -> str:
    cut = one_line(note.cut, 20)
    return cut if note.move is None else tr("{cut}, move {move}", cut=cut, move=note.move)
