from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QAbstractButton, QApplication, QWidget
from pytestqt.qtbot import QtBot

from previs.analysis.onsets import Impulse
from previs.clock import first_grid_frame
from previs.desk.log import hearing
from previs.desk.log.place import LogPlace
from previs.desk.open_file import Spot, Tone
from previs.desk.player.clockwork import SPEEDS
from previs.desk.window import Window
from previs.document import mark_edits
from previs.document.model import SURE, Hit, Kind, Sequence, Shows, Size, Take
from previs.document.store import open_document
from previs.media.signals import Signals

KEY, HELD = Qt.Key, Qt.KeyboardModifier
NOTHING = HELD.NoModifier


class HandClock:
    """A clock that the test turns."""

    def __init__(self) -> None:
        self.now = Fraction(0)

    def __call__(self) -> Fraction:
        return self.now


@pytest.fixture
def place(window: Window, qtbot: QtBot) -> LogPlace:
    found = next(place for place in window.places if isinstance(place, LogPlace))
    window.show_place(window.places.index(found))
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.focusWidget() is found.sheet)
    qtbot.waitUntil(lambda: found.hearing.of("FILM") is not None, timeout=20_000)
    found.hand.choose("A1")
    return found


def press(place: LogPlace, key: Qt.Key, held: Qt.KeyboardModifier = NOTHING) -> None:
    target = QApplication.focusWidget()
    assert target is not None and (place is target or place.isAncestorOf(target))
    QTest.keyClick(target, key, held)


def take(place: LogPlace, name: str = "A1") -> Take:
    return place.file.sequence.take(name)


def hits(place: LogPlace, name: str = "A1") -> list[tuple[int, Fraction]]:
    return [(hit.move, hit.at) for hit in take(place, name).hits]


def heard(place: LogPlace, reel: str, *strikes: Impulse, slates: tuple[Impulse, ...] = ()) -> Signals:
    """Let the place hear these on a tape and nothing else."""
    signals = place.hearing.of(reel)
    assert signals is not None
    now = replace(signals, strikes=strikes, slates=slates, landings=(), stops=())
    place.hearing._keep(place.file.sequence.tape(reel), now)
    return now


def clear(place: LogPlace, name: str = "A1") -> None:
    assert place.file.edit(lambda one: mark_edits.change_take(one, name, hits=()), "no hits")


def doubt(place: LogPlace, **sure: dict[int, int]) -> None:
    """Give hits of takes other confidences."""

    def change(sequence: Sequence) -> Sequence:
        for name, moves in sure.items():
            doubted = tuple(Hit(hit.move, hit.at, moves.get(hit.move, SURE)) for hit in sequence.take(name).hits)
            sequence = mark_edits.change_take(sequence, name, hits=doubted)
        return sequence

    assert place.file.edit(change, "doubt")


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


# Fields


def test_typing_in_the_note_marks_nothing(place: LogPlace) -> None:
    before = place.file.sequence
    field = place.card._note
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "Best 7 of Day, Try 3 -")
    QTest.keyClick(field, KEY.Key_Backspace)
    QTest.keyClick(field, KEY.Key_Home)
    QTest.keyClick(field, KEY.Key_Delete)
    assert place.file.sequence is before and not place.spans.begun and place.player.frame == 12 and not place.player.playing
    QTest.keyClick(field, KEY.Key_Return)
    assert take(place).note == "est 7 of Day, Try 3"
    assert place.file.steps[0] == "note of A1"


def test_what_was_being_written_belongs_to_the_take_it_was_written_for(place: LogPlace) -> None:
    field = place.card._slate
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "99/9")
    QTest.keyClick(field, KEY.Key_Down, HELD.ControlModifier)
    assert place.hand.take is not None and place.hand.take.name == "B1"
    assert take(place, "A1").slate == "99/9" and take(place, "B1").slate == "1" and field.text() == "1"


@pytest.mark.parametrize(("text", "stands"), [("fast", "100%"), ("900%", "100%"), ("0.7", "70%")])
def test_a_tempo_is_written_or_told_to_be_wrong(place: LogPlace, text: str, stands: str) -> None:
    field = place.card._tempo
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, KEY.Key_Return)
    faults = [line for line in place.file.log if line.tone is Tone.FAULT]
    assert field.text() == stands and len(faults) == (stands == "100%")


