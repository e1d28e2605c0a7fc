"""Cuts made from edit lists: ours come back equal, others' as far as their reels are known, and the rest is named."""

from __future__ import annotations

from fractions import Fraction

import fights
import pytest
import random_cuts
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.clock import Rate
from previs.cut.changes import changes
from previs.document.invariants import faults_in
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.exchange.cmx3600 import write_edl
from previs.exchange.cmx3600_reading import read_list
from previs.exchange.importing import Imported, import_list
from previs.exchange.recognising import given_names
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
    assert gap.remarks == ("The list lays no sound at all; the cut sounds as its tapes do.", "2 gaps in the list became black.")
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
        "The list drops the sound of 1 event (002); the cut sounds as its tapes do.",
        "1 key was left out; a cut shows their background.",
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
        "5 events of the list are of what this sequence does not have. 3 reels are unknown: AX, BARS, ZZ; 3 events. Say which "
        "tape a reel is with --reel LISTNAME=REEL, ingest and mark what is missing, or take cards in their place with "
        "--cards-for-unknown.",
        "Event 002, line 3: source 00:00:35:00 of tape A1 is in none of its takes.",
        "Event 003, line 4: source 00:00:59:12 lies, or plays, outside tape A1 (1440 frames).",
        "Event 001, line 1: reel ZZ (fight on the quay) is no tape here.",
        "Event 004, line 5: reel AX (no clip name) is no tape here.",
        "Event 005, line 6: reel BARS (no clip name) is no tape here.",
    ]
    found = imported(*UNKNOWN, cards=True)
    assert [type(shot.picture) for shot in found.cut.shots] == [Card, Card, Card, Card, Card, Footage]
    assert found.cut.shots[0].picture == Card("Event 001, reel ZZ: fight on the quay")
    assert found.remarks[:2] == (
        "3 reels are unknown: AX, BARS, ZZ; 3 events.",
        "The list lays no sound at all; the cut sounds as its tapes do.",
    )
    assert [remark.split(":")[0] for remark in found.remarks[2:]] == [f"Event {number:03d} became a card" for number in range(1, 6)]


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


RECOGNISED = [
    (("AX", "cam-b.mp4"), "cam-b", "the file name cam-b.mp4"),
    (("AX", "CAM-B"), "cam-b", "the clip name CAM-B"),
    (("AX", "other"), "cam-b", "the take other"),
    (("cam-b.MOV", ""), "cam-b", "its name without the file ending"),
    (("CAM_B.wav", ""), "cam-b", "its name without the file ending"),
    (("cam-b_rehearsal_long", ""), "cam-b", "the beginning of the name cam-b_rehearsal_long"),
    (("AX", "cam-b_rehearsal long.mov"), "cam-b", "the beginning of the name cam-b_rehearsal long"),
    (("HARBOUR", ""), "D1", "the beginning of the name HARBOUR"),
]


@pytest.mark.parametrize(("names", "reel", "guess"), RECOGNISED)
def test_reels_are_guessed_by_ending_clip_name_and_beginning_and_that_is_said(names: tuple[str, str], reel: str, guess: str) -> None:
    harbour = replace(fights.tape("D1"), path="tapes/harbour_wall.mp4")
    value = replace(VALUE, tapes=(*VALUE.tapes, harbour), takes=(*VALUE.takes, fights.take("wall", {}, reel="D1")))
    start = "01" if reel == "cam-b" else "00"
    event = f"1 {names[0]} AA/V C {start}:00:01:00 {start}:00:02:00 01:00:00:00 01:00:01:00"
    found = imported(event, f"* FROM CLIP NAME: {names[1]}", value=value)
    (shot,) = found.cut.shots
    assert isinstance(shot.picture, Footage)
    assert (value.take(shot.picture.take).reel, shot.picture.first_frame) == (reel, 24)
    assert found.remarks == (f"Reel {names[0]} was taken for tape {reel} by {guess} (1 event).",)


@pytest.mark.parametrize(("reel", "clip"), [("A10", ""), ("A", ""), ("AX", "A10.mp4"), ("HARBOUR", "")])
def test_what_could_be_two_tapes_or_fits_by_chance_is_not_guessed(reel: str, clip: str) -> None:
    walls = tuple(replace(fights.tape(name), path=f"tapes/harbour_{name}.mp4") for name in ("D1", "E1"))
    with pytest.raises(UseFault, match="is no tape here"):
        imported(
            f"1 {reel} V C 00:00:01:00 00:00:02:00 01:00:00:00 01:00:01:00",
            f"* FROM CLIP NAME: {clip}",
            value=replace(VALUE, tapes=(*VALUE.tapes, *walls)),
        )


