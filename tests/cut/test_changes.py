"""The change list: each kind on a hand-made case, and any two cuts, with the steps done by hand in running order."""

from __future__ import annotations

import re
from fractions import Fraction

from fights import phrase, sequence, take, tape
from hypothesis import given, settings
from hypothesis import strategies as st

from previs.cut import edits, retimes, transitions
from previs.cut.changes import Change, change_rows, change_text, changes
from previs.cut.differences import ChangeKind
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind


def fight(*shots: Shot) -> Sequence:
    return sequence(
        phrases=(phrase(1, range(1, 5)),),
        tapes=(tape("A1", start_frame=86400), tape("B1")),
        takes=(take("T1", {1: 2, 2: 4, 3: 6, 4: 8}), take("T2", {1: 3, 2: 5, 3: 7, 4: 9}, reel="B1")),
        cuts=(Cut("v1", shots, 100), Cut("v2", shots, 100)),
    )


def four() -> Sequence:
    return fight(
        Shot("s1", 40, Footage("T1", 48)),
        Shot("s2", 30, Footage("T2", 100)),
        Shot("s3", 20, Card("the fall", 3)),
        Shot("s4", 50, Footage("T1", 300)),
    )


def told(one: Sequence) -> tuple[Change, ...]:
    return changes(one, one.cut("v1"), one.cut("v2"))


def only(one: Sequence) -> Change:
    (change,) = told(one)
    return change


def test_equal_cuts_have_no_changes() -> None:
    assert told(four()) == ()


def test_added() -> None:
    change = only(edits.insert(four(), "v2", 3, Footage("T1", 200), 24))
    assert (change.kind, change.at_frame, change.before) == (ChangeKind.ADDED, 70, None)
    # Tape A1 begins at 01:00:00:00; its grid frame 200 is 8 s and 8 frames in.
    assert change.sentence == "Put in 24 frames of take T1 (tape A1, in 01:00:08:08, out 01:00:09:08), as shot 3."


def test_removed() -> None:
    change = only(edits.remove(four(), "v2", 2))
    assert (change.kind, change.at_frame, change.after) == (ChangeKind.REMOVED, 40, None)
    assert change.sentence == "Take out shot 2 of v1, 30 frames of take T2 (tape B1, in 00:00:04:04, out 00:00:05:10), and close up."


def test_the_last_shot_removed_is_taken_out_at_the_end() -> None:
    assert only(edits.remove(four(), "v2", 4)).at_frame == 90


def test_trimmed_at_the_tail_and_at_the_head() -> None:
    change = only(edits.trim_tail(four(), "v2", 1, 6))
    assert (change.kind, change.at_frame) == (ChangeKind.TRIMMED, 0)
    assert change.sentence.startswith("Shot 1: make the tail 6 frames longer; it is now 46 frames of take T1")
    assert only(edits.trim_head(four(), "v2", 1, -1)).sentence.startswith("Shot 1: make the head 1 frame shorter;")
    both = edits.trim_tail(edits.trim_head(four(), "v2", 2, 5), "v2", 2, -2)
    assert "make the head 5 frames longer and the tail 2 frames shorter;" in only(both).sentence
    assert only(edits.trim_tail(four(), "v2", 3, 4)).sentence.startswith("Shot 3: make it 4 frames longer;")


def test_a_trim_is_told_in_frames_on_screen_also_when_the_shot_plays_fast() -> None:
    one = fight(Shot("s1", 20, Footage("T1", 100, Fraction(2))))
    assert "the head 5 frames longer;" in only(edits.trim_head(one, "v2", 1, 5)).sentence


def test_a_roll_is_a_trim_of_both_at_the_cut_point() -> None:
    first, second = told(edits.roll(four(), "v2", 2, 3))
    assert "tail 3 frames longer" in first.sentence and "head 3 frames shorter" in second.sentence
    assert (first.at_frame, second.at_frame) == (0, 43)


def test_slipped() -> None:
    change = only(edits.slip(four(), "v2", 4, -7))
    assert change.kind is ChangeKind.SLIPPED
    assert "7 frames earlier on the tape" in change.sentence


def test_a_slip_of_less_than_half_a_frame_on_screen_is_told_too() -> None:
    one = fight(Shot("s1", 20, Footage("T1", 100, Fraction(3))))
    assert only(edits.slip(one, "v2", 1, 1)).kind is ChangeKind.SLIPPED


