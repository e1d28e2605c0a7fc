from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from log_hand import HELD, KEY, HandClock, clear, doubt, heard, hits, press, take
from pytestqt.qtbot import QtBot

from previs.analysis.onsets import Impulse
from previs.clock import first_grid_frame
from previs.desk.log import hearing
from previs.desk.log.place import LogPlace
from previs.desk.open_file import Tone
from previs.document import mark_edits
from previs.document.model import SURE, Kind, Sequence, Shows, Size
from previs.document.store import open_document

# Tapping


def test_five_moves_are_tapped_with_five_keys_while_the_take_plays_at_half_speed(place: LogPlace, qtbot: QtBot) -> None:
    clear(place)
    clock = HandClock()
    place.player._clock = clock
    press(place, KEY.Key_S)
    press(place, KEY.Key_H)
    first = first_grid_frame(take(place).start, place.hand.fps)
    assert place.player.playing and place.player.speed == Fraction(1, 2) and place.player.frame == first
    frames = [36, 60, 84, 132, 156]
    for frame in frames:
        clock.now = Fraction(frame - first) / place.hand.fps * 2
        qtbot.waitUntil(lambda frame=frame: place.player.frame == frame)  # type: ignore[misc]
        press(place, KEY.Key_B)
    assert hits(place) == [(move, Fraction(frame, 24)) for move, frame in enumerate(frames, start=1)]
    assert all(hit.confidence == SURE for hit in take(place).hits)
    assert open_document(place.file.path).sequence.take("A1").hits == take(place).hits
    assert place.hand.next_move is None
    press(place, KEY.Key_B)
    assert "Every move of take A1 has been tapped" in place.hand.told


def test_every_tap_is_one_step_of_undo_and_its_move_is_the_next_again(place: LogPlace) -> None:
    clear(place)
    for frame in (36, 60, 84):
        place.player.seek(frame)
        press(place, KEY.Key_B)
    assert place.file.steps[0] == "hit of move 3 on A1"
    place.file.undo()
    assert [move for move, _ in hits(place)] == [1, 2]
    assert place.hand.next_move and place.hand.next_move.number == 3
    press(place, KEY.Key_Backspace)
    assert [move for move, _ in hits(place)] == [1]
    assert place.hand.next_move and place.hand.next_move.number == 2
    place.player.seek(70)
    press(place, KEY.Key_B)
    assert [move for move, _ in hits(place)] == [1, 2] and place.hand.next_move.number == 3


def test_a_tap_goes_to_what_is_heard_within_six_frames_and_says_so(place: LogPlace) -> None:
    heard(place, "FILM", Impulse(2.04, 9.0, 0.6, 0.05, 0.95))
    clear(place)
    place.player.seek(52)
    press(place, KEY.Key_B)
    assert hits(place) == [(1, Fraction(204, 100))]
    assert place.hand.told == "Move 1: snapped 3 frames back to a strike."
    place.player.seek(70)
    press(place, KEY.Key_B)
    assert hits(place)[1] == (2, Fraction(70, 24)) and "nothing strikes nearby" in place.hand.told


def test_without_snapping_a_tap_stays_on_its_frame(place: LogPlace) -> None:
    heard(place, "FILM", Impulse(2.04, 9.0, 0.6, 0.05, 0.95))
    clear(place)
    press(place, KEY.Key_S)
    place.player.seek(52)
    press(place, KEY.Key_B)
    assert hits(place) == [(1, Fraction(52, 24))] and "off" in place.next_move._snap.text()


def test_a_move_that_has_a_hit_is_moved_by_another_tap(place: LogPlace) -> None:
    press(place, KEY.Key_S)
    for _ in range(9):
        press(place, KEY.Key_PageUp)
    press(place, KEY.Key_PageDown)
    assert place.hand.next_move and place.hand.next_move.number == 2
    place.player.seek(63)
    press(place, KEY.Key_B)
    assert dict(hits(place))[2] == Fraction(63, 24) and len(hits(place)) == 5
    assert place.hand.next_move.number == 3


def test_a_hit_that_a_person_made_stands_in_the_way_and_a_carried_one_goes(place: LogPlace) -> None:
    place.hand.want_move("A1", 2)
    press(place, KEY.Key_S)
    place.player.seek(100)  # behind move 3
    before = hits(place)
    press(place, KEY.Key_B)
    assert hits(place) == before and place.file.log[-1].tone is Tone.FAULT and "move 3 lands at" in place.file.log[-1].sentence
    doubt(place, A1={3: 60})
    press(place, KEY.Key_B)
    assert dict(hits(place))[2] == Fraction(100, 24) and 3 not in dict(hits(place))


