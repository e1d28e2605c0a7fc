"""Ways drawn by hand: spots, marks in rising order, guesses taken over; the same through any order of edits."""

from __future__ import annotations

from pathlib import Path

import pytest
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor
from hypothesis import given
from hypothesis import strategies as some

from previs.document.floor import RoutePoint
from previs.document.invariants import faults_in
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.floor import route_edits as edits
from previs.floor.routes import walks

PHRASE, ROLE = 1, "Odile"


@pytest.fixture(scope="module")
def fight(sample_media: Path) -> Sequence:
    return salt_fight(sample_media, salt_floor())[0]


def points(sequence: Sequence, role: str = ROLE) -> tuple[RoutePoint, ...]:
    way = edits.way_of(sequence, role, PHRASE)
    assert not way.guessed
    return way.points


def test_the_first_spot_begins_a_way_of_its_own_in_the_place_of_the_guess(fight: Sequence) -> None:
    assert edits.way_of(fight, ROLE, PHRASE).guessed and len(edits.way_of(fight, ROLE, PHRASE).points) > 1
    after, number = edits.with_spot(fight, ROLE, PHRASE, (1000, 1300))
    assert number == 0 and points(after) == (RoutePoint((1000, 1300)),)
    after, number = edits.with_spot(after, ROLE, PHRASE, (2000, 1300))
    after, number = edits.with_spot(after, ROLE, PHRASE, (1500, 1400), after=0)
    assert number == 1 and [point.at[0] for point in points(after)] == [1000, 1500, 2000]
    assert edits.way_of(after, "Reeve", PHRASE).guessed


def test_a_guess_whose_spot_is_moved_or_taken_away_is_taken_over_as_it_is(fight: Sequence) -> None:
    guess = edits.way_of(fight, ROLE, PHRASE).points
    assert points(edits.moved(fight, ROLE, PHRASE, 1, (1, 2))) == (guess[0], RoutePoint((1, 2), guess[1].move), *guess[2:])
    assert points(edits.without_spot(fight, ROLE, PHRASE, 0)) == guess[1:]


def test_marks_rise_along_the_way_wherever_they_are_put(fight: Sequence) -> None:
    after, _ = edits.with_mark(fight, ROLE, PHRASE, 2, (2000, 1300))
    after, _ = edits.with_mark(after, ROLE, PHRASE, 5, (4000, 1300))
    after, number = edits.with_mark(after, ROLE, PHRASE, 3, (3000, 1300))
    assert number == 1
    after, number = edits.with_mark(after, ROLE, PHRASE, 1, (9000, 1300), after=2)
    assert number == 0 and [point.move for point in points(after)] == [1, 2, 3, 5]
    assert edits.next_move(after, ROLE, PHRASE) == 4
    again, number = edits.with_mark(after, ROLE, PHRASE, 3, (3333, 1300))
    assert number == 2 and points(again)[2] == RoutePoint((3333, 1300), 3) and len(points(again)) == 4


def test_a_mark_between_bends_goes_where_the_way_grows_least(fight: Sequence) -> None:
    after, _ = edits.with_mark(fight, ROLE, PHRASE, 1, (0, 0))
    for x in (1000, 2000):
        after, _ = edits.with_spot(after, ROLE, PHRASE, (x, 0))
    after, _ = edits.with_mark(after, ROLE, PHRASE, 3, (3000, 0))
    after, number = edits.with_mark(after, ROLE, PHRASE, 2, (1500, 100))
    assert number == 2 and [point.at[0] for point in points(after)] == [0, 1000, 1500, 2000, 3000]


def test_a_spot_becomes_a_mark_only_between_its_neighbours(fight: Sequence) -> None:
    after, _ = edits.with_mark(fight, ROLE, PHRASE, 1, (0, 0))
    after, _ = edits.with_spot(after, ROLE, PHRASE, (1000, 0))
    after, _ = edits.with_mark(after, ROLE, PHRASE, 3, (2000, 0))
    assert [point.move for point in points(edits.marked(after, ROLE, PHRASE, 1, 2))] == [1, 2, 3]
    assert [point.move for point in points(edits.marked(after, ROLE, PHRASE, 2, 2))] == [1, None, 2]
    with pytest.raises(UseFault, match="Move 4 cannot land there"):
        edits.marked(after, ROLE, PHRASE, 1, 4)
    # The mark moves from one spot to another where that keeps the order.
    assert [point.move for point in points(edits.marked(after, ROLE, PHRASE, 1, 3))] == [1, 3, None]
    assert [point.move for point in points(edits.marked(after, ROLE, PHRASE, 0, None))] == [None, None, 3]


def test_with_its_last_spot_a_way_is_gone_and_the_guess_is_back(fight: Sequence) -> None:
    after, _ = edits.with_spot(fight, ROLE, PHRASE, (1000, 1300))
    assert edits.without_spot(after, ROLE, PHRASE, 0).floor == edits.without_way(after, ROLE, PHRASE).floor == fight.floor


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (lambda one: edits.with_mark(one, ROLE, PHRASE, 30, (0, 0)), "Move 30 is not in phrase 1"),
        (lambda one: edits.marked(one, ROLE, PHRASE, 0, 30), "Move 30 is not in phrase 1"),
        (lambda one: edits.moved(one, ROLE, PHRASE, 99, (0, 0)), "no such spot"),
        (lambda one: edits.without_spot(one, ROLE, PHRASE, -1), "no such spot"),
        (lambda one: edits.without_way(one, ROLE, PHRASE), "Nobody drew a way for Odile in phrase 1"),
    ],
)
def test_what_cannot_be_is_one_sentence(fight: Sequence, edit: object, sentence: str) -> None:
    with pytest.raises(UseFault, match=sentence):
        edit(fight)  # type: ignore[operator]


def test_a_spot_nobody_placed_lies_on_the_way_on(fight: Sequence) -> None:
    way = (RoutePoint((0, 0)), RoutePoint((0, 1000)))
    assert edits.further_on(way, 0) == (0, 500) and edits.further_on(way, 1) == (0, 1300) and edits.further_on(way[:1], 0) == (300, 0)


steps = some.lists(
    some.tuples(
        some.sampled_from(["spot", "mark", "move", "take", "name"]),
        some.integers(0, 6),
        some.integers(1, 6),
        some.tuples(some.integers(-9000, 9000), some.integers(-9000, 9000)),
    ),
    max_size=12,
)


@given(steps)
def test_after_any_edits_moves_rise_and_the_document_is_sound(fight: Sequence, done: list[tuple[str, int, int, tuple[int, int]]]) -> None:
    now = fight
    for what, number, move, at in done:
        try:
            if what == "spot":
                now, put = edits.with_spot(now, ROLE, PHRASE, at, number)
                assert points(now)[put].at == at
            elif what == "mark":
                now, put = edits.with_mark(now, ROLE, PHRASE, move, at, number)
                assert points(now)[put] == RoutePoint(at, move)
            elif what == "move":
                now = edits.moved(now, ROLE, PHRASE, number, at)
            elif what == "take":
                now = edits.without_spot(now, ROLE, PHRASE, number)
            else:
                now = edits.marked(now, ROLE, PHRASE, number, move)
        except UseFault:
            continue
        moves = [point.move for point in edits.way_of(now, ROLE, PHRASE).points if point.move is not None]
        assert moves == sorted(set(moves))
    assert faults_in(now) == () or faults_in(now) == faults_in(fight)
    assert all(walk.steps for walk in walks(now))
