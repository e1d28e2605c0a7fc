"""The Review place: notes in, where they are, what is drawn on them, what became of each, all as the rooms and verbs say."""

from __future__ import annotations

from pathlib import Path

import pytest
from desk.review.conftest import CIRCLE, Save, idle
from msgspec.structs import replace
from PyQt6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PyQt6.QtGui import QDragEnterEvent, QDropEvent
from PyQt6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from previs.cut.edits import remove, trim_head
from previs.cut.versions import copy_cut, delete_cut
from previs.desk.open_file import Spot, Tone
from previs.desk.player.strips import CutStrip, TapeStrip
from previs.desk.review.place import ReviewPlace
from previs.desk.review.rows import Column
from previs.document.notes import Note, NoteKind, NoteState
from previs.document.store import open_document


def idents(place: ReviewPlace) -> list[str]:
    return [one.note.ident for one in place.list.listed]


def choose(place: ReviewPlace, ident: str) -> None:
    assert place.list.choose(ident)


def note_of(place: ReviewPlace, ident: str) -> Note:
    return next(note for note in open_document(place.file.path).sequence.notes if note.ident == ident)


def said(place: ReviewPlace) -> str:
    return place.file.log[-1].sentence


def without_shot_of(place: ReviewPlace, qtbot: QtBot, ident: str) -> None:
    """A cut v2 in which the note's shot is missing."""
    note = note_of(place, ident)
    number = next(at for at, shot in enumerate(place.file.sequence.cut("v1").shots, start=1) if shot.ident == note.shot)
    assert place.file.edit(lambda one: remove(copy_cut(one, "v1", "v2"), "v2", number), "make a second cut")
    idle(qtbot, place)


def test_what_came_is_told_in_one_sentence_and_is_one_step(noted: ReviewPlace, mara: tuple[Note, ...], save: Save, qtbot: QtBot) -> None:
    assert said(noted) == "From Mara: 4 notes new, 0 written again, 0 known already; 0 homeless in cut v1."
    assert idents(noted) == ["mara-4", "mara-1", "mara-2", "mara-3"]
    assert noted.list.current and noted.list.current.note.ident == "mara-4"
    assert noted.care.isVisible() and "Open safety worries: 1" in noted.care.text() and "stunt coordinator" in noted.care.text()
    again = replace(mara[0], text="Closer still.", written="2026-11-25T12:00:00Z")
    noted.take_in_these((save("mara.json", again, *mara[1:]), save("joss.json", replace(mara[1], ident="joss-1", reviewer="Joss"))))
    idle(qtbot, noted)
    assert said(noted) == "From Joss, Mara: 1 note new, 1 written again, 3 known already; 0 homeless in cut v1."
    assert noted.file.steps[0] == "take in 2 notes"
    assert open_document(noted.file.path).sequence.notes == noted.file.sequence.notes
    noted.file.undo()
    idle(qtbot, noted)
    assert len(noted.list.listed) == 4
    before = noted.file.sequence
    noted.take_in_these((save("mara.json", *mara),))
    idle(qtbot, noted)
    assert said(noted) == "From Mara: 0 notes new, 0 written again, 4 known already; 0 homeless in cut v1."
    assert noted.file.sequence is before


def test_files_are_dropped_on_the_place_and_on_the_answer_too(place: ReviewPlace, mara: tuple[Note, ...], save: Save, qtbot: QtBot) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(save("mara.json", *mara)))])
    copy, left, plain = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(9, 9), copy, data, left, plain)
    place.dragEnterEvent(enter)
    assert enter.isAccepted()
    place.dropEvent(QDropEvent(QPointF(9, 9), copy, data, left, plain))
    idle(qtbot, place)
    assert len(place.list.listed) == 4
    assert not place.card.answer.acceptDrops() and not place.card.answer.viewport().acceptDrops()
    elsewhere = QMimeData()
    elsewhere.setText("words")
    refused = QDragEnterEvent(QPoint(9, 9), copy, elsewhere, left, plain)
    refused.ignore()
    place.dragEnterEvent(refused)
    assert not refused.isAccepted()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is no JSON text"),
        (b"[1, 2]", "is no notes file of a review page"),
        (b'{"document": "previs notes", "schema": 9}', "of another previs"),
        (b'{"document": "previs notes", "schema": 1, "sequence": "<img src=x>", "cut": 7, "notes": []}', "is damaged"),
        (b"[" * 100_000, "nested too deep"),
    ],
)
def test_a_hostile_file_is_one_sentence_and_nothing_is_taken(
    noted: ReviewPlace, mara: tuple[Note, ...], save: Save, qtbot: QtBot, content: bytes, sentence: str
) -> None:
    before = noted.file.sequence
    bad = noted.file.path.parent / "bad.json"
    bad.write_bytes(content)
    noted.take_in_these((bad,))
    idle(qtbot, noted)
    assert noted.file.log[-1].tone is Tone.FAULT and sentence in said(noted) and noted.file.log[-1].details == ""
    noted.take_in_these((save("joss.json", replace(mara[0], ident="joss-1")), bad))
    idle(qtbot, noted)
    assert said(noted).startswith("None of the 2 files was taken in: ") and sentence in said(noted)
    assert noted.file.sequence is before


