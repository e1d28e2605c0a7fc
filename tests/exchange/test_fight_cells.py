"""Cells of the fight over the clipboard: blocks, whole fights, and what is neither."""

from __future__ import annotations

import pytest
from document.drawn import plain_sequence
from fights import phrase, sequence, take, tape
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.document.fight_edits import insert_move, move_like, number_anew, remove_moves
from previs.document.invariants import faults_in
from previs.document.model import LEVEL, Move, Sequence
from previs.exchange.fight_cells import cells_in, fight_cells, has_header, same_moves, text_of, with_block, with_fight
from previs.exchange.fight_table import COLUMNS
from previs.faults import UseFault

HEADER = "\t".join(COLUMNS)


def taped() -> Sequence:
    takes = (take("A1", {1: 1, 2: 2, 3: 3}), take("A2", {4: 4, 5: 5}, phrases=(2, 2)))
    return sequence(phrases=(phrase(1, range(1, 4), breath=12), phrase(2, range(4, 6), breath=0)), tapes=(tape(),), takes=takes)


def column(name: str) -> int:
    return COLUMNS.index(name)


def fault(text: str, row: int, name: str, one: Sequence | None = None) -> str:
    with pytest.raises(UseFault) as found:
        with_block(one or taped(), cells_in(text), row, column(name))
    return str(found.value)


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("a\tb\r\nc\td\r\n", (("a", "b"), ("c", "d"))),
        ("a\tb\nc", (("a", "b"), ("c", ""))),
        ('"two\nlines"\tb\n', (("two\nlines", "b"),)),
        ('"say ""now"""\t"high" cut\n"the fall\tx', (('say "now"', '"high" cut'), ('"the fall', "x"))),
        ("'=1+1\t'tis\n\n\n", (("=1+1", "'tis"),)),
        ("\ta\n", (("", "a"),)),
        ("one", (("one",),)),
        (" a \t\u00a0", ((" a ".strip(), ""),)),
    ],
)
def test_what_spreadsheets_put_on_the_clipboard_is_read_as_cells(text: str, cells: tuple[tuple[str, ...], ...]) -> None:
    assert cells_in(text) == cells


@given(st.lists(st.lists(st.text("ab\t\n\"'=+ ", max_size=6).map(lambda cell: cell.strip(" \n")), min_size=2, max_size=2), min_size=1))
def test_cells_come_back_from_their_text(rows: list[list[str]]) -> None:
    cells = tuple(map(tuple, rows))
    if any(cells[-1]):
        assert cells_in(text_of(cells)) == cells


def test_a_formula_does_not_leave_as_one() -> None:
    assert text_of((("=1+1",),)) == "'=1+1\n"


@pytest.mark.parametrize("text", ["", "\n\t\n", "a\0b"])
def test_a_clipboard_without_cells_is_refused(text: str) -> None:
    with pytest.raises(UseFault, match="The clipboard holds"):
        cells_in(text)


def test_a_block_is_written_over_the_rows_it_lies_on() -> None:
    after = with_block(taped(), cells_in("high cut\tReeve\tOdile\nlow cut\tOdile\tReeve"), 1, column("label"))
    assert [move.label for move in after.sequence.moves] == ["cut 1", "high cut", "low cut", "cut 4", "cut 5"]
    assert after.sequence.moves[1].attacker == "Reeve" and after.sequence.takes == taped().takes
    assert (after.hits_kept, after.hits_lost) == (5, 0)


def test_numbers_in_a_block_take_the_hits_along() -> None:
    after = with_block(taped(), cells_in("6\n8"), 3, column("move")).sequence
    assert [hit.move for hit in after.takes[1].hits] == [6, 8] and faults_in(after) == ()
    phrases = with_block(taped(), cells_in("1\n7\n7"), 2, column("phrase")).sequence
    assert [one.number for one in phrases.phrases] == [1, 7] and phrases.takes[1].first_phrase == 7


def test_rows_below_the_last_are_new_moves_and_the_breath_goes_down_with_them() -> None:
    one = replace(taped(), phrases=(taped().phrases[0], replace(taped().phrases[1], breath_frames=9)))
    after = with_block(
        one, cells_in("x\tOdile\tReeve\t\t\tlevel\ny\tReeve\tOdile\t\t\tOdile\nz\tOdile\tReeve\t\t\tlevel"), 4, column("label")
    )
    last = after.sequence.phrases[-1]
    assert [(move.number, move.label) for move in last.moves] == [(4, "cut 4"), (5, "x"), (6, "y"), (7, "z")] and last.breath_frames == 9


def test_faults_name_the_row_of_what_was_pasted_or_the_move_and_the_column() -> None:
    assert "pasted cells row 2, column upper_hand: there is no role of this fight 'Nobody'" in fault("Odile\nNobody", 1, "upper_hand")
    assert "pasted cells row 1, column move: 'abc' is not a whole number" in fault("abc", 0, "move")
    assert "pasted cells row 3, column attacker: is blank" in fault("a\nb\nc", 3, "label")
    assert "pasted cells row 1, column breath" in fault("12\n", 0, "breath")
    assert "cannot be read (U+000B)" in fault("a\x0bb", 0, "label")
    assert "but from 'place' on there are 2 columns; choose a cell further left" in fault("a\tb\tc", 0, "place")


