"""Notes coming back into the document: what is new, what was written again, what is known; and what became of each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from msgspec.structs import replace

from previs.document.model import Sequence
from previs.document.notes import Note, NoteState
from previs.faults import UseFault
from previs.review.note_lists import one_line
from previs.review.notes_file import NotesRead

_LONGEST_NAME = 90
"""Signs of a reviewer's name in the name of an edit."""


class ForeignNotes(UseFault):
    """Notes on another sequence, or on a cut that the document never had; a person may know better and want them anyway."""


@dataclass(frozen=True, slots=True)
class Merged:
    """The sequence with the notes in it, and the idents of those that are new, changed by their reviewer, and known already."""

    sequence: Sequence
    new: tuple[str, ...]
    changed: tuple[str, ...]
    known: tuple[str, ...]


def merged(sequence: Sequence, read: NotesRead, *, anyway: bool = False) -> Merged:
    """Take the notes of one file into the document, as `all_merged` does."""
    return all_merged(sequence, (read,), anyway=anyway)


def all_merged(sequence: Sequence, files: Iterable[NotesRead], *, anyway: bool = False) -> Merged:
    """Take reviewers' notes into the document; files of two reviewers add up in any order, the same file twice changes nothing.

    A note that its reviewer wrote again later takes the place of the earlier one, and is open again; one that was taken back
    stays, as that, until it is written again. What became of the others stays. Raises `ForeignNotes` for notes on another
    sequence or on a cut that the document never had, unless `anyway`.
    """
    standing = {note.ident: note for note in sequence.notes}
    before = dict(standing)
    brought: dict[str, None] = {}
    for read in files:
        if not anyway:
            _refuse_foreign(sequence, read)
        for note in read.notes:
            brought[note.ident] = None
            old = standing.get(note.ident)
            if old is None:
                standing[note.ident] = note
            elif (again := _written_again(note, old)) is not None:
                standing[note.ident] = again
    new = tuple(ident for ident in brought if ident not in before)
    changed = tuple(ident for ident in brought if ident in before and standing[ident] is not before[ident])
    known = tuple(ident for ident in brought if ident in before and standing[ident] is before[ident])
    if not new and not changed:
        return Merged(sequence, new, changed, known)
    # In order of writing, so that the document is the same whichever file came first.
    notes = tuple(sorted(standing.values(), key=lambda note: (note.moment, note.ident)))
    return Merged(replace(sequence, notes=notes), new, changed, known)


def named(sequence: Sequence, ident: str) -> Note:
    """The note of this ident, or the one that begins so; raises `UseFault` when there is none or more than one."""
    found = [note for note in sequence.notes if note.ident == ident] or [
        note for note in sequence.notes if ident and note.ident.startswith(ident)
    ]
    if len(found) != 1:
        how = f"{len(found)} notes have marks that begin with" if found else "There is no note with the mark"
        raise UseFault(f"{how} '{ident:.64}'; 'previs notes FILE' lists the notes with their marks.")
    return found[0]


def answered(sequence: Sequence, ident: str, state: NoteState, answer: str = "") -> Sequence:
    """Say what became of the note that `named` finds; an open note has no answer. Raises `UseFault` as it does."""
    wanted = named(sequence, ident)
    if state is NoteState.DECLINED and not answer.strip():
        raise UseFault("Say why the note is declined; the reviewer reads it on the next page.")
    told = replace(wanted, state=state, answer="" if state is NoteState.OPEN else answer.strip())
    if told == wanted:
        raise UseFault(f"The note {wanted.ident} is {wanted.state.value} already, with that answer; nothing was changed.")
    return replace(sequence, notes=tuple(told if note is wanted else note for note in sequence.notes))


def answer_said(note: Note, state: NoteState) -> str:
    """What the edit that gives a note this state is called: `decline a note of Mara`."""
    steps = {NoteState.DONE: "mark as done", NoteState.DECLINED: "decline", NoteState.OPEN: "open again"}
    return f"{steps[state]} a note of {one_line(note.reviewer, _LONGEST_NAME) or 'somebody'}"


def _refuse_foreign(sequence: Sequence, read: NotesRead) -> None:
    here = {note.ident for note in sequence.notes}
    if any(note.ident in here for note in read.notes):
        return
    if read.title != sequence.title:
        raise ForeignNotes(
            f"These notes are on '{read.title:.60}', and this file is '{sequence.title:.60}'; open the file that they were made for, "
            "or take them in anyway when it was given another title since."
        )
    if read.cut not in {cut.name for cut in sequence.cuts} | {note.cut for note in sequence.notes}:
        names = ", ".join(cut.name for cut in sequence.cuts[-12:]) or "none"
        raise ForeignNotes(
            f"These notes are on cut '{read.cut:.40}', which this file does not have (it has {names}); open the file that they were made "
            "for, or take them in anyway when the cut was deleted or given another name since."
        )


def _written_again(note: Note, old: Note) -> Note | None:
    """The note that takes the place of the old one: with another content, taken back or put back, at a later moment; else None.

    It stays with the cut that it was on, which may have been given another name.
    """
    is_gone, was_gone = (one.state is NoteState.TAKEN_BACK for one in (note, old))
    again = replace(note, cut=old.cut, answer=old.answer if is_gone else "")
    is_same = is_gone == was_gone and replace(again, state=old.state, answer=old.answer, written=old.written) == old
    return again if again.moment > old.moment and not is_same else None
