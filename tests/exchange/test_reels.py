"""Reel names of edit lists, and text in seven bits."""

from __future__ import annotations

import re

import fights
import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.document.model import Tape
from previs.exchange.plain import plain
from previs.exchange.reels import reel_table


def names(*reels: str) -> list[str]:
    return [row.in_list for row in reel_table(fights.sequence(tapes=tuple(fights.tape(reel) for reel in reels)))]


@pytest.mark.parametrize(
    ("reels", "expected"),
    [
        (["A001", "008C", "B_2"], ["A001", "008C", "B_2"]),
        (["AX", "BL", "BLACK", "BARS"], ["AX2", "BL2", "BLACK2", "BARS2"]),
        (["a001", "A001"], ["A0012", "A001"]),
        (["cam-a.1", "cam/a.1", "CAM_A_1"], ["CAM_A_12", "CAM_A_13", "CAM_A_1"]),
        (["ABCDEFGé", "abcdefge", "ABCDEFGE"], ["ABCDEFG2", "ABCDEFG3", "ABCDEFGE"]),
        (["!!", "漢"], ["TAPE", "TAPE2"]),
    ],
)
def test_reels_are_bent_as_little_as_can_be(reels: list[str], expected: list[str]) -> None:
    assert names(*reels) == expected


@given(st.lists(st.text(min_size=1, max_size=8), unique=True, max_size=30))
def test_reels_are_legal_and_unique_whatever_the_tapes_are_called(reels: list[str]) -> None:
    found = names(*reels)
    assert len(set(found)) == len(reels)
    assert all(re.fullmatch(r"[A-Z0-9_]{1,8}", name, re.ASCII) for name in found)
    assert not {"AX", "BL", "BLACK", "BARS"} & set(found)


def test_more_clashes_than_one_digit_can_tell_apart() -> None:
    found = names(*(f"abcdefgh{number}" for number in range(12)))
    assert [found[0], found[1], found[8], found[9], found[11]] == ["ABCDEFGH", "ABCDEFG2", "ABCDEFG9", "ABCDEF10", "ABCDEF12"]
    assert len(set(found)) == 12


def test_the_table_leads_back_to_the_tape() -> None:
    tape: Tape = msgspec.structs.replace(fights.tape("card 1", rate="29.97"), start_frame=29)
    (row,) = reel_table(fights.sequence(tapes=(tape,)))
    # 29 x 24 / 30 = 23.2: the list counts from frame 23 of the same second.
    assert (row.in_list, row.tape, row.tape_start, row.list_start) == ("CARD_1", tape, "00:00:00:29", "00:00:00:23")


@pytest.mark.parametrize(
    ("text", "expected"),
    [("Łódź – „Straße“", 'Lodz - "Strasse"'), ("a\r\n\tb\u2028c\x00d", "a b c d"), ("漢 🙂", "? ?"), ("ﬁn ½", "fin 1?2"), ("  ", "")],
)
def test_plain(text: str, expected: str) -> None:
    assert plain(text) == expected


@given(st.text())
def test_plain_is_printable_ascii_on_one_line(text: str) -> None:
    found = plain(text)
    assert found.isascii()
    assert found.isprintable()
    assert plain(found) == found