def test_the_card_changes_name_rating_phrases_and_performers(place: LogPlace) -> None:
    place.hand.choose("C1")
    place.card._name.setText("  best ")
    place.card._name.finish()
    assert place.hand.take is not None and place.hand.take.name == "best"
    place.card._rating.activated.emit(2)
    assert take(place, "best").rating == 2
    place.card._first.setCurrentText("1")
    place.card._set_phrases()
    assert (take(place, "best").first_phrase, take(place, "best").last_phrase) == (1, 2)
    place.card._last.setCurrentText("1")
    place.card._set_phrases()
    assert "has a hit of move 4" in place.file.log[-1].sentence and place.card._last.currentText() == "2"
    place.card._players["Odile"].setEditText("Pim Oster")
    place.card._cast("Odile", "Pim Oster")
    assert take(place, "best").performer_of("Odile") == "Pim Oster"


def test_enter_in_a_field_ends_it_and_takes_nothing_over(place: LogPlace) -> None:
    heard(place, "FILM", Impulse(2.5, 9.0, 0.6, 0.05, 0.95))
    clear(place)
    place.player.seek(60)
    before = place.file.sequence
    for box in place.card._players.values():
        line = box.lineEdit()
        assert line is not None
        line.setFocus()
        QTest.keyClick(line, KEY.Key_Return)
    place.card._note.setFocus()
    QTest.keyClick(place.card._note, KEY.Key_Enter)
    assert place.file.sequence is before
    place.sheet.setFocus()
    press(place, KEY.Key_Return)
    assert hits(place) == [(1, Fraction(5, 2))]


def test_a_wrong_bearing_is_told_and_put_back(place: LogPlace) -> None:
    for text in ("north", "400"):
        place.framing._angle.setText(text)
        place.framing._angle.finish()
        assert place.file.log[-1].tone is Tone.FAULT and place.framing._angle.text() == "0"
    place.framing._angle.setText("-35")
    place.framing._angle.finish()
    assert take(place).framings[0].angle == -35


# The place as a whole


def test_no_key_stands_for_two_things_and_every_key_is_in_the_list(place: LogPlace) -> None:
    keys = [key.toString() for action in place.actions() for key in action.shortcuts()]
    assert sorted(set(keys)) == sorted(keys)
    assert {"B", "T", "N", "1", "8", "Alt+8", "Space"} <= set(keys)
    assert all(action.text() for action in place.actions())


def test_every_control_has_a_name_and_the_keys_reach_it(place: LogPlace) -> None:
    for one in place.findChildren(QWidget):
        if one.isVisible() and one.focusPolicy() & Qt.FocusPolicy.TabFocus:
            named = one.accessibleName() or (one.text() if isinstance(one, QAbstractButton) else "")
            assert named or (isinstance(one.parent(), QWidget) and one.parent().accessibleName()), one  # type: ignore[union-attr]


def test_a_button_with_the_focus_is_pressed_by_space_and_nothing_plays(place: LogPlace) -> None:
    button = place.framing._sizes[Size.MEDIUM]
    button.setFocus()
    QTest.keyClick(button, KEY.Key_Space)
    assert take(place).framings[0].size is Size.MEDIUM and not place.player.playing


def test_a_spot_shows_the_moves_hit_and_makes_it_the_next(place: LogPlace) -> None:
    place.file.go(Spot("log", take="B1", move=2))
    assert place.hand.reel == "PHONE" and place.hand.take is not None and place.hand.take.name == "B1"
    assert place.player.frame == first_grid_frame(take(place, "B1").hits[1].at, place.hand.fps)
    assert place.hand.next_move and place.hand.next_move.number == 2


def test_the_take_at_hand_is_the_one_that_plays(place: LogPlace) -> None:
    place.hand.look_at("PHONE", 40)
    assert place.hand.take is not None and place.hand.take.name == "B1"
    assert place.list.currentIndex().data() == "B1"
    place.hand.look_at("PAL", 0)
    assert place.hand.take_here is None and place.hand.take.name == "C1"


