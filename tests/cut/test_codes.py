"""Shot codes: tens, inserts between, and every shot that stays keeps its own through insert, delete, reorder and new versions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.cut.codes import coded, with_codes
from previs.document.model import Card, Cut, Footage, Sequence, Shot


def shot(ident: str, first: int, frames: int = 20, name: str = "T1", code: str = "") -> Shot:
    return Shot(ident, frames, Footage(name, first), code=code)


def fight(*cuts: Cut) -> Sequence:
    return sequence(
        phrases=(phrase(1, range(1, 9)),),
        tapes=(tape(seconds=120),),
        takes=(take("T1", {n: n for n in range(1, 9)}, end=100),),
        cuts=cuts,
    )


def cut(name: str, *shots: Shot) -> Cut:
    return Cut(name, shots, 240)


FIRST = cut("v1", *(shot(f"s{n}", 100 * n) for n in range(1, 5)))


def codes(sequence: Sequence, name: str) -> list[str]:
    return [one.code for one in coded(sequence, sequence.cut(name)).shots]


def test_a_first_cut_has_tens() -> None:
    assert codes(fight(FIRST), "v1") == ["010", "020", "030", "040"]


def test_a_shot_between_010_and_020_is_015_and_nobody_else_moves() -> None:
    known = with_codes(fight(FIRST), "v1").cuts[0]
    second = cut("v2", shot("a", 100), shot("new", 150), shot("b", 205, 10), shot("d", 400), shot("c", 300), shot("e", 900))
    # The head of shot b is trimmed, c and d change places, and one comes at the end.
    assert codes(fight(known, second), "v2") == ["010", "015", "020", "040", "030", "050"]


def test_a_code_is_never_given_to_another_shot() -> None:
    known = with_codes(fight(FIRST), "v1").cuts[0]
    second = with_codes(fight(known, cut("v2", *known.shots[:3])), "v2").cuts[1]
    third = cut("v3", *second.shots, shot("other", 1500))
    assert codes(fight(known, second, third), "v3") == ["010", "020", "030", "050"]


def test_two_halves_of_a_shot_are_two_codes_the_larger_keeps_its_own() -> None:
    known = with_codes(fight(FIRST), "v1").cuts[0]
    halves = cut("v2", shot("s1", 100, 5), shot("t", 105, 15), *FIRST.shots[1:])
    assert codes(fight(known, halves), "v2") == ["005", "010", "020", "030", "040"]
    same = cut("v2", known.shots[0], replace(known.shots[0], ident="copy"), known.shots[1])
    assert codes(fight(known, same), "v2") == ["010", "015", "020"]


def test_when_no_number_is_left_between_a_letter_comes() -> None:
    tight = cut("v1", shot("a", 100, code="010"), shot("new", 600), shot("b", 200, code="011"))
    assert codes(fight(tight), "v1") == ["010", "010A", "011"]


def test_a_card_keeps_its_code_by_its_moves() -> None:
    known = with_codes(fight(cut("v1", Shot("c", 24, Card("wire", 3, 4)), shot("a", 100))), "v1").cuts[0]
    assert codes(fight(known, cut("v2", shot("x", 100), Shot("y", 30, Card("still to shoot", 3, 4)))), "v2") == ["020", "010"]


@given(st.lists(st.integers(1, 30), min_size=1, max_size=25, unique=True), st.lists(st.integers(1, 30), max_size=25, unique=True))
def test_codes_are_unique_and_stable_for_any_two_versions(before: list[int], after: list[int]) -> None:
    first = cut("v1", *(shot(f"a{n}", 40 * n) for n in before))
    known = with_codes(fight(first), "v1")
    second = with_codes(replace(known, cuts=(*known.cuts, cut("v2", *(shot(f"b{n}", 40 * n) for n in after)))), "v2")
    was, now = ({one.picture.first_frame: one.code for one in version.shots} for version in second.cuts)  # type: ignore[union-attr]
    assert len(set(now.values())) == len(now)
    assert all(now[at] == was[at] for at in now if at in was)
    assert not {now[at] for at in now if at not in was} & set(was.values())
    assert with_codes(second, "v2") == second


@pytest.mark.parametrize("speed", [Fraction(1), Fraction(-1), Fraction(3, 2)])
def test_speed_does_not_make_another_shot(speed: Fraction) -> None:
    known = with_codes(fight(FIRST), "v1").cuts[0]
    retimed = replace(FIRST.shots[1], picture=Footage("T1", 215, speed))
    assert codes(fight(known, cut("v2", FIRST.shots[0], retimed)), "v2") == ["010", "020"]
