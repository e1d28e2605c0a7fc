"""Notes taken into the document: nothing lost, in any order, nothing twice; answers kept, and opened again when written again."""

from __future__ import annotations

import pytest
from document.drawn import notes, plain_sequence
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.cut.versions import delete_cut, rename_cut
from previs.document.model import Sequence
from previs.document.notes import Note, NoteKind, NoteState
from previs.document.text import from_text, to_text
from previs.faults import UseFault
from previs.review.coming_back import all_merged, answered, merged, named
from previs.review.notes_file import NotesRead

BARE = replace(plain_sequence(), notes=())
TITLE = BARE.title


def opened(note: Note, ident: str) -> Note:
    return replace(note, ident=ident, state=NoteState.OPEN, answer="")


def files_of(reviewer: str) -> st.SearchStrategy[NotesRead]:
    """A file of one reviewer: idents of theirs alone."""
    made = st.lists(notes(cut=st.just("v1")), max_size=4).map(
        lambda drawn: tuple(opened(note, f"{reviewer}-{number}") for number, note in enumerate(drawn))
    )
    return made.map(lambda noted: NotesRead(TITLE, "v1", noted))


@settings(deadline=None, max_examples=60)
@given(files_of("mara"), files_of("joss"))
def test_two_reviewers_add_up_in_any_order_and_a_file_twice_changes_nothing(mara: NotesRead, joss: NotesRead) -> None:
    one = merged(merged(BARE, mara).sequence, joss)
    other = merged(merged(BARE, joss).sequence, mara)
    assert one.sequence == other.sequence == all_merged(BARE, (joss, mara)).sequence == all_merged(BARE, (mara, joss, mara)).sequence
    assert sorted(note.ident for note in one.sequence.notes) == sorted(note.ident for note in (*mara.notes, *joss.notes))
    assert set(one.sequence.notes) == {*mara.notes, *joss.notes}
    assert one.new == tuple(note.ident for note in joss.notes)
    for again in (mara, joss):
        twice = merged(one.sequence, again)
        assert twice.sequence is one.sequence
        assert (twice.new, twice.changed, twice.known) == ((), (), tuple(note.ident for note in again.notes))
    assert from_text(to_text(one.sequence), "a.previs") == one.sequence


def note(ident: str = "abc123", written: str = "2026-11-25T10:00:00Z", **more: object) -> Note:
    given: dict[str, object] = {"cut": "v1", "reviewer": "Mara", "kind": NoteKind.LONGER, "text": "hold it", "shot": "s1"}
    return Note(ident=ident, written=written, **(given | more))  # type: ignore[arg-type]


def read(*made: Note, title: str = TITLE, cut: str = "v1") -> NotesRead:
    return NotesRead(title, cut, made)


def taken(*made: Note) -> Sequence:
    return merged(BARE, read(*made)).sequence


def test_a_note_written_again_later_takes_the_place_of_the_earlier_and_is_open_again() -> None:
    done = answered(taken(note(), note("other")), "abc123", NoteState.DONE, "12 frames more")
    again = merged(done, read(note(written="2026-11-25T11:30:00.5+01:00", text="longer still")))
    assert (again.new, again.changed, again.known) == ((), ("abc123",), ())
    assert named(again.sequence, "abc123").text == "longer still"
    assert named(again.sequence, "abc123").state is NoteState.OPEN
    assert len(again.sequence.notes) == 2


@pytest.mark.parametrize("earlier", ["2026-11-25T09:59:59.999Z", "2026-11-25T10:59:00+01:00", "2026-11-25T10:00:00Z"])
def test_one_written_earlier_comes_too_late(earlier: str) -> None:
    """Moments are compared as moments: an hour further east 10:59 is 9:59, and half a second after is later than the second."""
    done = answered(taken(note()), "abc123", NoteState.DONE)
    assert merged(done, read(note(written=earlier, text="older words"))).sequence is done


