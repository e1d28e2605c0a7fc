"""The data of the Fight place, without Qt: cells, the curve, strips of tape, words."""

from __future__ import annotations

from fractions import Fraction

import pytest
from document.drawn import sequences
from fights import phrase, sequence, take, tape
from hypothesis import given, settings
from msgspec.structs import replace

from previs.desk.fight import telling
from previs.desk.fight.hands import hands_of
from previs.desk.fight.sheet import sheet_of
from previs.desk.fight.strips import strips_of
from previs.desk.fight.written import COLUMNS, about, choices, may_be_written, rows_of, shown, typed
from previs.document.fight_edits import change_cell
from previs.document.model import Card, Cut, Footage, Framing, Sequence, Shot, Size
from previs.exchange import fight_table
from previs.fight.coverage import Hole, coverage

SLOW = Fraction(7, 10)


def taped() -> Sequence:
    """Moves 1 to 5 in two phrases; upper hand Odile, level, Odile, level, Odile."""
    takes = (
        take("A1", {1: 1, 2: 2, 3: 3}),
        take("B1", {1: 4, 2: 5, 3: 6}, tempo=SLOW, size=Size.CLOSE),
        take("A2", {4: 7, 5: 8}, phrases=(2, 2)),
        take("A3", {3: 21, 4: 22}, phrases=(1, 2)),
    )
    return sequence(phrases=(phrase(1, range(1, 4), breath=31), phrase(2, range(4, 6), breath=1)), tapes=(tape(),), takes=takes)


def test_the_columns_are_those_of_the_fight_table_of_files() -> None:
    assert COLUMNS == fight_table.COLUMNS


def test_a_breath_stands_where_its_phrase_ends() -> None:
    rows = rows_of(taped())
    assert [shown(row, "breath") for row in rows] == ["", "", "31 frames", "", "1 frame"]
    assert [may_be_written(row, "breath") for row in rows] == [row.ends for row in rows] == [False, False, True, False, True]
    assert [row.band for row in rows] == [0, 0, 0, 1, 1]


@given(sequences())
@settings(deadline=None, max_examples=40)
def test_what_stands_in_a_cell_can_be_typed_again(one: Sequence) -> None:
    for row in rows_of(one):
        for column in ("phrase", "move", "breath", "optional"):
            if may_be_written(row, column):
                assert change_cell(one, row.move.number, column, typed(row, column)) == one


def test_there_are_roles_to_choose_from_and_words_that_occur() -> None:
    one = replace(
        taped(), phrases=(replace(taped().phrases[0], moves=tuple(replace(move, line="head") for move in taped().phrases[0].moves)),)
    )
    assert choices(one, "attacker") == ("Odile", "Reeve") and choices(one, "upper_hand") == ("Odile", "Reeve", "level")
    assert choices(one, "line") == ("head",) and choices(one, "label") == choices(one, "note") == ()


def test_a_move_is_told_in_a_sentence() -> None:
    row = rows_of(taped())[1]
    told = about(replace_move(row, note="pads\non", optional=True, place="stair"))
    assert told == "Move 2, cut 2. Reeve attacks Odile, stair. Then level. Optional. Note: pads on"


def replace_move(row, **words):  # type: ignore[no-untyped-def]
    return type(row)(row.phrase, replace(row.move, **words), row.begins, row.ends, row.band)


# The curve


def cut_of(*moves: int) -> Cut:
    """A cut that shows these moves, each from the take that has them, in a second each."""
    at = {1: ("A1", 1), 2: ("A1", 2), 3: ("A1", 3), 4: ("A2", 7), 5: ("A2", 8)}
    return Cut("v1", tuple(Shot(f"s{move}", 12, Footage(at[move][0], at[move][1] * 24 - 4)) for move in moves), 240)


def test_the_curve_stands_where_the_moves_put_it() -> None:
    hands = hands_of(taped(), None)
    assert hands.holders == ("Odile", "level", "Reeve") and hands.written == (0, 1, 0, 1, 0) and hands.in_cut is None
    assert hands.level == 1


def test_a_cut_that_shows_all_follows_the_written_curve() -> None:
    hands = hands_of(taped(), cut_of(1, 2, 3, 4, 5))
    assert hands.in_cut == hands.written and not hands.turns


