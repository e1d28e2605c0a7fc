from __future__ import annotations

from fractions import Fraction

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QInputDialog
from pytestqt.qtbot import QtBot

from previs.cut import edits, retimes, transitions
from previs.cut.assembly import assemble
from previs.cut.stand_ins import stand_ins
from previs.cut.versions import copy_cut
from previs.desk.cut.about_shot import about_shot
from previs.desk.cut.assembling import AssembleDialog
from previs.desk.cut.place import CutPlace
from previs.desk.open_file import Spot
from previs.desk.window import Window
from previs.document.model import Card, Sequence, Transition, TransitionKind
from previs.document.store import open_document
from previs.fight.checks import checks


@pytest.fixture
def place(window: Window) -> CutPlace:
    found = next(place for place in window.places if isinstance(place, CutPlace))
    window.show_place(window.places.index(found))
    window.activateWindow()
    return found


def answers(monkeypatch: pytest.MonkeyPatch, *texts: str) -> None:
    waiting = list(texts)
    monkeypatch.setattr(QInputDialog, "getText", lambda *a, **k: (waiting.pop(0), True) if waiting else ("", False))


def act(place: CutPlace, text: str) -> None:
    next(action for action in place.actions() if action.text() == text).trigger()


def test_assembling_gives_the_rooms_own_cut(place: CutPlace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    before = place.file.sequence
    monkeypatch.setattr(AssembleDialog, "exec", lambda dialog: dialog.target.setText("6s") or 1)
    place.assemble()
    qtbot.waitUntil(lambda: len(place.file.sequence.cuts) == 2)
    made = assemble(before, "v2", 144).cut
    assert place.file.sequence.cut("v2") == made == open_document(place.file.path).sequence.cut("v2")
    assert place.file.cut == made and place.player.frames == made.frames


def test_a_wrong_target_is_told_in_the_dialog(place: CutPlace, qtbot: QtBot) -> None:
    dialog = AssembleDialog(place.file, place)
    qtbot.addWidget(dialog)
    dialog.target.setText("soon")
    dialog.accept()
    assert "soon" in dialog._fault.text() and dialog.result() == 0


def test_choosing_a_check_goes_to_its_shot(place: CutPlace, qtbot: QtBot) -> None:
    assert place.file.edit(lambda one: edits.trim_tail(one, "v1", 1, 2 - one.cut("v1").shots[0].frames), "trim")
    qtbot.waitUntil(lambda: any(one.shot == 1 for one in place.checks.findings))
    assert set(place.checks.findings) == set(checks(place.file.sequence, place.file.sequence.cut("v1")))
    place.chart.choose(2)
    row = next(number for number, one in enumerate(place.checks.findings) if one.shot == 1)
    item = place.checks.item(row)
    assert item is not None
    place.checks.itemActivated.emit(item)
    assert place.chart.chosen == 1


def test_a_stand_in_takes_the_shots_place(place: CutPlace) -> None:
    number = next(n for n in range(1, len(place.file.sequence.cut("v1").shots) + 1) if stand_ins(place.file.sequence, "v1", n))
    before = place.file.sequence
    place.chart.choose(number)
    found = place.instead.found
    assert [one.take.name for one in found] == [one.take.name for one in stand_ins(before, "v1", number)]
    able = next((row for row, one in enumerate(found) if one.sequence is not None), None)
    if able is None:
        pytest.fail("the small fight has no stand-in that can")
    item = place.instead.item(able)
    assert item is not None
    place.instead.itemActivated.emit(item)
    assert place.file.sequence.cut("v1") == retimes.replace_take(before, "v1", number, found[able].take.name).cut("v1")


def test_player_and_chart_go_together(place: CutPlace) -> None:
    place.player.seek(30)
    assert place.chart.frame == 30
    place.chart.frame_wanted.emit(12)
    assert place.player.frame == 12


EDITS = [
    ("Dissolve into it ...", ["6"], lambda one: transitions.add_transition(one, "v1", 2, Transition(TransitionKind.DISSOLVE, 6))),
    ("Wipe to it ...", ["1", "6"], lambda one: transitions.add_transition(one, "v1", 2, Transition(TransitionKind.WIPE, 6, 1))),
    ("Fade it in from black ...", ["5"], lambda one: transitions.fade_in(one, "v1", 2, 5)),
    ("Fade it out to black ...", ["5"], lambda one: transitions.fade_out(one, "v1", 2, 5)),
    ("Speed ...", ["90%"], lambda one: retimes.retime_to_speed(one, "v1", 2, Fraction(9, 10))),
    ("Play it backwards", [], lambda one: retimes.reverse(one, "v1", 2)),
    ("Remove it", [], lambda one: edits.remove(one, "v1", 2)),
    ("Leave a card in its place ...", ["The leap"], lambda one: edits.remove(one, "v1", 2, Card("The leap"))),
    ("Move it earlier", [], lambda one: edits.move(one, "v1", 2, 1)),
    ("Let its sound begin earlier or later ...", ["0.25s"], lambda one: transitions.lead_sound(one, "v1", 2, 6)),
    ("Lock it, or unlock it", [], lambda one: edits.lock(one, "v1", 2, True)),
    ("Split it at this frame", [], lambda one: edits.split(one, "v1", 2, 3)),
]


@pytest.mark.parametrize(("text", "typed", "expected"), EDITS, ids=[one[0] for one in EDITS])
def test_every_edit_is_the_rooms_own(
    place: CutPlace, monkeypatch: pytest.MonkeyPatch, text: str, typed: list[str], expected: object
) -> None:
    answers(monkeypatch, *typed)
    before = place.file.sequence
    place.chart.choose(2)
    place.player.seek(before.cut("v1").shots[0].frames + 3)
    act(place, text)
    try:
        wanted: Sequence = expected(before)  # type: ignore[operator]
    except Exception as fault:
        assert place.file.log[-1].sentence == str(fault) and place.file.sequence is before
    else:
        assert place.file.sequence.cut("v1") == wanted.cut("v1")
        place.file.undo()
        assert place.file.sequence == before


def test_a_wrong_answer_is_asked_again(place: CutPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    waiting = ["quick", "80%"]

    def text(_parent: object, _title: str, question: str, *_: object) -> tuple[str, bool]:
        asked.append(question)
        return waiting.pop(0), True

    monkeypatch.setattr(QInputDialog, "getText", text)
    place.chart.choose(1)
    act(place, "Speed ...")
    assert len(asked) == 2 and "quick" in asked[1]


def test_versions_are_copied_chosen_and_deleted(place: CutPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    answers(monkeypatch, "director")
    before = place.file.sequence
    place.copy()
    assert place.file.sequence == copy_cut(before, "v1", "director") and place.file.cut and place.file.cut.name == "director"
    place.delete()
    assert [cut.name for cut in place.file.sequence.cuts] == ["v1"] and place.file.cut and place.file.cut.name == "v1"


def test_without_a_cut_there_is_something_to_do(place: CutPlace) -> None:
    place.delete()
    assert place.file.cut is None
    assert "no cut yet" in place._against.text()
    QTest.keyClick(place.chart, Qt.Key.Key_Down)
    place.file.undo()
    assert place.file.cut is not None


def test_a_spot_shows_its_shot_and_frame(place: CutPlace) -> None:
    place.file.go(Spot("cut", cut="v1", shot=2, frame=40))
    assert place.chart.chosen == 2 and place.player.frame == 40


def test_what_is_said_of_a_shot_names_its_take(place: CutPlace) -> None:
    sequence = place.file.sequence
    rows = dict(about_shot(sequence, sequence.cut("v1"), 1))
    assert sequence.cut("v1").shots[0].picture.take in rows["take"]  # type: ignore[union-attr]