def test_a_reel_is_what_the_person_says_it_is() -> None:
    text = line(1, "AX", ("01:00", "02:00"), ("00:00", "01:00"))
    names = given_names(VALUE, ["ax = A1"])
    found = import_list(VALUE, [read_list(text, VALUE.timebase)], "v9", given=names)
    assert found.cut.shots[0].picture == Footage("wide", 24)
    for wrong, said in (("AX", "LISTNAME=REEL"), ("AX=", "LISTNAME=REEL"), ("AX=Z9", "no tape with reel name 'Z9'")):
        with pytest.raises(UseFault, match=said):
            given_names(VALUE, [wrong])


def test_events_of_one_unknown_reel_are_told_of_together() -> None:
    text = [line(number, "ZZ", ("00:00", "01:00"), (f"{number:02d}:00", f"{number + 1:02d}:00")) for number in range(1, 15)]
    with pytest.raises(UseFault, match=r"1 reel is unknown: ZZ; 14 events\.") as raised:
        imported(*text)
    assert str(raised.value).splitlines()[1:] == ["Event 001, line 1, and 13 events more to 014: reel ZZ (no clip name) is no tape here."]


@pytest.mark.parametrize(("rate", "drop"), [("24", False), ("29.97", True)])
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_sound_leads_come_back_with_our_own_list(rate: str, drop: bool, data: st.DataObject) -> None:
    value = random_cuts.sequence(rate, drop)
    cut = data.draw(random_cuts.with_leads(value, random_cuts.cuts(value)))
    (written,) = write_edl(value, cut)
    again = import_list(value, [read_list(written.text, value.timebase, strict=True)], "v9")
    assert again.remarks == ()
    assert [shot.sound_lead_frames for shot in again.cut.shots] == [shot.sound_lead_frames for shot in cut.shots]
    assert write_edl(value, again.cut)[0].text == written.text.replace(f"{value.title} v1", f"{value.title} v9")


LEAD = (
    line(1, "A1", ("00:00", "01:00"), ("00:00", "01:00")).replace(" V ", " AA/V "),
    line(2, "A1", ("05:00", "06:00"), ("01:00", "02:00")).replace(" V ", " AA/V "),
)


@pytest.mark.parametrize(
    ("comment", "lead", "said"),
    [
        ("* SOUND BEGINS 6 FRAMES BEFORE THE PICTURE", 6, ""),
        ("* SOUND BEGINS 1 FRAME AFTER THE PICTURE", -1, ""),
        ("* THE SOUND BEGINS 6 FRAMES BEFORE THE PICTURE", 0, ""),
        ("* SOUND BEGINS 600 FRAMES BEFORE THE PICTURE", 0, "A sound lead was not taken. The sound of shot 2 would begin 600 frames early"),
        ("* SOUND BEGINS 24 FRAMES AFTER THE PICTURE", 0, "A sound lead was not taken. The sound of shot 2 would begin 24 frames late"),
    ],
)
def test_a_sound_lead_is_read_from_our_own_comment_where_there_is_room_for_it(comment: str, lead: int, said: str) -> None:
    found = imported(*LEAD, comment)
    assert found.cut.shots[1].sound_lead_frames == lead
    assert len(found.remarks) == bool(said)
    assert all(remark.startswith(said) for remark in found.remarks)


def test_a_split_edit_on_lines_of_its_own_is_a_sound_lead() -> None:
    found = imported(
        line(1, "A1", ("00:00", "01:00"), ("00:00", "01:00")),
        line(1, "A1", ("00:00", "00:18"), ("00:00", "00:18")).replace(" V ", " AA "),
        line(2, "A1", ("05:00", "06:00"), ("01:00", "02:00")),
        line(2, "A1", ("04:18", "06:00"), ("00:18", "02:00")).replace(" V ", " A "),
        line(2, "A1", ("04:18", "06:00"), ("00:18", "02:00")).replace(" V ", " A2 "),
        line(3, "A1", ("20:00", "21:00"), ("01:00", "02:00")).replace(" V ", " A3 "),
    )
    assert [shot.sound_lead_frames for shot in found.cut.shots] == [0, 6]
    assert found.remarks == ("1 event of sound alone was left out; a cut's sound is its tapes'.",)


def test_a_list_of_a_size_that_no_cut_has_is_refused_unless_it_is_wanted() -> None:
    label = VALUE.timebase.label
    many = [f"{at} A1 V C 00:00:00:00 00:00:00:01 {label(86400 + at)} {label(86401 + at)}" for at in range(1000)]
    with pytest.raises(UseFault, match=r"1000 picture events and .* target of 00:00:10:00; .* --anyway"):
        imported(*many)
    read = read_list("\n".join(many), VALUE.timebase)
    assert len(import_list(VALUE, [read], "v9", anyway=True).cut.shots) == 1000
    with pytest.raises(UseFault, match="last 00:16:41:00, against"):
        imported("1 A1 V C 00:00:00:00 00:16:41:00 01:00:00:00 01:16:41:00")
