"""Edit lists as the wild holds them: every published kind of line, what is refused and repaired, and any text at all."""

from __future__ import annotations

import io
from fractions import Fraction

import opentimelineio as otio
import pycmx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_cuts import TIMEBASES, cuts, sequence

from previs.clock import Rate, Span, Timebase
from previs.document.model import Card, Cut, Footage, Shot, Transition, TransitionKind
from previs.exchange.cmx3600 import write_edl
from previs.exchange.cmx3600_reading import ListEvent, ListFault, ReadList, merged, read_list
from previs.exchange.cmx3600_statements import Motion, decoded, statement
from previs.exchange.importing import import_list

FILM, PAL, NTSC = (Timebase(Rate.parse(name)) for name in ("24", "25", "30"))
DROP = Timebase(Rate.parse("29.97"), drop=True)


def one(text: str, counting: Timebase = FILM, *, strict: bool = True) -> ListEvent:
    (event,) = read_list(text, counting, strict=strict).events
    return event


def codes(read: ReadList) -> list[tuple[str, int, int, bool]]:
    return [(issue.code, issue.line, issue.column, issue.repaired) for issue in read.issues]


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_our_own_lists_come_back_as_they_went(rate: str, drop: bool, data: st.DataObject) -> None:
    value = sequence(rate, drop)
    cut = data.draw(cuts(value))
    (written,) = write_edl(value, cut)
    read = read_list(written.text.encode("ascii"), value.timebase, strict=True)
    assert read.issues == ()
    assert read.timebase == value.timebase
    again = import_list(value, [read], cut.name)
    assert again.remarks == ()
    (second,) = write_edl(value, again.cut)
    assert second.text == written.text
    for before, after in zip(cut.shots, again.cut.shots, strict=True):
        assert (after.frames, after.transition) == (before.frames, before.transition)
        if not isinstance(before.picture, Card):
            assert after.picture == before.picture


def test_specifications_own_transitions() -> None:
    # OpenTimelineIO's CMX3600 adapter, tests/test_cmx_dissolve_examples.py, cases 1, 3 and 5, at 30 frames a second.
    text = """TITLE: CASES
001 001 B C     02:00:00:00 02:00:00:00 01:00:00:00 01:00:00:00
001 002 B D 030 03:00:00:00 03:00:10:00 01:00:00:00 01:00:10:00
002 002 V C     02:00:10:00 02:00:10:00 01:00:10:00 01:00:10:00
002 003 V W019 030 03:00:00:00 03:00:01:00 01:00:10:00 01:00:11:00
003 003 V C     02:00:10:00 02:00:10:00 01:00:11:00 01:00:11:00
003 004 V D 255 03:00:00:00 03:00:08:15 01:00:11:00 01:00:19:15
"""
    found = read_list(text, NTSC, strict=True).events
    assert [(event.reel, event.kind, event.wipe, event.transition_frames, event.outgoing) for event in found] == [
        ("002", "D", 0, 30, "001"),
        ("003", "W", 19, 30, "002"),
        ("004", "D", 0, 255, "003"),
    ]
    assert [event.channels for event in found] == [("V", "A1"), ("V",), ("V",)]
    assert [event.record.length for event in found] == [300, 30, 255]


PUBLISHED_SPEEDS = {
    # The OpenTimelineIO adapter's samples, and the Ruby library's TIMEWARP.EDL and FCP_REVERSE.EDL.
    "freeze": """000183  Z682_156 V     C        01:00:10:21 01:00:10:22 01:08:30:00 01:08:30:17
M2   Z682_156       000.0                01:00:10:21
""",
    "nearly double": """001  A        V     C        01:00:06:00 01:00:08:22 01:11:31:16 01:11:33:04
M2   A   047.6 01:00:06:00
""",
    "reverse": """001  A        V     C        01:00:06:00 01:00:08:00 01:11:31:16 01:11:33:16
M2   A  -024.0 01:00:06:00
""",
    "timewarp": """001  003      V     C        03:03:19:19 03:03:20:04 01:00:04:03 01:00:04:13
M2   003            309.6                03:03:19:19
""",
    "long reverse": """001  FOO      V     C        01:00:39:23 01:01:19:23 01:00:00:00 01:00:40:00
* FROM CLIP NAME:  BARS_40S.MOV
* COMMENT:
M2   FOO           -025.0                01:00:39:23
""",
    "reel with a layer": """000183  Z682_156 V     C        01:00:10:21 01:00:10:22 01:08:30:00 01:08:30:17
M2   Z682_156 (LAY3)\t\t0.0\t\t\t01:00:10:21
""",
    "words of the deck": """001  CYAN     V     C        00:00:00:15 00:00:00:16 00:00:00:00 00:00:01:00
M2   CYAN           000.0    MSTR     I +00:00:00:15
""",
}