def test_a_turn_that_the_cut_leaves_out_does_not_come_about() -> None:
    hands = hands_of(taped(), cut_of(1, 3, 4, 5))
    assert hands.in_cut == (0, 0, 0, 1, 0) and list(hands.turns) == [2]
    assert telling.turn_told(hands.turns[2], "v1") == "Cut v1 does not show this turn."
    card = Cut("v1", (Shot("s1", 24, Card("1 cut 1", 1)),), 24)
    assert telling.turn_told(hands_of(taped(), card).turns[1], "v1") == "In cut v1 a card holds the place of this turn."


def test_a_fight_of_three_has_a_place_for_each() -> None:
    moves = taped().phrases[0].moves
    one = sequence(phrases=(replace(taped().phrases[0], moves=(moves[0], replace(moves[1], attacker="Guard", upper_hand="Guard"))),))
    assert hands_of(one, None).holders == ("Odile", "Reeve", "level", "Guard")


# Strips


def test_a_strip_runs_down_the_moves_that_a_take_holds_in_one_size() -> None:
    one = taped()
    found = strips_of(one, coverage(one))
    told = {(strip.take, strip.first_row, strip.last_row, strip.size, strip.lane, strip.performed) for strip in found.strips}
    assert told == {
        ("A1", 0, 2, Size.FULL, 0, True),
        ("B1", 0, 2, Size.CLOSE, 0, False),
        ("A3", 2, 3, Size.FULL, 1, True),
        ("A2", 3, 4, Size.FULL, 0, True),
    }
    assert found.lanes == {Size.FULL: 2, Size.CLOSE: 1} and found.cameras == ("A",)


def test_where_the_framing_changes_or_a_move_is_left_out_another_strip_begins() -> None:
    changing = replace(
        take("A1", {1: 1, 2: 2, 4: 4, 5: 5}, phrases=(1, 2)), framings=(Framing(Fraction(0), Size.WIDE), Framing(Fraction(5), Size.CLOSE))
    )
    one = replace(taped(), takes=(changing,))
    assert [(strip.first_row, strip.last_row, strip.size) for strip in strips_of(one, coverage(one)).strips] == [
        (0, 1, Size.WIDE),
        (3, 3, Size.WIDE),
        (4, 4, Size.CLOSE),
    ]


@given(sequences())
@settings(deadline=None, max_examples=60)
def test_strips_never_lie_on_each_other_and_hold_every_hit(one: Sequence) -> None:
    sheet = sheet_of(one, None)
    there: set[tuple[Size, int, int]] = set()
    held: set[tuple[str, int]] = set()
    for strip in sheet.strips.strips:
        assert 0 <= strip.lane < sheet.strips.lanes[strip.size]
        for row, mark in enumerate(strip.marks, start=strip.first_row):
            assert (strip.size, strip.lane, row) not in there
            there.add((strip.size, strip.lane, row))
            assert mark.framing.size is strip.size and mark.take.name == strip.take and mark.move == one.moves[row].number
            held.add((strip.take, mark.move))
            assert strip in sheet.strips.at(row)
    assert held == {(take.name, hit.move) for take in one.takes for hit in take.hits}


# Words


@pytest.mark.parametrize("hole", list(Hole))
def test_every_hole_has_words(hole: Hole) -> None:
    assert telling.hole_text(hole)


def test_holes_are_told_in_sentences() -> None:
    one = replace(taped(), takes=(take("B1", {1: 1}, tempo=SLOW),))
    covered = coverage(one)
    assert telling.hole_told(covered[0]) == "Move 1 is held at learning tempo only."
    assert telling.tightest_told(covered[0]) == "Tightest: full on take B1, at learning tempo."
    assert telling.hole_told(covered[1]) == "No hit of move 2 is logged; its phrase is played on B1."
    assert telling.hole_told(covered[4]) == "No take holds move 5." and telling.tightest_told(covered[4]) == ""
    figures = sheet_of(one, None).figures
    assert telling.figures_told(figures) == "5 moves in 2 phrases    1 hit logged on 1 take"
    assert telling.holes_told(figures) == "4 moves without a hit, 1 lacks something"
    assert telling.holes_told(sheet_of(taped(), None).figures) == ""


def test_all_of_a_take_is_told() -> None:
    covered = coverage(replace(taped(), takes=(take("B1", {1: 1}, tempo=SLOW),)))[0]
    assert telling.take_told(covered.held[0], ("Odile", "Reeve")).splitlines() == [
        "Take B1: full, 0 degrees",
        "learning tempo 70 %, rated 3",
        "Odile: Juno Vale, face not noted",
        "Reeve: Abel Quist, face not noted",
    ]
