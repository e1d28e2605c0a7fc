"""What a note was given on, and why it is homeless: on the small cut, after edits that take its picture away."""

from __future__ import annotations

import pytest
from cut.small_cut import CUT, a_cut
from msgspec.structs import replace
from review.making_notes import note_at

from previs.clock import Span
from previs.cut import edits
from previs.cut.versions import copy_cut, delete_cut
from previs.document.model import Sequence
from previs.document.notes import Note, NoteKind, NoteState
from previs.review.as_given import Given, as_given
from previs.review.note_lists import Wanted, one_line, safety_first, standing


@pytest.fixture
def value() -> Sequence:
    return copy_cut(a_cut(), CUT, "v2")


@pytest.fixture
def note(value: Sequence) -> Note:
    return note_at(value, value.cut(CUT), 30, frames=5)


def test_a_reviewer_saw_the_cut_while_that_still_shows_it_and_else_the_tape(value: Sequence, note: Note) -> None:
    assert as_given(value, note) == Given(CUT, "", Span(30, 35))
    tape = Given("", note.reel, Span(note.tape_frame or 0, (note.tape_frame or 0) + 1))
    assert as_given(edits.trim_tail(value, CUT, 1, -3), note) == tape
    assert as_given(delete_cut(value, CUT), note) == tape
    gone = replace(note, reel="GONE")
    assert as_given(delete_cut(value, CUT), gone) is None
    assert as_given(value, replace(note, cut="v9", tape_frame=10**9)) is None


def test_a_note_on_the_whole_was_given_on_all_of_its_cut(value: Sequence, note: Note) -> None:
    whole = replace(note, shot="", reel="", tape_frame=None)
    assert as_given(value, whole) == Given(CUT, "", Span(0, value.cut(CUT).frames))
    assert as_given(delete_cut(value, CUT), whole) is None


def test_why_a_note_is_homeless_names_what_is_gone(value: Sequence, note: Note) -> None:
    number = next(at for at, shot in enumerate(value.cut(CUT).shots, start=1) if shot.ident == note.shot)
    noted = replace(edits.remove(value, "v2", number), notes=(note, replace(note, ident="n2", move=99)))
    one, other = standing(noted, noted.cut("v2"))
    assert one.found is None and other.found is None
    assert one.lost.startswith(f"v2 does not show tape {note.reel} at ") and one.lost.endswith(f", and shot {number} of {CUT} is not in it")
    assert ", move 99 is not seen, and " in other.lost
    assert standing(noted, noted.cut(CUT))[0].lost == ""
    assert standing(noted, None)[0].lost == "there is no cut to look in"
    alone = delete_cut(noted, CUT)
    assert standing(alone, alone.cut("v2"))[0].lost.endswith(f"cut {CUT} has its shot no more")


def test_safety_worries_come_first_and_the_open_ones_before_those(value: Sequence) -> None:
    cut = value.cut(CUT)

    def made(ident: str, frame: int, kind: NoteKind, state: NoteState = NoteState.OPEN) -> Note:
        return replace(note_at(value, cut, frame, ident, kind=kind), state=state)

    noted = replace(
        value,
        notes=(
            made("a", 5, NoteKind.LONGER),
            made("b", 20, NoteKind.SAFETY, NoteState.DONE),
            made("c", 10, NoteKind.STORY),
            made("d", 40, NoteKind.SAFETY),
        ),
    )
    every = standing(noted, cut)
    assert [one.note.ident for one in safety_first(every)] == ["d", "b", "a", "c"]
    assert [one.note.ident for one in every if Wanted(NoteState.OPEN, reviewer=" mara ").holds(one)] == ["a", "c", "d"]
    assert [one.note.ident for one in every if Wanted(kind=NoteKind.SAFETY).holds(one)] == ["b", "d"]


def test_a_text_is_put_on_one_line_without_signs_that_steer() -> None:
    assert one_line("a\n\n b\x1b[2J\u202ec", 40) == "a b [2J c"
    assert one_line("word " * 30, 9) == "word word ..."
