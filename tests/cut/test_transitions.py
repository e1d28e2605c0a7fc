"""Dissolves, wipes, fades and sound leads: what stays at its cut point, and what is refused with the frames missing."""

from __future__ import annotations

import pytest
from cut.small_cut import CUT, a_cut, idents, refused, shot, shots, total
from msgspec.structs import replace as changed

from previs.cut import edits, retimes, transitions
from previs.document.invariants import faults_in
from previs.document.model import Black, Shot, Transition, TransitionKind


def test_a_dissolve_needs_the_shot_before_to_play_on() -> None:
    one = edits.slip(a_cut(), CUT, 1, 180)
    assert transitions.add_transition(one, CUT, 2, Transition(TransitionKind.DISSOLVE, 10))
    refused("tape A1 is 4 frames too short", transitions.add_transition, one, CUT, 2, Transition(TransitionKind.WIPE, 14, 1))
    refused("6 frames longer than the shot's 24", transitions.add_transition, one, CUT, 2, Transition(TransitionKind.DISSOLVE, 30))
    refused("1 too short", transitions.add_transition, one, CUT, 2, Transition(TransitionKind.DISSOLVE, 0))
    for pattern in (0, 7, 1000):
        wipe = Transition(TransitionKind.WIPE, 5, pattern)
        refused(f"Wipe {pattern} cannot be drawn; .*1 left to right", transitions.add_transition, one, CUT, 2, wipe)


def test_a_transition_is_taken_away() -> None:
    one = transitions.remove_transition(a_cut(), CUT, 5)
    assert shot(one, 5).transition is None
    refused("cut to straight already", transitions.remove_transition, one, CUT, 5)


def test_a_fade_in_comes_from_black_and_keeps_the_total() -> None:
    first = transitions.fade_in(a_cut(), CUT, 1, 12)
    assert shot(first, 1) == changed(shot(a_cut(), 1), transition=Transition(TransitionKind.DISSOLVE, 12))
    one = transitions.fade_in(a_cut(), CUT, 5, 12)
    assert (idents(one), total(one)) == ("s1 s2 s3 s4 s7 s5 s6", total(a_cut()))
    assert (shot(one, 5).picture, shot(one, 5).frames, shot(one, 5).transition) == (Black(), 1, None)
    assert (shot(one, 6).frames, shot(one, 6).transition) == (24, Transition(TransitionKind.DISSOLVE, 12))
    back = transitions.remove_fade_in(one, CUT, 6)
    assert shots(back) == shots(transitions.remove_transition(a_cut(), CUT, 5))
    refused("does not fade in", transitions.remove_fade_in, a_cut(), CUT, 5)
    refused("1 frame longer than the shot's 29", transitions.fade_in, a_cut(), CUT, 4 + 2, 30)


def test_a_fade_out_goes_to_black_at_the_same_moment_and_keeps_the_total() -> None:
    one = transitions.fade_out(a_cut(), CUT, 4, 12)
    assert (idents(one), total(one)) == ("s1 s2 s3 s4 s7 s5 s6", total(a_cut()))
    assert (shot(one, 4).frames, shot(one, 5)) == (28, Shot("s7", 12, Black(), Transition(TransitionKind.DISSOLVE, 12)))
    assert shot(one, 6).transition is None
    assert shots(transitions.remove_fade_out(one, CUT, 4)) == shots(transitions.remove_transition(a_cut(), CUT, 5))
    refused("goes to black already", transitions.fade_out, one, CUT, 4, 3)
    refused("does not fade out", transitions.remove_fade_out, a_cut(), CUT, 4)
    refused("1 too few", transitions.fade_out, a_cut(), CUT, 4, 40)
    assert idents(transitions.fade_out(a_cut(), CUT, 6, 5)) == "s1 s2 s3 s4 s5 s6 s7"


