"""Notes coming back into the document: what is new, what was written again, what is known; and what became of each."""

from __future__ import annotations

from dataclasses import dataclass

from msgspec.structs import replace

from previs.document.model import Sequence
from previs.document.notes import Note, NoteState
from previs.faults import UseFault
from previs.review.notes_file import NotesRead


@dataclass(frozen=True, slots=True)
class Merged:
    """The sequence with the notes in it, and the idents of those that are new, changed by their reviewer, and known already."""

    sequence: Sequence
    new: tuple[str, ...]
    changed: tuple[str, ...]
    known: tuple[str, ...]


def merged(sequence: Sequence, read: NotesRead) -> Merged:
    """Take a reviewer's notes into the document; two files of two reviewers add up, the same file twice changes nothing.

    A note that its reviewer wrote again later takes the place of the earlier one, and is open again. What became of the
    others stays. Raises `UseFault` for notes on another sequence or on a cut that the document never had.
    """
    if read.title != sequence.title:
        raise UseFault(
            f"These notes are on '{read.title:.60}', and this file is '{sequence.title:.60}'; open the file that they were made for."
        )
    known_cuts = {cut.name for cut in sequence.cuts} | {note.cut for note in sequence.notes}
    if read.cut not in known_cuts:
        names = ", ".join(cut.name for cut in sequence.cuts) or "none"
        raise UseFault(
            f"These notes are on cut '{read.cut:.40}', which this file does not have (it has {names}); open a kept version that has it."
        )
    standing = {note.ident: note for note in sequence.notes}
    new, changed, known = [], [], []
    for note in read.notes:
        old = standing.get(note.ident)
        if old is None:
            new.append(note.ident)
        elif _is_later(note, old):
            changed.append(note.ident)
        else:
            known.append(note.ident)
            continue
        standing[note.ident] = note
    return Merged(replace(sequence, notes=tuple(standing.values())), tuple(new), tuple(changed), tuple(known))


def answered(sequence: Sequence, ident: str, state: NoteState, answer: str = "") -> Sequence:
    """Say what became of a note; `ident` may be its beginning, when no other note begins so. Raises `UseFault` otherwise."""
    found = [note for note in sequence.notes if note.ident == ident] or [note for note in sequence.notes if note.ident.startswith(ident)]
    if len(found) != 1 or not ident:
        how = "There is no note" if not found else f"{len(found)} notes begin with"
        raise UseFault(f"{how} '{ident:.64}'; 'previs notes FILE' lists the notes with their marks.")
    if state is NoteState.DECLINED and not answer.strip():
        raise UseFault("Say why the note is declined; the reviewer reads it on the next page.")
    wanted = replace(found[0], state=state, answer=answer.strip())
    return replace(sequence, notes=tuple(wanted if note is found[0] else note for note in sequence.notes))


def _is_later(note: Note, old: Note) -> bool:
    """Whether a reviewer wrote a note again: another content, at a later moment."""
    return note.written > old.written and replace(note, state=old.state, answer=old.answer) != old