def test_a_still_of_another_frame_and_length_is_slipped_and_trimmed() -> None:
    one = fight(Shot("s1", 20, Footage("T1", 100, Fraction(0))))
    one = edits.trim_tail(edits.slip(one, "v2", 1, 3), "v2", 1, -4)
    kinds = [change.kind for change in told(one)]
    assert kinds == [ChangeKind.SLIPPED, ChangeKind.TRIMMED]


def test_moved_earlier_and_later() -> None:
    change = only(edits.move(four(), "v2", 4, 1))
    assert (change.kind, change.at_frame) == (ChangeKind.MOVED, 0)
    assert change.sentence.startswith("Take shot 4 of v1, 50 frames of take T1") and change.sentence.endswith("put it in here, as shot 1.")
    change = only(edits.move(four(), "v2", 1, 3))
    assert (change.kind, change.at_frame) == (ChangeKind.MOVED, 0)
    assert change.sentence.endswith("out of here and put it before shot 4 of v1.")


def test_pushed_along_is_not_moved() -> None:
    assert [change.kind for change in told(edits.trim_tail(four(), "v2", 1, 10))] == [ChangeKind.TRIMMED]


def test_replaced() -> None:
    change = only(edits.remove(four(), "v2", 2, Card("not this one")))
    assert change.kind is ChangeKind.REPLACED
    assert change.sentence.endswith("by 30 frames of the card 'not this one'.")
    assert only(edits.remove(four(), "v2", 2, Black())).sentence.endswith("by 30 frames of black.")


def test_replaced_by_another_take() -> None:
    change = only(retimes.replace_take(four(), "v2", 1, "T2"))
    assert change.kind is ChangeKind.REPLACED
    assert "of take T1" in change.sentence and "by 40 frames of take T2" in change.sentence


def test_retimed() -> None:
    change = only(retimes.retime_to_speed(four(), "v2", 1, Fraction(1, 2)))
    assert change.kind is ChangeKind.RETIMED
    assert change.sentence.startswith("Shot 1: change its speed from 1.000 to 0.500; it is now 80 frames of take T1")


def test_transition_changed() -> None:
    dissolve = transitions.add_transition(four(), "v2", 2, Transition(TransitionKind.DISSOLVE, 12))
    assert only(dissolve).sentence == "Shot 2: change its straight cut to a dissolve of 12 frames."
    wiped = transitions.add_transition(dissolve, "v1", 2, Transition(TransitionKind.WIPE, 1, 21))
    assert only(wiped).sentence == "Shot 2: change its wipe of 1 frame, pattern 21 to a dissolve of 12 frames."
    assert only(wiped).kind is ChangeKind.TRANSITION


def test_a_trim_under_a_new_speed_is_told_beside_it() -> None:
    one = fight(Shot("s1", 203, Footage("T1", 100)))
    one = retimes.retime_to_speed(one, "v2", 1, Fraction(4, 5))
    one = edits.trim_tail(one, "v2", 1, -40)
    first, second = told(one)
    assert first.sentence == "Shot 1: change its speed from 1.000 to 0.800, which alone makes it 254 frames long."
    assert second.sentence.startswith("Shot 1: make the tail 40 frames shorter; it is now 214 frames of take T1")
    both = told(edits.trim_head(one, "v2", 1, -10))
    assert "make the head 10 frames shorter and the tail 40 frames shorter" in both[1].sentence


def test_a_shot_turned_round_is_at_another_speed_and_no_more() -> None:
    change = only(retimes.reverse(four(), "v2", 1))
    assert change.sentence.startswith("Shot 1: change its speed from 1.000 to 1.000 backwards; it is now 40 frames of take T1")


