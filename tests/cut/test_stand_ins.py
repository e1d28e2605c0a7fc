from __future__ import annotations

import pytest
from cut.small_cut import CUT, a_cut, shot

from previs.cut import edits
from previs.cut.retimes import replace_take
from previs.cut.stand_ins import stand_ins
from previs.document.model import Card, Footage
from previs.faults import UseFault


def test_a_take_with_the_shots_moves_stands_in_as_replacing_the_take_has_it() -> None:
    sequence = a_cut()
    (found,) = stand_ins(sequence, CUT, 1)
    assert found.take.name == "T2" and found.fault == ""
    assert found.sequence == replace_take(sequence, CUT, 1, "T2")
    assert found.sequence is not None
    picture = shot(found.sequence, 1).picture
    assert isinstance(picture, Footage) and picture.first_frame == found.first_frame


def test_a_card_has_every_take_of_its_moves_and_one_that_cannot_says_why() -> None:
    sequence = a_cut()
    found = {one.take.name: one for one in stand_ins(sequence, CUT, 3)}
    assert set(found) == {"T1", "T2"}
    for name, one in found.items():
        try:
            assert one.sequence == replace_take(sequence, CUT, 3, name)
        except UseFault as fault:
            assert one.sequence is None and one.fault == str(fault) != ""


def test_a_shot_without_a_move_or_that_is_not_there_has_none() -> None:
    sequence = edits.insert(a_cut(), CUT, 1, Card("nothing"), 10)
    assert stand_ins(sequence, CUT, 1) == ()
    assert stand_ins(sequence, CUT, 0) == stand_ins(sequence, CUT, 99) == ()


def test_for_a_locked_shot_every_take_says_that_it_is_locked() -> None:
    sequence = edits.lock(a_cut(), CUT, 1, True)
    found = stand_ins(sequence, CUT, 1)
    assert found and all(one.sequence is None and "locked" in one.fault for one in found)


def test_a_card_left_for_moves_that_are_not_there_is_refused() -> None:
    with pytest.raises(UseFault, match="There is no move 99"):
        edits.remove(a_cut(), CUT, 1, Card("the fall", 99))
    assert shot(edits.remove(a_cut(), CUT, 1, Card("the fall", 3, 4)), 1).picture == Card("the fall", 3, 4)
