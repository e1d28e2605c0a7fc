"""The words of every frame of a cut: by hand on a small cut, by brute force on cuts drawn at random."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from itertools import zip_longest

import fights
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from random_cuts import TIMEBASES, cuts
from random_cuts import sequence as random_sequence

from previs.clock import frame_played
from previs.document.model import Black, Card, Cut, Footage, Kind, Sequence, Shot, Transition, TransitionKind
from previs.exchange.lists import record_label
from previs.review.burn_ins import CONFIDENTIAL, BurnIns, _Told

DAY = date(2026, 11, 25)


@pytest.fixture
def value() -> Sequence:
    """Moves 1 and 2 land on tape frames 48 and 96, phrase 2's move 3 on 240; black, a dissolve and a card lie between."""
    shots = (
        Shot("s1", 24, Footage("T1", 40)),
        Shot("s2", 30, Footage("T1", 80), code="020"),
        Shot("s3", 12, Footage("T1", 150), Transition(TransitionKind.DISSOLVE, 6)),
        Shot("s4", 20, Card("the fall", 3, 4)),
        Shot("s5", 8, Black(), Transition(TransitionKind.DISSOLVE, 4)),
    )
    sequence = fights.sequence(
        phrases=(fights.phrase(1, range(1, 3)), fights.phrase(2, range(3, 5))),
        tapes=(fights.tape(),),
        takes=(fights.take("T1", {1: 2, 2: 4, 3: 10}, phrases=(1, 2)),),
        treatments=(
            fights.treatment(Fraction(50, 24), Fraction(53, 24)),
            fights.treatment(4, 5, kind=Kind.RIG_REMOVAL, role="Reeve"),
        ),
    )
    return replace(sequence, cuts=(Cut("v1", shots, 240),))


def lines(value: Sequence, frame: int) -> tuple[str, ...]:
    words = BurnIns(value, value.cut(), DAY)(frame)
    assert words.time_code == record_label(value, frame)
    assert words.foot == CONFIDENTIAL
    (where, move) = words.top
    assert where.right == "cut v1, 2026-11-25"
    return where.left, move.left, move.right


def test_what_stands_on_each_frame(value: Sequence) -> None:
    # Shot 1 is tape frames 40 to 63: move 1 lands on its frame 8, the double is on tape frames 50 to 52.
    assert lines(value, 0) == ("shot 1, phrase 1", "1 cut 1", "")
    assert lines(value, 9)[2] == ""
    assert lines(value, 10)[2] == lines(value, 12)[2] == "digital double, Odile"
    assert lines(value, 13)[2] == ""
    assert lines(value, 23) == ("shot 1, phrase 1", "1 cut 1", "")
    # Shot 2 has a code; its run-up belongs to move 2, which lands on its frame 16.
    assert lines(value, 24) == ("shot 020, phrase 1", "2 cut 2", "")
    assert lines(value, 40)[2] == "rig removal, Reeve"
    # It plays on for six frames under the dissolve, tape frames 110 to 115; three of them are still its own in half.
    assert lines(value, 54) == ("shot 020 > 3, phrase 1", "2 cut 2", "rig removal, Reeve")
    assert lines(value, 59) == ("shot 020 > 3, phrase 1", "2 cut 2", "rig removal, Reeve")
    # Shot 3 shows no hit, and its phrase is over.
    assert lines(value, 60) == ("shot 3", "", "")
    assert lines(value, 66) == ("shot 4, phrase 2", "moves 3-4: not shot yet", "")
    # The card fades: it is named to the last frame of the fade, and black has nothing to say.
    assert lines(value, 87) == ("shot 4, phrase 2", "moves 3-4: not shot yet", "")
    assert lines(value, 89) == ("shot 4, phrase 2", "", "")
    assert lines(value, 90) == lines(value, 93) == ("black", "", "")


def test_past_the_ends_and_in_an_empty_cut_nothing_breaks(value: Sequence) -> None:
    assert lines(value, 500)[0] == "black"
    empty = replace(value, cuts=(Cut("v1", (), 240),))
    assert lines(empty, 0) == ("black", "", "")


def test_the_notice_is_a_setting(value: Sequence) -> None:
    assert BurnIns(value, value.cut(), DAY, confidential=False)(3).foot == ""


def test_a_move_is_named_until_the_next_lands_and_together_when_they_land_together(value: Sequence) -> None:
    both = replace(value, takes=(fights.take("T1", {1: 2, 2: 2, 3: Fraction(55, 24)}, phrases=(1, 2)),))
    assert lines(both, 0)[1] == lines(both, 14)[1] == "1 cut 1; 2 cut 2"
    assert lines(both, 15)[:2] == ("shot 1, phrase 2", "3 cut 3")


def test_the_line_that_a_move_is_on_is_named(value: Sequence) -> None:
    phrase = value.phrases[0]
    lined = replace(phrase, moves=(replace(phrase.moves[0], line="head"), *phrase.moves[1:]))
    assert lines(replace(value, phrases=(lined, *value.phrases[1:])), 3)[1] == "1 cut 1 (head)"


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_shots_and_treatments_of_every_frame_as_brute_force_finds_them(data: st.DataObject) -> None:
    value = random_sequence(*data.draw(st.sampled_from(TIMEBASES)))
    cut = data.draw(cuts(value))
    burnt, told = BurnIns(value, cut, DAY), _Told(value, cut, DAY)
    fps = value.timebase.rate.fps
    shots: list[list[str]] = [[] for _ in range(cut.frames)]
    treated: list[set[str]] = [set() for _ in range(cut.frames)]
    at = 0
    for number, (shot, following) in enumerate(zip_longest(cut.shots, cut.shots[1:]), start=1):
        under = following.transition.frames if following and following.transition else 0
        for k in range(shot.frames + under):
            if not isinstance(shot.picture, Black):
                shots[at + k].append(str(number))
            if isinstance(shot.picture, Footage):
                shown = frame_played(shot.picture.first_frame, shot.picture.speed, k)
                reel = value.take(shot.picture.take).reel
                treated[at + k] |= {
                    f"{mark.kind}, {mark.role}"
                    for mark in value.treatments
                    if mark.reel == reel and mark.start <= shown / fps < mark.end_exclusive
                }
        at += shot.frames
    for frame in range(cut.frames):
        where, move = burnt(frame).top
        assert where.left.split(", phrase ")[0] == (f"shot {' > '.join(shots[frame])}" if shots[frame] else "black")
        assert set(filter(None, move.right.split("; "))) == treated[frame]
        # Every change of the words is an edge of theirs.
        assert burnt(frame).top == told.lines(frame)
