from __future__ import annotations

from fractions import Fraction

import fights
from heard_fights import evidence

from previs.analysis.tapping import Found, carried_onto, hit_of, moves_of, next_doubtful, next_move, snap, stepped_move
from previs.document.mark_edits import change_take, put_hit
from previs.document.model import SURE, Hit, Sequence


def test_a_tap_goes_to_the_nearest_strike_within_reach() -> None:
    heard = evidence([2.0, 2.3, 5.0], soft=[3.0])
    assert snap(heard, 2.1, 0.25) is not None and snap(heard, 2.1, 0.25).at == 2.0  # type: ignore[union-attr]
    assert snap(heard, 2.2, 0.25).at == 2.3  # type: ignore[union-attr]
    assert snap(heard, 4.0, 0.25) is None


def test_where_nothing_strikes_a_landing_is_found() -> None:
    heard = evidence([2.0], soft=[3.0])
    found = snap(heard, 3.1, 0.25)
    assert found is not None and found.at == 3.0 and found.found is not Found.STRIKE


def test_the_next_move_follows_the_last_one_logged_then_fills_what_is_left() -> None:
    sequence = fights.sequence(phrases=(fights.phrase(1, range(1, 5)),), tapes=(fights.tape("A1"),), takes=(fights.take("A1-1", {1: 5}),))
    name = sequence.takes[0].name
    sequence = change_take(sequence, name, hits=())
    assert moves_of(sequence, sequence.takes[0]) == [1, 2, 3, 4]
    assert next_move(sequence, sequence.takes[0]) == 1
    sequence = put_hit(sequence, name, 2, sequence.takes[0].start + 1)
    assert next_move(sequence, sequence.takes[0]) == 3
    for move in (3, 4):
        sequence = put_hit(sequence, name, move, sequence.takes[0].start + Fraction(move))
    assert next_move(sequence, sequence.takes[0]) == 1
    sequence = put_hit(sequence, name, 1, sequence.takes[0].start)
    assert next_move(sequence, sequence.takes[0]) is None


def two_takes() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)), fights.phrase(2, range(4, 6))),
        tapes=(fights.tape("A1"), fights.tape("B1")),
        takes=(fights.take("A1-1", {1: 5, 2: 7, 3: 9}), fights.take("B1-1", {1: 6, 2: 8, 3: 10}, reel="B1")),
    )


def doubted(sequence: Sequence, name: str, *sure: int) -> Sequence:
    hits = sequence.take(name).hits
    return change_take(sequence, name, hits=tuple(Hit(hit.move, hit.at, one) for hit, one in zip(hits, sure, strict=True)))


def test_stepping_is_held_at_both_ends_and_nothing_stands_behind_the_last() -> None:
    sequence = two_takes()
    take = sequence.takes[0]
    assert [stepped_move(sequence, take, 2, by) for by in (-9, -1, 1, 2, 9)] == [1, 1, 3, None, None]
    assert stepped_move(sequence, take, None, -1) == 3 and stepped_move(sequence, take, None, 1) is None
    assert stepped_move(sequence, take, 99, -1) == 3


def test_doubts_come_take_by_take_and_go_round() -> None:
    sequence = doubted(doubted(two_takes(), "A1-1", 40, SURE, 70), "B1-1", 90, 20, SURE)

    def walk(below: int, steps: int) -> list[tuple[str, int]]:
        at, seen = None, []
        for _ in range(steps):
            found = next_doubtful(sequence, below, at)
            assert found is not None
            at = (found[0].name, found[1].move)
            seen.append(at)
        return seen

    assert walk(75, 4) == [("A1-1", 1), ("A1-1", 3), ("B1-1", 2), ("A1-1", 1)]
    assert walk(SURE, 5) == [("A1-1", 1), ("A1-1", 3), ("B1-1", 1), ("B1-1", 2), ("A1-1", 1)]
    assert next_doubtful(sequence, 20) is None
    assert next_doubtful(sequence, 75, ("gone", 7)) == next_doubtful(sequence, 75)
    only = doubted(two_takes(), "A1-1", SURE, 10, SURE)
    found = next_doubtful(only, 75, ("A1-1", 2))
    assert found is not None and found[1].move == 2


def test_carried_hits_are_laid_onto_what_was_not_changed_meanwhile() -> None:
    before = two_takes()
    found = doubted(doubted(before, "A1-1", 90, 90, 90), "B1-1", 80, 80, 80)
    now = change_take(before, "A1-1", note="changed meanwhile")
    laid = carried_onto(now, before, found)
    assert laid.take("A1-1") == now.take("A1-1")
    assert laid.take("B1-1") == found.take("B1-1")
    assert hit_of(laid.take("B1-1"), 2) == Hit(2, before.take("B1-1").hits[1].at, 80) and hit_of(laid.take("B1-1"), 9) is None
