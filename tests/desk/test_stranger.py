"""A stranger's walk, from an empty folder to an edit list, by the window alone: buttons, keys, the mouse and the clipboard.

Only what the system itself asks (which file, which camera) is answered for the person. The list is then read as an assistant
editor would, by a public reader of such lists (pycmx), and checked against what was logged.
"""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import pycmx
import pytest
from clips import make_clip
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication, QComboBox, QDialog, QFileDialog, QInputDialog, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot
from small_fight import FIGHT

from previs.clock import Rate, Timebase
from previs.desk.log.place import LogPlace
from previs.desk.memory import Memory
from previs.desk.window import Window, dress
from previs.document.invariants import faults_in
from previs.document.model import Footage, Kind, Size
from previs.document.store import open_document

Key, Held = Qt.Key, Qt.KeyboardModifier
HITS = {1: 36, 2: 60, 3: 84, 4: 132, 5: 156}
"""The frame of the tape on which each move lands, and its sound clicks."""
FILM = Timebase(Rate.parse("24"))


class Stranger:
    """Does at the window what a person does."""

    def __init__(self, window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
        self.window, self.qtbot, self.monkeypatch = window, qtbot, monkeypatch

    @property
    def place(self) -> QWidget:
        """The place that is shown."""
        return next(place for place in self.window.places if place.isVisible())

    def press(self, text: str) -> None:
        """Press the button that says this, with the mouse."""
        found = [one for one in self.window.findChildren(QPushButton) if one.text().replace("&", "") == text and one.isVisible()]
        assert found, text
        QTest.mouseClick(found[0], Qt.MouseButton.LeftButton)

    def key(self, key: Qt.Key, held: Qt.KeyboardModifier = Held.NoModifier) -> None:
        """Press a key wherever the keys are."""
        target = QApplication.focusWidget() or self.window
        QTest.keyClick(target, key, held)

    def idle(self) -> None:
        """Wait until no work is under way."""
        file = self.window.file
        assert file
        self.qtbot.waitUntil(lambda: not (file.work.running or file.looking.running), timeout=60_000)

    def fill_the_next_dialog(self, fields: dict[str, str]) -> None:
        """Write into the fields of the dialog that comes, found by the words before them, and say yes."""

        def run(dialog: QDialog) -> int:
            for words, text in fields.items():
                label = next(one for one in dialog.findChildren(QLabel) if one.text().replace("&", "") == words)
                field = label.buddy()
                if isinstance(field, QComboBox):
                    field.setCurrentText(text)
                elif isinstance(field, QLineEdit):
                    field.selectAll()
                    QTest.keyClicks(field, text)
            dialog.accept()
            assert dialog.result(), [one.text() for one in dialog.findChildren(QLabel)]
            return dialog.result()

        self.monkeypatch.setattr(QDialog, "exec", run)

    def says(self) -> str:
        """What the window said last."""
        assert self.window.file
        return self.window.file.log[-1].sentence


@pytest.fixture
def stranger(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Stranger:
    monkeypatch.chdir(tmp_path)
    memory = Memory(tmp_path / "desk.ini")
    memory.keep("folder", str(tmp_path / "show"))
    (tmp_path / "show").mkdir()
    dress(memory)
    window = Window(memory)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    window.show()
    return Stranger(window, qtbot, monkeypatch)


def begin(stranger: Stranger, folder: Path) -> None:
    stranger.fill_the_next_dialog({"Title": "The Salt Stair", "Frames a second": "24", "Target length": "00:00:05:12"})
    stranger.press("Begin a fight ...")
    assert stranger.window.file and stranger.window.file.path == folder / "the_salt_stair.previs"


def take_in(stranger: Stranger, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tape = make_clip(
        folder / "film.mp4",
        frames=200,
        rate=Fraction(24),
        options={"g": "24"},
        metadata={"timecode": "10:00:00:00"},
        click_frames=list(HITS.values()),
    )
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(tape.path)], ""))
    monkeypatch.setattr(QInputDialog, "getItem", lambda *_: ("A", True))
    stranger.press("Take in tapes ...")
    stranger.idle()


