"""The Cut place as a person uses it: choose, drag, try another take, go to a check, assemble, copy, undo."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt6.QtGui import QMouseEvent
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication, QDialog
from pytestqt.qtbot import QtBot
from two_cuts import Fill

from previs.cut.assembly import assemble, next_name, with_cut
from previs.cut.edits import lock, trim_tail
from previs.cut.retimes import replace_take
from previs.cut.stand_ins import stand_ins
from previs.desk.chart.dragging import Drag
from previs.desk.cut.place import CutPlace
from previs.desk.cut.shown import shot_span
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.player.strips import CutStrip, TapeStrip
from previs.document.settings import Wanted, set_to
from previs.document.store import open_document
from previs.fight.checks import checks


def start(file: OpenFile, shot: int) -> int:
    span = shot_span(file.sequence.cut("v2"), shot)
    assert span
    return span.start


def wait_for_stand_ins(place: CutPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: place.instead.found != ())


def test_a_chosen_shot_is_shown_from_its_first_frame_and_the_player_moves_the_chart(place: CutPlace, file: OpenFile) -> None:
    place.chart.choose(4)
    assert place.player.strip == CutStrip("v2") and place.player.frame == place.chart.frame == start(file, 4) == 74
    place.player.step(3)
    assert place.chart.frame == 77 and place.chart.chosen == 4
    place.chart.frame_wanted.emit(5)
    assert place.player.frame == place.chart.frame == 5


def test_the_card_tells_what_the_shot_is_and_why(place: CutPlace, file: OpenFile) -> None:
    place.chart.choose(2)
    assert "B1" in place.card.toPlainText() and "It was the best." in place.card.toPlainText()
    place.chart.choose(3)
    assert "the thrust" in place.card.toPlainText() and "put here by hand" in place.card.toPlainText()
    place.chart.choose(5)
    assert "dissolve of 8 frames" in place.card.toPlainText()
    place.chart.choose(None)
    assert "Choose a shot" in place.card.toPlainText()


def test_an_edge_that_was_nudged_along_is_told_once(place: CutPlace, file: OpenFile) -> None:
    place.chart.choose(2)
    for _ in range(3):
        place.chart.by_keys(Drag.TRIM_TAIL, 1)
    told = place.card.toPlainText()
    assert "By hand: 1 frame longer. (3 times)" in told and "Before that: It was the best." in told


def test_going_to_a_spot_shows_its_cut_shot_and_frame(place: CutPlace, file: OpenFile) -> None:
    place.go(Spot("cut", shot=5))
    assert (place.chart.chosen, place.player.frame) == (5, 114)
    place.go(Spot("cut", frame=80))
    assert (place.chart.chosen, place.player.frame) == (4, 80)
    place.go(Spot("cut", move=4))
    assert place.chart.chosen == 4
    place.go(Spot("cut", shot=99))
    assert place.chart.chosen == 4


def test_a_check_that_is_clicked_is_gone_to_and_says_what_would_mend_it(place: CutPlace, file: OpenFile, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: place.checks.findings != ())
    found = checks(file.sequence, file.sequence.cut("v2"))
    assert sorted(map(repr, place.checks.findings)) == sorted(map(repr, found))
    weights = [one.severity for one in place.checks.findings]
    assert weights == sorted(weights, key=["error", "warning", "note"].index) and weights[0] == "error"
    row, one = next((row, one) for row, one in enumerate(place.checks.findings) if one.shot and one.record_frame is not None)
    item = place.checks.item(row)
    assert item and one.sentence in item.text() and one.severity.value in item.text()
    viewport = place.checks.viewport()
    assert viewport
    place.checks.scrollToItem(item)
    QTest.mouseClick(viewport, Qt.MouseButton.LeftButton, pos=place.checks.visualItemRect(item).center())
    assert (place.chart.chosen, place.player.frame) == (one.shot, one.record_frame)
    assert file.log[-1].sentence == one.mend


def test_the_checks_are_those_of_the_cut_after_an_edit(place: CutPlace, file: OpenFile, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: any("36 frames" in one.sentence for one in place.checks.findings))
    assert file.edit(lambda one: trim_tail(one, "v2", 1, 4), "trim")
    qtbot.waitUntil(lambda: any("40 frames" in one.sentence for one in place.checks.findings))


def test_replacing_the_take_from_the_strip_is_the_rooms_edit(place: CutPlace, file: OpenFile, qtbot: QtBot) -> None:
    before = file.sequence
    place.chart.choose(4)
    wait_for_stand_ins(place, qtbot)
    assert [one.take.name for one in place.instead.found] == [one.take.name for one in stand_ins(before, "v2", 4)] == ["C1"]
    place.instead.setCurrentRow(0)
    QTest.keyClick(place.instead, Qt.Key.Key_Return)
    assert file.sequence == replace_take(before, "v2", 4, "C1")
    assert file.steps[0] == "replace the take of shot 4 by C1 of v2"
    file.undo()
    assert file.sequence == before


def test_a_stand_in_plays_in_the_picture_while_it_is_pointed_at(place: CutPlace, file: OpenFile, qtbot: QtBot) -> None:
    place.chart.choose(4)
    place.player.step(2)
    wait_for_stand_ins(place, qtbot)
    viewport, item = place.instead.viewport(), place.instead.item(0)
    assert viewport and item
    place.instead.leaveEvent(None)
    QTest.mouseMove(viewport, place.instead.visualItemRect(item).center())
    qtbot.waitUntil(lambda: place.player.playing)
    assert isinstance(place.player.strip, TapeStrip) and place.player.strip.reel == "PAL"
    assert place.player.strip.first_frame == place.instead.found[0].first_frame
    assert place.chart.frame == 76  # the chart stays with the cut
    place.instead.leaveEvent(None)
    assert not place.player.playing and place.player.strip == CutStrip("v2") and place.player.frame == 76


def test_a_take_that_cannot_stand_in_is_listed_with_the_sentence_why(place: CutPlace, file: OpenFile, qtbot: QtBot) -> None:
    before = file.sequence
    cut = replace(before.cut("v2"), shots=(replace(before.cut("v2").shots[0], frames=60), *before.cut("v2").shots[1:]))
    assert file.edit(lambda one: replace(one, cuts=(one.cuts[0], cut)), "longer")
    short = replace(before.take("B1"), hits=before.take("B1").hits[:1])
    assert file.edit(lambda one: replace(one, takes=tuple(short if take.name == "B1" else take for take in one.takes)), "fewer hits")
    now = file.sequence
    place.chart.choose(1)
    wait_for_stand_ins(place, qtbot)
    one = place.instead.found[0]
    assert one.take.name == "B1" and one.sequence is None
    item = place.instead.item(0)
    assert item and one.fault in item.text()
    place.instead.itemActivated.emit(item)
    assert file.sequence is now and file.log[-1].sentence == one.fault


def test_arrows_walk_in_a_list_that_has_the_keys_and_not_on_the_chart(place: CutPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: len(place.checks.findings) > 1)
    place.chart.choose(2)
    place.activateWindow()
    place.checks.setFocus()
    place.checks.setCurrentRow(0)
    QTest.keyClick(place.checks, Qt.Key.Key_Down)
    assert place.checks.currentRow() == 1 and place.chart.chosen == 2
    place.chart.setFocus()
    QTest.keyClick(place.chart, Qt.Key.Key_Down)
    assert place.chart.chosen == 3


def test_a_dragged_edge_shows_the_length_and_its_frame_and_makes_the_rooms_edit(place: CutPlace, file: OpenFile) -> None:
    before, chart = file.sequence, place.chart
    place.stage.show_frame(75)
    edge = next(x for x in range(chart.width()) if chart.shot_under(x) == 4 and chart.shot_under(x + 1) == 5)
    at, chart.snap = QPoint(edge, chart.height() // 2), False
    QTest.mousePress(chart, Qt.MouseButton.LeftButton, pos=at)
    there = QPointF(at + QPoint(12, 0))
    none = Qt.KeyboardModifier.NoModifier
    moved = QMouseEvent(QEvent.Type.MouseMove, there, there, Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, none)
    QApplication.sendEvent(chart, moved)
    strip = place.player.strip
    assert isinstance(strip, TapeStrip) and strip.reel == "FILM" and place.chart.chosen == 4
    last, told = place.player.frame, place.heading.told
    QTest.mouseRelease(chart, Qt.MouseButton.LeftButton, pos=at + QPoint(12, 0))
    grown = file.sequence.cut("v2").shots[3].frames - 40
    assert grown > 0 and file.sequence == trim_tail(before, "v2", 4, grown)
    assert last == 90 + 40 + grown - 1 and f"({36 + grown} frames) over" in told
    assert place.player.strip == CutStrip("v2") and place.player.frame == 75
    file.undo()
    assert file.sequence == before and "(36 frames) over" in place.heading.told


def test_assembling_gives_the_rooms_cut_and_it_is_on_disk(
    place: CutPlace, file: OpenFile, qtbot: QtBot, fill: Fill, document: Path
) -> None:
    before = file.sequence
    faults = fill({"target": "00:00:06:00", "name": "director", "keep": "no"})
    place.assemble()
    qtbot.waitUntil(lambda: len(file.sequence.cuts) == 3)
    made = assemble(before, "director", 144)
    assert faults == [] and file.sequence == with_cut(before, made.cut)
    assert open_document(document).sequence == file.sequence
    assert file.steps[0] == "assemble a cut"
    assert place.heading.chooser.currentText() == "director" and place.player.strip == CutStrip("director")
    assert place.note.isVisible() and all(remark in place.note.text for remark in made.remarks)
    file.undo()
    assert file.sequence == before


def test_assembling_around_locked_shots_and_with_other_limits(place: CutPlace, file: OpenFile, qtbot: QtBot, fill: Fill) -> None:
    file.choose_cut("v1")
    assert file.edit(lambda one: lock(one, "v1", 2, True), "lock")
    before = file.sequence
    faults = fill({"target": "7s", "name": "v9", "keep": "yes", "retiming": "20%", "lead": "5"})
    place.assemble()
    qtbot.waitUntil(lambda: len(file.sequence.cuts) == 3)
    looser = set_to(before, Wanted(most_retiming=Fraction(1, 5), lead_frames=5))
    assert faults == []
    assert file.sequence == with_cut(looser, assemble(looser, "v9", 168, before.cut("v1")).cut)
    assert file.sequence.cut("v9").shots[-1] == before.cut("v1").shots[1]


def test_what_an_assembly_said_is_put_away_by_the_next_edit(place: CutPlace, file: OpenFile) -> None:
    place.note.tell(("Cut v2: 163 frames over its target.", "It needs shorter or fewer moves."))
    assert place.note.isVisible()
    assert file.edit(lambda one: trim_tail(one, "v1", 1, -2), "trim")
    assert not place.note.isVisible()


def test_what_cannot_be_assembled_is_told_in_the_form(place: CutPlace, file: OpenFile, fill: Fill) -> None:
    before = file.sequence
    for answers, told in (
        ({"target": "later"}, "no length"),
        ({"target": "0"}, "at least one frame"),
        ({"name": "v1"}, "'v1' already"),
        ({"name": " "}, "needs a name"),
        ({"retiming": "90%"}, "90%"),
        ({"lead": "99999"}, "lead before a hit"),
    ):
        faults = fill(answers)
        place.assemble()
        assert len(faults) == 1 and told in faults[0], faults
    assert file.sequence is before and file.work.running == ()


def test_two_cuts_and_the_chooser(place: CutPlace, file: OpenFile) -> None:
    chooser = place.heading.chooser
    assert [chooser.itemText(number) for number in range(chooser.count())] == ["v1", "v2"] and chooser.currentText() == "v2"
    place.chart.choose(6)
    chooser.setCurrentText("v1")
    chooser.activated.emit(0)
    assert file.cut and file.cut.name == "v1"
    assert place.player.strip == CutStrip("v1") and place.heading.told.endswith("its target to the frame")
    assert place.chart.chosen is None


def test_a_cut_is_copied_named_and_deleted(place: CutPlace, file: OpenFile, fill: Fill) -> None:
    versions, before = place._versions, file.sequence
    proposed = next_name(before)
    assert fill({}) == []
    versions.copy()
    assert [cut.name for cut in file.sequence.cuts] == ["v1", "v2", proposed] and place.heading.chooser.currentText() == proposed
    assert file.sequence.cut(proposed).shots == before.cut("v2").shots
    fill({"name": "{director}"})
    versions.rename()
    assert file.cut and file.cut.name == "{director}" and file.steps[0] == f"name cut {proposed} {{director}}"
    faults = fill({"name": "v1"})
    versions.rename()
    assert len(faults) == 1 and "v1" in faults[0]
    versions.delete()
    assert [cut.name for cut in file.sequence.cuts] == ["v1", "v2"]
    file.undo()
    assert file.cut and file.cut.name == "{director}"


def test_without_a_cut_it_says_what_to_do(
    place: CutPlace, file: OpenFile, qtbot: QtBot, fill: Fill, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = file.sequence
    monkeypatch.setattr(QDialog, "exec", lambda _: 0)
    assert file.edit(lambda one: replace(one, cuts=()), "no cuts")
    assert place._nothing.isVisible() and "Assemble one" in place._nothing.text()
    for action in place.actions():
        action.trigger()  # nothing of it can be done, and nothing goes wrong
    assert file.edit(lambda one: replace(one, takes=(), treatments=()), "no takes") and "no take has a hit" in place._nothing.text()
    assert file.edit(lambda one: replace(one, phrases=()), "no fight") and "write the fight" in place._nothing.text()
    place.go(Spot("cut", shot=1, frame=3))
    fill({})
    place.assemble()
    qtbot.waitUntil(lambda: file.log[-1].tone is Tone.FAULT)
    assert "no moves yet" in file.log[-1].sentence
    for _ in range(3):
        file.undo()
    assert file.sequence == before and place.chart.isVisible()


def test_the_next_shot_lies_over_the_last_frame_only(place: CutPlace, file: OpenFile, monkeypatch: pytest.MonkeyPatch) -> None:
    laid: list[tuple[object, int]] = []
    monkeypatch.setattr(place.player, "onion", lambda strip, frame=0: laid.append((strip, frame)))
    place.stage.toggle_onion()
    place.stage.show_frame(28)
    place.player.step(1)
    place.player.step(1)
    place.stage.toggle_onion()
    place.player.step(-1)
    assert laid == [(CutStrip("v2"), 30), (None, 0)]


def test_nothing_is_left_lying_over_another_cut(place: CutPlace, file: OpenFile) -> None:
    place.stage.toggle_onion()
    place.stage.show_frame(29)
    assert place.player._over is not None
    file.choose_cut("v1")
    assert place.player.frame == 29 and place.player._over is None
    file.choose_cut("v2")
    assert place.player._over is not None
    assert file.edit(lambda one: trim_tail(one, "v2", 1, 2), "longer") and place.player._over is None


def test_the_chosen_shot_plays_again_and_again_and_the_loop_follows_it(place: CutPlace, file: OpenFile) -> None:
    place.chart.choose(4)
    place.stage.toggle_loop()
    looping = place.player.looping
    assert place.player.playing and looping and (looping.start, looping.end_exclusive) == (74, 114)
    assert file.edit(lambda one: trim_tail(one, "v2", 4, -10), "trim the tail")
    looping = place.player.looping
    assert looping and (looping.start, looping.end_exclusive) == (74, 104)
    place.chart.choose(2)
    looping = place.player.looping
    assert looping and (looping.start, looping.end_exclusive) == (30, 54)
    place.stage.toggle_loop()
    assert place.player.looping is None


def test_a_shot_that_is_moved_stays_chosen(place: CutPlace, file: OpenFile) -> None:
    place.chart.choose(2)
    ident = file.sequence.cut("v2").shots[1].ident
    next(one for one in place.edits.actions if one.text() == "Move it later").trigger()
    assert place.chart.chosen == 3 and file.sequence.cut("v2").shots[2].ident == ident
    file.undo()
    assert place.chart.chosen == 2


def test_a_right_click_chooses_the_shot_under_it(place: CutPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[int | None] = []
    monkeypatch.setattr("previs.desk.cut.place.QMenu.exec", lambda *_: shown.append(place.chart.chosen))
    x = next(x for x in range(place.chart.width()) if place.chart.shot_under(x) == 5)
    place.chart.customContextMenuRequested.emit(QPoint(x + 3, 100))
    assert shown == [5]


def test_the_stand_in_is_shown_beside_the_cut_and_taken_away(place: CutPlace, file: OpenFile, qtbot: QtBot) -> None:
    place.chart.choose(4)
    wait_for_stand_ins(place, qtbot)
    place._beside_tape()
    assert not place.player.has_beside and "Instead" in file.log[-1].sentence
    place.instead.setCurrentRow(0)
    place._beside_tape()
    assert place.player.has_beside
    place._beside_tape()
    assert not place.player.has_beside


def test_the_checks_are_walked_by_keys(place: CutPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: len(place.checks.findings) > 2)
    place.checks.setCurrentRow(-1)
    for row in (0, 1, 2):
        place.checks.step(1)
        assert place.checks.currentRow() == row
    place.checks.step(-1)
    assert place.checks.currentRow() == 1


def test_how_the_place_is_divided_is_remembered(place: CutPlace, file: OpenFile, memory: Memory, qtbot: QtBot) -> None:
    place._across.setSizes([600, 480])
    sizes = place._across.sizes()
    place.left()
    other = CutPlace(file, memory)
    qtbot.addWidget(other)
    other.resize(place.size())
    other.show()
    qtbot.waitUntil(lambda: abs(other._across.sizes()[1] - sizes[1]) <= 4)
    other.close_down()


def test_dialogs_are_only_opened_for_what_must_be_known(place: CutPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr(QDialog, "exec", lambda dialog: opened.append(dialog.windowTitle()))
    for action in place.edits.actions:
        place.chart.choose(4)
        count = len(opened)
        action.trigger()
        assert (len(opened) > count) == action.text().endswith("..."), action.text()
