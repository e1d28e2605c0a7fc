"""The Tapes place: taking in, correcting on disk, finding again, work copies, cameras together, settings."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from clips import make_clip
from PyQt6.QtCore import QMimeData, QPointF, Qt, QUrl
from PyQt6.QtGui import QDropEvent
from PyQt6.QtWidgets import QAbstractItemView, QApplication
from pytestqt.qtbot import QtBot

from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.tapes.place import TapesPlace
from previs.desk.tapes.rows import Column
from previs.desk.tapes.settings import SettingsDialog
from previs.document.store import open_document


@pytest.fixture
def place(qtbot: QtBot, file: OpenFile, memory: Memory) -> Iterator[TapesPlace]:
    shown = TapesPlace(file, memory)
    qtbot.addWidget(shown)
    shown.show()
    qtbot.waitUntil(lambda: len(shown.there) == 3)
    yield shown
    file.work.close()
    shown.close_down()


def idle(qtbot: QtBot, file: OpenFile) -> None:
    qtbot.waitUntil(lambda: not (file.work.running or file.looking.running), timeout=30_000)


def write(place: TapesPlace, row: int, column: Column, text: str) -> bool:
    return place.model.setData(place.model.index(row, column), text)


def test_two_tapes_are_taken_in_and_one_is_broken(place: TapesPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    good = make_clip(tmp_path / "new one.mp4", frames=30, rate=Fraction(25), options={"g": "5"})
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(good.path.read_bytes()[:4000])
    monkeypatch.setattr(place, "ask_camera", lambda _number: " D ")
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(broken)), QUrl.fromLocalFile(str(good.path))])
    place.dropEvent(QDropEvent(QPointF(9, 9), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier))
    idle(qtbot, place.file)
    sequence = open_document(place.file.path).sequence
    assert [(tape.reel, tape.camera, tape.frames) for tape in sequence.tapes[3:]] == [("NEW_ONE", "D", 30)]
    faults = [line.sentence for line in place.file.log if line.tone is Tone.FAULT]
    assert len(faults) == 1 and "broken.mp4" in faults[0]
    qtbot.waitUntil(lambda: "NEW_ONE" in place.there and place.there["NEW_ONE"].work_copy)
    assert place.file.steps[0] == "take in NEW_ONE"
    place.file.undo()
    assert len(place.model.rows) == 3


def test_the_same_tape_again_is_refused_and_letting_it_be_does_nothing(
    place: TapesPlace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    film = place.file.path.parent / place.file.sequence.tape("FILM").path
    monkeypatch.setattr(place, "ask_movies", lambda: [film])
    monkeypatch.setattr(place, "ask_camera", lambda _number: None)
    place.take_in()
    assert not place.file.work.running
    monkeypatch.setattr(place, "ask_camera", lambda _number: "")
    place.take_in()
    idle(qtbot, place.file)
    assert "is in the file already, as reel FILM" in place.file.log[-1].sentence
    assert len(place.file.sequence.tapes) == 3


def test_corrections_in_the_table_are_on_disk_and_marks_go_along(place: TapesPlace, qtbot: QtBot) -> None:
    assert write(place, 0, Column.REEL, "wide")
    assert write(place, 0, Column.CAMERA, "crane")
    assert write(place, 0, Column.START, "11:00:00:00")
    sequence = open_document(place.file.path).sequence
    tape = sequence.tape("WIDE")
    assert (tape.camera, tape.start_from, tape.timebase.label(tape.start_frame)) == ("crane", "given", "11:00:00:00")
    assert {take.reel for take in sequence.takes} == {"WIDE", "PHONE", "PAL"}
    qtbot.waitUntil(lambda: "WIDE" in place.there and not place.there["WIDE"].work_copy)
    assert place.model.rows[0].words[Column.COPY] == "not yet"
    assert not write(place, 0, Column.CAMERA, "crane")
    assert write(place, 0, Column.REEL, "pal")
    assert place.file.log[-1].tone is Tone.FAULT and place.model.rows[0].reel == "WIDE"
    assert write(place, 0, Column.START, "11:00:00:99")
    assert place.file.log[-1].tone is Tone.FAULT and place.model.rows[0].written(Column.START) == "11:00:00:00"
    place.jobs.copy()
    qtbot.waitUntil(lambda: place.there["WIDE"].work_copy, timeout=30_000)


def test_a_cell_is_corrected_with_the_keys(place: TapesPlace, qtbot: QtBot) -> None:
    place.table.selectRow(1)
    place.correct()
    editor = QApplication.focusWidget() or place.table.viewport()
    assert editor is not None
    qtbot.keyClicks(editor, "BACK")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: [tape.reel for tape in place.file.sequence.tapes] == ["FILM", "BACK", "PAL"])


def test_moved_tapes_are_found_again_by_their_content(place: TapesPlace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = place.file.path.parent
    (folder / "moved").mkdir()
    shutil.move(folder / "film.mp4", folder / "moved" / "another name.mp4")
    place.look_again()
    qtbot.waitUntil(lambda: place.model.rows[0].away)
    assert "Not in their places: 1." in place.told.text()
    (folder / "empty").mkdir()
    monkeypatch.setattr(place, "ask_folder", lambda: folder / "empty")
    place.look_for_tapes()
    qtbot.waitUntil(lambda: place.file.log[-1].tone is Tone.FAULT if place.file.log else False)
    assert place.file.log[-1].sentence.startswith("Not found: FILM.")
    monkeypatch.setattr(place, "ask_folder", lambda: folder)
    place.look_for_tapes()
    qtbot.waitUntil(lambda: not place.model.rows[0].away)
    assert open_document(place.file.path).sequence.tape("FILM").path == "moved/another name.mp4"


def test_a_tape_that_marks_need_stays_and_another_goes_and_comes_back(place: TapesPlace, qtbot: QtBot, tmp_path: Path) -> None:
    place.table.selectRow(0)
    place.remove()
    assert place.file.log[-1].tone is Tone.FAULT and "FILM stays" in place.file.log[-1].sentence
    place.jobs.take_in([make_clip(tmp_path / "extra.mp4", frames=12, rate=Fraction(24)).path], "")
    idle(qtbot, place.file)
    place.go(Spot("tapes", reel="EXTRA"))
    assert place.chosen() == ["EXTRA"]
    place.remove()
    assert len(open_document(place.file.path).sequence.tapes) == 3
    place.file.undo()
    assert open_document(place.file.path).sequence.tapes[-1].reel == "EXTRA"


def test_cameras_are_compared_and_what_was_found_is_told(place: TapesPlace, qtbot: QtBot) -> None:
    place.jobs.find_together()
    qtbot.waitUntil(lambda: bool(place.file.log), timeout=60_000)
    told = " ".join(line.sentence for line in place.file.log)
    for reel in ("FILM", "PHONE", "PAL"):
        assert reel in told


def test_a_stop_while_copies_are_made_keeps_the_tapes_and_leaves_no_half_copy(place: TapesPlace, qtbot: QtBot, tmp_path: Path) -> None:
    long = make_clip(tmp_path / "long.mp4", frames=600, rate=Fraction(24), options={"g": "24"})
    place.jobs.take_in([long.path], "")

    def copying() -> bool:
        return any(one.step and one.step.doing.startswith("making") and one.step.done > 5 for one in place.file.work.running)

    qtbot.waitUntil(copying, timeout=30_000)
    place.file.work.stop()
    idle(qtbot, place.file)
    assert any(line.sentence.startswith("Stopped") for line in place.file.log)
    assert open_document(place.file.path).sequence.tapes[-1].reel == "LONG"
    copies = list((place.file.cache / "copies").iterdir())
    assert len(copies) == 3 and not [one for one in copies if one.name.startswith(".")]
    place.look_again()
    qtbot.waitUntil(lambda: "LONG" in place.there and not place.there["LONG"].work_copy)


def test_a_double_click_opens_the_tape_in_the_log(place: TapesPlace, qtbot: QtBot) -> None:
    with qtbot.waitSignal(place.file.went) as went:
        place.table.activated.emit(place.model.index(2, Column.RATE))
    assert went.args == [Spot("log", reel="PAL")]


def test_a_double_click_on_a_camera_corrects_it_and_goes_nowhere(place: TapesPlace, qtbot: QtBot) -> None:
    went: list[object] = []
    place.file.went.connect(went.append)
    index, view = place.model.index(2, Column.CAMERA), place.table.viewport()
    assert view
    at = place.table.visualRect(index).center()
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseDClick(view, Qt.MouseButton.LeftButton, pos=at)
    assert place.table.state() is QAbstractItemView.State.EditingState and went == []
    at = place.table.visualRect(place.model.index(1, Column.RATE)).center()
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseDClick(view, Qt.MouseButton.LeftButton, pos=at)
    assert len(went) == 1


def test_settings_are_changed_as_by_the_verb_and_nonsense_is_told_beside_the_fields(place: TapesPlace, qtbot: QtBot) -> None:
    dialog = SettingsDialog(place.file, place)
    before = place.file.sequence
    dialog.accept()
    assert place.file.sequence is before and dialog.result()
    dialog.fields["raster"].setText("31x7")
    dialog.accept()
    assert "pixels" in dialog.fault and place.file.sequence is before
    dialog.fields["raster"].setText("640x360")
    dialog.fields["target"].setText("6s")
    dialog.fields["retiming"].setText("12%")
    dialog.accept()
    sequence = open_document(place.file.path).sequence
    assert (sequence.target_frames, sequence.settings.most_retiming) == (144, Fraction(12, 100))
    assert (sequence.settings.raster_width, sequence.settings.raster_height) == (640, 360)
    assert sequence.settings.lead_frames == before.settings.lead_frames
    assert "Target is 00:00:06:00" in place.file.log[-1].sentence


def test_every_field_of_the_settings_reads_what_it_shows(place: TapesPlace) -> None:
    dialog = SettingsDialog(place.file, place)
    before = place.file.sequence
    for name, field in dialog.fields.items():
        dialog._before[name] = "another"
        shown = field.text()
        assert shown, name
    with pytest.raises(Exception, match="nothing was changed"):
        dialog.do()
    assert place.file.sequence is before


def test_stills_arrive_in_the_table(place: TapesPlace, qtbot: QtBot) -> None:
    at = place.model.index(0, Column.STILL)
    qtbot.waitUntil(lambda: place.model.data(at, Qt.ItemDataRole.DecorationRole) is not None)
