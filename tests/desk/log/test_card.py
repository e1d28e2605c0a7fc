from __future__ import annotations

from fractions import Fraction

import pytest
from log_hand import HELD, KEY, clear, heard, hits, press, take
from PyQt6.QtTest import QTest

from previs.analysis.onsets import Impulse
from previs.desk.log.place import LogPlace
from previs.desk.open_file import Tone


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