def test_a_fraction_of_a_second_later_is_later() -> None:
    again = merged(taken(note()), read(note(written="2026-11-25T10:00:00.5Z", text="new")))
    assert again.changed == ("abc123",)


def test_the_same_words_at_a_later_moment_open_nothing_again() -> None:
    done = answered(taken(note()), "abc123", NoteState.DONE)
    assert merged(done, read(note(written="2026-11-26T10:00:00Z"))).sequence is done


def test_notes_on_something_else_are_refused_unless_they_are_wanted_anyway() -> None:
    with pytest.raises(UseFault, match="These notes are on 'Another', and this file is 'The Salt Stair'"):
        merged(BARE, read(note(), title="Another"))
    with pytest.raises(UseFault, match=r"on cut 'v9', which this file does not have \(it has v1\)"):
        merged(BARE, read(note(cut="v9"), cut="v9"))
    assert merged(BARE, read(note(cut="v9"), title="Another", cut="v9"), anyway=True).new == ("abc123",)


def test_a_cut_or_a_sequence_under_another_name_still_knows_its_notes() -> None:
    renamed = replace(rename_cut(taken(note()), "v1", "director"), title="Stair")
    assert named(renamed, "abc").cut == "director"
    assert merged(renamed, read(note())).sequence is renamed
    later = merged(renamed, read(note(written="2026-11-26T10:00:00Z", text="again"), note("more")))
    assert named(later.sequence, "abc").cut == "director"
    assert later.new == ("more",)
    # Notes on a deleted cut are believed when some of its notes are here.
    deleted = delete_cut(taken(note()), "v1")
    assert merged(deleted, read(note("second"))).new == ("second",)


def test_a_note_is_named_by_its_mark_or_the_beginning_of_it() -> None:
    value = taken(note("abc123"), note("abd456"), note("abd4"))
    assert named(value, "abc").ident == "abc123"
    assert named(value, "abd4").ident == "abd4"
    for mark, said in (("ab", "3 notes have marks that begin with 'ab'"), ("x", "There is no note with the mark 'x'"), ("", "no note")):
        with pytest.raises(UseFault, match=said):
            named(value, mark)


def test_what_became_of_a_note() -> None:
    value = taken(note())
    declined = answered(value, "abc", NoteState.DECLINED, "  the breath is the joke  ")
    assert (named(declined, "abc").state, named(declined, "abc").answer) == (NoteState.DECLINED, "the breath is the joke")
    with pytest.raises(UseFault, match="Say why"):
        answered(value, "abc", NoteState.DECLINED, "  ")
    with pytest.raises(UseFault, match="is done already"):
        answered(answered(value, "abc", NoteState.DONE), "abc", NoteState.DONE)
    reopened = answered(declined, "abc", NoteState.OPEN)
    assert reopened == value


@pytest.mark.parametrize("turned", [False, True])
def test_a_note_taken_back_stays_so_in_any_order_until_it_is_put_back(turned: bool) -> None:
    first, later = "2026-11-25T10:00:00Z", "2026-11-25T11:00:00Z"
    wrote, gone = note(written=first), note(written=later, state=NoteState.TAKEN_BACK)
    files = (read(gone), read(wrote)) if turned else (read(wrote), read(gone))
    value = BARE
    for file in files:
        value = merged(value, file).sequence
    assert value.notes == (gone,)
    assert merged(value, read(wrote)).sequence is value
    assert from_text(to_text(value), "a.previs") == value
    back = note(written="2026-11-25T12:00:00Z")
    assert merged(value, read(back)).sequence.notes == (back,)
    assert merged(merged(value, read(back)).sequence, read(gone)).sequence.notes == (back,)


def test_a_note_that_was_answered_and_then_taken_back_keeps_its_answer() -> None:
    value = answered(taken(note()), "abc123", NoteState.DONE, "Six frames.")
    [gone] = merged(value, read(note(written="2026-11-26T10:00:00Z", state=NoteState.TAKEN_BACK))).sequence.notes
    assert (gone.state, gone.answer) == (NoteState.TAKEN_BACK, "Six frames.")
