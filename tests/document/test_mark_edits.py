from __future__ import annotations

from fractions import Fraction
from typing import Any

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
    bare = mark_edits.change_take(sequence, take.name, hits=(), last_phrase=2)
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


def test_moves_land_in_the_order_of_the_fight(sequence: Sequence) -> None:
    take = sequence.takes[0]
    with pytest.raises(UseFault, match=r"move 3 lands at 9\.00 s, and 2 comes before 3"):
        mark_edits.put_hit(sequence, take.name, 2, Fraction(10))
    with pytest.raises(UseFault, match=r"move 1 lands at 5\.00 s, and 1 comes before 2"):
        mark_edits.put_hit(sequence, take.name, 2, Fraction(4))
    with pytest.raises(UseFault, match="does not play move 5"):
        mark_edits.put_hit(sequence, take.name, 5, Fraction(10))


def test_hits_that_nobody_looked_at_give_way(sequence: Sequence) -> None:
    take = sequence.takes[0]
    carried = mark_edits.change_take(sequence, take.name, hits=tuple(Hit(hit.move, hit.at, 60) for hit in take.hits))
    assert [hit.move for hit in mark_edits.contradicted(carried, take.name, 1, Fraction(8))] == [2]
    assert hits(mark_edits.put_hit(carried, take.name, 1, Fraction(8))) == [(1, Fraction(8)), (3, Fraction(9))]


def test_phrases_that_leave_a_hit_over_are_refused(sequence: Sequence) -> None:
    with pytest.raises(UseFault, match="has a hit of move 1, which those phrases do not hold"):
        mark_edits.change_take(sequence, sequence.takes[0].name, first_phrase=2, last_phrase=2)


def test_a_framing_is_taken_away_again_but_not_the_first(sequence: Sequence) -> None:
    take = sequence.takes[0]
    begun = mark_edits.frame_as(sequence, take.name, Fraction(6), begins=True, size=Size.CLOSE)
    assert mark_edits.remove_framing(begun, take.name, Fraction(6)) == sequence
    with pytest.raises(UseFault, match="does not change at"):
        mark_edits.remove_framing(sequence, take.name, take.start)
    with pytest.raises(UseFault, match="cannot stand at 181 degrees"):
        mark_edits.frame_as(sequence, take.name, Fraction(6), angle=181)
    for edit in (
        lambda: mark_edits.frame_as(sequence, take.name, Fraction(6), screen_left="Nobody"),
        lambda: mark_edits.show_face(sequence, take.name, Fraction(6), "Nobody", Shows.FULL),
        lambda: mark_edits.perform(sequence, take.name, "Nobody", "Juno Vale"),
        lambda: mark_edits.put_treatment(sequence, "A1", Fraction(1), Fraction(2), Kind.RIG_REMOVAL, "Nobody"),
    ):
        with pytest.raises(UseFault, match="no role 'Nobody'"):
            edit()


def test_treatments_that_meet_are_one(sequence: Sequence) -> None:
    for start, end in ((1, 3), (5, 6), (2, 5)):
        sequence = mark_edits.put_treatment(sequence, "A1", Fraction(start), Fraction(end), Kind.RIG_REMOVAL, "Odile")
    sequence = mark_edits.put_treatment(sequence, "A1", Fraction(2), Fraction(4), Kind.RIG_REMOVAL, "Reeve")
    assert [(one.start, one.end_exclusive, one.role) for one in sequence.treatments] == [(1, 6, "Odile"), (2, 4, "Reeve")]


