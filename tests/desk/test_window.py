from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from previs.cut.edits import trim_tail
from previs.desk.lists import keys_page
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone, _moment
from previs.desk.window import PLACES, Window
from previs.document.store import open_document
from previs.faults import Fault


def test_every_place_is_reached_by_its_key(window: Window, qtbot: QtBot) -> None:
    window.activateWindow()
    for number, place in enumerate(PLACES):
        qtbot.keyClick(window, getattr(Qt.Key, f"Key_{number + 1}"), Qt.KeyboardModifier.ControlModifier)
        assert window.memory.text("place") == place.ident


def test_an_edit_is_on_disk_at_once_and_undo_outlives_the_window(window: Window, document: Path) -> None:
    assert window.file
    before = window.file.sequence
    assert window.file.edit(lambda one: trim_tail(one, "v1", 1, 3), "trim the tail of shot 1 of v1")
    assert open_document(document).sequence == window.file.sequence != before
    window.close_file()
    assert window.open(document)
    assert window.file.steps[0] == "trim the tail of shot 1 of v1"
    window.file.undo()
    assert open_document(document).sequence == window.file.sequence == before


def test_an_edit_that_cannot_be_made_is_said_and_changes_nothing(file: OpenFile) -> None:
    before = file.sequence
    assert not file.edit(lambda one: trim_tail(one, "v1", 99, 3), "trim")
    assert file.log[-1].tone is Tone.FAULT and "99" in file.log[-1].sentence
    assert file.sequence is before


def test_a_second_window_on_the_same_file_is_refused_in_one_sentence(window: Window, document: Path, qtbot: QtBot, memory: Memory) -> None:
    other = Window(memory)
    qtbot.addWidget(other)
    assert not other.open(document)
    assert "is open" in other._start.log[-1].sentence


def test_background_work_hands_its_result_over_and_a_fault_is_said(file: OpenFile, qtbot: QtBot) -> None:
    found: list[int] = []
    file.do("counting", lambda report: 7, found.append)
    qtbot.waitUntil(lambda: found == [7])

    def fail(report: object) -> None:
        raise Fault("The tape is away; bring it back.")

    with qtbot.waitSignal(file.work.failed):
        file.do("failing", fail, lambda _: None)
    qtbot.waitUntil(lambda: file.log[-1].sentence == "The tape is away; bring it back.")


def test_the_list_of_keys_has_every_key(window: Window) -> None:
    page = keys_page(window._everywhere, window.places)
    for action in window._everywhere:
        for key in action.shortcuts():
            assert key.toString() in page


def test_the_keys_of_the_place_where_the_person_is_come_first(window: Window) -> None:
    here = window.places[3]
    page = keys_page(window._everywhere, window.places, here)
    order = [page.index(f"<h3>{title}</h3>") for title in (here.title, "Everywhere", window.places[0].title)]
    assert order == sorted(order) and order[0] == 0
    assert page.count(f"<h3>{here.title}</h3>") == 1


def test_the_foot_does_not_keep_what_no_longer_holds(window: Window) -> None:
    assert window.file
    window.file.say("The cut is 163 frames over its target.")
    assert window.file.edit(lambda one: trim_tail(one, "v1", 1, 3), "trim the tail of shot 1 of v1")
    assert window._foot._sentence.text() == "Done: trim the tail of shot 1 of v1."
    assert [line.sentence for line in window.file.log] == ["The cut is 163 frames over its target."]


def test_what_is_said_of_an_edit_stands_in_the_place_of_its_bare_name(window: Window) -> None:
    assert window.file
    window.file.edit(lambda one: trim_tail(one, "v1", 1, 3), "trim")
    window.file.say("Shot 1 is shorter now.")
    assert window._foot._sentence.text() == "Shot 1 is shorter now."


def test_going_to_a_spot_shows_its_place(window: Window) -> None:
    assert window.file
    window.file.go(Spot("fight", move=3))
    assert window.memory.text("place") == "fight"


def test_the_looks_change_and_are_remembered(window: Window) -> None:
    window._other_looks()
    assert window.memory.text("looks") == "lamp"
    app = QApplication.instance()
    assert isinstance(app, QApplication) and app.palette().window().color().lightness() < 80
    window._other_looks()


def test_what_is_said_is_never_taken_for_markup(window: Window) -> None:
    assert window.file
    window.file.say("<b>Another</b> fight", Tone.FAULT)
    assert window._foot._sentence.text().endswith("<b>Another</b> fight")
    assert window._foot._sentence.textFormat() is Qt.TextFormat.PlainText


def test_a_file_that_was_left_open_says_since_when_in_a_way_that_can_be_read() -> None:
    assert len(_moment("2026-11-25T21:49:28+00:00")) == len("2026-11-25 21:49")
    assert _moment("2026-11-25T21:49:28") == "2026-11-25 21:49"
    assert _moment("yesterday") == "yesterday"


def test_the_window_opens_without_the_library_that_draws_charts() -> None:
    asked = "import sys, previs.desk.app; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout.split()
    assert "previs.desk.window" in loaded and "matplotlib" not in loaded
