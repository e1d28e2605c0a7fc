"""Placing, trimming, splitting and joining, locks and versions: what each edit does, and what it refuses with the frames missing."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from cut.small_cut import CUT, DISSOLVE, a_cut, footage, idents, refused, shot, shots, tape_frames, total
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut import edits, retimes, transitions, versions
from previs.document.invariants import faults_in
from previs.document.model import Black, Card, Footage, Sequence, Transition, TransitionKind


def test_insert_puts_a_new_shot_before_another_and_straightens_what_now_follows_it() -> None:
    one = edits.insert(a_cut(), CUT, 5, Footage("T1", 10), 12)
    assert idents(one) == "s1 s2 s3 s4 s7 s5 s6"
    assert (shot(one, 5).frames, total(one)) == (12, total(a_cut()) + 12)
    assert shot(one, 6).transition is None


def test_insert_at_the_end_and_of_cards_and_black() -> None:
    one = edits.insert(a_cut(), CUT, 7, Card("to come"), 10)
    one = edits.insert(one, CUT, 1, Black(), 5)
    assert idents(one) == "s8 s1 s2 s3 s4 s5 s6 s7"
    assert (shot(one, 1).picture, shot(one, 8).picture) == (Black(), Card("to come"))


def test_insert_refuses() -> None:
    refused("has shots 1 to 6, and no shot 8", edits.insert, a_cut(), CUT, 8, Black(), 5)
    refused("no take 'T9'", edits.insert, a_cut(), CUT, 1, Footage("T9", 0), 5)
    refused("no cut 'v9'", edits.insert, a_cut(), "v9", 1, Black(), 5)
    refused("1 too few", edits.insert, a_cut(), CUT, 1, Black(), 0)
    # Tape A1 has grid frames 0 to 239.
    refused("11 frames past the end of tape A1", edits.insert, a_cut(), CUT, 1, Footage("T1", 231), 20)
    refused("3 frames before tape A1", edits.insert, a_cut(), CUT, 1, Footage("T1", -3), 20)


def test_a_new_shot_never_takes_the_ident_of_a_removed_one() -> None:
    one = edits.remove(versions.copy_cut(a_cut(), CUT, "v2"), CUT, 6)
    assert shot(edits.insert(one, CUT, 6, Black(), 5), 6).ident == "s7"


def test_remove_closes_up_and_straightens_the_next() -> None:
    one = edits.remove(a_cut(), CUT, 4)
    assert idents(one) == "s1 s2 s3 s5 s6"
    assert (total(one), shot(one, 4).transition) == (total(a_cut()) - 40, None)


def test_remove_leaving_a_card_keeps_place_length_and_transitions() -> None:
    one = edits.remove(a_cut(), CUT, 4, Card("shoot again"))
    assert (idents(one), total(one)) == (idents(a_cut()), total(a_cut()))
    assert (shot(one, 4).picture, shot(one, 5).transition) == (Card("shoot again"), DISSOLVE)
    assert shot(edits.remove(a_cut(), CUT, 5, Black()), 5).transition == DISSOLVE


def test_the_only_shot_cannot_be_removed() -> None:
    one = a_cut()
    for _ in range(5):
        one = edits.remove(one, CUT, 1)
    refused("without a shot", edits.remove, one, CUT, 1)


def test_move_puts_a_shot_elsewhere_and_straightens_where_it_left_and_where_it_came() -> None:
    one = edits.move(a_cut(), CUT, 4, 1)
    assert (idents(one), total(one)) == ("s4 s1 s2 s3 s5 s6", total(a_cut()))
    assert shot(one, 5).transition is None
    one = edits.move(a_cut(), CUT, 1, 4)
    assert (idents(one), shot(one, 5).transition) == ("s2 s3 s4 s1 s5 s6", None)
    one = edits.move(a_cut(), CUT, 5, 6)
    assert (idents(one), shot(one, 6).transition) == ("s1 s2 s3 s4 s6 s5", None)
    refused("stands there already", edits.move, a_cut(), CUT, 2, 2)
    refused("no shot 7", edits.move, a_cut(), CUT, 2, 7)


def test_trims_change_the_total_and_keep_what_stays_on_its_tape_frames() -> None:
    one = a_cut()
    for frames in (-12, -1, 1, 7):
        head, tail = edits.trim_head(one, CUT, 1, frames), edits.trim_tail(one, CUT, 1, frames)
        assert total(head) == total(tail) == total(one) + frames
        old, kept = tape_frames(shot(one, 1)), min(30, 30 + frames)
        assert tape_frames(shot(head, 1))[-kept:] == old[-kept:]
        assert tape_frames(shot(tail, 1))[:kept] == old[:kept]


@given(st.integers(1, 20), st.fractions(min_value=-3, max_value=3, max_denominator=240))
@settings(deadline=None, max_examples=60)
def test_a_head_trimmed_longer_and_back_is_the_same_shot(frames: int, speed: Fraction) -> None:
    one = edits.insert(a_cut(), CUT, 1, Footage("T1", 120, speed), 10)
    longer = edits.trim_head(one, CUT, 1, frames)
    assert shots(edits.trim_head(longer, CUT, 1, -frames)) == shots(one)
    # What it showed first is shown still, that much later.
    assert tape_frames(shot(longer, 1))[frames] == 120


def test_trims_refuse_with_the_frames_missing() -> None:
    refused("5 frames before tape A1", edits.trim_head, a_cut(), CUT, 1, 25)
    refused("21 frames past the end of tape A1", edits.trim_tail, a_cut(), CUT, 6, 41)
    refused("would last -2 frames, 3 too few", edits.trim_tail, a_cut(), CUT, 1, -32)
    refused("0 frames change nothing", edits.trim_tail, a_cut(), CUT, 1, 0)
    refused("3 frames longer than the shot's 5", edits.trim_head, a_cut(), CUT, 5, -20)


def test_a_tail_keeps_the_handle_that_the_transition_after_it_needs() -> None:
    # Shot 4 plays A1 from 120 for 40, and 8 more under the dissolve: 72 are left of the tape's 240.
    one = edits.trim_tail(a_cut(), CUT, 4, 72)
    assert shot(one, 5).transition == DISSOLVE
    refused("tape A1 is 1 frame too short", edits.trim_tail, a_cut(), CUT, 4, 73)


def test_roll_keeps_the_total_and_the_transition() -> None:
    one = edits.roll(a_cut(), CUT, 5, 6)
    assert (shot(one, 4).frames, shot(one, 5).frames, total(one)) == (46, 19, total(a_cut()))
    assert footage(shot(one, 5)).first_frame == frame_played(150, Fraction(-1, 2), 6)
    assert shot(one, 5).transition == DISSOLVE
    assert shots(edits.roll(edits.roll(a_cut(), CUT, 4, 9), CUT, 4, -9)) == tuple(
        changed(each, reasons=()) if each.ident in ("s3", "s4") else each for each in shots(a_cut())
    )
    refused("no cut point into shot 1", edits.roll, a_cut(), CUT, 1, 2)
    refused("5 too few", edits.roll, a_cut(), CUT, 2, 28)
    refused("31 frames before tape A1", edits.roll, edits.slip(edits.trim_head(a_cut(), CUT, 3, 150), CUT, 4, -1), CUT, 4, -150)


def test_slip_keeps_place_and_length() -> None:
    one = edits.slip(a_cut(), CUT, 4, -7)
    assert tape_frames(shot(one, 4)) == [frame - 7 for frame in tape_frames(shot(a_cut(), 4))]
    assert (total(one), shot(one, 5).transition) == (total(a_cut()), DISSOLVE)
    refused("1 frame past the end of tape A1", edits.slip, a_cut(), CUT, 6, 21)
    refused("tape A1 is 3 frames too short", edits.slip, a_cut(), CUT, 4, 75)
    refused("no tape to slip", edits.slip, a_cut(), CUT, 3, 2)


def test_slide_moves_a_shot_between_neighbours_that_give_and_take() -> None:
    one = edits.slide(a_cut(), CUT, 3, 5)
    assert [each.frames for each in shots(one)] == [30, 29, 20, 35, 25, 30]
    assert footage(shot(one, 4)).first_frame == 125
    assert (total(one), shot(one, 3)) == (total(a_cut()), shot(a_cut(), 3))
    assert [each.frames for each in shots(edits.slide(a_cut(), CUT, 3, -5))] == [30, 19, 20, 45, 25, 30]
    refused("does not stand between", edits.slide, a_cut(), CUT, 1, 2)
    refused("does not stand between", edits.slide, a_cut(), CUT, 6, 2)
    refused("5 too few", edits.slide, a_cut(), CUT, 3, 44)
    refused("4 frames longer than the shot's 4", edits.slide, a_cut(), CUT, 4, 21)


def test_split_and_join_are_each_others_reverse() -> None:
    for number, at in ((1, 1), (1, 29), (2, 10), (3, 5), (5, 9)):
        halves = edits.split(a_cut(), CUT, number, at)
        assert (total(halves), len(shots(halves))) == (total(a_cut()), 7)
        assert (shot(halves, number).ident, shot(halves, number + 1).ident) == (f"s{number}", "s7")
        joined = edits.join(halves, CUT, number)
        assert [changed(each, reasons=()) for each in shots(joined)] == [changed(each, reasons=()) for each in shots(a_cut())]


def test_split_shows_the_same_tape_frames_at_whole_speeds() -> None:
    halves = edits.split(a_cut(), CUT, 1, 12)
    assert tape_frames(shot(halves, 1)) + tape_frames(shot(halves, 2)) == tape_frames(shot(a_cut(), 1))


def test_split_keeps_transitions_at_both_ends_and_refuses_what_they_do_not_fit() -> None:
    halves = edits.split(a_cut(), CUT, 4, 20)
    assert [each.transition for each in shots(halves)] == [None, None, None, None, None, DISSOLVE, None]
    halves = edits.split(a_cut(), CUT, 5, 8)
    assert (shot(halves, 5).transition, shot(halves, 6).transition) == (DISSOLVE, None)
    refused("1 frame longer than the shot's 7", edits.split, a_cut(), CUT, 5, 7)
    refused("split it after 1 to 29", edits.split, a_cut(), CUT, 1, 30)
    refused("split it after 1 to 29", edits.split, a_cut(), CUT, 1, 0)


def test_join_says_what_keeps_two_shots_apart() -> None:
    refused("two takes, T1 and T2", edits.join, a_cut(), CUT, 1)
    refused("do not show the same", edits.join, a_cut(), CUT, 2)
    refused("the last of cut v1", edits.join, a_cut(), CUT, 6)
    halves = edits.split(a_cut(), CUT, 4, 20)
    refused("begins 2 tape frames after", edits.join, edits.slip(halves, CUT, 5, 2), CUT, 4)
    refused("speed 1.000, the other at 0.500", edits.join, retimes.retime_to_speed(halves, CUT, 5, Fraction(1, 2)), CUT, 4)


def test_join_takes_the_transition_between_the_two_away() -> None:
    halves = transitions.add_transition(edits.split(a_cut(), CUT, 4, 20), CUT, 5, Transition(TransitionKind.WIPE, 5, 3))
    assert shot(edits.join(halves, CUT, 4), 4) == changed(shot(a_cut(), 4), reasons=())


EVERY_CHANGE_OF_SHOT_FIVE: tuple[Callable[[Sequence], Sequence], ...] = (
    lambda one: edits.remove(one, CUT, 5),
    lambda one: edits.remove(one, CUT, 5, Black()),
    lambda one: edits.trim_head(one, CUT, 5, 1),
    lambda one: edits.trim_tail(one, CUT, 5, 999_999),
    lambda one: edits.roll(one, CUT, 5, 1),
    lambda one: edits.roll(one, CUT, 6, 1),
    lambda one: edits.slip(one, CUT, 5, 1),
    lambda one: edits.slide(one, CUT, 5, 1),
    lambda one: edits.slide(one, CUT, 4, 1),
    lambda one: edits.split(one, CUT, 5, 10),
    lambda one: edits.join(one, CUT, 5),
    lambda one: edits.join(one, CUT, 4),
    lambda one: edits.move(one, CUT, 5, 1),
    lambda one: retimes.retime_to_speed(one, CUT, 5, Fraction(1)),
    lambda one: retimes.retime_to_length(one, CUT, 5, 30),
    lambda one: retimes.reverse(one, CUT, 5),
    lambda one: retimes.freeze(one, CUT, 5, 3),
    lambda one: retimes.replace_take(one, CUT, 5, "T1"),
    lambda one: transitions.add_transition(one, CUT, 5, Transition(TransitionKind.DISSOLVE, 2)),
    lambda one: transitions.remove_transition(one, CUT, 5),
    lambda one: transitions.fade_in(one, CUT, 5, 3),
    lambda one: transitions.fade_out(one, CUT, 5, 3),
    lambda one: transitions.lead_sound(one, CUT, 5, -3),
    # Its transition would go, for another shot would come before it.
    lambda one: edits.insert(one, CUT, 5, Black(), 3),
    lambda one: edits.remove(one, CUT, 4),
    lambda one: edits.move(one, CUT, 4, 1),
)


@pytest.mark.parametrize("edit", EVERY_CHANGE_OF_SHOT_FIVE)
def test_a_locked_shot_refuses_every_edit_that_would_change_it(edit: Callable[[Sequence], Sequence]) -> None:
    refused("Shot 5 of cut v1 is locked", edit, edits.lock(a_cut(), CUT, 5, True))


def test_beside_a_locked_shot_edits_go_on_and_unlocking_lets_it_change() -> None:
    one = edits.lock(a_cut(), CUT, 5, True)
    assert shot(edits.trim_tail(one, CUT, 4, -3), 5) == shot(one, 5)
    assert total(edits.trim_tail(edits.lock(one, CUT, 5, False), CUT, 5, -3)) == total(one) - 3
    refused("locked already", edits.lock, one, CUT, 5, True)
    refused("not locked", edits.lock, one, CUT, 4, False)


def test_reasons_of_the_assembly_go_with_the_shot_that_they_spoke_of() -> None:
    assert shot(edits.slip(a_cut(), CUT, 1, 2), 2).reasons == ("rated best",)
    slipped = edits.slip(a_cut(), CUT, 2, 2)
    assert shot(slipped, 2).reasons == ("By hand: begins 2 frames later on the tape.", "Before that: rated best")
    trimmed = edits.trim_tail(slipped, CUT, 2, -1)
    assert shot(trimmed, 2).reasons == (
        "By hand: 1 frame shorter.",
        "By hand: begins 2 frames later on the tape.",
        "Before that: rated best",
    )
    # A shot that was put in by hand has no other reason.
    assert shot(edits.slip(a_cut(), CUT, 1, 2), 1).reasons == ()
    for _ in range(20):
        trimmed = edits.slip(trimmed, CUT, 2, 1)
    assert len(shot(trimmed, 2).reasons) == 7


def test_a_document_that_lacked_a_handle_before_can_still_be_edited_elsewhere() -> None:
    one = a_cut()
    wrong = tuple(changed(each, picture=Footage("T1", 193)) if each.ident == "s4" else each for each in shots(one))
    one = changed(one, cuts=(changed(one.cuts[0], shots=wrong),))
    assert faults_in(one) == ()
    assert total(edits.trim_tail(one, CUT, 1, -1)) == total(one) - 1
    refused("tape A1 is 2 frames too short", edits.slip, one, CUT, 4, 1)


def test_cuts_are_copied_named_and_deleted() -> None:
    one = versions.copy_cut(a_cut(), CUT, "v2")
    assert [cut.name for cut in one.cuts] == ["v1", "other", "v2"]
    assert one.cut("v2").shots == shots(one)
    one = versions.rename_cut(one, "other", "short")
    assert [cut.name for cut in versions.delete_cut(one, CUT).cuts] == ["short", "v2"]
    refused("a cut named 'v2' already", versions.copy_cut, one, CUT, "v2")
    refused("a cut named 'v1' already", versions.rename_cut, one, "v2", CUT)
    refused("needs a name", versions.rename_cut, one, "v2", " ")
    refused("no cut 'v9'", versions.delete_cut, one, "v9")
