"""The Log place for a person who sees it for the first time: what is said where nothing is marked, and where a run ends."""

from __future__ import annotations

from fractions import Fraction

from log_hand import HELD, KEY, HandClock, clear, press, take
from msgspec.structs import replace
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtTest import QTest
from pytestqt.qtbot import QtBot

from previs.analysis.tempo import tempi, with_tempi
from previs.clock import grid_span
from previs.desk.log.place import LogPlace
from previs.document import mark_edits
from previs.document.model import Sequence


def test_half_speed_ends_with_the_take_and_the_take_stays_at_hand(place: LogPlace, qtbot: QtBot) -> None:
    clock = HandClock()
    place.player._clock = clock
    span = grid_span(take(place).span, place.hand.fps)
    press(place, KEY.Key_H)
    assert place.player.playing
    clock.now = Fraction(span.length + 30) / place.hand.fps * 2
    qtbot.waitUntil(lambda: not place.player.playing)
    assert place.player.frame == span.end_exclusive - 1
    here = place.hand.take_here
    assert here and here.name == "A1"


def test_a_run_that_was_stopped_by_hand_does_not_stop_the_next_play(place: LogPlace, qtbot: QtBot) -> None:
    clock = HandClock()
    place.player._clock = clock
    last = grid_span(take(place).span, place.hand.fps).end_exclusive - 1
    assert last + 2 < place.player.frames
    press(place, KEY.Key_H)
    place.player.pause()
    place.player.seek(last - 1)
    place.player.play(Fraction(1))
    clock.now = Fraction(3) / place.hand.fps
    qtbot.waitUntil(lambda: place.player.frame > last)
    assert place.player.playing


def test_a_tape_without_takes_says_how_one_is_marked(place: LogPlace, qtbot: QtBot) -> None:
    assert place.file.edit(lambda one: replace(one, cuts=(), takes=tuple(one for one in one.takes if one.reel != "PHONE")), "no takes")
    place.look_at("PHONE")
    assert place.next_move._label._whole == "No take is marked on this tape yet."
    assert place.next_move._who._whole == "T marks where one begins and where it ends; P proposes takes."
    assert place.framing._title.text() == "Framing: no take lies at this frame"
    if around := place.window():
        around.resize(1280, 800)
    qtbot.waitUntil(lambda: place.next_move._who.text() == place.next_move._who._whole)
    place.choose("A1")
    assert place.framing._title.text() == "Framing here  (Alt: from this frame on)"


def test_the_button_of_a_take_begins_it_and_says_that_it_ends_it(place: LogPlace) -> None:
    button = place.buttons._take
    assert button.text() == "A take begins here  (T)"
    button.click()
    assert None in place.spans.begun and button.text() == "The take ends here  (T)"
    place.let_go()
    assert button.text() == "A take begins here  (T)"


def test_a_click_on_the_row_that_is_chosen_already_goes_to_the_take(place: LogPlace) -> None:
    first, view = place.player.frame, place.list.viewport()
    place.player.seek(first + 20)
    assert view
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=place.list.visualRect(place.list.currentIndex()).center() + QPoint(1, 0))
    assert place.player.frame == first


def test_the_tempo_that_the_hits_show_is_noted(place: LogPlace) -> None:
    def wrong(sequence: Sequence) -> Sequence:
        other = tempi(sequence)[0].take
        return mark_edits.change_take(sequence, other, tempo=Fraction(1, 2))

    assert place.file.edit(wrong, "a wrong tempo")
    before = place.file.sequence
    press(place, KEY.Key_H, HELD.ShiftModifier)
    assert place.file.sequence == with_tempi(before) != before
    assert place.hand.told.endswith("noted as the hits show it.")
    clear(place)
    press(place, KEY.Key_H, HELD.ShiftModifier)
    assert place.hand.told.startswith("No tempo shows yet")


def test_without_tapes_it_says_where_they_are_taken_in(place: LogPlace) -> None:
    assert place.file.edit(lambda one: replace(one, cuts=(), takes=(), treatments=(), syncs=(), tapes=()), "no tapes")
    assert (place.next_move._label._whole, place.next_move._who._whole) == ("There are no tapes yet.", "Take some in under Tapes.")
