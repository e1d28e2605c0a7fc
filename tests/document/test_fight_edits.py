"""Any run of edits of the written fight leaves a sound document, and hits stay with the moves they were logged for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from random import Random

import pytest
from document.drawn import sequences
from fights import phrase, sequence, take, tape
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.cut.assembly import assemble
from previs.document import fight_edits as edits
from previs.document.fight_words import rename_role
from previs.document.following import card_text
from previs.document.invariants import faults_in
from previs.document.model import Card, Cut, Move, Phrase, Role, Sequence, Shot
from previs.faults import UseFault


def fight(*counts: int, breath: int = 12) -> tuple[Phrase, ...]:
    """Phrases of so many moves, counted from 1; every label is another, so that a move can be told by it."""
    phrases, at = [], 1
    for number, count in enumerate(counts, start=1):
        phrases.append(phrase(number, range(at, at + count), breath=breath * number))
        at += count
    return tuple(phrases)


def taped() -> Sequence:
    """Three phrases of three moves; a take of all, one of each phrase, one without hits; cards for a move and for two."""
    takes = (
        take("all", {n: n for n in range(1, 10)}, phrases=(1, 3)),
        *(take(f"p{p}", {n: 20 + n for n in range(3 * p - 2, 3 * p + 1)}, phrases=(p, p)) for p in (1, 2, 3)),
        take("none", {}, phrases=(2, 2)),
    )
    one = sequence(phrases=fight(3, 3, 3), tapes=(tape(),), takes=takes)
    moves = one.moves
    cards = (Card(card_text(moves[4:5]), 5), Card(card_text(moves[1:3]), 2, 3), Card("the fall", 8, 9), Card("title"))
    return replace(one, cuts=(Cut("v1", tuple(Shot(f"s{n}", 24, card) for n, card in enumerate(cards)), 96),))


def landings(one: Sequence) -> dict[tuple[str, Fraction], str]:
    """Which label lands when on which take."""
    labels = {move.number: move.label for move in one.moves}
    return {(take.name, hit.at): labels[hit.move] for take in one.takes for hit in take.hits}


def labels(one: Sequence) -> list[list[str]]:
    return [[move.label.removeprefix("cut ") for move in phrase.moves] for phrase in one.phrases]


def numbers(one: Sequence) -> list[list[int]]:
    return [[move.number for move in phrase.moves] for phrase in one.phrases]


def cards(one: Sequence) -> list[tuple[int | None, int | None, str]]:
    return [(c.first_move, c.last_move, c.text) for shot in one.cuts[0].shots if isinstance(c := shot.picture, Card)]


def plays(one: Sequence) -> dict[str, tuple[int, int]]:
    return {take.name: (take.first_phrase, take.last_phrase) for take in one.takes}


def test_a_new_move_makes_those_behind_it_make_way_and_hits_and_cards_go_with_them() -> None:
    before = taped()
    after = edits.insert_move(before, 4, edits.move_like(before, 4, "new move"))
    assert numbers(after) == [[1, 2, 3], [4, 5, 6, 7], [8, 9, 10]]
    assert labels(after)[1] == ["4", "new move", "5", "6"]
    assert landings(after) == landings(before)
    assert cards(after) == [(6, None, "6 cut 5"), (2, 3, "2 cut 2; 3 cut 3"), (9, 10, "the fall"), (None, None, "title")]
    assert plays(after) == plays(before)


def test_a_new_move_takes_a_number_that_is_free() -> None:
    before = edits.remove_moves(taped(), [5])
    after = edits.insert_move(before, 4, edits.move_like(before, 4, "new move"))
    assert numbers(after) == [[1, 2, 3], [4, 5, 6], [7, 8, 9]]
    assert after.moves[4].label == "new move"


def test_a_new_move_before_all_others_and_in_a_fight_without_any() -> None:
    assert labels(edits.insert_move(taped(), None, Move(0, "first", "Odile", "Reeve", "level")))[0] == ["first", "1", "2", "3"]
    empty = sequence()
    first = edits.insert_move(empty, None, Move(0, " first ", "Odile", "Reeve", "odile"))
    assert first.phrases == (Phrase(1, (Move(1, "first", "Odile", "Reeve", "Odile"),)),)


def test_a_removed_move_takes_its_hits_along_and_leaves_its_number_free() -> None:
    before = taped()
    assert edits.hits_of(before, [5]) == 2
    after = edits.remove_moves(before, [5])
    assert numbers(after) == [[1, 2, 3], [4, 6], [7, 8, 9]]
    assert landings(after) == {when: label for when, label in landings(before).items() if label != "cut 5"}
    assert cards(after)[0] == (None, None, "5 cut 5")
    assert cards(edits.remove_moves(before, [3]))[1] == (2, 2, "2 cut 2")


def test_a_phrase_that_a_take_plays_alone_is_not_emptied() -> None:
    with pytest.raises(UseFault, match="Take p2 plays what would be gone"):
        edits.remove_moves(taped(), [4, 5, 6])
    joined = edits.join_phrase(taped(), 4)
    assert labels(edits.remove_moves(joined, [4, 5, 6])) == [["1", "2", "3"], ["7", "8", "9"]]


def test_a_move_goes_earlier_with_its_hits_and_the_one_before_it_takes_its_number() -> None:
    before = taped()
    after = edits.move_earlier(before, 5)
    assert numbers(after) == numbers(before) and labels(after)[1] == ["5", "4", "6"]
    assert landings(after) == landings(before)
    assert cards(after)[0] == (4, None, "4 cut 5")
    assert edits.move_later(after, 4) == before


def test_at_the_edge_of_its_phrase_a_move_goes_across_the_breath_alone() -> None:
    before = taped()
    after = edits.move_earlier(before, 4)
    assert labels(after) == [["1", "2", "3", "4"], ["5", "6"], ["7", "8", "9"]] and after.moves == before.moves
    assert [one.breath_frames for one in after.phrases] == [12, 24, 36]
    assert plays(after) == {"all": (1, 3), "p1": (1, 1), "p2": (1, 2), "p3": (3, 3), "none": (1, 2)}
    later = edits.move_later(before, 6)
    assert labels(later) == [["1", "2", "3"], ["4", "5"], ["6", "7", "8", "9"]]


def test_first_and_last_go_no_further() -> None:
    with pytest.raises(UseFault, match="the first of the fight already"):
        edits.move_earlier(taped(), 1)
    with pytest.raises(UseFault, match="the last of the fight already"):
        edits.move_later(taped(), 9)


def test_a_card_is_not_stretched_over_what_lies_between() -> None:
    away = taped()
    for at in (3, 3, 4, 5):  # across the breath, and past two moves
        away = edits.move_later(away, at)
    assert labels(away) == [["1", "2"], ["4", "5", "6", "3"], ["7", "8", "9"]]
    assert cards(away)[1] == (2, 2, "2 cut 2")


def test_a_phrase_is_split_and_takes_play_the_part_that_they_show() -> None:
    before = replace(taped(), takes=(*taped().takes, take("late", {5: 41, 6: 42}, phrases=(2, 2))))
    after = edits.split_phrase(before, 5)
    assert labels(after) == [["1", "2", "3"], ["4"], ["5", "6"], ["7", "8", "9"]]
    assert [(one.number, one.breath_frames) for one in after.phrases] == [(1, 12), (2, 0), (3, 24), (4, 36)]
    assert plays(after) == {"all": (1, 4), "p1": (1, 1), "p2": (2, 3), "p3": (4, 4), "none": (2, 3), "late": (3, 3)}
    assert landings(after) == landings(before)
    back = edits.join_phrase(after, 5)
    assert labels(back) == labels(before) and [one.breath_frames for one in back.phrases] == [12, 24, 36]
    with pytest.raises(UseFault, match="begins phrase 2 already"):
        edits.split_phrase(before, 4)
    with pytest.raises(UseFault, match="Phrase 1 is the first"):
        edits.join_phrase(before, 2)


@pytest.mark.parametrize(
    ("move", "to", "found"),
    [
        (5, 3, [["1", "2", "3"], ["4"], ["5", "6", "7", "8", "9"]]),
        (5, 1, [["1", "2", "3", "4", "5"], ["6"], ["7", "8", "9"]]),
        (6, 1, [["1", "2", "3", "4", "5", "6"], ["7", "8", "9"]]),
        (4, 3, [["1", "2", "3"], ["4", "5", "6", "7", "8", "9"]]),
        (5, 2, [["1", "2", "3"], ["4", "5", "6"], ["7", "8", "9"]]),
        (8, 7, [["1", "2", "3"], ["4", "5", "6"], ["7"], ["8", "9"]]),
    ],
)
def test_the_number_of_a_phrase_says_where_a_move_goes(move: int, to: int, found: list[list[str]]) -> None:
    after = edits.set_phrase(taped(), move, to)
    assert labels(after) == found and faults_in(after) == ()
    assert landings(after) == landings(taped()) and after.moves == taped().moves


def test_a_whole_phrase_gets_another_number_and_its_takes_with_it() -> None:
    after = edits.set_phrase(taped(), 7, 8)
    assert [one.number for one in after.phrases] == [1, 2, 8]
    assert plays(after)["p3"] == (8, 8) and plays(after)["all"] == (1, 8)
    with pytest.raises(UseFault, match="phrases must rise"):
        edits.set_phrase(taped(), 4, 7)


def test_numbers_are_given_anew_and_one_by_one() -> None:
    gaps = edits.remove_moves(edits.set_phrase(taped(), 7, 8), [5])
    after = edits.number_anew(gaps)
    assert numbers(after) == [[1, 2, 3], [4, 5], [6, 7, 8]] and [one.number for one in after.phrases] == [1, 2, 3]
    assert landings(after) == landings(gaps) and plays(after) == plays(taped())
    assert numbers(edits.renumber_move(gaps, 4, 5))[1] == [5, 6]
    with pytest.raises(UseFault, match="here from 4 to 5 is free"):
        edits.renumber_move(gaps, 4, 7)


def test_words_are_changed_and_roles_spelled_as_everywhere() -> None:
    one = edits.change_move(taped(), 5, replace(taped().moves[4], label="  slant cut ", upper_hand=" REEVE", note="low\nand late "))
    assert (one.moves[4].label, one.moves[4].upper_hand, one.moves[4].note) == ("slant cut", "Reeve", "low\nand late")
    assert cards(one)[0][2] == "5 slant cut" and landings(one)["all", Fraction(5)] == "slant cut"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ({"label": " "}, "Move 5 needs a label"),
        ({"attacker": ""}, "Move 5 needs an attacker"),
        ({"attacker": "Reeve"}, "'Reeve' would attack and defend"),
        ({"attacker": "level"}, "cannot be the name of a role"),
        ({"defender": "A=B"}, "cannot be the name of a role"),
        ({"upper_hand": "Nobody"}, "there is no role 'Nobody' in the fight; known: level, Odile, Reeve"),
        ({"label": "a\x07b"}, "U\\+0007"),
        ({"line": "a\u202eb"}, "U\\+202E"),
        ({"place": "a\nb"}, "U\\+000A"),
    ],
)
def test_what_no_move_can_be_is_refused_in_a_sentence(words: dict[str, str], told: str) -> None:
    with pytest.raises(UseFault, match=told):
        edits.change_move(taped(), 5, replace(taped().moves[4], **words))


def test_a_role_that_marks_name_does_not_fall_out_of_the_fight() -> None:
    one = sequence(phrases=fight(2), tapes=(tape(),), takes=(take("A1", {1: 1}),))
    with pytest.raises(UseFault, match="'Reeve' would be in no move any more, but take A1 names them"):
        edits.change_move(edits.change_move(one, 1, replace(one.moves[0], defender="Guard")), 2, replace(one.moves[1], attacker="Guard"))


def test_a_role_gets_another_name_wherever_it_is_named() -> None:
    before = replace(taped(), cast=(Role("Reeve", "Abel Quist"),))
    after = rename_role(before, "Reeve", "Officer")
    assert after.roles == ("Odile", "Officer") and after.cast[0].role == "Officer" and faults_in(after) == ()
    assert "Reeve" not in repr(after) and rename_role(after, "Officer", "Reeve") == before
    with pytest.raises(UseFault, match="There is a role 'Odile' already"):
        rename_role(before, "Reeve", "odile")
    assert rename_role(before, "Reeve", "reeve").roles == ("Odile", "reeve")


def test_a_move_is_put_before_a_fight_that_begins_with_move_0() -> None:
    one = taped()
    first, *others = one.moves
    from_0 = replace(one, phrases=(replace(one.phrases[0], moves=(replace(first, number=0), *one.phrases[0].moves[1:])), *one.phrases[1:]))
    from_0 = replace(from_0, takes=())
    assert faults_in(from_0) == () and others
    after = edits.insert_move(from_0, None, replace(first, number=0, label="salute"))
    assert faults_in(after) == () and after.moves[0].label == "salute" and after.moves[1].label == first.label


def test_a_role_with_a_line_end_in_its_name_is_told_on_one_line() -> None:
    one = taped()
    broken = replace(
        one,
        phrases=tuple(
            replace(phrase, moves=tuple(replace(move, attacker="O\ndile", upper_hand="level") for move in phrase.moves))
            for phrase in one.phrases
        ),
        takes=(),
        treatments=(),
    )
    with pytest.raises(UseFault, match="known: level, O dile") as fault:
        edits.change_move(broken, broken.moves[0].number, replace(broken.moves[0], upper_hand="nobody"))
    assert "\n" not in str(fault.value)


def test_a_breath_has_a_length() -> None:
    assert edits.set_breath(taped(), 2, 40).phrases[1].breath_frames == 40
    with pytest.raises(UseFault, match="cannot last -1 frames"):
        edits.set_breath(taped(), 2, -1)


Edit = Callable[[Sequence], Sequence]


def any_edit(luck: Random, one: Sequence) -> tuple[str, Edit]:
    """An edit with arguments that mostly fit."""
    there = [move.number for move in one.moves]
    move = luck.choice(there) if luck.random() < 0.95 else 424242
    some = luck.sample(there, luck.randint(1, min(2, len(there))))
    near = luck.choice([phrase.number for phrase in one.phrases]) + luck.randint(-1, 1)
    words = luck.choice(["label", "attacker", "defender", "upper_hand", "place", "note"])
    role = luck.choice([*one.roles, "level", "a new one", ""])
    own = next((each for each in one.moves if each.number == move), one.moves[0])
    every: dict[str, Edit] = {
        "insert": lambda it: edits.insert_move(it, luck.choice([move, None]), replace(own, number=0, label="new move")),
        "remove": lambda it: edits.remove_moves(it, some),
        "earlier": lambda it: edits.move_earlier(it, move),
        "later": lambda it: edits.move_later(it, move),
        "split": lambda it: edits.split_phrase(it, move),
        "join": lambda it: edits.join_phrase(it, move),
        "phrase": lambda it: edits.set_phrase(it, move, near),
        "number": lambda it: edits.renumber_move(it, move, move + luck.randint(-2, 2)),
        "anew": edits.number_anew,
        "breath": lambda it: edits.set_breath(it, near, luck.randint(-1, 50)),
        "words": lambda it: edits.change_move(it, move, replace(own, **{words: role})),
        "role": lambda it: rename_role(it, luck.choice(one.roles), role),
    }
    return luck.choice(list(every.items()))


@given(sequences(), st.randoms(use_true_random=False), st.integers(1, 12))
@settings(deadline=None, max_examples=150)
def test_any_run_of_edits_keeps_the_document_sound_and_hits_with_their_moves(one: Sequence, luck: Random, count: int) -> None:
    assert faults_in(one) == ()
    for _ in range(count):
        if not one.moves:
            return
        named = told_apart(one)
        name, edit = any_edit(luck, named)
        try:
            after = edit(named)
        except UseFault as fault:
            assert str(fault)
            continue
        assert faults_in(after) == (), name
        was, now = landings_by_line(named), landings_by_line(after)
        left = {move.line for move in after.moves}
        assert now == Counter({landing: times for landing, times in was.items() if landing[2] in left})
        assert name == "remove" or now == was
        one = after


def told_apart(one: Sequence) -> Sequence:
    """The sequence with a line of its own for each move, which no edit of the run above touches."""
    return replace(
        one,
        phrases=tuple(
            replace(phrase, moves=tuple(replace(move, line=f"line {move.number}") for move in phrase.moves)) for phrase in one.phrases
        ),
    )


def landings_by_line(one: Sequence) -> Counter[tuple[str, Fraction, str]]:
    """Which move lands when on which take."""
    lines = {move.number: move.line for move in one.moves}
    return Counter((each.name, hit.at, lines[hit.move]) for each in one.takes for hit in each.hits)


def test_of_many_random_edits_each_kind_is_sometimes_done_and_sometimes_refused() -> None:
    done: set[str] = set()
    refused: set[str] = set()
    luck = Random(4)
    one = taped()
    for _ in range(1500):
        name, edit = any_edit(luck, one)
        try:
            after = edit(one)
        except UseFault:
            refused.add(name)
            continue
        done.add(name)
        one = after if 5 <= len(after.moves) < 12 else taped()
    assert done == {"insert", "remove", "earlier", "later", "split", "join", "phrase", "number", "anew", "breath", "words", "role"}
    assert refused == done - {"anew"}


def test_a_card_of_an_assembly_is_known_by_its_text() -> None:
    cut = assemble(sequence(phrases=fight(2)), "v1").cut
    assert [card.text for shot in cut.shots if isinstance(card := shot.picture, Card)] == ["1 cut 1", "2 cut 2"]
    assert [card_text((move,)) for move in fight(2)[0].moves] == ["1 cut 1", "2 cut 2"]


@pytest.mark.parametrize(
    ("column", "text", "found"),
    [
        ("phrase", " 1 ", lambda one: one.phrase_of(4).number == 1),
        ("move", "4", lambda one: one == taped()),
        ("breath", "1,5s", lambda one: one.phrases[1].breath_frames == 36),
        ("breath", "7", lambda one: one.phrases[1].breath_frames == 7),
        ("breath", "00:00:01:01", lambda one: one.phrases[1].breath_frames == 25),
        ("breath", " ", lambda one: one.phrases[1].breath_frames == 0),
        ("optional", "yes", lambda one: one.moves[3].optional),
        ("weapon", "staff", lambda one: one.moves[3].weapon == "staff"),
    ],
)
def test_a_cell_is_read_as_what_its_column_means(column: str, text: str, found: Callable[[Sequence], bool]) -> None:
    assert found(edits.change_cell(taped(), 4, column, text))


@pytest.mark.parametrize(("column", "text"), [("phrase", "two"), ("move", "-1"), ("move", ""), ("breath", "long"), ("label", "")])
def test_a_cell_that_cannot_be_read_is_refused(column: str, text: str) -> None:
    with pytest.raises(UseFault):
        edits.change_cell(taped(), 4, column, text)
