"""Where notes are in a later version: against a full search after random edits, and case by case."""

from __future__ import annotations

from fractions import Fraction
from itertools import zip_longest
from random import Random

import fights
import pytest
from cut.small_cut import CUT, a_cut, random_edit
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from random_cuts import TIMEBASES, cuts
from random_cuts import sequence as random_sequence
from review.making_notes import note_at, on_shot

from previs.clock import Span, frame_played
from previs.cut import edits, retimes
from previs.cut.changes import same_shots
from previs.cut.placing import place
from previs.cut.versions import copy_cut
from previs.document.model import Card, Cut, Footage, Sequence, Shot
from previs.document.notes import Note
from previs.faults import UseFault
from previs.review.whereabouts import Found, How, find, find_all


def shows(value: Sequence, cut: Cut) -> list[tuple[int, int, str, int, Fraction]]:
    """Of every frame on screen, also under a transition: shot number, record frame, reel, tape frame and speed."""
    found, at = [], 0
    for number, (shot, following) in enumerate(zip_longest(cut.shots, cut.shots[1:]), start=1):
        under = following.transition.frames if following and following.transition else 0
        if isinstance(picture := shot.picture, Footage):
            reel = value.take(picture.take).reel
            for k in range(shot.frames + under):
                found.append((number, at + k, reel, frame_played(picture.first_frame, picture.speed, k), picture.speed))
        at += shot.frames
    return found


def edited(luck: Random, value: Sequence, count: int) -> Sequence:
    for _ in range(count):
        try:
            value = random_edit(luck, value)[1](value)
        except UseFault:
            continue
    return value


def check(value: Sequence, cut: Cut, note: Note, found: Found | None, own: int | None) -> None:
    """The answer against a full search: the frame itself, else one that is stepped over, the hit, the shot, or nothing."""
    every = shows(value, cut)
    exact = {(number, frame) for number, frame, reel, shown, _ in every if (reel, shown) == (note.reel, note.tape_frame)}
    near = {
        (number, frame)
        for number, frame, reel, shown, speed in every
        if note.tape_frame is not None and reel == note.reel and note.tape_frame <= shown < note.tape_frame + abs(speed).__ceil__()
    }
    if exact or near:
        assert found is not None
        assert found.how is (How.SAME_FRAMES if found.shot == own else How.OTHER_SHOT)
        place = (found.shot, found.record.start)
        of_own = ({one for one in exact if one[0] == own} or {one for one in near if one[0] == own}) or exact or near
        assert place in of_own
        return
    if found is None:
        assert own is None
        assert note.move is None
        return
    assert found.how in (How.REST, How.SAME_HIT, How.WITHOUT, How.SAME_SHOT) or note.tape_frame is None
    if found.how is How.REST:
        at = {frame for number, frame, reel, *_ in every if number == own}
        assert set(range(found.record.start, found.record.end_exclusive)) <= at
    if found.how in (How.WITHOUT, How.SAME_SHOT):
        assert found.shot == own


@given(st.randoms(use_true_random=False), st.sampled_from(["24", "29.97"]), st.integers(1, 12))
@settings(deadline=None, max_examples=50)
def test_after_any_edits_of_the_very_cut_a_note_is_where_a_full_search_finds_it(luck: Random, rate: str, count: int) -> None:
    before = a_cut(rate)
    notes = [note_at(before, before.cut(CUT), frame) for frame in range(0, before.cut(CUT).frames, 3)]
    after = edited(luck, before, count)
    cut = after.cut(CUT)
    numbers = {shot.ident: number for number, shot in enumerate(cut.shots, start=1)}
    for note, found in zip(notes, find_all(after, cut, notes), strict=True):
        check(after, cut, note, found, numbers.get(note.shot))


@given(st.randoms(use_true_random=False), st.integers(1, 12))
@settings(deadline=None, max_examples=50)
def test_after_any_edits_of_a_copy_too(luck: Random, count: int) -> None:
    before = copy_cut(a_cut(), CUT, "shown")
    shown = before.cut("shown")
    notes = [note_at(before, shown, frame) for frame in range(0, shown.frames, 3)]
    after = edited(luck, before, count)
    cut = after.cut(CUT)
    same = {was: now for now, was in same_shots(after, shown, cut).items()}
    old = {shot.ident: number for number, shot in enumerate(shown.shots, start=1)}
    for note, found in zip(notes, find_all(after, cut, notes), strict=True):
        check(after, cut, note, found, same.get(old[note.shot]))


@given(st.data())
@settings(deadline=None, max_examples=40)
def test_in_the_cut_as_it_was_shown_every_note_is_exactly_where_it_was_made(data: st.DataObject) -> None:
    """At every speed, on stills and cards, and on the shot that goes out under a transition; in a copy of the cut as well."""
    value = random_sequence(*data.draw(st.sampled_from(TIMEBASES)))
    cut = data.draw(cuts(value))
    value = copy_cut(replace(value, cuts=(cut,)), "v1", "v2")
    on = [(one, frame) for one in place(value, cut) for frame in range(one.on_screen.start, one.on_screen.end_exclusive, 5)]
    notes = [on_shot(cut, one, frame, frames=7) for one, frame in on]
    for (one, frame), found in zip(on, find_all(value, cut, notes), strict=True):
        assert found == Found(Span(frame, min(frame + 7, cut.frames)), one.number, How.SAME_FRAMES)
    # Of two shots that show the same, a copy may be matched either way round.
    for (one, frame), found in zip(on, find_all(value, value.cut("v2"), notes), strict=True):
        assert found is not None
        assert found.shot != one.number or found.record == Span(frame, min(frame + 7, cut.frames))