@pytest.mark.parametrize("snapping", [True, False])
def test_a_hit_and_an_edge_are_dragged_with_the_mouse(place: LogPlace, qtbot: QtBot, snapping: bool) -> None:
    place.hand.snap = snapping
    heard(place, "FILM", Impulse(2.7, 9.0, 0.6, 0.05, 0.95))
    sheet = place.sheet
    where = sheet._rows()

    def drag(start: float, end: float, y: float) -> None:
        QTest.mousePress(sheet, Qt.MouseButton.LeftButton, pos=QPoint(round(sheet._scale.x(start)), round(y)))
        for share in (0.5, 1.0):
            QTest.mouseMove(sheet, QPoint(round(sheet._scale.x(start + (end - start) * share)), round(y)))
        QTest.mouseRelease(sheet, Qt.MouseButton.LeftButton, pos=QPoint(round(sheet._scale.x(end)), round(y)))

    drag(60.5, 63.5, where.hits.center().y())
    assert dict(hits(place))[2] == (Fraction(27, 10) if snapping else Fraction(63, 24))
    drag(12, 20.5, where.strip.center().y())
    assert take(place).start == Fraction(20, 24) == take(place).framings[0].at
    drag(192, 181.5, where.strip.center().y())
    assert take(place).end_exclusive == Fraction(181, 24)
    before = place.file.sequence
    drag(181, 100.5, where.strip.center().y())
    assert place.file.sequence is before and "no longer hold its hit" in place.file.log[-1].sentence


def test_a_click_goes_to_the_frame_and_the_keys_go_from_mark_to_mark(place: LogPlace) -> None:
    sheet = place.sheet
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=QPoint(round(sheet._scale.x(50.5)), round(sheet._rows().sound.center().y())))
    assert place.player.frame == 50
    heard(place, "FILM")
    frames = []
    for _ in range(3):
        press(place, KEY.Key_Right, HELD.ControlModifier)
        frames.append(place.player.frame)
    assert frames == [60, 84, 132]
    press(place, KEY.Key_Left, HELD.ControlModifier)
    assert place.player.frame == 84


def test_the_sheet_says_when_a_tape_cannot_be_listened_to(place: LogPlace, qtbot: QtBot) -> None:
    from previs.document.paths import locate

    for folder in ("copies", "signals"):
        for kept in (place.file.cache / folder).glob("*"):
            kept.unlink()
    locate(place.file.path, place.file.sequence.tape("PAL")).unlink()
    place.hand.look_at("PAL")
    qtbot.waitUntil(lambda: any(line.tone is Tone.FAULT for line in place.file.log), timeout=20_000)
    assert "PAL" in place.file.log[-1].sentence or "pal" in place.file.log[-1].sentence
    assert not place.hearing.is_asked("PAL")
    assert place.hearing.of("PAL") is None


def test_leaving_the_place_stops_what_plays(place: LogPlace, window: Window) -> None:
    press(place, KEY.Key_H)
    assert place.player.playing and place.player.speed in SPEEDS
    window.show_place(0)
    assert not place.player.playing


def test_the_tape_of_last_time_is_shown_again(place: LogPlace, window: Window, document: object) -> None:
    place.hand.look_at("PAL")
    window.close_file()
    assert window.memory.text("log reel") == "PAL"


def test_undo_of_every_kind_of_mark_brings_back_the_very_document(place: LogPlace) -> None:
    before = place.file.sequence
    place.player.seek(70)
    steps: list[Callable[[], None]] = [
        lambda: press(place, KEY.Key_4),
        lambda: press(place, KEY.Key_G),
        lambda: press(place, KEY.Key_5, HELD.AltModifier),
        lambda: press(place, KEY.Key_T, HELD.ShiftModifier) or None,
        lambda: press(place, KEY.Key_Delete, HELD.ShiftModifier),
    ]
    made = 0
    for step in steps:
        was = place.file.sequence
        step()
        made += place.file.sequence != was
    assert made == 4  # the edge would have left hits outside
    for _ in range(made):
        place.file.undo()
    assert place.file.sequence == before


def test_carrying_from_a_take_that_is_not_logged_is_refused_in_words(place: LogPlace, qtbot: QtBot) -> None:
    clear(place)
    place.hand.choose("A1")
    press(place, KEY.Key_C, HELD.ShiftModifier)
    qtbot.waitUntil(lambda: any(line.tone is Tone.FAULT for line in place.file.log), timeout=30_000)
    assert "Take A1 has no hits that a person marked" in place.file.log[-1].sentence
