"""The Floor place at work, by the window's own keys, buttons and mouse: a plan read, laid, walked on, drawn on and printed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pytest
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication, QDialog, QFileDialog
from pytestqt.qtbot import QtBot

from previs.desk.floor.page import FloorPage
from previs.desk.floor.place import FloorPlace
from previs.desk.floor.room_dialog import RoomDialog
from previs.desk.open_file import Tone
from previs.desk.window import Window
from previs.document.floor import Floor
from previs.document.store import open_document

Key, Held = Qt.Key, Qt.KeyboardModifier
SAMPLE = Path(__file__).parents[3] / "sample_media" / "floor"
ROUTES = """role,phrase,x,y,move
Odile,1,1.0,1.3,1
Odile,1,2.0,1.3,2
Odile,1,6.0,1.3,3
Reeve,1,2.2,1.3,1
Reeve,1,3.2,1.3,2
Reeve,1,4.2,1.3,3
"""


@pytest.fixture
def page(window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[FloorPage]:
    window.resize(1280, 800)
    window.show_place(6)
    place = window.places[6]
    assert isinstance(place, FloorPlace)
    yield place.page
    idle(qtbot, place.page)


def idle(qtbot: QtBot, page: FloorPage) -> None:
    file = page.file
    qtbot.waitUntil(lambda: not (file.work.running or file.looking.running or page.quiet.running), timeout=60_000)


def floor(page: FloorPage) -> Floor:
    """What is on disk, which is what the place has."""
    there = open_document(page.file.path).sequence
    assert there == page.file.sequence and there.floor
    return there.floor


def key(key: Qt.Key, held: Qt.KeyboardModifier = Held.NoModifier) -> None:
    target = QApplication.focusWidget()
    assert target
    QTest.keyClick(target, key, held)


def read_the_plan(page: FloorPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, path: Path = SAMPLE / "salt_stair.dxf") -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    key(Key.Key_N, Held.ControlModifier)
    idle(qtbot, page)


def lay_it(page: FloorPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, room: str = "room.csv") -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(SAMPLE / room), ""))
    key(Key.Key_R, Held.ControlModifier | Held.ShiftModifier)
    idle(qtbot, page)
    key(Key.Key_T, Held.ControlModifier)
    idle(qtbot, page)


def test_a_plan_is_read_laid_and_printed(page: FloorPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert page._pages.currentIndex() == 0
    read_the_plan(page, qtbot, monkeypatch)
    assert len(floor(page).lines) == 17 and page._pages.currentIndex() == 1
    lay_it(page, qtbot, monkeypatch)
    assert len(floor(page).laid) == 1 and "All of the plan fits" in page.file.log[-1].sentence

    def accept(dialog: QDialog) -> int:
        dialog.place.line.setText(str(tmp_path / "tape"))  # type: ignore[attr-defined]
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(QDialog, "exec", accept)
    key(Key.Key_P, Held.ControlModifier)
    idle(qtbot, page)
    names = {path.name for path in (tmp_path / "tape").iterdir()}
    assert {"tapeout.pdf", "tapeout.dxf", "tapeout_points.csv"} <= names
    read = ezdxf.readfile(tmp_path / "tape" / "tapeout.dxf")
    assert len(read.modelspace()) > 20
    for _ in range(3):
        page.file.undo()
    assert page.file.sequence.floor is None and page._pages.currentIndex() == 0


def test_a_room_that_is_too_small_gives_sections(page: FloorPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    read_the_plan(page, qtbot, monkeypatch)

    def fill(dialog: RoomDialog) -> int:
        QTest.keyClicks(dialog.length, "9")
        QTest.keyClicks(dialog.width_field, "6")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(RoomDialog, "exec", fill)
    key(Key.Key_R, Held.ControlModifier)
    key(Key.Key_T, Held.ControlModifier)
    idle(qtbot, page)
    assert len(floor(page).laid) > 1 and page.choices.sections.count() == len(floor(page).laid)


def test_roles_go_in_step_with_the_player_and_a_cue_leads_to_its_moment(
    page: FloorPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_the_plan(page, qtbot, monkeypatch)
    lay_it(page, qtbot, monkeypatch)
    (tmp_path / "routes.csv").write_text(ROUTES)
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(tmp_path / "routes.csv")], ""))
    key(Key.Key_U, Held.ControlModifier)
    idle(qtbot, page)
    assert {(route.role, route.phrase) for route in floor(page).routes} == {("Odile", 1), ("Reeve", 1)}
    places = []
    for frame in (0, page.player.frames // 4, page.player.frames // 2):
        page.player.seek(frame)
        places.append({role: spot for role, _, spot in page.sheet._there})
    assert places[0] != places[1]
    page.player.seek(0)
    door = next(line for line in page._found.cues if "first door" in line.what)
    assert door.who == "Odile" and door.goes_to is not None
    page.lists.chosen.emit(door)
    assert page.player.frame == round(door.goes_to)


def test_a_way_is_drawn_with_clicks_pushed_and_taken_away(page: FloorPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    read_the_plan(page, qtbot, monkeypatch)
    page.sheet.setFocus()
    key(Key.Key_D)
    assert page.hand.drawing
    for x, y in ((1000, 1300), (2500, 1300), (4000, 1000)):
        at = page.sheet.sight.pixel((x, y))
        QTest.mouseClick(page.sheet, Qt.MouseButton.LeftButton, pos=QPoint(round(at[0]), round(at[1])))
    (route,) = floor(page).routes
    assert [point.move for point in route.points] == [1, 2, 3]
    assert all(abs(point.at[0] - x) <= 60 for point, x in zip(route.points, (1000, 2500, 4000), strict=True))
    before = route.points[-1].at
    key(Key.Key_Right, Held.ControlModifier)
    (route,) = floor(page).routes
    assert route.points[-1].at == (before[0] + 50, before[1])
    key(Key.Key_Delete)
    assert len(floor(page).routes[0].points) == 2
    page.file.undo()
    assert len(floor(page).routes[0].points) == 3
    key(Key.Key_Escape)
    assert not page.hand.drawing


def test_what_is_missing_or_broken_is_one_sentence(page: FloorPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = page.file.sequence
    for shortcut in (Key.Key_T, Key.Key_P):
        key(shortcut, Held.ControlModifier)
        assert page.file.log[-1].tone is Tone.FAULT and "\n" not in page.file.log[-1].sentence
    broken = tmp_path / "broken.dxf"
    broken.write_bytes(b"\x00\x01no drawing" * 50)
    read_the_plan(page, qtbot, monkeypatch, broken)
    assert page.file.log[-1].tone is Tone.FAULT and "broken.dxf" in page.file.log[-1].sentence
    assert page.file.sequence is before
