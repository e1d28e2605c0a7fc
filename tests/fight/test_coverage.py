"""What holds each move, against a reading of the takes mark by mark."""

from __future__ import annotations

from fractions import Fraction

import pytest
from document.drawn import sequences
from fights import phrase, sequence, take, tape, treatment
from hypothesis import given, settings
from msgspec.structs import replace

from previs.document.model import Casting, Cut, Face, Footage, Framing, Kind, Role, Sequence, Shot, Shows, Size, Take
from previs.fight.coverage import Covered, Hole, coverage, figures, out_of_order

CAST = (Role("Odile", "Juno Vale", ("Pim Oster",)), Role("Reeve", "Abel Quist"))


def seen(one: Take, shows: Shows = Shows.HIDDEN, performer: str = "Pim Oster", size: Size = Size.FULL) -> Take:
    """The take with Odile played by somebody, whose face shows so much."""
    framing = Framing(one.start, size, 0, faces=(Face("Odile", shows),))
    return replace(one, framings=(framing,), performers=(Casting("Odile", performer),))


def covered(*takes: Take, **parts: object) -> Covered:
    one = sequence(phrases=(phrase(1, range(1, 2)),), tapes=(tape(),), takes=takes, cast=CAST, **parts)
    return coverage(one)[0]


SLOW = Fraction(7, 10)


@pytest.mark.parametrize(
    ("takes", "hole"),
    [
        ((), Hole.NO_TAKE),
        ((take("A", {}, phrases=(1, 1)),), Hole.NO_HIT),
        ((take("A", {1: 1}, tempo=SLOW),), Hole.LEARNING_ONLY),
        ((take("A", {1: 1}, tempo=Fraction(19, 20)),), None),
        ((seen(take("A", {1: 1}), Shows.PART),), Hole.DOUBLE_ONLY),
        ((seen(take("A", {1: 1}), Shows.FULL, "Juno Vale"),), None),
        ((seen(take("A", {1: 1})),), None),
        ((seen(take("A", {1: 1}), Shows.FULL), take("B", {1: 2}, tempo=SLOW)), Hole.NOT_BOTH),
        ((seen(take("A", {1: 1}), Shows.FULL), take("B", {1: 2})), None),
    ],
)
def test_a_hole_is_told_by_what_is_missing(takes: tuple[Take, ...], hole: Hole | None) -> None:
    assert covered(*takes).hole is hole


def test_a_treatment_covers_the_face_while_it_holds() -> None:
    double = seen(take("A", {1: 1}), Shows.FULL)
    assert covered(double, treatments=(treatment(0.5, 1.5),)).hole is None
    assert covered(double, treatments=(treatment(1.5, 2),)).held[0].bare == ("Pim Oster is seen as Odile",)
    close = seen(take("A", {1: 1}), Shows.FULL, size=Size.CLOSE)
    assert covered(close, treatments=(treatment(0.5, 1.5, kind=Kind.FACE_REPLACEMENT),)).hole is Hole.DOUBLE_ONLY


def test_the_tightest_is_at_performance_tempo_and_well_rated_where_several_are_as_close() -> None:
    takes = (
        take("wide", {1: 1}, size=Size.WIDE, rating=5),
        take("slow", {1: 2}, size=Size.CLOSE, tempo=SLOW, rating=5),
        take("poor", {1: 3}, size=Size.CLOSE, rating=1),
        take("good", {1: 4}, size=Size.CLOSE, rating=3),
    )
    tightest = covered(*takes).tightest
    assert tightest and tightest.take.name == "good"
    assert covered().tightest is None


def test_the_cut_says_which_takes_it_uses() -> None:
    takes = (take("A", {1: 1}), take("B", {1: 20}))
    one = sequence(phrases=(phrase(1, range(1, 2)),), tapes=(tape(),), takes=takes)
    cut = Cut("v1", (Shot("s1", 48, Footage("B", 19 * 24)),), 48)
    assert [held.used for held in coverage(one, cut)[0].held] == [False, True]


def test_what_lands_in_another_order_than_it_is_written_is_told_by_take() -> None:
    one = sequence(phrases=(phrase(1, range(1, 4)),), tapes=(tape(),), takes=(take("A", {2: 1, 1: 2, 3: 3}), take("B", {1: 4, 2: 5, 3: 6})))
    assert out_of_order(one, frozenset({1})) == ("A",)
    assert out_of_order(one, frozenset({3})) == ()


@given(sequences())
@settings(deadline=None, max_examples=60)
def test_coverage_is_what_the_marks_say(one: Sequence) -> None:
    found = coverage(one)
    fps = one.timebase.rate.fps
    assert [each.move for each in found] == list(one.moves)
    for each in found:
        expected = [(take.name, hit) for take in one.takes for hit in take.hits if hit.move == each.move.number]
        assert [(held.take.name, held.hit) for held in each.held] == expected
        for held in each.held:
            assert (held.grid_frame - 1) / fps < held.hit.at <= held.grid_frame / fps
            assert held.framing in held.take.framings
            assert not [other for other in held.take.framings if held.framing.at < other.at <= held.hit.at]
            assert {words.rpartition(" is seen as ")[0] for words in held.bare} == uncovered(one, held.take, held.grid_frame / fps)
        there = {take.name for take in one.takes if take.first_phrase <= each.phrase.number <= take.last_phrase}
        assert {take.name for take in each.unlogged} == there - {name for name, _ in expected}
        good = [held for held in each.held if held.performed and not held.bare]
        assert (each.hole is None) == bool(good)
    told = figures(one, found)
    assert told.moves == len(one.moves) and told.hits == sum(len(take.hits) for take in one.takes)
    assert told.without_take == sum(not any(hit.move == move.number for take in one.takes for hit in take.hits) for move in one.moves)


def uncovered(one: Sequence, take: Take, moment: Fraction) -> set[str]:
    """Who is seen there as somebody else, and in no treatment, by the marks alone."""
    found = set()
    for casting in take.performers:
        actor = next((role.actor for role in one.cast if role.role == casting.role), None)
        framing = [each for each in take.framings if each.at <= moment][-1:] or [take.framings[0]]
        within = take.start <= moment < take.end_exclusive
        if actor is None or casting.performer == actor or not within or framing[0].face_of(casting.role) is Shows.HIDDEN:
            continue
        covers = [Kind.DIGITAL_DOUBLE]
        if framing[0].size.closeness <= one.settings.replaced_to.closeness:
            covers.append(Kind.FACE_REPLACEMENT)
        marks = [mark for mark in one.treatments if (mark.reel, mark.role) == (take.reel, casting.role) and mark.kind in covers]
        if not any(mark.start <= moment < mark.end_exclusive for mark in marks):
            found.add(casting.performer)
    return found