def test_notes_on_something_else_are_taken_only_when_wanted_anyway(
    place: ReviewPlace, mara: tuple[Note, ...], save: Save, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    wanted = False

    def press(asking: QMessageBox) -> None:
        assert asking.textFormat() is Qt.TextFormat.PlainText
        asked.append(asking.text())
        role = QMessageBox.ButtonRole.AcceptRole if wanted else QMessageBox.ButtonRole.RejectRole
        next(button for button in asking.buttons() if asking.buttonRole(button) is role).click()

    monkeypatch.setattr(place, "show_question", press)
    path = save("other.json", *mara, title="<b>Another</b> fight")
    place.take_in_these((path,))
    idle(qtbot, place)
    assert place.file.log[-1].tone is Tone.FAULT and "<b>Another</b> fight" in said(place) and place.file.sequence.notes == ()
    wanted = True
    place.take_in_these((path,))
    idle(qtbot, place)
    assert len(asked) == 2 and "<b>Another</b> fight" in asked[0] and len(place.file.sequence.notes) == 4


def test_where_each_was_given_and_where_it_is_now(noted: ReviewPlace, qtbot: QtBot) -> None:
    assert noted.file.edit(lambda one: trim_head(copy_cut(one, "v1", "v2"), "v2", 1, -4), "make a second cut")
    idle(qtbot, noted)
    rows = {row.ident: row for row in noted.list.model.rows}
    assert noted.list.model.headerData(Column.NOW, Qt.Orientation.Horizontal) == "Now in v2"
    assert rows["mara-2"].cells[Column.GIVEN] == "v1\n01:00:01:16"
    found = rows["mara-2"].standing.found
    assert found and found.record.start == 36
    assert rows["mara-2"].cells[Column.NOW] == f"01:00:01:12\nshot {found.shot}"
    assert rows["mara-4"].cells[Column.NOW] == "whole cut"
    assert rows["mara-4"].cells[Column.KIND] == "\u26a0 safety worry\nMara" and rows["mara-4"].worries
    choose(noted, "mara-2")
    assert noted.card.given.text() == "Given on cut v1 from 01:00:01:16, for 6 frames."
    assert noted.card.now.text() == f"Now in cut v2 at 01:00:01:12, shot {found.shot}: the same frames."
    noted.file.choose_cut("v1")
    idle(qtbot, noted)
    assert noted.cuts.currentText() == "v1" and "Now in cut v1 at 01:00:01:16" in noted.card.now.text()


def test_a_homeless_note_says_why_and_shows_what_its_reviewer_saw(noted: ReviewPlace, qtbot: QtBot) -> None:
    without_shot_of(noted, qtbot, "mara-1")
    choose(noted, "mara-1")
    assert "homeless" in noted.list.model.data(noted.list.model.index(noted.list.view.currentIndex().row(), Column.NOW))
    assert noted.card.now.text().startswith("Homeless: v2 does not show tape") and "of v1 is not in it" in noted.card.now.text()
    assert not noted._go_to_shot.isEnabled()
    noted.answers.go_to_shot()
    assert noted.file.log[-1].tone is Tone.FAULT and "homeless" in said(noted)
    assert noted.picture.player.strip == CutStrip("v1") and noted.picture.drawn_on(30) and not noted.picture.drawn_on(31)
    assert noted.file.edit(lambda one: delete_cut(one, "v1"), "delete the cut")
    idle(qtbot, noted)
    note = note_of(noted, "mara-1")
    assert noted.picture.player.strip == TapeStrip(note.reel) and noted.picture.player.frame == note.tape_frame
    with qtbot.waitSignal(noted.file.went) as went:
        noted.answers.go_to_tape()
    assert went.args == [Spot("log", reel=note.reel, frame=note.tape_frame)]


def test_the_drawing_stands_on_its_frame_in_the_cut_and_as_it_was_given(noted: ReviewPlace, qtbot: QtBot) -> None:
    assert noted.file.edit(lambda one: trim_head(copy_cut(one, "v1", "v2"), "v2", 1, -4), "make a second cut")
    idle(qtbot, noted)
    choose(noted, "mara-1")
    picture = noted.picture
    found = noted.list.current and noted.list.current.found
    assert found and picture.player.strip == CutStrip("v2") and picture.player.frame == found.record.start
    assert picture.drawn_on(found.record.start) and not picture.drawn_on(found.record.end_exclusive)
    qtbot.keyClick(noted.list.view, Qt.Key.Key_V)
    assert (
        noted._given.isChecked()
        and picture.player.strip == CutStrip("v1")
        and picture.player.frame == 30
        and picture.shown
        and picture.shown.given
    )
    assert picture.shown.drawings == (CIRCLE,)
    choose(noted, "mara-2")
    assert not noted._given.isChecked() and picture.player.strip == CutStrip("v2") and picture.shown and not picture.shown.drawings


def test_the_circle_is_painted_on_the_picture(noted: ReviewPlace, qtbot: QtBot) -> None:
    choose(noted, "mara-1")
    # The picture of the note itself may come first.
    with qtbot.waitSignal(noted.picture.player.pictured, timeout=20_000, check_params_cb=lambda frame: frame == 30):
        noted.picture.player.seek(30)
    image = noted.picture.player._picture.grab().toImage()
    with qtbot.waitSignal(noted.picture.player.pictured, timeout=20_000, check_params_cb=lambda frame: frame == 31):
        noted.picture.player.step(1)
    without = noted.picture.player._picture.grab().toImage()

    def red(of: object) -> int:
        pixels = [of.pixelColor(x, y) for x in range(0, of.width(), 2) for y in range(0, of.height(), 2)]  # type: ignore[attr-defined]
        return sum(one.red() > 140 and one.green() < 90 and one.blue() < 90 for one in pixels)

    assert red(image) > red(without) + 40


def test_done_declined_and_open_again_by_keys_are_saved_and_undone(noted: ReviewPlace, qtbot: QtBot) -> None:
    noted.activateWindow()
    view, answer = noted.list.view, noted.card.answer
    choose(noted, "mara-2")
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_D)
    assert note_of(noted, "mara-2").state is NoteState.DONE
    assert noted.file.steps[0] == "mark as done a note of Mara"
    idle(qtbot, noted)
    qtbot.keyClick(view, Qt.Key.Key_X)
    assert note_of(noted, "mara-2").state is NoteState.DONE and "Write why" in said(noted)
    qtbot.waitUntil(answer.hasFocus)
    qtbot.keyClicks(answer, "It is a feint, drawn out")
    qtbot.keyClick(answer, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    note = note_of(noted, "mara-2")
    assert (note.state, note.answer) == (NoteState.DECLINED, "It is a feint, drawn out")
    idle(qtbot, noted)
    assert noted.list.current and noted.list.current.note == note
    assert noted.list.model.rows[view.currentIndex().row()].cells[Column.NOTE] == "Hold the look.\n\u2192 It is a feint, drawn out"
    qtbot.waitUntil(view.hasFocus)
    answer.setFocus()
    qtbot.keyClick(answer, Qt.Key.Key_Escape)
    qtbot.waitUntil(view.hasFocus)
    assert said(noted) == "The note of Mara is declined now."
    qtbot.keyClick(view, Qt.Key.Key_End)
    assert noted.list.current.note.ident == "mara-3"
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert noted.list.current.note.ident == "mara-4"
    choose(noted, "mara-2")
    qtbot.keyClick(view, Qt.Key.Key_R)
    assert note_of(noted, "mara-2").state is NoteState.OPEN
    noted.file.undo()
    assert note_of(noted, "mara-2") == note
    idle(qtbot, noted)
    assert noted.card.answer.toPlainText() == "It is a feint, drawn out"


def test_an_answer_that_was_begun_is_kept_while_others_are_looked_at(noted: ReviewPlace, qtbot: QtBot) -> None:
    choose(noted, "mara-1")
    noted.card.answer.setPlainText("we will see")
    choose(noted, "mara-2")
    assert noted.card.answer.toPlainText() == ""
    assert noted.file.edit(lambda one: copy_cut(one, "v1", "v2"), "copy")
    idle(qtbot, noted)
    choose(noted, "mara-1")
    assert noted.card.answer.toPlainText() == "we will see"
    noted.answers.done()
    idle(qtbot, noted)
    choose(noted, "mara-2")
    choose(noted, "mara-1")
    assert note_of(noted, "mara-1").answer == noted.card.answer.toPlainText() == "we will see"


def test_filters_by_state_kind_and_reviewer_and_the_next_note_after_an_answer(noted: ReviewPlace, qtbot: QtBot) -> None:
    notes = noted.list
    notes.state.setCurrentIndex(notes.state.findData(NoteState.OPEN))
    notes.state.activated.emit(notes.state.currentIndex())
    choose(noted, "mara-1")
    noted.answers.done()
    idle(qtbot, noted)
    assert idents(noted) == ["mara-4", "mara-2", "mara-3"]
    assert notes.current and notes.current.note.ident == "mara-2"
    assert "4 notes, 3 open, 0 homeless in cut v1. 3 of them are listed." in noted.told.text()
    notes.show_all()
    notes.kind.setCurrentIndex(notes.kind.findData(NoteKind.UNCLEAR))
    notes.kind.activated.emit(notes.kind.currentIndex())
    assert idents(noted) == ["mara-3"]
    notes.show_all()
    assert [notes.reviewer.itemText(number) for number in range(notes.reviewer.count())] == ["every reviewer", "Mara"]
    assert len(notes.listed) == 4


def test_going_to_the_shot_and_to_the_move(noted: ReviewPlace, qtbot: QtBot) -> None:
    choose(noted, "mara-2")
    found = noted.list.current and noted.list.current.found
    assert found
    with qtbot.waitSignal(noted.file.went) as went:
        qtbot.keyClick(noted.list.view, Qt.Key.Key_G)
    assert went.args == [Spot("cut", shot=found.shot, frame=40)]
    choose(noted, "mara-3")
    with qtbot.waitSignal(noted.file.went) as went:
        noted.list.view.activated.emit(noted.list.view.currentIndex())
    assert went.args == [Spot("fight", move=3)]
    noted.go(Spot("review", shot=found.shot))
    assert noted.list.current and noted.list.current.found and noted.list.current.found.shot == found.shot


def test_a_text_that_looks_like_markup_stays_a_text(place: ReviewPlace, mara: tuple[Note, ...], save: Save, qtbot: QtBot) -> None:
    hostile = replace(mara[0], text="<b>x</b>\u202e<img src='file:///etc/passwd'>", reviewer="<h1>Joss</h1>")
    place.take_in_these((save("joss.json", hostile),))
    idle(qtbot, place)
    assert place.card.text.toPlainText() == hostile.text
    assert all(label.textFormat() is Qt.TextFormat.PlainText for label in (place.card.heading, place.card.now, place.told))
    assert "<h1>Joss</h1>" in place.card.heading.text() and "\u202e" not in place.list.model.rows[0].cells[Column.NOTE]


def test_without_a_cut_or_notes_the_place_says_what_to_do(noted: ReviewPlace, qtbot: QtBot) -> None:
    assert noted.file.edit(lambda one: delete_cut(one, "v1"), "delete the cut")
    idle(qtbot, noted)
    assert noted.told.text() == "4 notes, 4 open. Without a cut all of them are homeless."
    assert not noted._write_review.isEnabled() and not noted._write_notes.isEnabled()
    noted.outgoing.write_review()
    assert noted.file.log[-1].tone is Tone.FAULT and "no cut yet" in said(noted)
    assert noted.file.edit(lambda one: replace(one, notes=()), "throw the notes away")
    assert "There are no notes yet" in noted.told.text() and noted.list.current is None
    noted.answers.done()
    assert said(noted) == "Choose a note first." and not noted.card.answer.isEnabled()


def test_a_folder_in_place_of_a_file_is_one_sentence(place: ReviewPlace, tmp_path: Path, qtbot: QtBot) -> None:
    place.take_in_these((tmp_path,))
    idle(qtbot, place)
    assert place.file.log[-1].tone is Tone.FAULT and "cannot be read" in said(place)
