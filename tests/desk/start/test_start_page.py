"""The start page: beginning a fight, opening, dropping, the sample, and the files of last time."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from PyQt6.QtCore import QMimeData, QPointF, Qt, QUrl
from PyQt6.QtGui import QDropEvent
from PyQt6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from previs.desk.memory import Memory
from previs.desk.open_file import Tone
from previs.desk.start.begin import BeginDialog, SampleDialog
from previs.desk.start.page import StartPage
from previs.desk.start.recent import keep_recent, recent_files
from previs.desk.start.sample import FILE_NAME, make_sample, sample_media
from previs.desk.window import Window
from previs.document.invariants import faults_in
from previs.document.store import open_document
from previs.faults import UseFault
from previs.progress import Report, Step, Stopped, silent


@pytest.fixture
def page(qtbot: QtBot, memory: Memory, tmp_path: Path) -> StartPage:
    memory.keep("folder", str(tmp_path))
    memory.keep("sample", str(tmp_path / "salt_stair"))
    shown = StartPage(memory)
    qtbot.addWidget(shown)
    shown.show()
    return shown


def button(page: StartPage, text: str) -> QPushButton:
    return next(one for one in page.findChildren(QPushButton) if text in one.text().replace("&", ""))


def test_a_fight_is_begun_in_an_empty_folder_and_opened(
    qtbot: QtBot, memory: Memory, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    memory.keep("folder", str(tmp_path))
    window = Window(memory)
    qtbot.addWidget(window)

    def fill(_page: StartPage, dialog: BeginDialog) -> bool:
        qtbot.keyClicks(dialog.title, "The Salt Stair")
        assert dialog.place.path == tmp_path / "the_salt_stair.previs"
        dialog.rate.setCurrentText("29.97")
        dialog.start.setText("10:00:00;00")
        dialog.target.setText("none")
        dialog.accept()
        assert "none" in dialog.fault and not dialog.result()
        dialog.target.setText("48s")
        dialog.accept()
        return bool(dialog.result())

    monkeypatch.setattr(StartPage, "answered", fill)
    window._start.begin()
    made = open_document(tmp_path / "the_salt_stair.previs").sequence
    assert (made.title, made.rate_name, made.drop, made.target_frames) == ("The Salt Stair", "29.97", True, 1439)
    assert window.file and window.file.path == tmp_path / "the_salt_stair.previs"
    assert recent_files(memory) == (window.file.path,)
    # There is nothing to take in a tape for yet: the week begins with the written fight.
    assert memory.text("place") == "fight"
    window.close()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("48", "48 frames, which is 2 s; for seconds write 48s."),
        ("48s", "1152 frames, which is 48 s."),
        ("00:00:48:12", "1164 frames, which is 48.5 s."),
        ("none", "Time code (00:00:48:00), seconds (48s) or frames (1152)."),
    ],
)
def test_a_length_is_told_as_it_is_read_while_it_is_written(text: str, told: str, tmp_path: Path, qtbot: QtBot) -> None:
    dialog = BeginDialog(tmp_path, None)
    qtbot.addWidget(dialog)
    dialog.target.setText(text)
    assert dialog._lasts.text() == told


def test_a_name_without_its_ending_gets_it(tmp_path: Path, qtbot: QtBot) -> None:
    dialog = BeginDialog(tmp_path, None)
    qtbot.addWidget(dialog)
    dialog.place.line.setText(str(tmp_path / "stair"))
    dialog.accept()
    assert dialog.result() and dialog.path == tmp_path / "stair.previs" and dialog.path.is_file()


def test_a_name_that_the_person_gave_stays_and_a_file_that_is_there_is_left_alone(qtbot: QtBot, document: Path) -> None:
    dialog = BeginDialog(document.parent, None)
    qtbot.addWidget(dialog)
    dialog.place.line.selectAll()
    qtbot.keyClicks(dialog.place.line, str(document))
    qtbot.keyClicks(dialog.title, "Another")
    assert dialog.place.path == document
    before = document.read_bytes()
    dialog.accept()
    assert "is there already" in dialog.fault and document.read_bytes() == before
    dialog.place.line.setText(str(document.with_suffix(".txt")))
    dialog.accept()
    assert "call it stair.previs" in dialog.fault


def test_files_of_last_time_are_listed_newest_first_without_those_that_are_gone(memory: Memory, tmp_path: Path, qtbot: QtBot) -> None:
    for name in ("one", "two", "gone"):
        (tmp_path / f"{name}.previs").touch()
        keep_recent(memory, tmp_path / f"{name}.previs")
    (tmp_path / "gone.previs").unlink()
    keep_recent(memory, tmp_path / "one.previs")
    assert recent_files(memory) == (tmp_path / "one.previs", tmp_path / "two.previs")
    page = StartPage(memory)
    qtbot.addWidget(page)
    with qtbot.waitSignal(page.asked_to_open) as asked:
        qtbot.mouseClick(button(page, "two "), Qt.MouseButton.LeftButton)
    assert asked.args == [tmp_path / "two.previs"]


def test_a_dropped_sequence_is_opened_and_nothing_else(page: StartPage, document: Path, qtbot: QtBot) -> None:
    asked: list[Path] = []
    page.asked_to_open.connect(asked.append)
    for path in (document.parent / "film.mp4", document):
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(path))])
        page.dropEvent(QDropEvent(QPointF(5, 5), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier))
    assert asked == [document]


def test_the_sample_is_made_once(page: StartPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def agree(_page: StartPage, dialog: SampleDialog) -> bool:
        assert dialog.place.path == tmp_path / "salt_stair"
        return True

    monkeypatch.setattr(StartPage, "answered", agree)
    with qtbot.waitSignal(page.asked_to_open, timeout=60_000) as asked:
        qtbot.mouseClick(button(page, "Open the sample"), Qt.MouseButton.LeftButton)
    file = tmp_path / "salt_stair" / FILE_NAME
    assert asked.args == [file]
    sequence = open_document(file).sequence
    assert (len(sequence.tapes), len(sequence.cast), sequence.cuts[0].frames) == (9, 2, 1152)
    assert sequence.floor and len(sequence.floor.routes) == 12 and len(sequence.floor.laid) == 1 and sequence.floor.cameras
    assert faults_in(sequence) == () and len(sequence.flights) and len(sequence.treatments)
    assert all((file.parent / tape.path).exists() for tape in sequence.tapes)
    assert {tape.camera for tape in sequence.tapes} == {"A", "B", "C"}
    before = file.read_bytes()
    with qtbot.waitSignal(page.asked_to_open):
        page.open_sample()
    assert file.read_bytes() == before
    page.close_down()


def test_a_sample_that_is_stopped_leaves_nothing(tmp_path: Path) -> None:
    media = sample_media()
    assert media
    seen: list[str] = []

    def stop(step: Step) -> None:
        seen.append(step.doing)
        if step.doing == "Assembling the cut":
            raise Stopped

    with pytest.raises(Stopped):
        make_sample(media, tmp_path / "salt", stop)
    assert len(seen) > 9 and list(tmp_path.iterdir()) == []
    (tmp_path / "salt").mkdir()
    (tmp_path / "salt" / "mine.txt").touch()
    with pytest.raises(UseFault, match="something else"):
        make_sample(media, tmp_path / "salt", silent)


def test_without_the_source_folder_the_page_says_why_there_is_no_sample(
    qtbot: QtBot, memory: Memory, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("previs.desk.start.page.sample_media", lambda: None)
    page = StartPage(memory)
    qtbot.addWidget(page)
    page.open_sample()
    assert page.log[-1].tone is Tone.FAULT and "source folder" in page.log[-1].sentence


def test_work_of_the_page_is_stopped_with_the_window(page: StartPage, qtbot: QtBot) -> None:
    begun, ended = threading.Event(), threading.Event()

    def job(report: Report) -> None:
        begun.set()
        try:
            while True:
                report(Step(0, 1, "waiting"))
        finally:
            ended.set()

    page.work.do("waiting", job, lambda _: None)
    qtbot.waitUntil(begun.is_set)
    page.stop()
    qtbot.waitUntil(lambda: any("Stopped" in line.sentence for line in page.log))
    assert ended.is_set()
    ended.clear()
    page.work.do("waiting", job, lambda _: None)
    qtbot.waitUntil(lambda: bool(page.work.running[0].step))
    page.close_down()
    assert ended.is_set()