@pytest.mark.parametrize(
    ("name", "counting", "speed", "source", "record"),
    [
        ("freeze", FILM, Fraction(0), 1, 17),
        ("nearly double", FILM, Fraction(476, 240), 70, 36),
        ("reverse", FILM, Fraction(-1), 48, 48),
        ("timewarp", PAL, Fraction(3096, 250), 10, 10),
        ("long reverse", PAL, Fraction(-1), 1000, 1000),
        ("reel with a layer", FILM, Fraction(0), 1, 17),
        ("words of the deck", NTSC, Fraction(0), 1, 30),
    ],
)
def test_published_speeds(name: str, counting: Timebase, speed: Fraction, source: int, record: int) -> None:
    event = one(PUBLISHED_SPEEDS[name], counting, strict=name != "reel with a layer")
    assert (event.speed, event.source_frames, event.record.length) == (speed, source, record)


@pytest.mark.parametrize(
    ("rate", "told", "speed"),
    [
        ("23.976", "024.0", 1),
        ("59.94", "-059.9", -1),
        ("59.94", "060.0", 1),
        ("29.97", "030.0", 1),
        ("59.94", "030.0", Fraction(1001, 2000)),
        ("29.97", "-015.0", Fraction(-1001, 2000)),
        ("47.952", "048.0", 1),
        ("24", "024.1", Fraction(241, 240)),
    ],
)
def test_normal_speed_at_rates_that_are_no_whole_number(rate: str, told: str, speed: Fraction) -> None:
    text = f"1 A V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00\nM2 A {told} 00:00:00:00"
    assert one(text, Timebase(Rate.parse(rate))).speed == speed


