"""The chart under the hand: what follows the pointer, what is said, what is kept, and what happens while a drag is held."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PyQt6.QtCore import QEvent, QPoint, Qt
from PyQt6.QtGui import QColor, QHelpEvent, QImage
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication, QListWidget, QToolTip, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from previs.cut import edits, transitions
from previs.cut.placing import place
from previs.desk.chart import kept
from previs.desk.chart.sheet import sheet_of
from previs.desk.chart.view import StepChart
from previs.desk.looks import DAY, LAMP, looks, wear
from previs.desk.open_file import OpenFile
from previs.document.model import Card

PRESS, MOVE, RELEASE = QEvent.Type.MouseButtonPress, QEvent.Type.MouseMove, QEvent.Type.MouseButtonRelease
SHIFT, ALT = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
Mouse = Callable[..., None]


def cut_point(file: OpenFile) -> int:
    return file.sequence.cut("v1").shots[0].frames


def test_a_dragged_head_follows_the_pointer_and_gives_the_edit(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    chart.snap = False
    before, each = file.sequence, chart._scale.each
    start = chart._scale.x(cut_point(file))
    tail = chart._scale.x(before.cut("v1").shots[0].frames + before.cut("v1").shots[1].frames)
    mouse(PRESS, start + 2)
    mouse(MOVE, start + 2 + 6 * each)
    assert chart._scale_now.x(cut_point(file)) == pytest.approx(start + 6 * each)
    sheet = chart._sheet
    assert sheet and chart._scale_now.x(sheet.steps[1].record.end_exclusive) == pytest.approx(tail)
    mouse(RELEASE, start + 2 + 6 * each)
    assert file.sequence == edits.trim_head(before, "v1", 2, -6)


def test_slipping_shows_what_was_earlier_on_the_tape(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    before, each = file.sequence, chart._scale.each
    middle = chart._scale.x(cut_point(file) // 2)
    shown: list[tuple[str, int]] = []
    chart.edge_pointed.connect(lambda reel, frame: shown.append((reel, frame)))
    mouse(PRESS, middle, ALT)
    mouse(MOVE, middle + 4 * each, ALT)
    mouse(RELEASE, middle + 4 * each, ALT)
    assert file.sequence == edits.slip(before, "v1", 1, -4)
    source = place(file.sequence, file.sequence.cut("v1"))[0].source
    assert source and shown == [(source.tape.reel, source.first_frame)]


def test_while_a_tail_is_dragged_its_last_frame_is_pointed_at(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    chart.snap = False
    source = place(file.sequence, file.sequence.cut("v1"))[0].source
    assert source
    end = chart._scale.x(cut_point(file)) - 2
    shown: list[tuple[str, int]] = []
    previews: list[object] = []
    chart.edge_pointed.connect(lambda reel, frame: shown.append((reel, frame)))
    chart.previewed.connect(previews.append)
    mouse(PRESS, end)
    for by in (1, 2, 2, 3):
        mouse(MOVE, end - by * chart._scale.each)
    assert shown == [(source.tape.reel, source.frame(cut_point(file) - 1 - by)) for by in (1, 2, 3)]
    assert previews == [edits.trim_tail(file.sequence, "v1", 1, -by) for by in (1, 2, 3)]
    QTest.keyClick(chart, Qt.Key.Key_Escape)
    assert previews[-1] is None


def test_an_edit_that_comes_during_a_drag_is_kept_and_ends_the_drag(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    end = chart._scale.x(cut_point(file)) - 2
    mouse(PRESS, end)
    mouse(MOVE, end - 40)
    assert file.edit(lambda one: edits.lock(one, "v1", 2, True), "lock shot 2 of v1")
    kept_now = file.sequence
    mouse(RELEASE, end - 40)
    assert file.sequence is kept_now and kept_now.cut("v1").shots[1].locked


def test_a_drag_says_large_what_it_comes_to(chart: StepChart, file: OpenFile, mouse: Mouse, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[tuple[str, list[str]]] = []
    monkeypatch.setattr("previs.desk.chart.view.draw_panel", lambda *parts: told.append(parts[-2:]))
    chart.snap = False
    end, each = chart._scale.x(cut_point(file)) - 2, chart._scale.each
    mouse(PRESS, end)
    mouse(MOVE, end - 6 * each)
    chart.grab()
    large, lines = told[-1]
    frames = cut_point(file) - 6
    assert large == "-6 frames"
    assert lines[0].startswith(f"Shot 1: {frames} frames, {frames / 24:.2f} s")
    over = file.sequence.cut("v1").frames - 6 - file.sequence.cut("v1").target_frames
    assert (f"({abs(over)} frames)" in lines[2]) or over == 0
    mouse(MOVE, end - 5000)
    chart.grab()
    assert "leave it one frame at least" in told[-1][1][-1]


def test_with_stops_an_edge_comes_to_the_frame_that_is_shown(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    end, each = chart._scale.x(cut_point(file)) - 2, chart._scale.each
    hits = [seen.record_frame for seen, _ in sheet_of(file.sequence, file.sequence.cut("v1")).ticks]
    wanted = next(by for by in range(8, 30) if all(abs(cut_point(file) - by - hit + 4) > 3 for hit in hits))
    chart.set_frame(cut_point(file) - 1 - wanted)
    mouse(PRESS, end)
    mouse(MOVE, end - (wanted + 1) * each)
    mouse(RELEASE, end - (wanted + 1) * each)
    assert file.steps[0] == "trim the tail of shot 1 of v1"
    left = file.sequence.cut("v1").shots[0].frames
    file.undo()
    assert left == cut_point(file) - wanted


def test_a_drag_held_at_the_border_brings_in_what_lies_beyond(chart: StepChart, file: OpenFile, mouse: Mouse, qtbot: QtBot) -> None:
    chart.snap = False
    chart.set_frame(cut_point(file))
    for _ in range(8):
        chart.zoom_in()
    chart.reveal(cut_point(file) - 5, cut_point(file) + 1)
    first, end = chart._scale.first, chart._scale.x(cut_point(file)) - 2
    mouse(PRESS, end)
    mouse(MOVE, chart._scale.left + 2)
    assert chart._held and chart._scale.first == first, "taking hold of an edge must not shift the chart under the pointer"
    at_once = chart._held.preview.frames
    qtbot.waitUntil(lambda: chart._scale.first < first)
    qtbot.waitUntil(lambda: chart._held is not None and chart._held.preview.frames < at_once)
    QTest.keyClick(chart, Qt.Key.Key_Escape)
    assert chart._shifting == 0


def test_pressing_a_step_scrubs_and_the_ruler_too(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    wanted: list[int] = []
    chart.frame_wanted.connect(wanted.append)
    x = chart._scale.x(20) + chart._scale.each / 2
    mouse(PRESS, x)
    mouse(MOVE, x + 3 * chart._scale.each)
    mouse(RELEASE, x)
    assert wanted == [20, 23]
    mouse(PRESS, chart._scale.x(30) + 1, y=chart.height() - 5)
    mouse(MOVE, 100_000, y=0)
    assert wanted[2:] == [30, file.sequence.cut("v1").frames - 1]
    mouse(RELEASE, 100_000)


def test_the_shot_under_the_pointer_is_said_once(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    heard: list[int] = []
    chart.hovered.connect(heard.append)
    for frame in (10, 12, cut_point(file) + 10):
        QTest.mouseMove(chart, QPoint(round(chart._scale.x(frame)), 180))
    QApplication.sendEvent(chart, QEvent(QEvent.Type.Leave))
    assert heard == [1, 2, 0]
    assert chart.shot_under(chart._scale.x(10)) == 1 and chart.shot_under(5) is None


def test_keys_keep_the_shown_frame_where_it_is_while_zooming(chart: StepChart, file: OpenFile) -> None:
    chart.set_frame(cut_point(file))
    chart.setFocus()
    at = chart._scale.x(chart.frame + 0.5)
    for _ in range(30):
        QTest.keyClick(chart, Qt.Key.Key_Plus)
        assert chart._scale.x(chart.frame + 0.5) == pytest.approx(at, abs=0.01)
    assert chart._scale.each == 24.0
    chart.whole()
    assert chart._scale.x(file.sequence.cut("v1").frames) < chart.width()


def test_one_makes_the_chosen_shot_as_large_as_it_fits(chart: StepChart, file: OpenFile) -> None:
    chart.fill_with_shot()
    assert file.log[-1].sentence == "Choose a shot first."
    chart.choose(2)
    chart.fill_with_shot()
    step = chart._step(2)
    assert step
    width = chart._scale.x(step.record.end_exclusive) - chart._scale.x(step.record.start)
    assert width == pytest.approx(chart._scale.width * 0.8, abs=1) or chart._scale.each == 24.0
    assert chart._scale.left <= chart._scale.x(step.record.start) < chart._scale.x(step.record.end_exclusive) <= chart.width()


def test_lists_beside_the_chart_keep_their_arrows(chart: StepChart, file: OpenFile, qtbot: QtBot) -> None:
    around, items = QWidget(), QListWidget()
    qtbot.addWidget(around)
    items.addItems(["one", "two", "three"])
    inside = QVBoxLayout(around)
    inside.addWidget(chart)
    inside.addWidget(items)
    around.addActions(chart.actions())
    around.show()
    chart.show()
    around.activateWindow()
    items.setFocus()
    qtbot.waitUntil(items.hasFocus)
    items.setCurrentRow(0)
    QTest.keyClick(items, Qt.Key.Key_Down)
    assert items.currentRow() == 1 and chart.chosen is None
    chart.setFocus()
    qtbot.waitUntil(chart.hasFocus)
    QTest.keyClick(chart, Qt.Key.Key_Down)
    assert chart.chosen == 1
    inside.removeWidget(chart)
    chart.setParent(None)


def test_the_description_follows_the_chosen_shot(chart: StepChart, file: OpenFile) -> None:
    assert chart.accessibleDescription() == "No shot is chosen."
    chart.choose(1)
    frames = cut_point(file)
    assert chart.accessibleDescription().startswith(f"Shot 1: {frames} frames")
    file.edit(lambda one: edits.trim_tail(one, "v1", 1, -2), "trim")
    assert chart.accessibleDescription().startswith(f"Shot 1: {frames - 2} frames")
    file.edit(lambda one: edits.lock(one, "v1", 1, True), "lock")
    chart.marks({1: "C09: a face shows."})
    assert chart.accessibleDescription().splitlines()[-2:] == ["locked", "C09: a face shows."]
    chart.choose(99)
    assert chart.chosen is None


def test_a_tip_tells_of_the_shot_and_of_the_upper_hand(chart: StepChart, file: OpenFile, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(QToolTip, "showText", lambda _at, text, _of: told.append(text))
    file.edit(lambda one: edits.insert(one, "v1", 1, Card("the leap", 5), 24), "insert")
    spell = next(spell for spell in sheet_of(file.sequence, file.sequence.cut("v1")).spells if spell.holder == "Odile")
    for x, y in ((chart._scale.x(10), 200), (chart._scale.x(spell.record.start) + 2, 10), (3, 100)):
        at = QPoint(round(x), y)
        QApplication.sendEvent(chart, QHelpEvent(QEvent.Type.ToolTip, at, chart.mapToGlobal(at)))
    assert told[0] == "Shot 1: 24 frames, 1.00 s\ncard: the leap\nmoves 5"
    assert told[1].startswith("Odile has the upper hand from 01:00:0")
    assert told[2] == ""


def test_a_tip_tells_what_can_be_dragged_and_a_sound_that_leads(chart: StepChart, file: OpenFile, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(QToolTip, "showText", lambda _at, text, _of: told.append(text))
    file.edit(lambda one: transitions.lead_sound(one, "v1", 2, -6), "lead the sound")
    for x in (cut_point(file) / 2, cut_point(file)):
        at = QPoint(round(chart._scale.x(x)) + 1, 200)
        QApplication.sendEvent(chart, QHelpEvent(QEvent.Type.ToolTip, at, chart.mapToGlobal(at)))
    assert told[0].splitlines()[-1] == "Ctrl or Alt and drag: other frames of the take in the same place"
    assert told[1].splitlines()[-2:] == [
        "sound begins 6 frames after its picture",
        "Drag: longer or shorter; with Shift: this cut earlier or later, and all others stay",
    ]


def test_a_sound_that_begins_later_is_drawn_under_the_cut(chart: StepChart, file: OpenFile) -> None:
    def blue() -> int:
        picture, where = chart.grab().toImage(), chart._bands(sheet_of(file.sequence, file.sequence.cut("v1")))
        x, y = round(chart._scale.x(cut_point(file) + 6)), round(where.floor) + 4
        return int(picture.pixelColor(x, y) == QColor(looks().blue))

    file.edit(lambda one: transitions.lead_sound(one, "v1", 2, -12), "lead the sound")
    assert blue() == 1
    file.undo()
    assert blue() == 0


def test_ctrl_slips_too_since_desktops_move_windows_with_alt(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    before, middle = file.sequence, chart._scale.x(cut_point(file) // 2)
    for kind, by in ((PRESS, 0), (MOVE, 4), (RELEASE, 4)):
        mouse(kind, middle + by * chart._scale.each, Qt.KeyboardModifier.ControlModifier)
    assert file.sequence == edits.slip(before, "v1", 1, -4)


def test_a_drag_that_was_let_go_of_says_what_it_did(chart: StepChart, file: OpenFile, mouse: Mouse) -> None:
    chart.snap = False
    end, frames, total = chart._scale.x(cut_point(file)) - 2, cut_point(file), file.sequence.cut("v1").frames
    for kind, by in ((PRESS, 0), (MOVE, 3), (RELEASE, 3)):
        mouse(kind, end - by * chart._scale.each)
    said = file.log[-1].sentence
    assert said.startswith("Done: trim the tail of shot 1 of v1. Shot 1 is now 01:00:00:00 to ")
    assert f": {frames - 3} frames of take " in said
    assert f"The cut lasts {file.sequence.timebase.duration(total - 3)}, " in said
    QTest.keyClick(chart, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert "The cut lasts" not in file.log[-1].sentence


def test_a_playing_picture_costs_no_drawing(chart: StepChart, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[object] = []
    paint = kept._painted
    monkeypatch.setattr(kept, "_painted", lambda view: (drawn.append(view), paint(view))[1])
    chart.grab()
    first = len(drawn)
    for frame in range(12):
        chart.set_frame(frame)
        chart.grab()
    assert len(drawn) == first
    chart.choose(1)
    chart.grab()
    assert len(drawn) == first + 1


def colours(image: QImage) -> set[str]:
    return {QColor(image.pixel(x, y)).name() for x in range(0, image.width(), 2) for y in range(image.height())}


def test_it_is_drawn_in_the_colours_of_the_looks(chart: StepChart, file: OpenFile) -> None:
    chart.choose(1)
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    try:
        for one in (LAMP, DAY):
            wear(app, one)
            seen = colours(chart.grab().toImage())
            assert {one.ground, one.ink, one.red, one.shade, one.chosen, one.focus} <= {name.upper() for name in seen} | {
                name.lower() for name in seen
            }
    finally:
        wear(app, DAY)