def write_the_fight(stranger: Stranger) -> None:
    clipboard = QGuiApplication.clipboard()
    assert clipboard
    clipboard.setText(FIGHT.replace(",", "\t"))
    stranger.press("Paste the fight")


def log_a_take(stranger: Stranger) -> None:
    place = stranger.place
    assert isinstance(place, LogPlace)
    stranger.qtbot.waitUntil(lambda: place.hearing.of("FILM") is not None, timeout=30_000)

    def go_to(frame: int) -> None:
        at = QPoint(round(place.sheet._scale.x(frame + 0.5)), round(place.sheet._rows().sound.center().y()))
        QTest.mouseClick(place.sheet, Qt.MouseButton.LeftButton, pos=at)
        assert place.player.frame == frame

    go_to(12)
    stranger.key(Key.Key_T)
    go_to(191)
    stranger.key(Key.Key_T)
    go_to(12)
    stranger.key(Key.Key_3)
    for frame in list(HITS.values())[:4]:
        go_to(frame + 2)
        stranger.key(Key.Key_B)
    assert "choose its last phrase" in place.hand.told
    last = next(one for one in place.findChildren(QComboBox) if one.accessibleName() == "Last phrase")
    last.setFocus()
    stranger.key(Key.Key_Down)
    for frame in list(HITS.values())[3:]:
        # A person taps a little late; the tap goes to the click.
        go_to(frame + 2)
        stranger.key(Key.Key_B)
    go_to(150)
    stranger.key(Key.Key_W)
    go_to(165)
    stranger.key(Key.Key_W)


def test_from_an_empty_folder_to_an_edit_list(stranger: Stranger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "show"
    begin(stranger, folder)
    stranger.key(Key.Key_1, Held.ControlModifier)
    take_in(stranger, folder, monkeypatch)
    stranger.key(Key.Key_3, Held.ControlModifier)
    write_the_fight(stranger)
    stranger.key(Key.Key_2, Held.ControlModifier)
    log_a_take(stranger)
    logged = open_document(folder / "the_salt_stair.previs").sequence
    assert [hit.move for hit in logged.takes[0].hits] == list(HITS)
    assert [float(hit.at * 24) for hit in logged.takes[0].hits] == pytest.approx(list(HITS.values()), abs=0.1)
    assert logged.takes[0].framings[0].size is Size.FULL

    stranger.key(Key.Key_4, Held.ControlModifier)
    stranger.fill_the_next_dialog({})
    stranger.press("Assemble ...")
    stranger.idle()
    sequence = open_document(folder / "the_salt_stair.previs").sequence
    assert faults_in(sequence) == ()
    cut = sequence.cuts[0]
    assert cut.frames == sequence.target_frames == 5 * 24 + 12

    stranger.key(Key.Key_6, Held.ControlModifier)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(folder / "stair_v1.edl"), ""))
    stranger.press("Edit list ...")
    stranger.idle()
    listed = pycmx.parse_cmx3600(io.StringIO((folder / "stair_v1.edl").read_text("ascii")))
    edits = [edit for event in listed.events for edit in event.edits]
    assert [edit.source for edit in edits] == ["FILM" if isinstance(shot.picture, Footage) else "BL" for shot in cut.shots]
    assert edits[0].record_in == "01:00:00:00" and edits[-1].record_out == "01:00:05:12"
    shown: list[int] = []
    for edit, shot in zip(edits, cut.shots, strict=True):
        assert FILM.frame(edit.record_out) - FILM.frame(edit.record_in) == shot.frames
        tape = range(FILM.frame(edit.source_in) - FILM.frame("10:00:00:00"), FILM.frame(edit.source_out) - FILM.frame("10:00:00:00"))
        shown += [move for move, frame in HITS.items() if frame in tape]
    assert shown == [1, 2, 3, 4, 5]
    assert any(treatment.kind is Kind.RIG_REMOVAL for treatment in sequence.treatments)
    assert "RIG REMOVAL" in (folder / "stair_v1.edl").read_text("ascii").upper()