@given(
    st.integers(1, 60), st.sampled_from([Fraction(1), Fraction(3, 2), Fraction(-4, 5)]), st.integers(-30, 30), st.integers(1, 60),
    st.sampled_from([Fraction(1), Fraction(4, 5), Fraction(29, 20), Fraction(-2)]),
)  # fmt: skip
@settings(deadline=None)
def test_a_shots_new_length_follows_from_the_steps_alone(frames: int, speed: Fraction, later: int, length: int, new: Fraction) -> None:
    one = fight(Shot("s1", frames, Footage("T1", 300, speed)))
    cut = Cut("v2", (Shot("s1", length, Footage("T1", 300 + later, new)),), 100)
    one = sequence(**{name: getattr(one, name) for name in one.__struct_fields__} | {"cuts": (one.cuts[0], cut)})
    if any(change.kind in (ChangeKind.REMOVED, ChangeKind.REPLACED) for change in told(one)):
        return
    said = " ".join(change.sentence.partition("; it is now")[0] for change in told(one))
    at = int(alone[1]) if (alone := re.search(r"alone makes it (\d+) frame", said)) else None
    if at is None and "speed" in said:
        # No trims are told, so the length is the one that the speed gives, its last part of a frame left out or played.
        stretch = frames * abs(speed) / abs(new)
        assert int(stretch) <= length <= int((frames - 1) * abs(speed) + 1) / abs(new) + 1 or length == 1
        return
    trims = re.findall(r"the (?:head|tail) (\d+) frames? (longer|shorter)", said)
    assert (frames if at is None else at) + sum(int(by) * (1 if way == "longer" else -1) for by, way in trims) == length


def test_fades_are_called_so() -> None:
    change = only(transitions.fade_in(four(), "v2", 1, 12))
    assert change.sentence == "Shot 1: change its straight cut to a fade in from black over 12 frames."
    trimmed, black = told(transitions.fade_out(four(), "v2", 4, 24))
    assert "the tail 24 frames shorter" in trimmed.sentence
    assert black.sentence == "Put in 24 frames of black, as shot 5, with a fade out to black over 24 frames."


def test_a_lock_is_told() -> None:
    change = only(edits.lock(four(), "v2", 2, True))
    assert (change.kind, change.sentence) == (ChangeKind.LOCK, "Shot 2: lock it.")


def test_two_shots_that_changed_places_and_a_split_are_told_as_a_returned_list_is() -> None:
    # The same cases are in tests/exchange/test_comparing.py, with the same words.
    (moved,) = told(edits.move(four(), "v2", 1, 2))
    assert moved.before is not None and moved.before.number == 2
    kinds = [(change.kind, change.after.number if change.after else None) for change in told(edits.split(four(), "v2", 4, 10))]
    assert kinds == [(ChangeKind.ADDED, 4), (ChangeKind.TRIMMED, 5)]


def test_the_page_has_a_head_and_a_foot() -> None:
    one = edits.remove(four(), "v2", 2)
    lines = change_text(one, one.cut("v1"), one.cut("v2"), told(one)).splitlines()
    assert lines[:3] == [
        "The Salt Stair: from cut v1 to cut v2, 1 step.",
        "v1: 4 shots, 00:00:05:20 (140 frames).",
        "v2: 3 shots, 00:00:04:14 (110 frames).",
    ]
    assert "out the frame after its last" in lines[4]
    assert lines[6].startswith("1. At 01:00:01:16: Take out shot 2 of v1")
    assert lines[-1] == "Then v2 lasts 00:00:04:14 (110 frames): 30 frames shorter than v1."
    assert change_text(four(), four().cut("v1"), four().cut("v2"), ()) == "v1 and v2 show and sound the same.\n"


def test_sound_lead_changed() -> None:
    change = only(transitions.lead_sound(four(), "v2", 2, 6))
    assert change.sentence == "Shot 2: its sound began with its picture; now let it begin 6 frames before its picture."


def test_cuts_assembled_anew_are_matched_by_what_they_show_and_not_by_idents_that_begin_again() -> None:
    one = four()
    shots = one.cut("v1").shots
    renumbered = [Shot(f"s{number}", shot.frames, shot.picture) for number, shot in enumerate(shots[1:], start=1)]
    other = sequence(
        **{name: getattr(one, name) for name in one.__struct_fields__} | {"cuts": (one.cuts[0], Cut("v2", tuple(renumbered), 9))}
    )
    assert only(other).kind is ChangeKind.REMOVED


def test_rows_say_where_each_shot_was_and_is() -> None:
    one = edits.remove(four(), "v2", 2)
    one = edits.slip(one, "v2", 3, 2)
    removed, slipped = change_rows(one, told(one))
    assert (removed["step"], removed["at"], removed["in before"], removed["out before"], removed["in after"]) == (
        1,
        "01:00:01:16",
        "01:00:01:16",
        "01:00:02:22",
        "",
    )
    assert (slipped["shot before"], slipped["shot after"], slipped["in before"], slipped["in after"]) == (
        4,
        3,
        "01:00:03:18",
        "01:00:02:12",
    )


