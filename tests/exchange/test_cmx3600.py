"""Edit lists by column and by the published cases; whether independent readers agree is in `test_cmx3600_readers.py`."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import fights
import pytest
from msgspec.structs import replace

from previs.clock import Rate, Timebase
from previs.document.model import Black, Card, Cut, Footage, Kind, Move, Phrase, Sequence, Shot, Tape, Transition, TransitionKind
from previs.exchange.cmx3600 import write_edl
from previs.faults import UseFault

DISSOLVE, WIPE = TransitionKind.DISSOLVE, TransitionKind.WIPE


def tape(reel: str, start: str = "00:00:00:00", *, rate: str = "24", seconds: int = 60, sound: bool = False, drop: bool = False) -> Tape:
    frame = Timebase(Rate.parse(rate), drop).frame(start)
    return fights.tape(reel, rate=rate, seconds=seconds, start_frame=frame, sound=sound, drop=drop)


def sequence(start: str, *tapes: Tape, rate: str = "24", drop: bool = False) -> Sequence:
    """A sequence with one take, named as its reel, over the whole of each tape."""
    return fights.sequence(
        rate_name=rate,
        drop=drop,
        start_frame=Timebase(Rate.parse(rate), drop).frame(start),
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=tapes,
        takes=tuple(fights.take(one.reel, {}, reel=one.reel, end=int(one.duration)) for one in tapes),
    )


def cut(*shots: Shot) -> Cut:
    return Cut("v1", shots, 240)


def shot(ident: str, frames: int, take: str, first_frame: int = 0, speed: Fraction | int = 1, change: Transition | None = None) -> Shot:
    return Shot(ident, frames, Footage(take, first_frame, Fraction(speed)), change)


def lines(value: Sequence, *shots: Shot) -> list[str]:
    (one,) = write_edl(value, cut(*shots))
    assert one.text.endswith("\r\n")
    return one.text.removesuffix("\r\n").split("\r\n")


def events(found: list[str]) -> list[str]:
    return [line for line in found if line[:3].isdigit()]


def test_a_cut_stands_on_its_columns() -> None:
    found = lines(sequence("01:00:00:00", tape("A001", "10:00:00:00", sound=True)), shot("a", 36, "A001", 24))
    assert found[:3] == [
        "TITLE: The Salt Stair v1",
        "FCM: NON-DROP FRAME",
        "001  A001     AA/V  C        10:00:01:00 10:00:02:12 01:00:00:00 01:00:01:12",
    ]
    line = found[2]
    # pycmx, parse_cmx_statements.py: 3+2+8+1+4+2+4+1+3+1 columns, then four labels of 11 with a space between.
    assert len(line) == 3 + 8 + 65 == 76
    assert [line[0:3], line[5:13], line[14:18], line[20:24], line[25:28]] == ["001", "A001    ", "AA/V", "C   ", "   "]
    assert [line[29:40], line[41:52], line[53:64], line[65:76]] == ["10:00:01:00", "10:00:02:12", "01:00:00:00", "01:00:01:12"]
    assert {line[column] for column in (3, 4, 13, 18, 19, 24, 28, 40, 52, 64)} == {" "}


@pytest.mark.parametrize(
    ("change", "incoming"),
    [
        # OpenTimelineIO's CMX3600 adapter, tests/test_cmx_dissolve_examples.py, the specification's cases 1, 3 and 5 at
        # 30 frames a second; there on channels B and, in case 3, after nine seconds of the outgoing.
        (Transition(DISSOLVE, 30), "D    030 03:00:00:00 03:00:10:00 01:00:00:00 01:00:10:00"),
        (Transition(WIPE, 30, 19), "W019 030 03:00:00:00 03:00:01:00 01:00:00:00 01:00:01:00"),
        (Transition(DISSOLVE, 255), "D    255 03:00:00:00 03:00:08:15 01:00:00:00 01:00:08:15"),
    ],
)  # fmt: skip
def test_the_specifications_own_transitions(change: Transition, incoming: str) -> None:
    timebase = Timebase(Rate.parse("30"))
    ends = incoming.split()[-2:]
    value = sequence("00:59:59:00", tape("001", "01:59:59:00", rate="30"), tape("002", "03:00:00:00", rate="30"), rate="30")
    frames = timebase.frame(ends[1]) - timebase.frame(ends[0])
    found = events(lines(value, shot("a", 30, "001"), shot("b", frames, "002", change=change)))
    assert found[1:] == ["002  001      V     C        02:00:00:00 02:00:00:00 01:00:00:00 01:00:00:00", f"002  002      V     {incoming}"]


@pytest.mark.parametrize(
    ("rate", "reel", "tape_start", "record", "first", "speed", "frames", "source", "number"),
    [
        # tests/test_edl_parser.py of the same adapter: a freeze of 17 frames; the M2 line is its layout to the column.
        ("24", "Z682_156", "01:00:00:00", "01:08:30:00", 261, Fraction(0), 17, "01:00:10:21 01:00:10:22", "000.0"),
        # An M2 sample of the same tests: 36 frames of record, 70 of source (36 x 47.6 / 24 would be 71.4).
        ("24", "A1", "01:00:00:00", "01:11:31:16", 144, Fraction(476, 240), 36, "01:00:06:00 01:00:08:22", "047.6"),
        # Ruby library `edl`, test/samples/REVERSE.EDL, spec/fixtures/files/FCP_REVERSE.EDL: the source in is the frame seen first.
        ("25", "106857", "09:13:00:00", "10:00:32:03", 84, Fraction(-1), 52, "09:13:03:09 09:13:05:11", "-025.0"),
        ("25", "FOO", "00:59:50:00", "01:00:00:00", 1248, Fraction(-1), 1000, "01:00:39:23 01:01:19:23", "-025.0"),
        # The same library's TIMEWARP_HALF.EDL, as its test counts it: 10 frames of record at half speed are 5 of source.
        ("25", "003", "03:03:00:00", "01:00:04:03", 494, Fraction(1, 2), 10, "03:03:19:19 03:03:19:24", "012.5"),
    ],
)  # fmt: skip
def test_published_speeds(
    rate: str, reel: str, tape_start: str, record: str, first: int, speed: Fraction, frames: int, source: str, number: str
) -> None:
    found = lines(sequence(record, tape(reel, tape_start, rate=rate), rate=rate), shot("a", frames, reel, first, speed))
    assert events(found)[0][29:52] == source
    assert [line for line in found if line.startswith("M2")] == [f"M2   {reel:8}      {number:>6}                {source[:11]}"]


def test_a_very_fast_shot_gives_the_span_that_is_played() -> None:
    # TIMEWARP.EDL: 309.6 at 25, 10 frames. That library asks for ceil(10 x 12.384) = 124 frames of source, rounding up; the
    # frames that are really shown are 0, 12, 24 ... 111: a span of 112.
    found = lines(sequence("01:00:04:03", tape("003", "03:03:00:00", rate="25"), rate="25"), shot("a", 10, "003", 494, Fraction(3096, 250)))
    assert "M2   003            309.6                03:03:19:19" in found
    assert events(found)[0][29:52] == "03:03:19:19 03:03:24:06"


def test_speed_that_one_decimal_cannot_hold_is_said_exactly() -> None:
    found = lines(sequence("01:00:00:00", tape("A1")), shot("a", 10, "A1", 0, Fraction(2, 7)))
    assert "M2   A1             006.9                00:00:00:00" in found
    assert "* SPEED IS EXACTLY 2/7 OF NORMAL" in found
    assert not [line for line in lines(sequence("01:00:00:00", tape("A1")), shot("a", 10, "A1", 0, Fraction(1, 2))) if "EXACTLY" in line]


@pytest.mark.parametrize("speed", [Fraction(1, 2000), Fraction(-1, 2000), Fraction(42), Fraction(-42)])
def test_speed_beyond_the_digits_of_m2_is_refused(speed: Fraction) -> None:
    with pytest.raises(UseFault, match=r"ddd\.d frames a second"):
        lines(sequence("01:00:00:00", tape("A1", seconds=100)), shot("a", 2, "A1", 1000, speed))


def test_under_a_transition_each_reel_has_its_own_speed() -> None:
    value = sequence("01:00:00:00", tape("A1"), tape("B1"))
    slow, fast = shot("a", 10, "A1", 100, Fraction(1, 2)), Transition(DISSOLVE, 4)
    other = [line for line in lines(value, slow, shot("b", 10, "B1", 0, 2, fast)) if line.startswith("M2")]
    assert other == [
        "M2   A1             012.0                00:00:04:04",
        "M2   A1             012.0                00:00:04:09",
        "M2   B1             048.0                00:00:00:00",
    ]
    same = [line for line in lines(value, slow, shot("b", 10, "A1", 300, 1, fast)) if line.startswith("M2")]
    assert same[1:] == ["M2   A1             012.0                00:00:04:09", "M2   A1             024.0                00:00:12:12"]
    plain = lines(value, shot("a", 10, "A1", 100), shot("b", 10, "A1", 300, 1, fast))
    assert not [line for line in plain if line.startswith("M2")]


def test_fades_come_from_black_and_go_to_black() -> None:
    value = sequence("01:00:00:00", tape("A1", sound=True))
    found = lines(value, shot("a", 48, "A1", 24, 1, Transition(DISSOLVE, 12)), Shot("b", 24, Black(), Transition(DISSOLVE, 24)))
    assert events(found) == [
        "001  BL       AA/V  C        00:00:00:00 00:00:00:00 01:00:00:00 01:00:00:00",
        "001  A1       AA/V  D    012 00:00:01:00 00:00:03:00 01:00:00:00 01:00:02:00",
        "002  A1       AA/V  C        00:00:03:00 00:00:03:00 01:00:02:00 01:00:02:00",
        "002  BL       AA/V  D    024 00:00:00:00 00:00:01:00 01:00:02:00 01:00:03:00",
    ]
    assert "* FROM CLIP NAME: A1" in found
    assert found.count("* TO CLIP NAME: BLACK") == 1


def test_channels_follow_the_sound() -> None:
    value = sequence("01:00:00:00", tape("LOUD", sound=True), tape("MUTE"))
    shots = (
        shot("a", 5, "LOUD"), shot("b", 5, "MUTE"), shot("c", 5, "LOUD", 50, -1), shot("d", 5, "LOUD", 50, 0), shot("e", 5, "LOUD", 0, 2),
        Shot("f", 5, Card("x")), Shot("g", 5, Black()),
    )  # fmt: skip
    assert [line[14:18].strip() for line in events(lines(value, *shots))] == ["AA/V", "V", "V", "V", "AA/V", "V", "AA/V"]
    assert [line[14:18].strip() for line in events(lines(value, shots[1], shots[6]))] == ["V", "V"]


def test_a_tape_that_counts_otherwise_has_its_own_time_code_beside_it() -> None:
    value = sequence("01:00:00:00", tape("A1", "00:00:10:15", rate="29.97"), tape("B1", "00:00:10:15"))
    found = lines(value, shot("a", 24, "A1", 24), shot("b", 24, "B1", 24), shot("c", 24, "A1", 47, -1))
    # 15 x 24 / 30 = 12. Grid frame 24 is second 1: 29 whole frames at 29.97; frame 47 is second 47/24: 58.
    assert events(found)[0][29:52] == "00:00:11:12 00:00:12:12"
    assert [line for line in found if "TAPE TIME CODE" in line] == [
        "* TAPE TIME CODE 00:00:11:14 - 00:00:12:13 AT 29.97 NDF",
        "* TAPE TIME CODE 00:00:12:13 - 00:00:11:14 AT 29.97 NDF",
    ]
    assert "* REEL A1 = TAPE A1, STARTS 00:00:10:15 AT 29.97 NDF, HERE 00:00:10:12, FILE" in found


def test_drop_frame_is_said_at_the_head_and_in_every_label() -> None:
    value = sequence("00:00:59;28", tape("A1", "00:00:59;28", rate="29.97", drop=True), rate="29.97", drop=True)
    found = lines(value, shot("a", 4, "A1", 0, Fraction(1, 2)))
    assert found[1] == "FCM: DROP FRAME"
    # SMPTE ST 12-1, as in previs.clock: 00:00:59;29 is followed by 00:01:00;02.
    assert events(found)[0][29:] == "00:00:59;28 00:01:00;02 00:00:59;28 00:01:00;04"
    assert found[3].startswith("M2   A1             015.0                00:00:59:28")
    # The one time code with colons in a drop-frame list is explained, once.
    assert sum("SPEED LINES DROP FRAMES TOO" in line for line in found) == 1
    assert not [line for line in lines(value, shot("a", 4, "A1")) if "DROP FRAMES" in line]


def test_work_copies_wrap_at_midnight_and_records_may_not() -> None:
    value = sequence("01:00:00:00", tape("A1", "23:59:59:00"))
    assert events(lines(value, shot("a", 48, "A1")))[0][29:52] == "23:59:59:00 00:00:01:00"
    late = sequence("23:59:58:00", tape("A1"))
    assert events(lines(late, shot("a", 47, "A1")))[0][53:] == "23:59:58:00 23:59:59:23"
    with pytest.raises(UseFault, match="midnight"):
        lines(late, shot("a", 48, "A1"))


def test_an_outgoing_shot_needs_tape_for_its_transition() -> None:
    value = sequence("01:00:00:00", tape("A1", seconds=2), tape("B1"))
    change = Transition(DISSOLVE, 12)
    assert events(lines(value, shot("a", 12, "A1", 24), shot("b", 24, "B1", 0, 1, change)))
    with pytest.raises(UseFault, match=r"Shot 1 \(take A1\) has to play on .* 1 frame too short"):
        lines(value, shot("a", 12, "A1", 25), shot("b", 24, "B1", 0, 1, change))
    with pytest.raises(UseFault, match="past the tape A1"):
        lines(value, shot("a", 12, "A1", 22, -1), shot("b", 24, "B1", 0, 1, change))
    assert events(lines(value, shot("a", 12, "A1", 23, -1), shot("b", 24, "B1", 0, 1, change)))
    with pytest.raises(UseFault, match="past the end of the tape A1"):
        lines(value, shot("a", 12, "A1", 37))


@pytest.mark.parametrize(
    ("frames", "shot_frames", "said"),
    [(256, 300, "255"), (25, 24, "make it last between 1 frame"), (0, 24, "make it last between 1 frame")],
)
def test_transitions_that_cannot_be_are_refused(frames: int, shot_frames: int, said: str) -> None:
    value = sequence("01:00:00:00", tape("A1"), tape("B1"))
    with pytest.raises(UseFault, match=said):
        lines(value, shot("a", 24, "A1"), shot("b", shot_frames, "B1", 0, 1, Transition(DISSOLVE, frames)))


def test_a_cut_without_shots_is_refused() -> None:
    with pytest.raises(UseFault, match="no shots"):
        write_edl(sequence("01:00:00:00"), cut())


def test_more_than_999_events_become_several_lists() -> None:
    value = sequence("01:00:00:00", tape("A1", seconds=100))
    change = Transition(DISSOLVE, 1)
    shots = tuple(shot(str(number), 1, "A1", number, 1, change if number in (998, 999) else None) for number in range(2001))
    found = write_edl(value, cut(*shots))
    assert [(one.first_event, one.last_event) for one in found] == [(1, 999), (1000, 1998), (1999, 2001)]
    assert [one.title for one in found] == [f"The Salt Stair v1 LIST {number} OF 3" for number in (1, 2, 3)]
    assert len({one.name for one in found}) == 3
    bodies = [events(one.text.split("\r\n")) for one in found]
    assert [body[0][:3] for body in bodies] == ["001"] * 3
    assert [body[-1][:3] for body in bodies] == ["999", "999", "003"]
    # The pairs at the seam stay whole, and record times go on where the list before ended.
    assert [line[:3] for line in bodies[0][-2:]] == ["999", "999"]
    assert [line[:3] for line in bodies[1][:3]] == ["001", "001", "002"]
    for before, after in pairwise(bodies):
        assert before[-1][65:76] == after[0][53:64]


def test_moves_framing_treatments_and_cards_are_said_in_comments() -> None:
    value = fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=(fights.tape("A1"),),
        takes=(fights.take("1A", {1: 1, 2: 2}),),
        treatments=(fights.treatment(1, 2, kind=Kind.RIG_REMOVAL),),
    )
    found = lines(value, Shot("a", 36, Footage("1A", 12)), Shot("b", 24, Card("the fall", 2, 3, "stills/fall.png")))
    assert found[2:11] == [
        "001  A1       AA/V  C        00:00:00:12 00:00:02:00 01:00:00:00 01:00:01:12",
        "* FROM CLIP NAME: 1A",
        "* FRAMING: full, 0 degrees",
        "* MOVE 1 LANDS 01:00:00:12: cut 1",
        "* RIG REMOVAL 01:00:00:12 - 01:00:01:11 Odile",
        "002  AX       V     C        00:00:00:00 00:00:01:00 01:00:01:12 01:00:02:12",
        "* FROM CLIP NAME: CARD",
        "* CARD: the fall",
        "* CARD PICTURE: stills/fall.png",
    ]
    assert found[11] == "* CARD STANDS FOR MOVES 2-3"


HOSTILE = (
    "x\r\n002  EVIL     V     C        00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\nTITLE: no\u2028M2   A1 \u0085\x0bFCM: \x00 Ünï 漢"
)


def test_no_label_or_name_becomes_a_statement() -> None:
    value = fights.sequence(
        title=HOSTILE,
        phrases=(Phrase(1, (Move(1, HOSTILE, "Odile", "Reeve", "level"),)),),
        tapes=(fights.tape("A1"),),
        takes=(fights.take(HOSTILE, {1: 1}),),
        treatments=(fights.treatment(0, 2, role=HOSTILE),),
    )
    (one,) = write_edl(value, Cut(HOSTILE, (Shot("a", 48, Footage(HOSTILE, 0)), Shot("b", 10, Card(HOSTILE))), 1))
    assert one.text.isascii()
    assert "\n" not in one.text.replace("\r\n", "")
    found = one.text.removesuffix("\r\n").split("\r\n")
    assert [line[:8] for line in found if not line.startswith("* ")] == ["TITLE: x", "FCM: NON", "001  A1 ", "002  AX "]
    assert max(map(len, found)) <= 80
    assert all(line.isprintable() for line in found)
    assert len(one.title) <= 70
    allowed = ("* FROM CLIP NAME: ", "* NAME IN FULL: ", "* FRAMING: ", "* MOVE 1 ", "* DIGITAL DOUBLE ", "* CARD: ", "* REEL", "* + ")
    assert all(line.startswith(allowed) for line in found if line.startswith("* "))


def test_equal_cuts_give_equal_bytes() -> None:
    value = sequence("01:00:00:00", tape("A1", sound=True), tape("B1", rate="29.97"))
    shots = (shot("a", 24, "A1"), shot("b", 24, "B1", 3, 1, Transition(WIPE, 8, 1)))
    assert write_edl(value, cut(*shots)) == write_edl(value, cut(*shots))


def test_a_sound_lead_is_said() -> None:
    early = replace(shot("b", 24, "A", 100), sound_lead_frames=6)
    found = lines(sequence("01:00:00:00", tape("A", sound=True)), shot("a", 24, "A"), early)
    assert found.count("* SOUND BEGINS 6 FRAMES BEFORE THE PICTURE") == 1
