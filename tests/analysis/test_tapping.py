from __future__ import annotations

from fractions import Fraction

import fights
from heard_fights import evidence

from previs.analysis.tapping import Found, moves_of, next_move, snap
from previs.document.mark_edits import change_take, put_hit


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
