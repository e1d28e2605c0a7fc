"""Captions parsed back by a small reader of their own, written from the W3C text and not from the writer."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import fights
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_cuts import TIMEBASES, cuts
from random_cuts import sequence as random_sequence

from previs.cut.placing import hits_seen, place
from previs.document.model import Card, Cut, Footage, Move, Phrase, Sequence, Shot
from previs.exchange.captions import write_captions

TIME = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
TIMES = re.compile(rf"{TIME} --> {TIME}( line:0)?")


@dataclass(frozen=True)
class Read:
    name: str
    start: int
    end: int
    top: bool
    text: str


def thousandths(hours: str | None, minutes: str, seconds: str, thousandth: str) -> int:
    return ((int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)) * 1000 + int(thousandth)


def parse(text: str) -> list[Read]:
    head, *blocks = text.removesuffix("\n").split("\n\n")
    assert head == "WEBVTT"
    found = []
    for block in blocks:
        name, times, *payload = block.split("\n")
        assert "-->" not in name
        match = TIMES.fullmatch(times)
        assert match, times
        start, end = thousandths(*match.groups()[:4]), thousandths(*match.groups()[4:8])
        assert start < end
        assert payload
        for line in payload:
            assert "-->" not in line
            assert "<" not in line
            assert not re.search(r"&(?!amp;|lt;|gt;)", line)
        found.append(Read(name, start, end, match[9] is not None, html.unescape("\n".join(payload))))
    assert [one.start for one in found] == sorted(one.start for one in found)
    return found


def value(label: str = "cut 1") -> Sequence:
    first = Phrase(1, (Move(1, label, "Odile", "Reeve", "level"), Move(2, "two", "Reeve", "Odile", "level")))
    return fights.sequence(
        phrases=(first, fights.phrase(2, range(3, 6))),
        tapes=(fights.tape("A1"),),
        takes=(fights.take("1A", {1: 1, 2: 2, 3: 4, 4: 4}, phrases=(1, 2)),),
    )


def test_moves_run_to_the_next_landing_and_phrases_to_the_next_phrase() -> None:
    cut = Cut("v1", (Shot("a", 120, Footage("1A", 12)), Shot("b", 24, Card("not shot", 5))), 240)
    assert parse(write_captions(value(), cut)) == [
        Read("phrase 1", 0, 3500, True, "Phrase 1: moves 1-2"),
        Read("move 1", 500, 1500, False, "1 cut 1"),
        Read("move 2", 1500, 3500, False, "2 two"),
        Read("phrase 2", 3500, 6000, True, "Phrase 2: moves 3-5"),
        Read("move 3-4", 3500, 5000, False, "3 cut 3\n4 cut 4"),
        Read("card 5", 5000, 6000, False, "5 cut 5 (not shot yet)"),
    ]


def test_a_phrase_ends_with_its_last_shot() -> None:
    cut = Cut("v1", (Shot("a", 48, Footage("1A", 12)), Shot("b", 24, Footage("1A", 600)), Shot("c", 24, Footage("1A", 90))), 240)
    found = {one.name: one for one in parse(write_captions(value(), cut))}
    assert (found["phrase 1"].end, found["move 2"].end) == (2000, 2000)
    assert (found["phrase 2"].start, found["move 3-4"].start, found["phrase 2"].end) == (3000, 3250, 4000)


def test_the_leader_moves_all_cues() -> None:
    cut = Cut("v1", (Shot("a", 120, Footage("1A", 12)),), 240)
    plain, led = parse(write_captions(value(), cut)), parse(write_captions(value(), cut, leader_frames=192))
    assert [(one.start + 8000, one.end + 8000, one.text) for one in plain] == [(one.start, one.end, one.text) for one in led]


@pytest.mark.parametrize(
    "label", ["a --> b", "<b>bold</b> & </c>", "line\nend\n\n00:00:00.000 --> 00:00:09.000\r\nNOTE", "WEBVTT\x00\u2028x", "漢 &amp; é"]
)
def test_text_is_escaped_and_stays_in_its_cue(label: str) -> None:
    cut = Cut("v1", (Shot("a", 120, Footage("1A", 12)),), 240)
    (found,) = [one for one in parse(write_captions(value(label), cut)) if one.name == "move 1"]
    assert found.text == " ".join(f"1 {label}".replace("\x00", " ").split())


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_no_two_cues_of_a_kind_overlap_and_every_landing_is_captioned_on_its_frame(rate: str, drop: bool, data: st.DataObject) -> None:
    sequence = random_sequence(rate, drop)
    cut = data.draw(cuts(sequence))
    found = parse(write_captions(sequence, cut))
    fps = sequence.timebase.rate.fps
    for top in (True, False):
        cues = [one for one in found if one.top is top]
        assert all(before.end <= after.start for before, after in pairwise(cues))
    end = cut.frames / fps * 1000
    assert all(one.end <= end for one in found)
    for hit in hits_seen(sequence, place(sequence, cut)):
        begins = Fraction(hit.record_frame) / fps * 1000
        (cue,) = [one for one in found if not one.top and one.start <= begins < one.end]
        assert begins - cue.start < 1
        assert f"{hit.move.number} {hit.move.label}" in cue.text.split("\n")
        assert [one for one in found if one.top and one.start <= begins < one.end]
