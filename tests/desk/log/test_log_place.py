from __future__ import annotations

from fractions import Fraction

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from previs.clock import first_grid_frame
from previs.desk.log.place import LogPlace
from previs.desk.open_file import Spot
from previs.desk.window import Window
from previs.document import mark_edits
from previs.document.model import SURE, Hit, Kind, Sequence, Shows, Size
from previs.document.store import open_document

KEY, NOTHING = Qt.Key, Qt.KeyboardModifier.NoModifier


@pytest.fixture
def place(window: Window, qtbot: QtBot) -> LogPlace:
    found = next(place for place in window.places if isinstance(place, LogPlace))
    window.show_place(window.places.index(found))
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.focusWidget() is found.sheet)
    found.choose("FILM", "A1")
    qtbot.waitUntil(lambda: found.signals() is not None, timeout=20_000)
    return found


def press(place: LogPlace, key: Qt.Key, held: Qt.KeyboardModifier = NOTHING) -> None:
    QTest.keyClick(place.sheet, key, held)


def hits(place: LogPlace) -> list[tuple[int, Fraction]]:
    take = place.take
    assert take is not None
    return [(hit.move, hit.at) for hit in take.hits]


def test_the_moves_of_a_take_are_tapped_in_order_while_it_plays(place: LogPlace) -> None:
    assert place.file.edit(lambda one: mark_edits.change_take(one, "A1", hits=()), "no hits")
    press(place, KEY.Key_S)
    frames = [36, 60, 84, 132, 156]
    for frame in frames:
        place.player.seek(frame)
        press(place, KEY.Key_B)
    assert hits(place) == [(move, Fraction(frame, 24)) for move, frame in enumerate(frames, start=1)]
    assert open_document(place.file.path).sequence.take("A1").hits == place.take.hits  # type: ignore[union-attr]
    assert "Every move" in place._move.text()
    press(place, KEY.Key_Backspace)
    assert [move for move, _ in hits(place)] == [1, 2, 3, 4]
    place.player.seek(160)
    press(place, KEY.Key_B)
    assert hits(place)[-1] == (5, Fraction(160, 24))