def test_a_row_that_was_not_pasted_is_named_by_its_move() -> None:
    first, second = taped().moves[:2]
    moves = (replace(first, upper_hand=LEVEL), replace(second, attacker="Ann", defender="Bea", upper_hand="Odile"))
    one = sequence(phrases=(replace(taped().phrases[0], moves=moves),))
    assert fault("Ann\tBea", 0, "attacker", one).startswith("move 2, column upper_hand: there is no role of this fight 'Odile'")


def test_a_whole_fight_goes_out_and_comes_back_the_same() -> None:
    one = taped()
    text = text_of((COLUMNS, *fight_cells(one)))
    assert text.startswith(HEADER) and has_header(cells_in(text))
    assert with_fight(one, cells_in(text)).sequence == one
    assert with_fight(one, cells_in(text_of(fight_cells(one)))).sequence == one
    assert with_fight(sequence(), cells_in(text)).sequence.phrases == one.phrases


def test_a_whole_fight_may_lack_its_last_columns_and_have_others_in_another_order() -> None:
    short = with_fight(sequence(), cells_in("1\t1\tcut\tOdile\tReeve\thead\tstaff\tOdile")).sequence
    assert short.moves == (Move(1, "cut", "Odile", "Reeve", "Odile", "head", "staff"),)
    text = "Upper hand\tMove\tPhrase\tlabel\tdefender\tattacker\tline\tweapon\nlevel\t1\t1\tcut\tReeve\tOdile\t\t"
    assert with_fight(sequence(), cells_in(text)).sequence.moves[0].attacker == "Odile"
    with pytest.raises(UseFault, match="a fight without a header needs 8 to 12: phrase, move"):
        with_fight(sequence(), cells_in("a\tb"))
    with pytest.raises(UseFault, match="pasted cells row 1, column line: is missing"):
        with_fight(sequence(), cells_in("phrase\tmove\tlabel\n1\t1\tx"))


def test_hits_follow_through_a_new_fight_in_which_moves_were_put_in_taken_out_and_counted_anew() -> None:
    one = taped()
    other = number_anew(remove_moves(insert_move(one, 1, move_like(one, 1, "new")), [4]))
    after = with_fight(one, fight_cells(other))
    assert after.sequence == other and (after.hits_kept, after.hits_lost) == (4, 1)


def test_moves_are_the_same_by_what_they_are_then_by_place_then_by_number() -> None:
    def moves(*labels: str, first: int = 1) -> tuple[Move, ...]:
        return tuple(Move(at, label, "Odile", "Reeve", LEVEL) for at, label in enumerate(labels, start=first))

    assert same_moves(moves("a", "b", "c"), moves("a", "x", "b", "c")) == {1: 1, 3: 2, 4: 3}
    assert same_moves(moves("a", "b", "c"), moves("a", "B2", "c", first=5)) == {5: 1, 6: 2, 7: 3}
    assert same_moves(moves("a", "b", "c"), moves("b", "a", "c")) == {1: 2, 2: 1, 3: 3}
    assert same_moves(moves("a", "b"), moves("c", "d", "e")) == {1: 1, 2: 2}
    assert same_moves(moves("a", "a", "b"), moves("a", "a", "b")) == {1: 1, 2: 2, 3: 3}
    assert same_moves((), moves("a")) == {}


@given(st.permutations(["a", "a", "b", "c", "d"]), st.lists(st.sampled_from("abcdx"), max_size=6), st.integers(1, 9))
def test_no_two_moves_come_from_one(before: list[str], after: list[str], first: int) -> None:
    old = tuple(Move(at, label, "Odile", "Reeve", LEVEL) for at, label in enumerate(before, start=1))
    new = tuple(Move(at, label, "Odile", "Reeve", LEVEL) for at, label in enumerate(after, start=first))
    found = same_moves(old, new)
    assert len(set(found.values())) == len(found)
    assert set(found) <= {move.number for move in new} and set(found.values()) <= {move.number for move in old}


CELLS = st.sampled_from(["", "1", "2", "3", "5", "9", "Odile", "Reeve", "level", "cut", "x", "yes", "f12", "-1", "a\x07"])


@given(st.lists(st.lists(CELLS, min_size=1, max_size=13), min_size=1, max_size=6), st.integers(0, 5), st.integers(0, 11))
@settings(deadline=None, max_examples=200)
def test_whatever_is_pasted_the_document_stays_sound_or_the_fault_is_said(rows: list[list[str]], row: int, at: int) -> None:
    one = taped()
    text = "\n".join("\t".join(each) for each in rows)
    for paste in (lambda cells: with_block(one, cells, min(row, 5), at), lambda cells: with_fight(one, cells)):
        try:
            after = paste(cells_in(text)).sequence
        except UseFault as found:
            assert str(found)
        else:
            assert faults_in(after) == ()


def test_a_fight_on_which_cards_and_marks_rest_stays_sound() -> None:
    one = plain_sequence()
    assert with_fight(one, fight_cells(one)).sequence == one
    with pytest.raises(UseFault, match="would be in no move any more, but take T1 names them"):
        with_fight(replace(one, cast=()), cells_in("1\t1\tcut\tOdile\tGuard\t\t\tlevel"))
