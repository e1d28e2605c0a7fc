"""Edit lists torn, spliced and made up: the reader raises nothing but its own error, whatever the text.

PREVIS_MUTATED_LINES sets how many lines the mutation test reads; it is run with a million by hand now and then.
"""

from __future__ import annotations

import os
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.clock import Rate, Timebase
from previs.exchange.cmx3600_reading import MOST_LINES, ListFault, read_list
from previs.exchange.cmx3600_statements import MOST_BYTES, decoded, statement

FILM, PAL = (Timebase(Rate.parse(name)) for name in ("24", "25"))
DROP = Timebase(Rate.parse("29.97"), drop=True)
SEEDS = [
    """TITLE:   foreign
FCM: NON-DROP FRAME

000001  A020C020_211007_R24B              V     C        18:14:52:00 18:14:58:22 00:00:00:00 00:00:06:22
* FROM CLIP NAME:  49-5-C
000002  A020C020_211007_R24B              V     C        18:14:58:22 18:14:58:22 00:00:06:22 00:00:06:22
000002  B049C021_211111_RP40              V     D    024 17:38:55:11 17:38:57:11 00:00:06:22 00:00:08:22
* TO CLIP NAME:  39B-4-B
000004  Z040C026_211206_ROLX              V     C        14:42:25:21 14:42:27:21 00:00:11:22 00:00:12:22
M2   Z040C026_211206_ROLX   048.0                14:42:25:21
""",
    "001  R        V     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00\n" * 3,
    """FCM: DROP FRAME
1 R V C 00:00:59;28 00:01:00;04 00:00:59;28 00:01:00;04
FCM: NON-DROP FRAME
SPLIT: VIDEO DELAY= 00:00:02:00
AUD 3 4
2 R V C 00:00:59:28 00:01:00:04 00:02:59;28 00:03:00;04
""".replace("\n", "\r\n"),
    """002        AX V     K B      00:01:06:06 00:01:08:03 01:00:04:10 01:00:06:07
002        AX V     K O  000 00:00:03:08 00:00:03:08 01:00:04:10 01:00:04:10
001 001 B C     02:00:00:00 02:00:00:00 01:00:10:00 01:00:10:00
001 002 B W019 030 03:00:00:00 03:00:10:00 01:00:10:00 01:00:20:00
M2 002 -024.0 03:00:00:00
GPI 1
% 2
SWM 3
""",
]
SPLICES = [*" \t\n\r\0\x1a9:;-.AVDWK*é٣²/", "99", "M2", "FCM", "\u2028", "\ud800", "001", "0" * 40]


def mutated(text: str, chance: random.Random) -> str:
    for _ in range(chance.choice((1, 1, 2, 3, 8))):
        at = chance.randrange(len(text) + 1)
        until = min(len(text), at + chance.choice((0, 0, 1, 1, 2, 5, 40)))
        piece = chance.choice(SPLICES) if chance.random() < 0.8 else text[(start := chance.randrange(len(text) + 1)) : start + 30]
        text = text[:at] + piece + text[until:]
    return text


def read_mutated(lines: int, seed: int) -> tuple[int, int]:
    """Read mutated lists, strictly and tolerantly, until that many lines were read; how many, and how many lists were refused."""
    chance = random.Random(seed)
    counted = refused = 0
    countings = [None, FILM, PAL, DROP]
    while counted < lines:
        text = mutated(chance.choice(SEEDS), chance)
        counted += text.count("\n") + 1
        try:
            read = read_list(text, chance.choice(countings), strict=chance.random() < 0.3)
        except ListFault:
            refused += 1
            continue
        assert all(1 <= issue.line <= text.count("\n") + text.count("\r") + 1 and issue.column >= 1 for issue in read.issues)
        assert all(event.record.length > 0 for event in read.events)
    return counted, refused


def test_mutated_lists_raise_nothing_but_the_readers_own_error() -> None:
    lines, refused = read_mutated(int(os.environ.get("PREVIS_MUTATED_LINES", "20000")), seed=258)
    assert lines >= 20_000
    assert 0 < refused < lines


@given(
    st.text(max_size=300)
    | st.from_regex(r"(?:[0-9]{1,3} [A-Z]{1,3} V [CDWK]\d* [0-9:;]{9,12} [0-9:;]{9,12} [0-9:;]{9,12} [0-9:;]{9,12}\n)+")
)
def test_any_text_is_read_or_refused(text: str) -> None:
    for strict in (False, True):
        try:
            assert read_list(text, strict=strict).events
        except ListFault as fault:
            assert str(fault)


@given(st.binary(max_size=300))
def test_any_bytes_are_text(data: bytes) -> None:
    for line in decoded(data).split("\n"):
        statement(line)


def test_limits() -> None:
    with pytest.raises(ListFault, match="20 MB"):
        read_list(b" " * (MOST_BYTES + 1))
    with pytest.raises(ListFault, match="100,000 lines"):
        read_list("\n" * MOST_LINES)
    with pytest.raises(ListFault, match="no event"):
        read_list("TITLE: x")
    with pytest.raises(ListFault, match="no event"):
        read_list(SEEDS[1].replace("01:00:01:00", "00:59:00:00"))
    with pytest.raises(ListFault, match=r"\n20 lines, first in line 1, column 1: the line begins as an event does"):
        read_list("7 x\n" * 20)