def test_a_tap_goes_to_what_is_heard(place: LogPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    signals = place.signals()
    assert signals is not None
    from previs.analysis.onsets import Impulse

    heard = replace_strikes(signals, Impulse(2.04, 9.0, 0.6, 0.05, 0.95))
    monkeypatch.setattr(place, "signals", lambda: heard)
    assert place.file.edit(lambda one: mark_edits.change_take(one, "A1", hits=()), "no hits")
    place.player.seek(52)
    press(place, KEY.Key_B)
    assert hits(place) == [(1, Fraction(round(2.04 * 48000), 48000))]
    assert "a strike" in place.file.log[-1].sentence


def replace_strikes(signals: object, *strikes: object) -> object:
    from dataclasses import replace as with_parts

    return with_parts(signals, strikes=strikes, slates=(), landings=(), stops=())  # type: ignore[type-var]


def test_a_take_is_begun_and_ended_by_one_key(place: LogPlace) -> None:
    place.player.seek(10)
    press(place, KEY.Key_T)
    place.player.seek(70)
    press(place, KEY.Key_T)
    take = place.take
    assert take is not None and take.name == "FILM-1"
    assert (take.start, take.end_exclusive) == (Fraction(10, 24), Fraction(70, 24))


def test_framings_and_faces_by_one_key_each(place: LogPlace) -> None:
    place.player.seek(40)
    press(place, KEY.Key_7)
    take = place.take
    assert take and take.framing_at(Fraction(40, 24)).size is Size.CLOSE
    assert place.row._sizes[Size.CLOSE].isChecked() and not place.row._sizes[Size.FULL].isChecked()
    place.player.seek(100)
    press(place, KEY.Key_2, Qt.KeyboardModifier.AltModifier)
    take = place.take
    assert take and [(one.at, one.size) for one in take.framings] == [(take.start, Size.CLOSE), (Fraction(100, 24), Size.WIDE)]
    before = take.framing_at(Fraction(100, 24)).face_of("Odile")
    press(place, KEY.Key_F)
    take = place.take
    assert take and take.framing_at(Fraction(100, 24)).face_of("Odile") is list(Shows)[(list(Shows).index(before) + 1) % 3]


def test_a_treatment_is_begun_and_ended_and_removed(place: LogPlace) -> None:
    before = place.file.sequence.treatments
    place.player.seek(20)
    press(place, KEY.Key_D)
    assert "marking" in place._role_label.text()
    place.player.seek(30)
    press(place, KEY.Key_D)
    made = place.file.sequence.treatments[-1]
    assert (made.kind, made.role, made.start, made.end_exclusive) == (Kind.DIGITAL_DOUBLE, "Odile", Fraction(20, 24), Fraction(31, 24))
    press(place, KEY.Key_D, Qt.KeyboardModifier.ShiftModifier)
    assert place.file.sequence.treatments == before


def test_only_what_nobody_looked_at_is_gone_through(place: LogPlace) -> None:
    def doubted(sequence: Sequence) -> Sequence:
        hits = tuple(Hit(hit.move, hit.at, 40 if hit.move in (2, 4) else SURE) for hit in sequence.take("A1").hits)
        return mark_edits.change_take(sequence, "A1", hits=hits)

    assert place.file.edit(doubted, "doubt")
    place.player.seek(0)
    press(place, KEY.Key_N)
    assert place.player.frame == first_grid_frame(place.take.hits[1].at, place.fps)  # type: ignore[union-attr]
    assert place.player.playing and place.player.looping
    press(place, KEY.Key_Y)
    assert place.take and place.take.hits[1].confidence == SURE
    assert place.hits.wanted is not None and place.hits.wanted.number == 4
    place.player.pause()
    place.player.seek(140)
    press(place, KEY.Key_M)
    assert (4, Fraction(140, 24)) in hits(place)
    press(place, KEY.Key_N)
    assert place.file.log[-1].sentence == "Every hit has been looked at."


def test_typing_in_a_field_marks_nothing(place: LogPlace, qtbot: QtBot) -> None:
    before = place.file.sequence
    field = place.card._fields["note"]
    field.setFocus()
    QTest.keyClicks(field, "best 7 of Day")
    assert place.file.sequence is before and place.sheet.begun is None
    QTest.keyClick(field, KEY.Key_Return)
    assert place.take and place.take.note.endswith("best 7 of Day")


def test_a_wrong_field_is_told_and_put_back(place: LogPlace) -> None:
    field = place.card._fields["phrases"]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "nine")
    QTest.keyClick(field, KEY.Key_Return)
    assert "names no phrases" in place.file.log[-1].sentence and field.text() == "1-2"


def test_a_spot_shows_the_moves_hit(place: LogPlace) -> None:
    place.file.go(Spot("log", take="B1", move=2))
    take = place.file.sequence.take("B1")
    assert place.reel == "PHONE" and place.take_name == "B1"
    assert place.player.frame == first_grid_frame(take.hits[1].at, place.fps)


def test_an_edge_and_a_hit_are_dragged_along(place: LogPlace) -> None:
    place.sheet.hit_moved.emit("A1", 2, 63)
    assert (2, Fraction(63, 24)) in hits(place)
    place.sheet.edge_moved.emit("A1", False, 20)
    assert place.take and place.take.start == Fraction(20, 24)
    place.sheet.edge_moved.emit("A1", True, 60)
    assert "no longer hold its hit" in place.file.log[-1].sentence


def test_carrying_finds_the_other_takes_hits(place: LogPlace, qtbot: QtBot) -> None:
    assert place.file.edit(lambda one: mark_edits.change_take(one, "B1", hits=()), "no hits")
    press(place, KEY.Key_C)
    qtbot.waitUntil(lambda: not place.file.work.running, timeout=30_000)
    qtbot.waitUntil(lambda: any("hits on" in line.sentence or "carr" in line.sentence for line in place.file.log), timeout=5_000)