@pytest.fixture
def value() -> Sequence:
    """Moves 1 to 4 land on frames 24, 84, 144 and 204 of take T1 and elsewhere on T2; the cut plays frames around each."""
    return a_cut()


def made(value: Sequence, frame: int, **more: object) -> Note:
    return note_at(value, value.cut(CUT), frame, **more)


def where(value: Sequence, note: Note) -> Found | None:
    return find(value, value.cut(CUT), note)


def test_a_note_on_the_whole_cut_is_about_all_of_it(value: Sequence) -> None:
    whole = replace(made(value, 0), shot="", reel="", tape_frame=None)
    assert where(value, whole) == Found(Span(0, value.cut(CUT).frames), None, How.WHOLE)
    empty = replace(value, cuts=(Cut(CUT, (), 200),))
    assert where(empty, whole) is None


def test_a_note_goes_along_when_what_is_before_it_gets_shorter(value: Sequence) -> None:
    note = made(value, 100, frames=4)
    shorter = edits.trim_tail(value, CUT, 1, -10)
    assert where(shorter, note) == Found(Span(90, 94), 4, How.SAME_FRAMES)


def test_a_note_on_a_card_keeps_its_place_in_the_card(value: Sequence) -> None:
    note, shown = made(value, 60), copy_cut(value, CUT, "shown")
    assert note.tape_frame is None
    shorter = edits.trim_tail(shown, CUT, 1, -10)
    assert where(shorter, replace(note, cut="shown")) == Found(Span(50, 51), 3, How.SAME_FRAMES)
    # The card as it was is nowhere any more, so all of it is meant.
    assert where(replace(shorter, cuts=shorter.cuts[:1]), replace(note, cut="shown")) == Found(Span(44, 64), 3, How.SAME_FRAMES)


def test_of_a_range_whose_head_is_cut_away_the_rest_is_found(value: Sequence) -> None:
    # Shot 4 begins on record frame 74; the note is on its frames 2 to 13, and its first 8 are trimmed away.
    note = made(value, 76, frames=12)
    assert where(edits.trim_head(value, CUT, 4, -8), note) == Found(Span(74, 80), 4, How.REST)


def test_when_its_shot_is_removed_a_note_is_homeless(value: Sequence) -> None:
    note = made(value, 100)
    assert where(edits.remove(value, CUT, 4), note) is None


def test_a_note_about_a_hit_goes_to_the_hit_on_whatever_take(value: Sequence) -> None:
    note = made(value, 100, move=3)
    other = edits.remove(edits.insert(value, CUT, 7, Footage("T2", 110), 24), CUT, 4)
    # Move 3 lands on T2 at 5 s, its frame 120: ten frames into the new shot, which is the last.
    assert where(other, note) == Found(Span(139, 140), 6, How.SAME_HIT)


def test_when_another_take_stands_for_its_shot_the_shot_is_meant(value: Sequence) -> None:
    note = made(value, 100)
    other = retimes.replace_take(value, CUT, 4, "T2")
    found = where(other, note)
    assert found is not None
    assert (found.shot, found.how) == (4, How.SAME_SHOT)
    assert found.record == place(other, other.cut(CUT))[3].record


def test_when_its_frames_are_trimmed_away_the_shot_is_meant_and_it_is_said(value: Sequence) -> None:
    one = place(value, value.cut(CUT))[0]
    note = made(value, one.record.end_exclusive - 1)
    shorter = edits.trim_tail(value, CUT, 1, -5)
    found = where(shorter, note)
    assert found is not None
    assert (found.shot, found.how) == (1, How.WITHOUT)
    assert found.record == place(shorter, shorter.cut(CUT))[0].record


def test_a_frame_that_a_fast_shot_steps_over_is_the_next_one_that_it_shows() -> None:
    value = fights.sequence(
        phrases=(fights.phrase(1, range(1, 3)),),
        tapes=(fights.tape(),),
        takes=(fights.take("T1", {1: 1}),),
        cuts=(Cut(CUT, (Shot("s1", 20, Footage("T1", 100)),), 200),),
    )
    note = made(value, 7)
    fast = replace(value, cuts=(Cut(CUT, (Shot("s1", 10, Footage("T1", 100, Fraction(3)), None),), 200),))
    # It shows 100, 103, 106, 109: frame 107 is stepped over.
    assert where(fast, note) == Found(Span(3, 4), 1, How.SAME_FRAMES)
    # The note's own shot goes before another one, even where that one shows the very frame.
    both = replace(fast, cuts=(replace(fast.cut(), shots=(*fast.cut().shots, Shot("s2", 20, Footage("T1", 100)))),))
    assert where(both, note) == Found(Span(3, 4), 1, How.SAME_FRAMES)


def test_an_ident_counted_anew_is_not_taken_for_the_note_s_shot(value: Sequence) -> None:
    """A cut assembled anew begins again at s1; its shots are not those of the cut that the note was made on."""
    note = made(value, 100)
    anew = Cut("v2", (Shot("s4", 30, Footage("T1", 20)), Shot("s1", 10, Card("to come"))), 200)
    found = find(replace(value, cuts=(*value.cuts, anew)), anew, note)
    assert found is None
    # The same when the note's cut has been deleted, for a tape that the shot does not play.
    other = replace(anew, shots=(Shot("s4", 20, Footage("T2", 20)),))
    assert find(replace(value, cuts=(other,)), other, note) is None
