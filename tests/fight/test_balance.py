"""The upper hand of small cuts whose course can be counted on the fingers."""

from __future__ import annotations

from fractions import Fraction

from fights import sequence, take, tape
from msgspec.structs import replace as changed

from previs.document.model import Black, Card, Cut, Footage, Move, Phrase, Sequence, Shot
from previs.fight.balance import Shown, balance

HANDS = ("Odile", "Odile", "level", "Odile", "Reeve", "level")
"""Who has the upper hand after moves 1 to 6."""


def fight(*shots: Shot, hands: tuple[str, ...] = HANDS) -> Sequence:
    """Moves that land at 1, 2, 3 ... seconds of one tape, and a cut of these shots."""
    moves = tuple(
        Move(number, f"cut {number}", "Odile" if number % 2 else "Reeve", "Reeve" if number % 2 else "Odile", hand)
        for number, hand in enumerate(hands, start=1)
    )
    return sequence(
        phrases=(Phrase(1, moves),),
        tapes=(tape("A1"),),
        takes=(take("T1", {move.number: move.number for move in moves}),),
        cuts=(Cut("v1", shots, 240),),
    )


def footage(ident: str, first_frame: int, frames: int) -> Shot:
    return Shot(ident, frames, Footage("T1", first_frame))


def test_the_upper_hand_steps_at_each_hit_and_is_level_until_the_first() -> None:
    one = fight(footage("s1", 12, 144))
    found = balance(one, one.cut())
    steps = [(spell.record.start, spell.record.length, spell.holder, spell.move) for spell in found.spells]
    assert steps == [
        (0, 12, "level", None),
        (12, 48, "Odile", 1),
        (60, 24, "level", 3),
        (84, 24, "Odile", 4),
        (108, 24, "Reeve", 5),
        (132, 12, "level", 6),
    ]
    assert found.frames == {"Odile": 72, "Reeve": 24, "level": 48}
    assert found.share("Odile") == Fraction(1, 2) and found.share("nobody") == 0
    assert found.longest_run == found.spells[1] and found.longest_run_seconds == 2


def test_level_between_two_spells_of_one_side_is_no_change_of_side() -> None:
    for hands, changes in (
        (("Odile", "level", "Odile"), 0),
        (("Odile", "level", "Reeve"), 1),
        (("Odile", "Reeve", "Odile"), 2),
        (("level", "level", "level"), 0),
    ):
        one = fight(footage("s1", 0, 96), hands=hands)
        assert balance(one, one.cut()).changes_of_side == changes


def test_a_level_cut_has_no_longest_run() -> None:
    one = fight(Shot("s1", 24, Black()))
    found = balance(one, one.cut())
    assert (found.longest_run, found.longest_run_seconds, found.share("level")) == (None, 0, 1)


def test_the_seconds_are_those_of_the_sequence_rate() -> None:
    one = changed(fight(footage("s1", 12, 144)), rate_name="25")
    longest = balance(one, one.cut()).longest_run
    assert longest is not None
    assert balance(one, one.cut()).longest_run_seconds == Fraction(longest.record.length, 25)


def test_every_turn_is_as_planned_in_a_whole_cut() -> None:
    one = fight(footage("s1", 12, 144))
    turns = balance(one, one.cut()).turns
    assert [(turn.move, turn.holder, turn.shown, turn.record_frame) for turn in turns] == [
        (1, "Odile", Shown.AS_PLANNED, 12),
        (3, "level", Shown.AS_PLANNED, 60),
        (4, "Odile", Shown.AS_PLANNED, 84),
        (5, "Reeve", Shown.AS_PLANNED, 108),
        (6, "level", Shown.AS_PLANNED, 132),
    ]
    level_first = fight(footage("s1", 12, 144), hands=("level", "Odile"))
    assert [turn.move for turn in balance(level_first, level_first.cut()).turns] == [2]


def test_a_turn_is_missing_late_or_out_of_order() -> None:
    # Move 1 is left out, so that its turn comes with move 2; 5 is never seen; 4 comes after 6.
    one = fight(footage("s1", 36, 40), footage("s2", 134, 20), footage("s3", 90, 20))
    turns = {turn.move: (turn.shown, turn.shown_by) for turn in balance(one, one.cut()).turns}
    assert turns == {
        1: (Shown.LATE, 2),
        3: (Shown.AS_PLANNED, 3),
        4: (Shown.OUT_OF_ORDER, 4),
        5: (Shown.MISSING, None),
        6: (Shown.AS_PLANNED, 6),
    }


def test_a_card_has_happened_when_it_ends() -> None:
    one = fight(footage("s1", 12, 24), Shot("s2", 30, Card("to come", 2, 5)), footage("s3", 134, 20))
    found = balance(one, one.cut())
    steps = [(spell.record.start, spell.holder, spell.move) for spell in found.spells]
    assert steps == [(0, "level", None), (12, "Odile", 1), (54, "Reeve", 5), (64, "level", 6)]
    assert [turn.shown for turn in found.turns] == [
        Shown.AS_PLANNED,
        Shown.ON_A_CARD,
        Shown.ON_A_CARD,
        Shown.ON_A_CARD,
        Shown.AS_PLANNED,
    ]


def test_moves_that_take_effect_on_one_frame_do_not_break_a_run() -> None:
    one = fight(footage("s1", 12, 24), Shot("s2", 30, Card("to come", 2, 4)), Shot("s3", 10, Black()))
    assert [spell.holder for spell in balance(one, one.cut()).spells] == ["level", "Odile"]


def test_a_move_seen_twice_turns_once() -> None:
    one = fight(footage("s1", 12, 24), footage("s2", 110, 24), footage("s3", 12, 24))
    assert [(spell.record.start, spell.holder) for spell in balance(one, one.cut()).spells] == [(0, "level"), (12, "Odile"), (34, "Reeve")]
