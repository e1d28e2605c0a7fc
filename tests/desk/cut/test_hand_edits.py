"""Every edit of the desk does to the file what the command line's verb does, and undo calls it the same."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PyQt6.QtGui import QAction, QImage
from PyQt6.QtWidgets import QDialog
from two_cuts import Fill, with_v2

from previs.cli.app import main
from previs.desk.cut.hand_edits import hand_edits
from previs.desk.cut.place import CutPlace
from previs.desk.open_file import OpenFile, Tone
from previs.document.invariants import faults_in
from previs.document.sitting import Sitting
from previs.document.store import open_document

# What it says in the menu, the shot, its own frame that is shown, the answers, and the verb.
CASES: list[tuple[str, int, int, dict[str, str], list[str]]] = [
    ("Split it at this frame", 2, 5, {}, ["split", "2", "5"]),
    ("Move it earlier", 2, 0, {}, ["move", "2", "1"]),
    ("Move it later", 2, 0, {}, ["move", "2", "3"]),
    ("Slide it between its neighbours ...", 2, 0, {"frames": "-4"}, ["slide", "2", "-4"]),
    ("Remove it", 3, 0, {}, ["remove", "3"]),
    ("Leave a card in its place ...", 2, 0, {"text": "not yet", "moves": ""}, ["remove", "2", "--leave-card", "not yet"]),
    ("Leave black in its place", 2, 0, {}, ["remove", "2", "--leave-black"]),
    (
        "Put in a shot from a take ...",
        3,
        0,
        {"take": "A1", "from": "10:00:01:12", "frames": "36"},
        ["insert", "3", "36", "--take", "A1", "--from", "10:00:01:12"],
    ),
    ("Put in a shot from a take ...", 2, 0, {"take": "C1", "frames": "1s", "before": "7"}, ["insert", "7", "24", "--take", "C1"]),
    (
        "Put in a card ...",
        2,
        0,
        {"text": "the leap", "moves": "4-5", "frames": "24", "image": "drawing.png"},
        ["insert", "2", "24", "--card", "the leap", "--moves", "4-5", "--image", "drawing.png"],
    ),
    ("Put in black ...", 1, 0, {"frames": "12"}, ["insert", "1", "12", "--black"]),
    ("Play it at another speed ...", 4, 0, {"speed": "80%"}, ["speed", "4", "80%"]),
    ("Play it in another length ...", 4, 0, {"frames": "48"}, ["length", "4", "48"]),
    ("Play it backwards", 4, 0, {}, ["reverse", "4"]),
    ("Hold the picture from this frame on", 4, 18, {}, ["freeze", "4", "18"]),
    ("Dissolve into it ...", 2, 0, {"frames": "12"}, ["dissolve", "2", "12"]),
    ("Dissolve into it ...", 5, 0, {"frames": "0"}, ["dissolve", "5", "0"]),
    ("Wipe to it ...", 2, 0, {"frames": "10", "wipe": "21"}, ["wipe", "2", "10", "--pattern", "21"]),
    ("Fade it in from black ...", 2, 0, {"frames": "12"}, ["fade-in", "2", "12"]),
    ("Fade it out to black ...", 2, 0, {"frames": "12"}, ["fade-out", "2", "12"]),
    ("Let its sound begin earlier or later ...", 2, 0, {"frames": "6"}, ["sound", "2", "6"]),
    ("Lock it, or unlock it", 2, 0, {}, ["lock", "2"]),
    ("Lock it, or unlock it", 6, 0, {}, ["unlock", "6"]),
]


@pytest.fixture
def by_verb(made_fight: Path, document: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Path]:
    """The command line's edit of the same cut, in a copy of the document."""
    other = tmp_path / "other"
    shutil.copytree(made_fight.parent, other)

    def edit(*verb: str) -> Path:
        file = other / document.name
        with Sitting(file) as sitting:
            sitting.edit(with_v2, "a second cut")
        for folder in (other, document.parent):
            QImage(8, 8, QImage.Format.Format_RGB888).save(str(folder / "drawing.png"))
        monkeypatch.chdir(other)
        monkeypatch.setattr(sys, "argv", ["previs", "edit", str(file), "v2", *verb])
        with pytest.raises(SystemExit) as left:
            main()
        assert left.value.code == 0
        return file

    return edit


