"""Lists of a cut and of the marks: what each column says, counted by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape, treatment
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace as changed

from previs.clock import RATES, frame_played, tape_frame_at
from previs.document.model import Black, Card, Casting, Cut, Footage, Framing, Kind, Role, Sequence, Shot, Size, Transition, TransitionKind
from previs.exchange.cmx3600 import MOST_EVENTS
from previs.exchange.lists import EVENTS_A_LIST, against_target, counted_shots, event_number, for_a_screen, heading, rows
from previs.faults import UseFault

DISSOLVE = TransitionKind.DISSOLVE


def fight() -> Sequence:
    """A push in, a dissolve, a still, a reversed shot and a fade out; Pim Oster doubles Odile on the second tape."""
    pushed = (
        Framing(Fraction(0), Size.WIDE, 20, "locked"),
        Framing(Fraction(2), Size.CLOSE, 20, "push"),
        Framing(Fraction(3), Size.CLOSE, 30),
    )
    shots = (
        Shot("s1", 48, Footage("T1", 24), locked=True),
        Shot("s2", 24, Footage("T2", 24, Fraction(29, 20)), Transition(DISSOLVE, 12), sound_lead_frames=3),
        Shot("s3", 10, Footage("T2", 60, Fraction(0)), Transition(TransitionKind.WIPE, 8, 19)),
        Shot("s4", 24, Footage("T1", 120, Fraction(-1))),
        Shot("s5", 30, Black(), Transition(DISSOLVE, 30)),
        Shot("s6", 24, Card("the fall", 3), Transition(DISSOLVE, 1)),
    )
    return sequence(
        phrases=(phrase(1, range(1, 3)), phrase(2, range(3, 4))),
        tapes=(tape("A1"), tape("B1", rate="29.97", start_frame=30)),
        takes=(
            changed(take("T1", {1: Fraction(5, 2)}, phrases=(1, 1)), framings=pushed),
            changed(take("T2", {2: Fraction(3, 2)}, reel="B1"), performers=(Casting("Odile", "Pim Oster"),), camera="phone"),
        ),
        treatments=(
            treatment(Fraction(11, 4), Fraction(15, 4), kind=Kind.RIG_REMOVAL),
            treatment(1, Fraction(3, 2), reel="B1", kind=Kind.FACE_REPLACEMENT),
            treatment(40, 41, reel="B1"),
        ),
        cast=(Role("Odile", "Juno Vale", ("Pim Oster",)),),
        cuts=(Cut("v1", shots, 172),),
    )


def column(one: Sequence, what: str, name: str) -> list[object]:
    return [row[name] for row in rows(one, what)]


def test_every_shot_says_how_it_comes_in_and_what_it_is() -> None:
    one = fight()
    assert column(one, "shots", "transition") == [
        "",
        "dissolve, 12 frames",
        "wipe 19, 8 frames",
        "",
        "fade out, 30 frames",
        "fade in, 1 frame",
    ]
    assert column(one, "shots", "plays on") == [12, 8, None, 30, 1, None]
    assert column(one, "shots", "sound lead") == [None, 3, None, None, None, None]
    assert column(one, "shots", "locked") == ["locked", "", "", "", "", ""]
    assert column(one, "shots", "speed") == [1, 1.45, "freeze", -1, "", ""]
    assert column(one, "shots", "take") == ["T1", "T2", "T2", "T1", "black", "card"]
    assert column(one, "shots", "camera") == ["A", "phone", "phone", "A", "", ""]
    assert column(one, "shots", "phrase") == ["1", "1", "", "", "", "2"]
    assert column(one, "shots", "moves") == ["1", "2", "", "", "", "3"]


def test_what_changes_inside_a_shot_is_shown_in_the_order_of_the_screen() -> None:
    one = fight()
    # Shot 1 plays tape seconds 1 to 3, and to 3.5 under the dissolve; shot 4 plays from 5 backwards to 4, and to 2.75 under black.
    assert column(one, "shots", "size")[::3] == ["wide > close", "close"]
    assert column(one, "shots", "angle")[::3] == ["20 > 30", "30 > 20"]
    assert column(one, "shots", "movement")[::3] == ["locked > push > ", " > push"]
    assert column(one, "shots", "angle")[1] == 0


def test_treatments_run_on_under_the_transition_and_say_so() -> None:
    found = rows(fight(), "treatments")
    assert [(row["shot"], row["frames"], row["under transition"], row["held"]) for row in found] == [
        (1, 18, "12 under the dissolve", "tail cut off"),
        # Twelve tape frames at 1.45 are seen in nine.
        (2, 9, "", "whole"),
        (4, 23, "23 under the dissolve", "head cut off"),
    ]
    first, second, _ = found
    assert (first["record in"], first["record out"]) == ("01:00:01:18", "01:00:02:12")
    assert (first["tape in"], first["tape out"], first["from second"], first["to second"]) == ("00:00:02:18", "00:00:03:12", 2.75, 3.5)
    assert (first["handle before"], first["handle after"]) == (66, 60 * 24 - 84)
    assert (second["performer"], second["face of"], second["take"], second["speed"]) == ("Pim Oster", "Juno Vale", "T2", 1.45)
    assert (second["moves"], first["face of"]) == ("", "")


def test_a_face_replacement_names_the_moves_that_land_in_it() -> None:
    one = changed(fight(), treatments=(treatment(1, 2, reel="B1", kind=Kind.FACE_REPLACEMENT),))
    assert column(one, "treatments", "moves") == ["2"]


def test_marks_say_whether_the_cut_uses_them() -> None:
    one = fight()
    assert [(row["used"], row["shots"], row["takes"]) for row in rows(one, "marks")] == [
        ("used in cut v1", "1, 4", "T1"),
        ("used in cut v1", "2", "T2"),
        ("unused", "", "T2"),
    ]
    assert set(column(changed(one, cuts=()), "marks", "used")) == {"no cut yet"}


@given(
    st.sampled_from([rate.name for rate in RATES]),
    st.integers(0, 400),
    st.fractions(Fraction(1, 4), 3, max_denominator=40) | st.just(Fraction(0)),
    st.sampled_from([1, -1]),
    st.integers(1, 40),
)
def test_a_tape_out_is_the_frame_after_the_last_that_is_shown(rate: str, first: int, speed: Fraction, way: int, frames: int) -> None:
    one = sequence(
        phrases=(phrase(1, range(1, 2)),),
        tapes=(tape(rate=rate),),
        takes=(take("T1", {}),),
        treatments=(treatment(0, 60),),
        cuts=(Cut("v1", (Shot("s1", frames, Footage("T1", first, way * speed)),), frames),),
    )
    counting = one.tapes[0].timebase
    shown = [tape_frame_at(Fraction(frame_played(first, way * speed, k), 24), counting.rate) for k in range(frames)]
    if min(shown) < 0:
        return
    for what in ("shots", "treatments"):
        for row in rows(one, what):
            tape_in, tape_out = (counting.frame(str(row[name])) for name in ("tape in", "tape out"))
            assert (tape_in, tape_out) == (min(shown), max(shown) + 1)


def test_black_is_counted_apart_from_shots() -> None:
    one = fight()
    assert counted_shots(one.cut()) == "5 shots and 1 black"
    assert [(row["shots"], row["black"]) for row in rows(one, "cuts")] == [(5, 1)]
    told = "Cut v1: 5 shots and 1 black, 00:00:06:16, 00:00:00:12 (12 frames) under its target."
    assert heading(one, "shots") == f"{told} An out is the frame after the last."
    assert against_target(one, changed(one.cut(), target_frames=159)) == "00:00:00:01 (1 frame) over its target"
    assert heading(one, "cuts") == ""


def test_a_screen_gets_the_columns_that_say_something() -> None:
    one = fight()
    found = rows(one, "shots")
    shown = for_a_screen("shots", found)
    assert [row["take"] for row in shown] == [row["take"] for row in found] and len(shown[0]) < len(found[0])
    plain = changed(one, cuts=(Cut("v1", (Shot("s1", 24, Footage("T1", 24)),), 24),))
    assert not {"transition", "locked"} & set(for_a_screen("shots", rows(plain, "shots"))[0])
    assert for_a_screen("tapes", rows(one, "tapes")) == rows(one, "tapes")


@pytest.mark.parametrize("what", ["tapes", "takes", "moves", "hits", "marks", "shots", "treatments", "cuts"])
def test_a_cut_that_is_not_there_is_a_fault_whatever_is_listed(what: str) -> None:
    for one in (fight(), changed(fight(), cuts=())):
        with pytest.raises(UseFault, match="no cut 'nope'"):
            rows(one, what, "nope")


def test_events_are_counted_as_the_edit_list_counts_them() -> None:
    assert EVENTS_A_LIST == MOST_EVENTS
    assert [event_number(shot) for shot in (1, 999, 1000, 1998, 1999)] == [1, 999, 1, 999, 1]
