"""Cuts made from edit lists: ours come back equal, others' as far as their reels are known, and the rest is named."""

from __future__ import annotations

from fractions import Fraction

import fights
import pytest
import random_cuts
from msgspec.structs import replace

from previs.clock import Rate
from previs.cut.changes import changes
from previs.document.invariants import faults_in
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.exchange.cmx3600 import write_edl
from previs.exchange.cmx3600_reading import read_list
from previs.exchange.importing import Imported, import_list
from previs.faults import UseFault


def sequence() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=(fights.tape("A1"), fights.tape("cam-b", start_frame=24 * 3600)),
        takes=(
            fights.take("wide", {1: 1}, end=30),
            fights.take("close", {1: 3}, start=2, end=20),
            fights.take("next", {}, start=30, end=34),
            fights.take("late", {}, start=40, end=50),
            fights.take("other", {}, reel="cam-b"),
        ),
    )


VALUE = sequence()


def imported(*lines: str, value: Sequence = VALUE, cards: bool = False) -> Imported:
    return import_list(value, [read_list("\n".join(lines), value.timebase)], "v9", cards_for_unknown=cards)


def line(number: int, reel: str, source: tuple[str, str], record: tuple[str, str], kind: str = "C") -> str:
    return f"{number:03d} {reel} V {kind} 00:00:{source[0]} 00:00:{source[1]} 01:00:{record[0]} 01:00:{record[1]}"


def test_reels_speeds_fades_and_cards_of_our_own_list() -> None:
    shots = (
        Shot("s1", 24, Footage("wide", 48), Transition(TransitionKind.DISSOLVE, 12)),
        Shot("s2", 24, Footage("other", 100, Fraction(-2, 7)), Transition(TransitionKind.WIPE, 3, 19)),
        Shot("s3", 12, Footage("close", 99, Fraction(0))),
        Shot("s4", 24, Card("Sprung über den Karren " * 6, 2, 3, "stills/größe.png"), Transition(TransitionKind.DISSOLVE, 2)),
        Shot("s5", 24, Black(), Transition(TransitionKind.DISSOLVE, 24)),
    )
    cut = Cut("v9", shots, VALUE.target_frames)
    value = replace(VALUE, cuts=(cut,))
    (written,) = write_edl(value, cut)
    again = import_list(value, [read_list(written.text, value.timebase, strict=True)], "v9")
    assert again == Imported(cut, ())
    # Without the card in the file, its text is what seven bits can hold.
    bare = import_list(VALUE, [read_list(written.text, VALUE.timebase)], "v9").cut.shots[3].picture
    assert bare == Card(("Sprung uber den Karren " * 6).strip(), 2, 3, "stills/grosse.png")
    assert faults_in(replace(VALUE, cuts=(again.cut,))) == ()


@pytest.mark.parametrize(
    ("source", "name", "take"),
    [
        (("03:00", "04:00"), "", "wide"),  # Both hold it: the first.
        (("03:00", "04:00"), "close", "close"),
        (("01:12", "02:12"), "close", "close"),  # Named, and touches it.
        (("00:12", "01:12"), "close", "wide"),  # Named, but does not touch it.
        (("29:12", "30:12"), "", "wide"),
        (("29:18", "30:18"), "", "next"),  # Six frames of the one, eighteen of the other.
        (("19:12", "20:12"), "", "wide"),
        (("49:12", "50:12"), "wide", "late"),
    ],
)
def test_the_take_is_the_one_named_or_the_one_that_holds_the_span(source: tuple[str, str], name: str, take: str) -> None:
    (shot,) = imported(line(1, "a1", source, ("00:00", "01:00")), f"* FROM CLIP NAME: {name}").cut.shots
    assert isinstance(shot.picture, Footage)
    assert shot.picture.take == take


def test_reels_by_table_by_list_name_and_by_tape_name() -> None:
    by_list_name = imported("1 CAM_B V C 01:00:01:00 01:00:02:00 01:00:00:00 01:00:01:00").cut.shots[0].picture
    by_tape_name = imported("1 CAM-B V C 01:00:01:00 01:00:02:00 01:00:00:00 01:00:01:00").cut.shots[0].picture
    # The list may have been written before the tape's time code was corrected: its own table counts.
    by_table = imported(
        "1 X7 V C 05:00:01:00 05:00:02:00 01:00:00:00 01:00:01:00",
        "* REEL X7 = TAPE cam-b, STARTS 05:00:00:00 AT 24 NDF, HERE 05:00:00:00, FILE",
        "* + tapes/cam-b.mp4",
    )
    assert by_list_name == by_tape_name == by_table.cut.shots[0].picture == Footage("other", 24)


def test_gaps_are_black_and_a_list_may_start_elsewhere() -> None:
    gap = imported(line(1, "A1", ("00:00", "01:00"), ("00:12", "01:12")), line(2, "A1", ("05:00", "06:00"), ("02:00", "03:00")))
    assert [(shot.frames, type(shot.picture)) for shot in gap.cut.shots] == [(12, Black), (24, Footage), (12, Black), (24, Footage)]
    assert gap.remarks == ("2 gaps in the list became black.",)
    elsewhere = imported("1 A1 V C 00:00:00:00 00:00:01:00 10:00:00:00 10:00:01:00")
    assert [shot.frames for shot in elsewhere.cut.shots] == [24]