def test_the_next_take_of_a_tape_is_like_the_last(sequence: Sequence) -> None:
    take = sequence.takes[0]
    short = mark_edits.change_take(sequence, take.name, end_exclusive=Fraction(20), tempo=Fraction(7, 10))
    short = mark_edits.frame_as(short, take.name, Fraction(10), begins=True, size=Size.CLOSE)
    new = mark_edits.take_like_the_last(short, "A1", Fraction(30), Fraction(40))
    assert new.framings == (mark_edits.replace(short.takes[0].framings[-1], at=Fraction(30)),) and new.framings[0].size is Size.CLOSE
    assert (new.tempo, new.performers, new.first_phrase, new.hits) == (Fraction(7, 10), take.performers, take.first_phrase, ())
    assert faults_in(mark_edits.put_take(short, new)) == ()
    with pytest.raises(UseFault, match="no fight to log yet"):
        mark_edits.take_like_the_last(fights.sequence(phrases=(), tapes=(fights.tape("A1"),)), "A1", Fraction(0), Fraction(1))


MOMENTS = st.fractions(-1, 61, max_denominator=48000)
EDITS = st.one_of(
    st.tuples(st.just("put_hit"), st.integers(0, 6), MOMENTS),
    st.tuples(st.just("remove_hit"), st.integers(0, 6)),
    st.tuples(st.just("edges"), MOMENTS, MOMENTS),
    st.tuples(st.just("phrases"), st.integers(0, 3), st.integers(0, 3)),
    st.tuples(st.just("frame"), MOMENTS, st.sampled_from(Size), st.booleans(), st.integers(-200, 200)),
    st.tuples(st.just("face"), MOMENTS, st.sampled_from(("Odile", "Reeve", "Nobody")), st.sampled_from(Shows), st.booleans()),
    st.tuples(st.just("unframe"), st.integers(0, 4)),
    st.tuples(st.just("perform"), st.sampled_from(("Odile", "Nobody")), st.sampled_from(("", " Pim Oster "))),
    st.tuples(st.just("treat"), MOMENTS, MOMENTS, st.sampled_from(Kind), st.sampled_from(("Odile", "Reeve"))),
    st.tuples(st.just("take"), MOMENTS, MOMENTS),
    st.tuples(st.just("doubt"), st.integers(0, 99)),
)


@given(st.lists(EDITS, max_size=25))
def test_whatever_is_marked_the_document_is_sound_or_unchanged(edits: list[tuple[object, ...]]) -> None:
    sequence = fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)), fights.phrase(2, range(4, 6))),
        tapes=(fights.tape("A1"),),
        takes=(fights.take("A1-1", {1: 5, 2: 7, 3: 9}),),
    )
    for edit in edits:
        try:
            sequence = _edited(sequence, *edit)
        except UseFault as fault:
            assert str(fault).endswith(".") and "\n" not in str(fault)
        assert faults_in(sequence) == ()
        order = [hit.move for hit in sequence.takes[0].hits]
        assert order == sorted(set(order))


def _edited(sequence: Sequence, what: object, *given: Any) -> Sequence:
    take = sequence.takes[0]
    name = take.name
    if what == "unframe":
        return mark_edits.remove_framing(sequence, name, take.framings[given[0] % len(take.framings)].at)
    if what == "doubt":
        return mark_edits.change_take(sequence, name, hits=tuple(Hit(hit.move, hit.at, given[0]) for hit in take.hits))
    return {
        "put_hit": lambda: mark_edits.put_hit(sequence, name, *given),
        "remove_hit": lambda: mark_edits.remove_hit(sequence, name, *given),
        "edges": lambda: mark_edits.change_take(sequence, name, start=given[0], end_exclusive=given[1]),
        "phrases": lambda: mark_edits.change_take(sequence, name, first_phrase=given[0], last_phrase=given[1]),
        "frame": lambda: mark_edits.frame_as(sequence, name, given[0], size=given[1], begins=given[2], angle=given[3]),
        "face": lambda: mark_edits.show_face(sequence, name, given[0], given[1], given[2], begins=given[3]),
        "perform": lambda: mark_edits.perform(sequence, name, *given),
        "treat": lambda: mark_edits.put_treatment(sequence, "A1", *given),
        "take": lambda: mark_edits.put_take(sequence, mark_edits.take_like_the_last(sequence, "A1", *given)),
    }[str(what)]()
