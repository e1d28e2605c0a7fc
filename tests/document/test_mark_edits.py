from __future__ import annotations

from fractions import Fraction

import fights
import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.document import mark_edits
from previs.document.invariants import faults_in
from previs.document.model import SURE, Hit, Kind, Sequence, Shows, Size
from previs.faults import UseFault


@pytest.fixture
def sequence() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)), fights.phrase(2, range(4, 6))),
        tapes=(fights.tape("A1"),),
        takes=(fights.take("A1-1", {1: 5, 2: 7, 3: 9}),),
    )


def hits(sequence: Sequence) -> list[tuple[int, Fraction]]:
    return [(hit.move, hit.at) for hit in sequence.takes[0].hits]


def test_hits_stay_in_order_of_time_and_each_move_once(sequence: Sequence) -> None:
    take = sequence.takes[0]
    bare = mark_edits.change_take(sequence, take.name, hits=())
    at = take.start + 20
    for move, moment in ((2, at + 1), (1, at), (3, at + 2), (2, at + Fraction(3, 2))):
        bare = mark_edits.put_hit(bare, take.name, move, moment)
    assert hits(bare) == [(1, at), (2, at + Fraction(3, 2)), (3, at + 2)]
    assert faults_in(bare) == ()
    assert hits(mark_edits.remove_hit(bare, take.name, 1)) == [(2, at + Fraction(3, 2)), (3, at + 2)]
    with pytest.raises(UseFault, match="lands on that very frame"):
        mark_edits.put_hit(bare, take.name, 4, at)
    with pytest.raises(UseFault, match="does not play"):
        mark_edits.put_hit(bare, take.name, 4, take.end_exclusive)
    with pytest.raises(UseFault, match="no move 99"):
        mark_edits.put_hit(bare, take.name, 99, at)


def test_a_hit_that_a_person_marks_is_sure(sequence: Sequence) -> None:
    take = sequence.takes[0]
    doubtful = mark_edits.change_take(sequence, take.name, hits=(Hit(1, take.start + 1, 40),))
    assert mark_edits.put_hit(doubtful, take.name, 1, take.start + 1).takes[0].hits[0].confidence == SURE


def test_a_take_keeps_its_hits_inside_and_its_first_framing_at_its_beginning(sequence: Sequence) -> None:
    take = sequence.takes[0]
    with pytest.raises(UseFault, match="no longer hold its hit"):
        mark_edits.change_take(sequence, take.name, end_exclusive=take.hits[-1].at)
    earlier = mark_edits.change_take(sequence, take.name, start=take.start + Fraction(1, 8))
    assert earlier.takes[0].framings[0].at == take.start + Fraction(1, 8)
    assert faults_in(earlier) == ()
    with pytest.raises(UseFault, match="would not lie on tape"):
        mark_edits.change_take(sequence, take.name, end_exclusive=Fraction(10**6))
    with pytest.raises(UseFault, match="cannot play phrases"):
        mark_edits.change_take(sequence, take.name, first_phrase=7)


def test_framings_change_or_begin(sequence: Sequence) -> None:
    take = sequence.takes[0]
    at = take.start + 1
    closer = mark_edits.frame_as(sequence, take.name, at, size=Size.CLOSE)
    assert [one.size for one in closer.takes[0].framings] == [Size.CLOSE]
    begun = mark_edits.frame_as(sequence, take.name, at, begins=True, size=Size.CLOSE)
    assert [(one.at, one.size) for one in begun.takes[0].framings] == [(take.start, take.framings[0].size), (at, Size.CLOSE)]
    shown = mark_edits.show_face(begun, take.name, at, "Odile", Shows.PART)
    assert shown.takes[0].framing_at(at).face_of("Odile") is Shows.PART
    assert faults_in(shown) == ()


def test_a_take_that_a_cut_plays_stays_and_keeps_its_shots_under_another_name(sequence: Sequence) -> None:
    from previs.document.model import Cut, Footage, Shot

    name = sequence.takes[0].name
    cut = mark_edits.replace(sequence, cuts=(Cut("v1", (Shot("s1", 24, Footage(name, 30)),), 24),))
    with pytest.raises(UseFault, match="Shot 1 of cut v1 plays take"):
        mark_edits.remove_take(cut, name)
    renamed = mark_edits.change_take(cut, name, name="best")
    assert renamed.cuts[0].shots[0].picture.take == "best" and faults_in(renamed) == ()  # type: ignore[union-attr]
    assert mark_edits.remove_take(sequence, name).takes == ()


@given(st.fractions(-5, 80, max_denominator=48000), st.fractions(-5, 80, max_denominator=48000))
def test_a_treatment_lies_on_its_tape_or_is_refused(start: Fraction, end: Fraction) -> None:
    sequence = fights.sequence(phrases=(fights.phrase(1, range(1, 4)),), tapes=(fights.tape("A1"),))
    sound = 0 <= start < end <= sequence.tapes[0].duration
    try:
        marked = mark_edits.put_treatment(sequence, "A1", start, end, Kind.RIG_REMOVAL, "Odile")
    except UseFault:
        assert not sound
    else:
        assert sound and faults_in(marked) == ()
        assert mark_edits.remove_treatment(marked, marked.treatments[0]) == sequence