def test_a_fade_through_black_shares_one_black_and_can_be_taken_apart_in_either_order() -> None:
    both = transitions.fade_in(transitions.fade_out(a_cut(), CUT, 1, 10), CUT, 3, 8)
    assert (idents(both), total(both)) == ("s1 s7 s2 s3 s4 s5 s6", total(a_cut()))
    only_in = transitions.remove_fade_out(both, CUT, 1)
    assert (shot(only_in, 1).frames, shot(only_in, 2)) == (29, Shot("s7", 1, Black()))
    plain = transitions.remove_fade_in(only_in, CUT, 3)
    assert [each.frames for each in shots(plain)] == [29, 25, 20, 40, 25, 30]
    only_out = transitions.remove_fade_in(both, CUT, 3)
    assert shots(transitions.remove_fade_out(only_out, CUT, 1)) == tuple(
        changed(each, reasons=()) if each.ident == "s1" else each for each in shots(a_cut())
    )


def test_a_fade_out_into_black_that_is_there_lengthens_it() -> None:
    one = edits.insert(a_cut(), CUT, 2, Black(), 6)
    faded = transitions.fade_out(one, CUT, 1, 10)
    assert (len(shots(faded)), shot(faded, 2).frames, total(faded)) == (7, 16, total(one))
    assert [each.frames for each in shots(transitions.remove_fade_out(faded, CUT, 1))] == [each.frames for each in shots(one)]


def test_a_sound_lead_stays_with_its_cut_point_and_goes_when_the_neighbours_change() -> None:
    one = transitions.lead_sound(a_cut(), CUT, 4, 6)
    assert shot(one, 4).sound_lead_frames == 6
    assert faults_in(one) == ()
    assert shot(edits.roll(one, CUT, 4, 5), 4).sound_lead_frames == 6
    assert shot(edits.insert(one, CUT, 4, Black(), 9), 5).sound_lead_frames == 0
    assert shot(edits.remove(one, CUT, 3), 3).sound_lead_frames == 0
    assert shot(transitions.lead_sound(one, CUT, 4, 0), 4) == shot(a_cut(), 4)
    assert shot(transitions.lead_sound(a_cut(), CUT, 4, -6), 4).sound_lead_frames == -6


def test_a_sound_lead_is_refused_without_room_or_tape() -> None:
    refused("the cut begins there: 2 frames are missing", transitions.lead_sound, a_cut(), CUT, 1, 2)
    refused("shot 3 has room for 19: 5 frames are missing", transitions.lead_sound, a_cut(), CUT, 4, 24)
    refused("1 too many for its 40 frames", transitions.lead_sound, a_cut(), CUT, 4, -40)
    refused("begins there already", transitions.lead_sound, a_cut(), CUT, 4, 0)
    refused("no sound to begin early", transitions.lead_sound, a_cut(), CUT, 3, 3)
    refused("no sound to begin early", transitions.lead_sound, a_cut(), CUT, 5, 3)
    early = edits.slip(a_cut(), CUT, 4, -118)
    refused("3 frames before tape A1", transitions.lead_sound, early, CUT, 4, 5)
    late = edits.slip(a_cut(), CUT, 1, 185)
    refused("past the end of tape A1 for 4 frames", transitions.lead_sound, late, CUT, 2, -9)
    silent = a_cut()
    silent = changed(silent, tapes=(changed(silent.tapes[0], sound=None), silent.tapes[1]))
    refused("no sound to begin early", transitions.lead_sound, silent, CUT, 4, 3)
    refused("Take its sound lead", retimes.reverse, transitions.lead_sound(a_cut(), CUT, 4, 6), CUT, 4)


@pytest.mark.parametrize(
    ("number", "lead", "sentence"), [(1, 3, "0 that the shot before has"), (4, 20, "19 that"), (4, -40, "late"), (5, 3, "forwards")]
)
def test_a_document_with_an_impossible_sound_lead_is_not_sound(number: int, lead: int, sentence: str) -> None:
    one = a_cut()
    wrong = [changed(each, sound_lead_frames=lead) if each.ident == f"s{number}" else each for each in shots(one)]
    found = faults_in(changed(one, cuts=(changed(one.cuts[0], shots=tuple(wrong)),)))
    assert len(found) == 1 and sentence in found[0] and f"shots[{number - 1}].sound_lead_frames" in found[0]