def action(place: CutPlace, text: str) -> QAction:
    return next(one for one in place.edits.actions if one.text() == text)


@pytest.mark.parametrize(("text", "shot", "own", "answers", "verb"), CASES, ids=[" ".join(case[4]) for case in CASES])
def test_an_edit_does_what_the_verb_does(
    text: str,
    shot: int,
    own: int,
    answers: dict[str, str],
    verb: list[str],
    place: CutPlace,
    file: OpenFile,
    by_verb: Callable[..., Path],
    fill: Fill,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    other = by_verb(*verb)
    monkeypatch.chdir(file.path.parent)
    before = file.sequence
    place.chart.choose(shot)
    place.player.step(own)
    faults = fill(answers)
    action(place, text).trigger()
    assert faults == []
    assert file.sequence == open_document(other).sequence != before
    assert faults_in(file.sequence) == ()
    with Sitting(other) as sitting:
        assert file.steps[0] == sitting.steps[0]
    assert file.log[-1].sentence.startswith("Done: ") and file.log[-1].tone is Tone.PLAIN
    file.undo()
    assert file.sequence == before


def test_split_shots_are_joined_again(place: CutPlace, file: OpenFile) -> None:
    before = file.sequence.cut("v2")
    place.chart.choose(1)
    place.player.step(5)
    action(place, "Split it at this frame").trigger()
    assert place.chart.chosen == 2
    place.chart.choose(1)
    action(place, "Join it with the next").trigger()
    assert file.sequence.cut("v2") == before
    assert file.steps[0] == "join shots 1 and 2 of v2"


def test_every_edit_is_tried_above() -> None:
    texts = {one.text for group in hand_edits() for one in group}
    assert texts - {case[0] for case in CASES} == {"Join it with the next"}


def test_what_is_wrong_is_told_in_the_form_and_nothing_is_changed(place: CutPlace, file: OpenFile, fill: Fill) -> None:
    before = file.sequence
    place.chart.choose(2)
    for text, answers, told in (
        ("Play it at another speed ...", {"speed": "120"}, "120%"),
        ("Dissolve into it ...", {"frames": "soon"}, "no length"),
        ("Dissolve into it ...", {"frames": "900"}, "longer than the shot"),
        ("Leave a card in its place ...", {"text": ""}, "a word at least"),
        ("Leave a card in its place ...", {"text": "x", "moves": "99"}, "no move 99"),
        ("Put in a card ...", {"text": "x", "image": "nowhere.png"}, "nowhere.png"),
        ("Put in a shot from a take ...", {"take": "A1", "from": "tomorrow"}, "tomorrow"),
    ):
        faults = fill(answers)
        action(place, text).trigger()
        assert len(faults) == 1 and told in faults[0], faults
    assert file.sequence is before


def test_a_locked_shot_is_left_alone_and_that_is_said(place: CutPlace, file: OpenFile) -> None:
    before = file.sequence
    place.chart.choose(6)
    action(place, "Remove it").trigger()
    assert file.sequence is before
    assert file.log[-1].tone is Tone.FAULT and "locked" in file.log[-1].sentence


def test_a_card_left_in_a_shots_place_is_proposed_to_stand_for_its_moves(place: CutPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[dict[str, str]] = []
    monkeypatch.setattr(QDialog, "exec", lambda form: seen.append(form.answers))
    place.chart.choose(4)
    action(place, "Leave a card in its place ...").trigger()
    assert seen == [{"text": "4 backhand", "moves": "4", "image": ""}]
