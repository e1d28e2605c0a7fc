"""What an edit list's comments say of an event that its columns do not."""

from __future__ import annotations

from fractions import Fraction

import fights
import pytest

from previs.cut.placing import place
from previs.document.model import Black, Cut, Footage, Kind, Sequence, Shot, Transition, TransitionKind
from previs.exchange.edl_comments import event_comments


def value() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 3)),),
        tapes=(fights.tape("A1", start_frame=24 * 3600), fights.tape("B1", rate="29.97", start_frame=30 * 3600)),
        takes=(fights.take("1A", {1: 1}), fights.take("1B", {}, reel="B1")),
        treatments=(fights.treatment(1, 2, kind=Kind.RIG_REMOVAL),),
    )


def said(*shots: Shot) -> dict[int, list[str]]:
    one = value()
    return event_comments(one, place(one, Cut("v1", shots, 240)))


@pytest.mark.parametrize("kind", TransitionKind)
def test_a_treatment_runs_on_under_the_transition_out_of_its_event(kind: TransitionKind) -> None:
    found = said(Shot("a", 20, Footage("1A", 0)), Shot("b", 30, Black(), Transition(kind, 30)))
    name = kind.value.upper()
    assert f"* PLAYS ON FOR 30 FRAMES UNDER THE {name} INTO THE NEXT EVENT" in found[1]
    # 24 frames are treated, from the shot's 25th on, all of them after its own 20; the last that plays is its 50th.
    assert f"* RIG REMOVAL 01:00:01:00 - 01:00:01:23 Odile, 24 FRAMES UNDER THE {name}" in found[1]
    assert "* MOVE 1 LANDS 01:00:01:00: cut 1" in found[1]


@pytest.mark.parametrize(
    ("speed", "wanted"),
    [
        (Fraction(-1), "* PLAYS BACKWARDS FROM 01:00:02:00 TO 01:00:01:01"),
        (Fraction(-1, 2), "* PLAYS BACKWARDS FROM 01:00:02:00 TO 01:00:01:13"),
        (Fraction(1), None),
        (Fraction(0), None),
    ],
)
def test_an_event_that_plays_backwards_says_what_it_really_plays(speed: Fraction, wanted: str | None) -> None:
    found = [line for line in said(Shot("a", 24, Footage("1A", 48, speed)))[1] if "BACKWARDS" in line]
    assert found == ([wanted] if wanted else [])


def test_backwards_is_counted_as_the_list_counts_and_the_tapes_own_time_code_stands_beside_it() -> None:
    found = said(Shot("a", 24, Footage("1B", 48, Fraction(-1))))[1]
    assert found[:2] == ["* PLAYS BACKWARDS FROM 01:00:02:00 TO 01:00:01:01", "* TAPE TIME CODE 01:00:01:29 - 01:00:01:01 AT 29.97 NDF"]
