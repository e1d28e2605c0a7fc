"""The small fight as it is reviewed: a cut v2 that differs from v1, and notes that were made on v1."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from msgspec.structs import replace

from previs.cut.edits import insert, trim_tail
from previs.cut.placing import place
from previs.cut.versions import copy_cut
from previs.document.model import Card, Cut, Sequence
from previs.document.notes import Drawing, Note, NoteKind, NoteState, Shape


@dataclass(frozen=True)
class FightReview:
    """A folder with a review page, the sequence that it was made from and the cut that it shows."""

    document: Path
    sequence: Sequence
    cut: Cut
    folder: Path

    @property
    def address(self) -> str:
        return (self.folder / "index.html").as_uri()


def changed_cut(sequence: Sequence) -> Sequence:
    """The sequence with a cut v2: a shot shorter, and a card put in."""
    sequence = copy_cut(sequence, "v1", "v2")
    sequence = trim_tail(sequence, "v2", 1, -3)
    return insert(sequence, "v2", 3, Card("the cart goes over", 3, 3), 20)


def with_notes(sequence: Sequence) -> Sequence:
    """The sequence with notes of an earlier reviewer: one for each thing that can become of a note."""
    shots = place(sequence, sequence.cut("v1"))

    def note(ident: str, kind: NoteKind, text: str, number: int, at: int, **more: object) -> Note:
        one = shots[number - 1]
        assert one.source is not None
        return Note(
            ident=ident,
            cut="v1",
            reviewer="Mara Quill",
            written="2027-04-30T10:00:00Z",
            kind=kind,
            text=text,
            shot=one.shot.ident,
            first_frame=one.record.start + at,
            reel=one.source.tape.reel,
            tape_frame=one.source.frame(at),
            **more,  # type: ignore[arg-type]
        )

    drawn = (Drawing(Shape.CIRCLE, 300, 200, 600, 700),)
    notes = (
        note("open1", NoteKind.UNCLEAR, "I do not see it land.", 1, 4, drawings=drawn),
        note("done1", NoteKind.SHORTER, "Too long.", 2, 3, frames=5, state=NoteState.DONE, answer="Three frames out."),
        replace(note("homeless1", NoteKind.STORY, "Why?", 1, 4, state=NoteState.DECLINED, answer="No."), shot="gone", reel="GONE"),
        Note("whole1", "v1", "Mara Quill", "2027-04-30T11:00:00Z", NoteKind.OTHER, "More of the stair."),
    )
    return replace(sequence, notes=notes)