@pytest.mark.parametrize(
    ("line", "number", "reel"),
    [
        ("001  A1       V     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "001", "A1"),
        ("1 A1 V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "1", "A1"),
        ("\t0001\tA1\tV\tC\t00:00:00:00\t00:00:01:00  01:00:00:00 01:00:01:00   ", "0001", "A1"),
        ("012A B505C014_230224_RNBP    V     C         00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "012A", "B505C014_230224_RNBP"),
        ("000003  " + "R" * 32 + " V     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "000003", "R" * 32),
        ("001  " + "r" * 128 + " V     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "001", "r" * 128),
        ("001  two words 7 V  C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "001", "two words 7"),
        ("001  A1       V     C        00:00:00:0000:00:01:0001:00:00:0001:00:01:00", "001", "A1"),
        ("001  007      V     C    000 00.00.00.00 00,00,01,00 01:00:00:00 01:00:01:00", "001", "007"),
    ],
)  # fmt: skip
def test_lines_are_read_by_their_fields(line: str, number: str, reel: str) -> None:
    event = one(line)
    assert (event.number, event.reel, event.source_frames, event.record) == (number, reel, 24, Span(86400, 86424))


@pytest.mark.parametrize(
    ("written", "channels"),
    [
        ("V", ("V",)), ("A", ("A1",)), ("A2", ("A2",)), ("A2/V", ("V", "A2")), ("AA", ("A1", "A2")), ("AA/V", ("V", "A1", "A2")),
        ("B", ("V", "A1")), ("NONE", ()), ("V1", ("V",)), ("V2", ("V2",)), ("VA", ("V", "A1")), ("A34", ("A3", "A4")),
    ],
)  # fmt: skip
def test_channels(written: str, channels: tuple[str, ...]) -> None:
    assert one(f"001 R {written} C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00").channels == channels
    added = one(f"001 R {written} C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00\nAUD  3    4").channels
    assert added == tuple(dict.fromkeys((*channels, "A3", "A4")))


def test_keys_have_a_background_and_lie_over_it() -> None:
    # The Ruby library's KEY_TRANSITION.EDL, and the form with KO and a freeze of an edit list manual.
    text = """002        AX V     K B      00:01:06:06 00:01:08:03 01:00:04:10 01:00:06:07
002        AX V     K    000 00:00:03:08 00:00:03:08 01:00:04:10 01:00:04:10
037 131    V     K B      10:57:40:22 10:57:41:11 01:00:36:08 01:00:36:21
037 051    V     K O  000 01:07:39:05 01:07:39:18 01:00:36:08 01:00:36:21
M2  131          000.0                10:57:41:00
"""
    found = read_list(text, FILM, strict=True).events
    assert [(event.reel, event.kind, event.speed) for event in found] == [("AX", "KB", None), ("131", "KB", 0), ("051", "KO", None)]


def test_splits_notes_and_comments_stay_with_their_event() -> None:
    text = """TITLE: notes
* ahead of all
FCM: NON-DROP FRAME
SPLIT:    AUDIO DELAY=  00:00:00:06
053 021    V     C        01:21:05:19 01:21:06:20 01:00:51:11 01:00:52:12
053 021    A     C        01:21:06:01 01:21:06:20 01:00:51:17 01:00:52:12
HERES A NOTE
GPI  12 AT 01:00:51:11
SWM  4
% 024.0 01:00:00:00
M/S  012
* FROM CLIP NAME: one: two
* TO CLIP NAME: three
>>> SOURCE 021 x
EFFECTS NAME IS FILM DISSOLVE
* LOC: 01:00:51:12 RED note
054 022    V     C        01:21:05:19 01:21:06:20 01:00:52:12 01:00:53:13
"""
    read = read_list(text, FILM, strict=True)
    assert (read.title, read.comments, read.issues) == ("notes", ("ahead of all",), ())
    first, second, third = read.events
    assert (first.channels, second.channels, first.clip, second.clip) == (("V",), ("A1",), "one: two", "one: two")
    assert first.notes[0] == "SPLIT:    AUDIO DELAY=  00:00:00:06"
    assert [note.split()[0] for note in first.notes[1:]] == ["HERES", "GPI", "SWM", "%", "M/S", ">>>", "EFFECTS"]
    assert second.comments == second.notes == ()
    assert first.comments == ("FROM CLIP NAME: one: two", "TO CLIP NAME: three", "LOC: 01:00:51:12 RED note")
    assert (third.comments, third.notes, third.clip) == ((), (), "")


def test_a_fade_in_one_event_with_the_shot_ahead_of_it() -> None:
    # The Ruby library's SPEEDUP_REVERSE_AND_FADEOUT.EDL, with its record out put right for 24 frames a second.
    text = """001  FOO      V     C        01:00:39:23 01:01:07:12 01:00:00:00 01:00:27:14
001        BL V     D    025 00:00:00:00 00:00:01:01 01:00:27:14 01:00:28:15
* FROM CLIP NAME:  BARS_40S.MOV
M2   FOO           -035.0                01:00:39:23
"""
    first, second = read_list(text, FILM, strict=True).events
    assert (first.reel, first.speed, first.record.length) == ("FOO", Fraction(-35, 24), 662)
    assert (second.reel, second.kind, second.outgoing, second.transition_frames, second.speed) == ("BL", "D", "FOO", 25, None)


def test_each_speed_goes_to_its_own_reel() -> None:
    head = "001 A1 V C 00:00:04:09 00:00:04:09 01:00:00:10 01:00:00:10\n001 {} V D 004 00:00:12:12 00:00:12:22 01:00:00:10 01:00:00:20\n"
    other = one(head.format("B1") + "M2 A1 012.0 00:00:04:09\nM2 B1 048.0 00:00:12:12")
    only_outgoing = one(head.format("B1") + "M2 A1 012.0 00:00:04:09")
    same = one(head.format("A1") + "M2 A1 012.0 00:00:04:09\nM2 A1 024.0 00:00:12:12")
    single = one(head.format("A1") + "M2 A1 048.0 00:00:12:12")
    assert [event.speed for event in (other, only_outgoing, same, single)] == [2, None, 1, 2]


CHANNEL_LINES = """007  A1       V     C        00:00:04:00 00:00:04:12 01:00:00:00 01:00:01:00
007  A1       A     C        00:00:04:00 00:00:04:12 01:00:00:00 01:00:01:00
007  A1       A2    C        00:00:04:00 00:00:04:12 01:00:00:00 01:00:01:00
M2   A1             012.0                00:00:04:00
"""


def test_one_speed_goes_to_every_channel_of_an_event_written_as_a_line_for_each() -> None:
    events = read_list(CHANNEL_LINES, FILM, strict=True).events
    assert [(event.channels, event.speed) for event in events] == [(channel, Fraction(1, 2)) for channel in (("V",), ("A1",), ("A2",))]
    pair = CHANNEL_LINES.replace("007  A1       V     C        00:00:04:00 00:00:04:12 01:00:00:00 01:00:01:00", DISSOLVE_ON_ONE_REEL)
    assert [event.speed for event in read_list(pair, FILM).events if "V" in event.channels] == [Fraction(1, 2)]


DISSOLVE_ON_ONE_REEL = """007  A1       V     C        00:00:02:00 00:00:02:00 01:00:00:00 01:00:00:00
007  A1       V     D    004 00:00:04:00 00:00:04:12 01:00:00:00 01:00:01:00"""


def test_lines_of_one_number_that_repeat_a_channel_are_events_of_their_own() -> None:
    later = GOOD.replace("00:00:01:00 01:00:00:00 01:00:01:00", "00:00:00:12 01:00:01:00 01:00:02:00")
    read = read_list(f"{GOOD}\n{later}\nM2   R  012.0  00:00:00:00", FILM, strict=True)
    assert [event.speed for event in read.events] == [None, Fraction(1, 2)]


def test_faults_of_one_kind_are_one_sentence_with_their_count() -> None:
    bad = [
        f"{number:03d}  R V Z{number} 00:00:00:00 00:00:01:00 01:00:{number:02d}:00 01:00:{number + 1:02d}:00" for number in range(2, 22)
    ]
    read = read_list("\n".join([GOOD, "001  R  Q", *bad]), FILM)
    first, second = merged(read.issues)
    assert first.startswith("line 2, column 1: ")
    assert second.startswith("20 lines, first in line 3, column 10: 'Z2' is no transition")


def test_a_timeline_given_as_a_list_is_told_which_verb_takes_it() -> None:
    with pytest.raises(ListFault, match=r"'previs import-otio'\.$"):
        read_list('{\n "OTIO_SCHEMA": "Timeline.1",\n "name": "x"\n}\n', FILM)


def test_frame_codes_mixed() -> None:
    line = "{} R V C 00:00:59;28 00:01:00;04 00:{}:59;28 00:{}:00;04\n"
    text = "FCM: DROP FRAME\n" + line.format(1, "00", "01") + "FCM: NON-DROP FRAME\n" + line.format(2, "01", "02").replace(";", ":")
    read = read_list(text, DROP)
    assert read.timebase == DROP
    # SMPTE ST 12-1: ;00 and ;01 of minute 1 are left out, so 4 frames drop-frame and 6 non-drop.
    assert [event.record.length for event in read.events] == [4, 4]
    assert [event.source_frames for event in read.events] == [4, 4]
    assert codes(read) == [("lengths", 4, 9, True)]
    assert read.events[1].source_in == 60 * 30 - 2


@pytest.mark.parametrize(
    ("text", "rate", "drop"),
    [
        ("FCM: DROP FRAME\n1 R V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "29.97", True),
        ("1 R V C 00:00:00;00 00:00:01;00 01:00:00;00 01:00:01;00", "29.97", True),
        ("fcm: non-drop frame\n1 R V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", "24", False),
        ("1 R V C 00:00:00:24 00:00:01:24 01:00:00:00 01:00:01:00", "25", False),
        ("1 R V C 00:00:00:25 00:00:01:25 01:00:00:00 01:00:01:00", "30", False),
        ("1 R V C 00:00:00:47 00:00:01:47 01:00:00:00 01:00:01:00", "48", False),
        ("1 R V C 00:00:00:49 00:00:01:49 01:00:00:00 01:00:01:00", "50", False),
        ("1 R V C 00:00:00:59 00:00:01:59 01:00:00:00 01:00:01:00", "60", False),
        ("FCM: DROP FRAME\n1 R V C 00:00:00:59 00:00:01:59 01:00:00:00 01:00:01:00", "59.94", True),
    ],
)  # fmt: skip
def test_the_rate_is_guessed_and_said(text: str, rate: str, drop: bool) -> None:
    read = read_list(text)
    assert read.timebase == Timebase(Rate.parse(rate), drop)
    assert [issue.code for issue in read.repairs] == ["rate"]


def test_frame_codes_that_cannot_be_or_do_not_agree_are_said() -> None:
    at_film = read_list(f"FCM: DROP FRAME\n{GOOD}", FILM)
    assert (at_film.timebase, codes(at_film)) == (FILM, [("fcm", 2, 1, True)])
    semicolons = read_list("FCM: NON-DROP FRAME\n1 R V C 00:00:00;00 00:00:01;00 01:01:00;00 01:01:01;00", DROP)
    assert (semicolons.timebase, codes(semicolons)) == (Timebase(DROP.rate), [("fcm", 2, 1, True)])


GOOD = "001  R        V     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00"


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        (GOOD + "\n002  R        V     C        00:00:01:00 00:00:02:00 01:00:01:00", "times", 2, 65),
        (GOOD + "\n002  R        V     C        00:00:01:00 00:00:02:0x 01:00:01:00 01:00:02:00", "times", 2, 42),
        (GOOD + "\n  2 is a good number", "form", 2, 3),
        (GOOD + "\n002  R        V     C        00:00:01:24 00:00:02:00 01:00:01:00 01:00:02:00", "label", 2, 30),
        (GOOD + "\n002  R        V     C        00:00:01:00 00:61:02:00 01:00:01:00 01:00:02:00", "label", 2, 42),
        (GOOD + "\n002  R        Q     C        00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "channels", 2, 15),
        (GOOD + "\n002  R        V     Z        00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "transition", 2, 21),
        (GOOD + "\n002  R        V     M    010 00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "transition", 2, 21),
        (GOOD + "\n002  R        V     D        00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "duration", 2, 22),
        (GOOD + "\n002  V     C        00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "fields", 2, 21),
        (GOOD + "\n00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "fields", 2, 1),
        (GOOD + "\n2x2  R        V     C        00:00:01:00 00:00:02:00 01:00:01:00 01:00:02:00", "number", 2, 1),
        (GOOD + "\n002  R        V     C        00:00:01:00 00:00:02:00 01:00:02:00 01:00:01:00", "record", 2, 66),
        (GOOD + "\nM2   R        fast           00:00:01:00", "m2", 2, 15),
        (GOOD + "\nM2   R        012.0", "m2", 2, 15),
        (GOOD + "\nM2", "m2", 2, 3),
        (GOOD + "\n FCM: SOME FRAMES", "fcm", 2, 2),
        (GOOD + "\nSPLIT:    SOUND", "split", 2, 1),
        (GOOD + "\nAUD  left", "aud", 2, 1),
        ("M2   R  012.0  00:00:00:00\n" + GOOD, "orphan", 1, 1),
        (GOOD + "\n" + "x" * 2001, "long", 2, 2001),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_line_and_column(text: str, code: str, line: int, column: int) -> None:
    read = read_list(text, FILM)
    assert [(issue.code, issue.line, issue.column) for issue in read.errors] == [(code, line, column)]
    assert [event.number for event in read.events] == ["001"]
    with pytest.raises(ListFault) as raised:
        read_list(text, FILM, strict=True)
    assert [(issue.code, issue.line, issue.column) for issue in raised.value.issues] == [(code, line, column)]
    assert f"line {line}, column {column}: " in str(raised.value)


@pytest.mark.parametrize(
    ("text", "counting", "code", "line", "column", "records"),
    [
        # "Source and record duration don't match" and "Overlapping record in" of the OpenTimelineIO adapter.
        ("1 R V C 00:00:00:00 00:00:01:12 01:00:00:00 01:00:01:00", FILM, "lengths", 1, 9, [24]),
        (GOOD + "\n002  S        V     C        00:00:00:00 00:00:01:00 01:00:00:12 01:00:01:12", FILM, "overlap", 2, 1, [12, 24]),
        (GOOD + "\n002  S        AA/V  C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00", FILM, "overlap", 2, 1, [24]),
        # The adapter's dissolve_test_fail.edl: the outgoing line has another number than the dissolve.
        (GOOD + "\n002  R        V     D    010 00:00:00:00 00:00:01:00 01:00:01:00 01:00:02:00", FILM, "pair", 2, 1, [24, 24]),
        (GOOD + "\n002  R        V     C        00:00:01:00 00:00:01:00 01:00:01:00 01:00:01:00", FILM, "empty", 2, 1, [24]),
        ("1 R V C 00:01:00;00 00:01:00;12 01:00:00;00 01:00:00;10", DROP, "label", 1, 9, [10]),
    ],
)  # fmt: skip
def test_what_tolerant_reading_repairs_and_strict_reading_refuses(
    text: str, counting: Timebase, code: str, line: int, column: int, records: list[int]
) -> None:
    read = read_list(text, counting)
    assert codes(read) == [(code, line, column, True)]
    assert [event.record.length for event in read.events] == records
    with pytest.raises(ListFault) as raised:
        read_list(text, counting, strict=True)
    assert [issue.code for issue in raised.value.issues] == [code]


def test_sounds_that_overlap_are_told_of_and_both_kept() -> None:
    text = "\n".join(
        line.replace(" V ", " A ") for line in (GOOD, GOOD.replace("01:00:00:00", "01:00:00:12").replace("01:00:01:00", "01:00:01:12"))
    )
    read = read_list(text, FILM)
    assert codes(read) == [("overlap", 2, 1, True)]
    assert [event.record.length for event in read.events] == [24, 24]


@pytest.mark.parametrize("text", [GOOD + "\n002  S        A     C        00:00:00:00 00:00:01:00 01:00:00:12 01:00:01:12"])
def test_other_channels_may_run_at_once_and_order_is_free(text: str) -> None:
    assert read_list(text, FILM, strict=True).issues == ()
    later_first = GOOD.replace("01:00:0", "01:00:3").replace("001", "002") + "\n" + GOOD
    assert [event.number for event in read_list(later_first, FILM, strict=True).events] == ["002", "001"]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_blank_lines_and_what_old_systems_leave_at_the_end(end: str) -> None:
    text = end.join(["title: x", "", GOOD.lower(), "* from clip name: Sprung", "", "\0\0\x1a", ""])
    read = read_list(text, FILM)
    assert (read.title, read.events[0].clip, read.events[0].kind) == ("x", "Sprung", "C")
    assert codes(read) == [("form", 3, 15, True), ("end", 6, 1, True)]
    # Small as these are, strict reading refuses a list with any fault in it, as it says.
    with pytest.raises(ListFault, match="read strictly"):
        read_list(text, FILM, strict=True)


def test_bytes_of_several_kinds() -> None:
    text = f"TITLE: Übung\n{GOOD}"
    for data in (text.encode(), b"\xef\xbb\xbf" + text.encode(), text.encode("latin-1"), text.encode("utf-16")):
        assert read_list(data, FILM, strict=True).title == "Übung"
    assert decoded(b"\xff\xfe\x00") == "\N{REPLACEMENT CHARACTER}"


def test_long_lists_are_read_whole() -> None:
    lines = [
        f"{number:04d}  R        V     C        {FILM.label(number)} {FILM.label(number + 1)} {FILM.label(number)} {FILM.label(number + 1)}"
        for number in range(2839)  # pycmx's longest test list.
    ]
    assert len(read_list("\n".join(lines), FILM, strict=True).events) == 2839


WELL_FORMED = """TITLE:   foreign
FCM: NON-DROP FRAME

000001  A020C020_211007_R24B              V     C        18:14:52:00 18:14:58:22 00:00:00:00 00:00:06:22
* FROM CLIP NAME:  49-5-C
000002  A020C020_211007_R24B              V     C        18:14:58:22 18:14:58:22 00:00:06:22 00:00:06:22
000002  B049C021_211111_RP40              V     D    024 17:38:55:11 17:38:57:11 00:00:06:22 00:00:08:22
* FROM CLIP NAME:  49-5-C
* TO CLIP NAME:  39B-4-B
000003  B049C021_211111_RP40              V     C        09:55:35:10 09:55:36:10 00:00:10:22 00:00:11:22
* FROM CLIP NAME:  40E-4
000004  Z040C026_211206_ROLX              V     C        14:42:25:21 14:42:27:21 00:00:11:22 00:00:12:22
M2   Z040C026_211206_ROLX   048.0                14:42:25:21
* FROM CLIP NAME:  57B
"""


def test_agreement_with_pycmx_and_the_adapter_on_a_foreign_list() -> None:
    ours = read_list(WELL_FORMED, FILM, strict=True)
    theirs = [
        edit for event in pycmx.parse_cmx3600(io.StringIO(WELL_FORMED)).events for edit in event.edits if edit.record_in != edit.record_out
    ]
    assert [(event.reel, event.kind, FILM.label(event.source_in), FILM.label(event.record.start)) for event in ours.events] == [
        (edit.source, edit.transition.kind, edit.source_in, edit.record_in) for edit in theirs
    ]
    assert [FILM.label(event.record.end_exclusive) for event in ours.events] == [edit.record_out for edit in theirs]
    timeline = otio.adapters.read_from_string(WELL_FORMED, "cmx_3600", rate=24)
    clips = list(timeline.find_clips())
    assert timeline.name == ours.title
    assert [(event.clip, event.reel, event.source_in, event.record.length) for event in ours.events] == [
        (clip.name, clip.metadata["cmx_3600"]["reel"], round(clip.source_range.start_time.value), round(clip.duration().value))
        for clip in clips
    ]
    starts = [round(clip.range_in_parent().start_time.value) for clip in clips]
    assert [event.record.start for event in ours.events] == starts
    assert clips[3].effects[0].time_scalar == ours.events[3].speed == 2


@pytest.mark.parametrize(("rate", "drop"), [("24", False), ("25", False), ("29.97", True)])
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_agreement_with_pycmx_on_random_lists(rate: str, drop: bool, data: st.DataObject) -> None:
    value = sequence(rate, drop)
    (written,) = write_edl(value, data.draw(cuts(value)))
    theirs = [edit for event in pycmx.parse_cmx3600(io.StringIO(written.text)).events for edit in event.edits[-1:]]
    ours = read_list(written.text, value.timebase, strict=True).events
    label = value.timebase.label
    assert [
        (event.reel, event.kind, event.wipe, event.transition_frames, label(event.source_in), label(event.record.start)) for event in ours
    ] == [
        (
            edit.source,
            edit.transition.kind,
            int(edit.transition.transition[1:] or 0),
            int(edit.transition.operand or 0),
            edit.source_in,
            edit.record_in,
        )
        for edit in theirs
    ]
    assert [set(event.channels) == {"V", "A1", "A2"} for event in ours] == [edit.channels.a1 for edit in theirs]


def test_a_speed_is_read_exactly() -> None:
    assert statement("m2   two words  -012.5   01:00:00:00") == Motion("two words", Fraction(-25, 2))


def test_a_cut_with_everything_names_its_events() -> None:
    value = sequence()
    cut = Cut("v1", (Shot("s1", 24, Footage("1A", 650)), Shot("s2", 24, Card("x"), Transition(TransitionKind.WIPE, 8, 2))), 240)
    (written,) = write_edl(value, cut)
    assert [(event.number, event.clip, event.outgoing) for event in read_list(written.text, FILM).events] == [
        ("001", "1A", None),
        ("002", "CARD", "LOUD"),
    ]