def test_what_a_cut_does_not_hold_is_said() -> None:
    found = imported(
        line(1, "A1", ("00:00", "00:00"), ("00:00", "00:00")),
        line(1, "A1", ("01:00", "02:00"), ("00:00", "01:00"), "D 030"),
        line(2, "A1", ("03:00", "04:00"), ("01:00", "02:00"), "K B"),
        line(2, "A1", ("05:00", "06:00"), ("01:00", "02:00"), "K O 000"),
        "3 A1 AA C 00:00:01:00 00:00:02:00 01:00:00:00 01:00:01:00",
    )
    assert found.cut.shots[0].transition == Transition(TransitionKind.DISSOLVE, 24)
    assert len(found.cut.shots) == 2
    assert found.remarks == (
        "1 events of sound alone were left out; a cut's sound is its tapes'.",
        "1 keys were left out; a cut shows their background.",
        "The transition of event 001 was cut to the shot's 24 frames.",
        "Event 001 comes in from reel A1 in the list; in the cut, from the shot before.",
    )


UNKNOWN = (
    line(1, "ZZ", ("00:00", "01:00"), ("00:00", "01:00")),
    "* FROM CLIP NAME: fight on the quay",
    line(2, "A1", ("35:00", "36:00"), ("01:00", "02:00")),
    line(3, "A1", ("59:12", "01:00:12"), ("02:00", "03:00")).replace("00:00:01:00:12", "00:01:00:12"),
    line(4, "AX", ("00:00", "01:00"), ("03:00", "04:00")),
    line(5, "BARS", ("00:00", "01:00"), ("04:00", "05:00")),
    line(6, "A1", ("03:00", "04:00"), ("05:00", "06:00")),
)


def test_what_is_unknown_is_refused_all_at_once_or_becomes_cards() -> None:
    with pytest.raises(UseFault) as raised:
        imported(*UNKNOWN)
    assert str(raised.value).splitlines() == [
        "5 events of the list are of what this sequence does not have; ingest and mark it, or take cards in their place with "
        "--cards-for-unknown.",
        "Event 001, line 1: reel ZZ (fight on the quay) is no tape here.",
        "Event 002, line 3: source 00:00:35:00 of tape A1 is in none of its takes.",
        "Event 003, line 4: source 00:00:59:12 lies, or plays, outside tape A1 (1440 frames).",
        "Event 004, line 5: reel AX (no clip name) is no tape.",
        "Event 005, line 6: reel BARS (no clip name) is no tape here.",
    ]
    found = imported(*UNKNOWN, cards=True)
    assert [type(shot.picture) for shot in found.cut.shots] == [Card, Card, Card, Card, Card, Footage]
    assert found.cut.shots[0].picture == Card("Event 001, reel ZZ: fight on the quay")
    assert [remark.split(":")[0] for remark in found.remarks] == [f"Event {number:03d} became a card" for number in range(1, 6)]


def test_several_lists_follow_each_other() -> None:
    shots = tuple(Shot(f"s{number}", 1, Footage("wide", number % 700)) for number in range(1, 1202))
    cut = Cut("v9", shots, VALUE.target_frames)
    reads = [read_list(one.text, VALUE.timebase, strict=True) for one in write_edl(VALUE, cut)]
    assert len(reads) == 2
    assert import_list(VALUE, reads, "v9").cut == cut
    with pytest.raises(UseFault, match="begins before the one ahead of it ends"):
        import_list(VALUE, [reads[0], reads[0]], "v9")


def test_an_exact_speed_counts_only_while_the_m2_line_agrees() -> None:
    def speed(m2: str) -> Fraction:
        told = (line(1, "A1", ("05:00", "06:00"), ("00:00", "01:00")), f"M2 A1 {m2} 00:00:05:00", "* SPEED IS EXACTLY 2/7 OF NORMAL")
        (shot,) = imported(*told).cut.shots
        assert isinstance(shot.picture, Footage)
        return shot.picture.speed

    assert (speed("006.9"), speed("012.0")) == (Fraction(2, 7), Fraction(1, 2))


@pytest.mark.parametrize(("rate", "drop"), [("23.976", False), ("29.97", True), ("59.94", True)])
def test_a_speed_comes_back_as_it_went_at_rates_that_are_no_whole_number(rate: str, drop: bool) -> None:
    fps = Rate.parse(rate).fps
    speeds = [Fraction(1, 2), Fraction(-4, 5), Fraction(29, 20), 20 / fps, 24 / fps, 30 / fps, -60 / fps, Fraction(round(fps)) / fps]
    value = random_cuts.sequence(rate, drop)
    shots = tuple(Shot(f"s{number}", 24, Footage("1A", 700, speed)) for number, speed in enumerate(speeds, start=1))
    cut = Cut("v1", shots, 240)
    (written,) = write_edl(value, cut)
    again = import_list(value, [read_list(written.text, value.timebase, strict=True)], "v2").cut
    assert [shot.picture for shot in again.shots] == [shot.picture for shot in shots]
    assert changes(value, cut, again) == ()
