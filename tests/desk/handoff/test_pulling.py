"""Pulls in the Hand-off place: which are asked for, how those that were made stand to the cut, and the folder that is named."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from previs.cut.edits import trim_tail
from previs.cut.placing import place as placed_in
from previs.cut.placing import treatments_seen
from previs.cut.versions import copy_cut
from previs.desk.handoff.folder import FolderDialog
from previs.desk.handoff.place import HandoffPlace
from previs.desk.handoff.pulls import PullsDialog
from previs.desk.handoff.words import pull_told
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile
from previs.document.model import Kind, Sequence
from previs.handoff.folder_names import Folder
from previs.handoff.pull_log import FILE
from previs.handoff.pull_standing import Stands, standing


@pytest.fixture
def place(qtbot: QtBot, file: OpenFile, memory: Memory, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[HandoffPlace]:
    shown = HandoffPlace(file, memory)
    monkeypatch.setattr(shown, "ask_folder", lambda _given: tmp_path / "out")
    shown.choose_output()
    qtbot.addWidget(shown)
    shown.show()
    yield shown
    file.work.close()
    shown.close_down()


def idle(qtbot: QtBot, file: OpenFile) -> None:
    qtbot.waitUntil(lambda: not (file.work.running or file.looking.running), timeout=60_000)


def answering(act: Callable[[PullsDialog], None]) -> Callable[[QDialog], bool]:
    def answered(dialog: QDialog) -> bool:
        assert isinstance(dialog, PullsDialog)
        act(dialog)
        dialog.accept()
        return bool(dialog.result())

    return answered


def treated_shots(sequence: Sequence, name: str) -> set[int]:
    return {seen.placed.number for seen in treatments_seen(sequence, placed_in(sequence, sequence.cut(name)))}


def test_what_is_listed_is_what_is_pulled_and_how_it_stands_to_the_next_cut_is_shown(
    place: HandoffPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out" / "visual_effects"
    place.lists.kind.setCurrentIndex(place.lists.kind.findData(Kind.FACE_REPLACEMENT))
    place.lists.show_cut()
    listed = {row.shot for row in place.lists.shots.rows}
    asked: list[str] = []
    monkeypatch.setattr(place, "answered", answering(lambda dialog: asked.append(dialog.which.currentText())))
    place.pull()
    idle(qtbot, place.file)
    assert asked == ["what is listed: 1 shot"] and len(listed) == 1
    (shot,) = listed
    assert {path.stem for path in folder.glob("*.mov")} == {f"SALT_{shot:02d}0_v001"}
    qtbot.waitUntil(lambda: place.lists.treatments.rows[0].cells[5] == pull_told(Stands.AS_CUT, 1))

    def change(sequence: Sequence) -> Sequence:
        return trim_tail(copy_cut(sequence, "v1", "v2"), "v2", shot, -5)

    assert place.file.edit(change, "make another cut")
    place.file.choose_cut("v2")
    qtbot.waitUntil(lambda: place.lists.treatments.rows[0].cells[5] == pull_told(Stands.OUT_OF_DATE, 1))
    next(folder.glob("*.mov")).unlink()
    place.file.choose_cut("v1")
    qtbot.waitUntil(lambda: place.lists.treatments.rows[0].cells[5] == pull_told(Stands.GONE, 1))


def test_the_shot_that_is_chosen_is_pulled_alone_as_stills(
    place: HandoffPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place.lists.shot_table.selectRow(0)

    def act(dialog: PullsDialog) -> None:
        assert dialog.which.currentText() == "every shot with a treatment"
        dialog.which.setCurrentIndex(dialog.which.findText("shot 1 alone, which is chosen in the list"))
        dialog.movies.setChecked(False)
        dialog.stills.setChecked(True)
        dialog.place.line.setText(str(tmp_path / "elsewhere"))

    monkeypatch.setattr(place, "answered", answering(act))
    place.pull()
    idle(qtbot, place.file)
    assert len(list((tmp_path / "elsewhere" / "SALT_010_v001").glob("*.png"))) > 17
    assert not list((tmp_path / "elsewhere").glob("*.mov"))
    said = [place.column.written.item(number) for number in range(place.column.written.count())]
    assert said[0] and said[0].text().startswith("SALT_010_v001 is new.")


def test_what_cannot_be_pulled_is_told_in_the_dialog(place: HandoffPlace, tmp_path: Path) -> None:
    cut = place.file.cut
    assert cut
    (tmp_path / "taken").touch()
    dialog = PullsDialog(place.file.sequence, cut, tmp_path / "taken", (), None, place, narrowed=False)
    dialog.accept()
    assert "is a file" in dialog.fault
    dialog.place.line.setText(str(tmp_path))
    dialog.which.setCurrentIndex(dialog.which.findText("every shot with a digital double"))
    dialog.accept()
    assert "a digital double on screen" in dialog.fault


def test_standing_tells_of_pulls_that_the_cut_does_not_want_and_of_a_folder_that_is_not_there(place: HandoffPlace, tmp_path: Path) -> None:
    sequence = place.file.sequence
    found = standing(sequence, sequence.cut("v1"), tmp_path / "nowhere")
    assert set(found.pulls) == treated_shots(sequence, "v1") and {stands for stands, _ in found.pulls.values()} == {Stands.NOT_PULLED}
    gone = '{"code":"990","name":"SALT_990_v003","version":3,"key":"k","treated":true}'
    (tmp_path / FILE).write_text(f'{{"title":"{sequence.title}","pulls":[{gone}],"schema":1}}', encoding="utf-8")
    found = standing(sequence, sequence.cut("v1"), tmp_path)
    assert found.fell_out == ("SALT_990_v003",)
    place.lists.show_standing(found)
    assert "pulled, not wanted now: SALT_990_v003" in place.lists.treatments_told.text()


def test_a_folder_is_named_that_is_not_there_yet_and_one_that_cannot_be_is_refused(place: HandoffPlace, tmp_path: Path) -> None:
    (tmp_path / "taken").touch()
    dialog = FolderDialog(tmp_path, place)
    for written, fault in (
        ("", "No place is"),
        (str(tmp_path / "taken"), "is a file"),
        (str(tmp_path / "taken" / "in"), "is a file"),
    ):
        dialog.place.line.setText(written)
        dialog.accept()
        assert fault in dialog.fault
    dialog.place.line.setText(str(tmp_path / "new" / "hand"))
    dialog.accept()
    assert dialog.result() and dialog.place.path == tmp_path / "new" / "hand" and not dialog.place.path.exists()


def test_all_of_them_are_handed_on_at_one_press(place: HandoffPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    handed: list[Folder] = []
    monkeypatch.setattr(place.handing, "department", lambda folder, *_: handed.append(folder))
    place.hand_on_to_all()
    assert handed == list(Folder)