def test_between_takes_nothing_is_tapped(place: LogPlace) -> None:
    place.player.seek(2)
    before = place.file.sequence
    for key in (KEY.Key_B, KEY.Key_3, KEY.Key_F, KEY.Key_M, KEY.Key_Y):
        press(place, key)
    assert place.file.sequence is before and place.hand.told


# Takes and treatments


def test_a_take_is_begun_and_ended_by_one_key_and_is_like_the_last_one(place: LogPlace) -> None:
    place.player.seek(192)
    press(place, KEY.Key_T)
    place.player.seek(198)
    press(place, KEY.Key_T)
    made = place.hand.take
    assert made is not None and made.name == "FILM-1" and made in open_document(place.file.path).sequence.takes
    assert (made.start, made.end_exclusive) == (Fraction(192, 24), Fraction(199, 24))
    assert (made.first_phrase, made.last_phrase) == (1, 2) and made.framings[0].size is Size.FULL
    press(place, KEY.Key_Delete, HELD.ControlModifier)
    assert [one.name for one in place.file.sequence.takes] == ["A1", "B1", "C1"]


def test_escape_forgets_what_was_begun(place: LogPlace) -> None:
    before = place.file.sequence
    for key in (KEY.Key_T, KEY.Key_D):
        press(place, key)
    press(place, KEY.Key_Escape)
    assert not place.spans.begun
    place.player.seek(80)
    press(place, KEY.Key_T)
    assert place.file.sequence is before and list(place.spans.begun) == [None]


def test_the_take_that_a_cut_uses_stays(place: LogPlace) -> None:
    place.hand.choose("B1")
    press(place, KEY.Key_Delete, HELD.ControlModifier)
    assert "of cut v1 plays take B1" in place.file.log[-1].sentence and place.hand.take is not None


def test_a_treatment_is_begun_and_ended_shown_and_removed(place: LogPlace) -> None:
    before = place.file.sequence.treatments
    press(place, KEY.Key_A)
    place.player.seek(30)
    press(place, KEY.Key_D)
    button = place.framing._kinds[Kind.DIGITAL_DOUBLE]
    assert button.isChecked() and "ends here" in button.text() and "Reeve" in button.text()
    place.player.seek(20)  # the end may lie before the beginning
    press(place, KEY.Key_D)
    made = place.file.sequence.treatments[-1]
    assert (made.kind, made.role, made.start, made.end_exclusive) == (Kind.DIGITAL_DOUBLE, "Reeve", Fraction(20, 24), Fraction(31, 24))
    assert not button.isChecked() and "marked: Reeve" in button.text()
    place.player.seek(25)
    press(place, KEY.Key_Delete)
    assert place.file.sequence.treatments == before


# Framing


def test_a_size_is_one_key_and_the_row_shows_it(place: LogPlace) -> None:
    place.player.seek(40)
    press(place, KEY.Key_7)
    assert [one.size for one in take(place).framings] == [Size.CLOSE]
    sizes = place.framing._sizes
    assert [size for size, button in sizes.items() if button.isChecked()] == [Size.CLOSE]
    place.player.seek(100)
    press(place, KEY.Key_2, HELD.AltModifier)
    assert [(one.at, one.size) for one in take(place).framings] == [(take(place).start, Size.CLOSE), (Fraction(100, 24), Size.WIDE)]
    assert sizes[Size.WIDE].isChecked() and not sizes[Size.CLOSE].isChecked()
    place.player.seek(99)
    assert sizes[Size.CLOSE].isChecked() and not sizes[Size.WIDE].isChecked()
    place.player.seek(100)
    press(place, KEY.Key_Delete)
    assert [one.size for one in take(place).framings] == [Size.CLOSE]


def test_faces_go_round_with_their_key(place: LogPlace) -> None:
    place.player.seek(40)
    seen = []
    for _ in range(3):
        press(place, KEY.Key_F)
        seen.append(take(place).framing_at(Fraction(40, 24)).face_of("Odile"))
    assert seen == [Shows.PART, Shows.HIDDEN, Shows.FULL]
    press(place, KEY.Key_G)
    assert take(place).framing_at(Fraction(40, 24)).face_of("Reeve") is Shows.HIDDEN
    assert "hidden" in place.framing._faces[1].text()


