"""Speed, direction, stills and other takes: what is played of the tape, and what is refused with the frames missing."""

from __future__ import annotations

from fractions import Fraction

import pytest
from cut.small_cut import CUT, DISSOLVE, a_cut, footage, idents, refused, shot, tape_frames, total
from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut import edits, retimes, transitions
from previs.cut.placing import hits_seen, place
from previs.document.model import Black, Footage, Sequence, Transition, TransitionKind


@pytest.mark.parametrize("speed", [Fraction(1, 2), Fraction(2), Fraction(3), Fraction(343, 240), Fraction(7, 10)])
def test_retimed_to_a_speed_a_shot_plays_the_same_tape_frames_and_none_more(speed: Fraction) -> None:
    for number in (1, 2, 4):
        one = retimes.retime_to_speed(a_cut(), CUT, number, speed)
        before, after = tape_frames(shot(a_cut(), number)), tape_frames(shot(one, number))
        assert after[0] == before[0] and footage(shot(one, number)).speed == speed
        # The last frame is within one step of the last one before, and playing on would be past it.
        picture = footage(shot(one, number))
        assert after[-1] <= before[-1] < frame_played(picture.first_frame, picture.speed, shot(one, number).frames)


def test_retiming_keeps_the_direction_and_a_still_its_length() -> None:
    assert footage(shot(retimes.retime_to_speed(a_cut(), CUT, 5, Fraction(1)), 5)).speed == -1
    still = retimes.freeze(a_cut(), CUT, 1, 0)
    moving = retimes.retime_to_speed(still, CUT, 1, Fraction(1))
    assert (shot(moving, 1).frames, tape_frames(shot(moving, 1))) == (30, tape_frames(shot(a_cut(), 1)))


@pytest.mark.parametrize("frames", [1, 7, 15, 29, 31, 45, 60])
def test_retimed_to_a_length_a_shot_lasts_it_at_a_speed_that_an_edit_list_can_say(frames: int) -> None:
    one = retimes.retime_to_length(a_cut(), CUT, 1, frames)
    picture = footage(shot(one, 1))
    assert (shot(one, 1).frames, total(one)) == (frames, total(a_cut()) + frames - 30)
    assert (picture.speed * 240).denominator == 1
    exact = Fraction(30, frames)
    assert exact - Fraction(1, 240) < picture.speed <= exact
    assert set(tape_frames(shot(one, 1))) <= set(tape_frames(shot(a_cut(), 1)))


def test_retimes_refuse() -> None:
    refused("cannot be played", retimes.retime_to_speed, a_cut(), CUT, 1, Fraction(0))
    refused("cannot be played", retimes.retime_to_speed, a_cut(), CUT, 1, Fraction(-1))
    refused("is a card and has no speed", retimes.retime_to_speed, a_cut(), CUT, 3, Fraction(1))
    refused("1 too few", retimes.retime_to_length, a_cut(), CUT, 1, 0)
    refused("do not stretch", retimes.retime_to_length, a_cut(), CUT, 1, 10_000)
    refused("frozen, so its length", retimes.retime_to_length, retimes.freeze(a_cut(), CUT, 1, 0), CUT, 1, 20)
    refused("2 frames longer than the shot's 6", retimes.retime_to_length, a_cut(), CUT, 5, 6)


def test_reverse_plays_the_same_frames_the_other_way_and_twice_is_nothing() -> None:
    one = retimes.reverse(a_cut(), CUT, 1)
    assert tape_frames(shot(one, 1)) == tape_frames(shot(a_cut(), 1))[::-1]
    for number in (1, 2, 4, 5):
        twice = retimes.reverse(retimes.reverse(a_cut(), CUT, number), CUT, number)
        assert shot(twice, number).picture == shot(a_cut(), number).picture
    refused("looks the same backwards", retimes.reverse, retimes.freeze(a_cut(), CUT, 1, 0), CUT, 1)


def test_reversed_under_a_transition_the_handle_is_before_the_first_tape_frame() -> None:
    one = transitions.add_transition(a_cut(), CUT, 2, Transition(TransitionKind.DISSOLVE, 20))
    assert footage(shot(retimes.reverse(one, CUT, 1), 1)).first_frame == 49
    one = edits.slip(one, CUT, 1, -3)
    refused("tape A1 is 3 frames too short", retimes.reverse, one, CUT, 1)


def test_freeze_holds_a_frame_to_the_end() -> None:
    one = retimes.freeze(a_cut(), CUT, 4, 10)
    assert (idents(one), total(one)) == ("s1 s2 s3 s4 s7 s5 s6", total(a_cut()))
    assert tape_frames(shot(one, 4)) == list(range(120, 130)) and tape_frames(shot(one, 5)) == [130] * 30
    assert shot(one, 6).transition == DISSOLVE
    assert tape_frames(shot(retimes.freeze(a_cut(), CUT, 4, 0), 4)) == [120] * 40
    refused("frames 0 to 39, and no frame 40", retimes.freeze, a_cut(), CUT, 4, 40)
    refused("frozen already", retimes.freeze, one, CUT, 5, 3)


def landings(one: Sequence, number: int) -> dict[int, int]:
    return {hit.move.number: hit.record_frame for hit in hits_seen(one, place(one, one.cut(CUT))) if hit.placed.number == number}


def test_another_take_of_the_same_moves_has_its_first_hit_on_the_same_frame() -> None:
    # Shot 1 shows move 1 land, and is cut short so that move 2 does not; T2 plays at 0.7 of performance, so at 343/240 of as shot.
    one = edits.trim_tail(a_cut(), CUT, 1, -6)
    other = retimes.replace_take(one, CUT, 1, "T2")
    assert landings(other, 1) == landings(one, 1) == {1: 4}
    assert footage(shot(other, 1)) == Footage("T2", 48 - frame_played(0, Fraction(343, 240), 4), Fraction(343, 240))
    assert (shot(other, 1).ident, shot(other, 1).frames) == ("s1", 24)
    assert footage(shot(retimes.replace_take(other, CUT, 1, "T1"), 1)) == footage(shot(one, 1))


def test_another_take_is_retimed_as_much_as_the_old_one_was() -> None:
    slow = retimes.retime_to_speed(a_cut(), CUT, 1, Fraction(1, 2))
    assert footage(shot(retimes.replace_take(slow, CUT, 1, "T2"), 1)).speed == Fraction(round(Fraction(343, 480) * 240), 240)


def test_a_card_is_replaced_by_a_take_of_its_moves() -> None:
    one = edits.trim_tail(a_cut(), CUT, 3, 60)
    one = retimes.replace_take(one, CUT, 3, "T1")
    assert set(landings(one, 3)) == {3, 4}
    assert landings(one, 3)[3] == 54 + one.settings.lead_frames


def test_another_take_is_refused_when_it_does_not_play_the_moves_within_the_shot() -> None:
    # Moves 3 and 4 are 60 frames apart on T1 and the card lasts 20: 4 frames of lead, and 45 too few.
    refused("Move 4 would land 45 frames past the end of shot 3", retimes.replace_take, a_cut(), CUT, 3, "T1")
    refused("shows take T1 already", retimes.replace_take, a_cut(), CUT, 1, "T1")
    refused("shows no move land", retimes.replace_take, edits.remove(a_cut(), CUT, 4, Black()), CUT, 4, "T2")
    one = a_cut()
    fewer = changed(one.takes[1], hits=one.takes[1].hits[1:])
    refused("no hit of move 1", retimes.replace_take, changed(one, takes=(one.takes[0], fewer)), CUT, 1, "T2")
