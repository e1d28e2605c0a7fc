from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from log_hand import HELD, KEY, clear, heard, hits, press, take
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QAbstractButton, QWidget
from pytestqt.qtbot import QtBot

from previs.analysis.onsets import Impulse
from previs.clock import first_grid_frame
from previs.desk.log.place import LogPlace
from previs.desk.open_file import Spot, Tone
from previs.desk.player.clockwork import SPEEDS
from previs.desk.window import Window
from previs.document.model import Size


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