pictures = st.one_of(
    st.just(Black()),
    st.builds(Card, st.sampled_from(["a", "b"])),
    st.builds(Footage, st.sampled_from(["T1", "T2"]), st.integers(200, 500), st.sampled_from([Fraction(1), Fraction(-2), Fraction(0)])),
)
leads = st.sampled_from([None, Transition(TransitionKind.DISSOLVE, 2), Transition(TransitionKind.WIPE, 1, 3)])


@st.composite
def shot_lists(draw: st.DrawFn) -> tuple[Shot, ...]:
    idents = draw(st.lists(st.integers(1, 8), max_size=7, unique=True))
    return tuple(Shot(f"s{ident}", draw(st.integers(2, 40)), draw(pictures), draw(leads)) for ident in idents)


def done_by_hand(one: Sequence, steps: tuple[Change, ...]) -> list[Shot]:
    """The old cut, with every step done at the time code that it names, in the order of the list, by nothing but the step."""
    shots = [(number, shot) for number, shot in enumerate(one.cut("v1").shots, start=1)]

    def index_at(frame: int) -> int:
        at = 0
        for index, (_, shot) in enumerate(shots):
            if at == frame:
                return index
            at += shot.frames
        assert at == frame, "the step's time code is no cut point"
        return len(shots)

    for step in steps:
        here = index_at(step.at_frame)
        if step.kind is ChangeKind.ADDED:
            assert step.after is not None
            shots.insert(here, (0, step.after.shot))
        elif step.kind is ChangeKind.REMOVED:
            assert step.before is not None
            assert shots.pop(here)[0] == step.before.number
        elif step.kind is ChangeKind.MOVED:
            assert step.before is not None
            whence = next(index for index, (number, _) in enumerate(shots) if number == step.before.number)
            moved = shots.pop(whence)
            if "out of here" in step.sentence:
                assert whence == here
                goal = step.sentence.split("put it ")[1]
                numbers = [number for number, _ in shots]
                shots.insert(len(shots) if goal == "at the end." else numbers.index(int(goal.split()[2])), moved)
            else:
                assert whence >= here
                shots.insert(here, moved)
        else:
            assert step.before is not None and step.after is not None
            number, shot = shots[here]
            assert number == step.before.number
            was, now = shot, step.after.shot
            transition = now.transition if step.kind is ChangeKind.TRANSITION else was.transition
            picture, frames = (was.picture, was.frames) if step.kind is ChangeKind.TRANSITION else (now.picture, now.frames)
            shots[here] = number, Shot(now.ident, frames, picture, transition)
    return [shot for _, shot in shots]


@given(shot_lists(), shot_lists())
@settings(deadline=None, max_examples=200)
def test_the_steps_done_by_hand_in_running_order_turn_any_cut_into_any_other(before: tuple[Shot, ...], after: tuple[Shot, ...]) -> None:
    one = fight(*before)
    one = sequence(**{name: getattr(one, name) for name in one.__struct_fields__} | {"cuts": (one.cuts[0], Cut("v2", after, 100))})
    made = done_by_hand(one, told(one))
    assert [(shot.frames, shot.picture, shot.transition) for shot in made] == [
        (shot.frames, shot.picture, shot.transition) for shot in after
    ]


@given(st.permutations(range(7)), st.sets(st.integers(0, 6), max_size=2))
@settings(deadline=None, max_examples=200)
def test_shots_put_in_any_other_order_are_moved_there_step_by_step(order: list[int], left_out: set[int]) -> None:
    before = tuple(Shot(f"s{number}", 10 + number, Footage("T1", 40 * number)) for number in range(7))
    after = tuple(before[number] for number in order if number not in left_out)
    one = fight(*before)
    one = sequence(**{name: getattr(one, name) for name in one.__struct_fields__} | {"cuts": (one.cuts[0], Cut("v2", after, 100))})
    assert [shot.ident for shot in done_by_hand(one, told(one))] == [shot.ident for shot in after]


@given(shot_lists())
@settings(deadline=None, max_examples=50)
def test_as_few_shots_as_can_be_are_called_moved(before: tuple[Shot, ...]) -> None:
    if len(before) < 2:
        return
    one = edits.move(fight(*before), "v2", 1, len(before))
    assert sum(change.kind is ChangeKind.MOVED for change in told(one)) <= 1