# Doubt


def test_doubtful_hits_come_take_by_take_then_those_that_nobody_looked_at(place: LogPlace) -> None:
    doubt(place, A1={2: 40, 4: 90}, B1={3: 20}, C1={5: 70})
    seen = []
    for _ in range(4):
        press(place, KEY.Key_N)
        seen.append(place.doubts.at)
        assert place.player.playing and place.player.looping and place.player.speed == Fraction(1, 2)
    assert seen == [("A1", 2), ("B1", 3), ("C1", 5), ("A1", 2)]
    press(place, KEY.Key_Y)
    assert take(place).hits[1].confidence == SURE and place.doubts.at == ("B1", 3)
    press(place, KEY.Key_Y)
    press(place, KEY.Key_Y)
    assert place.doubts.at is None and not place.player.looping
    assert "Shift+N goes through the 1 " in place.hand.told
    press(place, KEY.Key_N, HELD.ShiftModifier)
    assert place.doubts.at == ("A1", 4)


def test_a_doubtful_hit_is_moved_to_the_frame_shown(place: LogPlace) -> None:
    doubt(place, A1={4: 40})
    press(place, KEY.Key_N)
    frame = first_grid_frame(dict(hits(place))[4], place.hand.fps)
    assert place.player.looping and place.player.looping.holds(frame)
    place.player.seek(frame)
    for _ in range(3):
        press(place, KEY.Key_Right)
    press(place, KEY.Key_M)
    assert dict(hits(place))[4] == Fraction(frame + 3, 24) and take(place).hits[3].confidence == SURE
    press(place, KEY.Key_N)
    assert place.hand.told == "Every hit has been looked at."


# What is offered


def test_a_proposed_take_and_its_hits_are_taken_over(place: LogPlace) -> None:
    assert place.file.edit(lambda one: replace_takes(one), "no takes of FILM")
    slate = Impulse(1.0, 30.0, 0.7, 0.03, 0.9)
    heard(place, "FILM", Impulse(3.0, 9.0, 0.6, 0.05, 0.95), Impulse(4.0, 9.0, 0.6, 0.05, 0.95), slates=(slate,))
    press(place, KEY.Key_Return)
    assert "Nothing is offered" in place.hand.told
    press(place, KEY.Key_P)
    offers = place.offers.on_tape()
    assert len(offers) == 1 and "1 take proposed" in place.hand.told
    place.player.seek(first_grid_frame(offers[0].span.start, place.hand.fps))
    press(place, KEY.Key_Return)
    made = take(place, "FILM-1")
    assert (made.start, made.end_exclusive) == (offers[0].span.start, offers[0].span.end_exclusive)
    assert place.hand.take is not None and place.hand.take.name == "FILM-1" and place.offers.on_tape() == ()
    for frame in (72, 96):
        place.player.seek(frame)
        press(place, KEY.Key_Return)
    assert hits(place, "FILM-1") == [(1, Fraction(3)), (2, Fraction(4))]


def replace_takes(sequence: Sequence) -> Sequence:
    return mark_edits.replace(sequence, cuts=(), takes=tuple(one for one in sequence.takes if one.reel != "FILM"))


def test_carrying_finds_the_other_takes_hits_and_keeps_what_was_done_meanwhile(
    place: LogPlace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    clear(place, "C1")
    blows = {"FILM": [float(at) for _, at in hits(place)], "PHONE": [], "PAL": [3.0, 4.1]}
    plain = heard(place, "FILM")
    lively = np.full((4, 2), 0.1, np.float32)  # a tape with sound
    known = {
        reel: replace(plain, waveform=lively, strikes=tuple(Impulse(at, 20.0, 0.7, 0.05, 0.95) for at in every))
        for reel, every in blows.items()
    }
    monkeypatch.setattr(hearing, "_looked_at", lambda *_given: known)
    press(place, KEY.Key_C)
    press(place, KEY.Key_8)  # meanwhile
    qtbot.waitUntil(lambda: bool(take(place, "C1").hits), timeout=20_000)
    assert [(move, float(at)) for move, at in hits(place, "C1")] == [(4, 3.0), (5, 4.1)]
    assert all(hit.confidence < SURE for hit in take(place, "C1").hits)
    assert take(place).framings[0].size is Size.EXTREME_CLOSE
    assert "2 hits carried to 1 take" in place.hand.told
    assert place.file.steps[0] == "carry hits from take to take"
