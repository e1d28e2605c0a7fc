"""The Hand-off place: lists and filters, what changed, and that what it writes is what the command line writes."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from previs.cli.app import main
from previs.cut.changes import change_text, changes
from previs.cut.edits import trim_tail
from previs.cut.versions import copy_cut, delete_cut
from previs.desk.handoff.movie import MovieDialog
from previs.desk.handoff.place import HandoffPlace
from previs.desk.handoff.rows import Wanted, filtered, shot_rows, treatment_rows
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.document import settings
from previs.document.casting import with_casting
from previs.document.model import Kind, Sequence
from previs.document.store import open_document
from previs.exchange.lists import rows
from previs.handoff.care import care_needed
from previs.handoff.folder_names import Folder
from previs.media.probe import probe


@pytest.fixture
def place(qtbot: QtBot, file: OpenFile, memory: Memory) -> Iterator[HandoffPlace]:
    file.edit(lambda one: with_casting(one, "Odile", "Juno Vale", ("Pim Oster",)), "cast")
    shown = HandoffPlace(file, memory)
    qtbot.addWidget(shown)
    shown.show()
    yield shown
    file.work.close()
    shown.close_down()


def idle(qtbot: QtBot, file: OpenFile) -> None:
    qtbot.waitUntil(lambda: not (file.work.running or file.looking.running), timeout=60_000)


def verb(monkeypatch: pytest.MonkeyPatch, *arguments: object) -> None:
    monkeypatch.setattr(sys, "argv", ["previs", *map(str, arguments)])
    with pytest.raises(SystemExit) as left:
        main()
    assert not left.value.code


def second_cut(file: OpenFile) -> None:
    def change(sequence: Sequence) -> Sequence:
        return trim_tail(copy_cut(sequence, "v1", "v2"), "v2", 1, -5)

    assert file.edit(change, "make another cut")
    file.choose_cut("v2")


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.rglob("*") if path.is_file()}


def test_the_lists_hold_every_shot_and_treatment_with_what_the_verb_lists(place: HandoffPlace) -> None:
    sequence, cut = place.file.sequence, place.file.cut
    assert cut
    listed = rows(sequence, "shots", "v1")
    shown = place.lists.shots.rows
    assert [row.shot for row in shown] == [row["shot"] for row in listed]
    for row, fact in zip(shown, listed, strict=True):
        assert row.cells[1].split("\n") == [fact["record in"], fact["record out"]]
        assert "; ".join(f"{kind.value}: {role}" for kind, role in row.treated) == fact["treatments"]
    assert len(place.lists.treatments.rows) == len(rows(sequence, "treatments", "v1")) > 0


def test_filters_by_kind_role_and_text(place: HandoffPlace) -> None:
    sequence, cut = place.file.sequence, place.file.cut
    assert cut
    shots, treatments = shot_rows(sequence, cut), treatment_rows(sequence, cut)
    treated = filtered(shots, Wanted(kind=Kind.FACE_REPLACEMENT))
    assert treated and all(any(kind is Kind.FACE_REPLACEMENT for kind, _ in row.treated) for row in treated)
    assert filtered(treatments, Wanted(role="Reeve")) == ()
    assert filtered(shots, Wanted(kind=Kind.DIGITAL_DOUBLE)) == ()
    assert filtered(shots, Wanted(text=" c1 ")) == tuple(row for row in shots if "C1" in row.cells[3])
    place.lists.kind.setCurrentIndex(place.lists.kind.findData(Kind.FACE_REPLACEMENT))
    place.lists.show_cut()
    assert place.lists.shots.rows == treated
    place.lists.search.setText("no such thing")
    assert place.lists.shots.rows == () and place.lists.treatments.rows == ()
    place.lists.show_all()
    assert place.lists.shots.rows == shots and place.lists.treatments.rows == treatments


def test_a_double_click_goes_to_the_shot_in_the_cut(place: HandoffPlace, qtbot: QtBot) -> None:
    with qtbot.waitSignal(place.file.went) as went:
        place.lists.shot_table.activated.emit(place.lists.shots.index(1, 2))
    row = place.lists.shots.rows[1]
    assert went.args == [Spot("cut", shot=2, frame=row.frame)]
    place.go(Spot("handoff", shot=2))
    assert place.lists.shot_table.currentIndex().row() == 1


def test_stills_stand_before_the_shots(place: HandoffPlace, qtbot: QtBot) -> None:
    at = place.lists.shots.index(0, 0)
    qtbot.waitUntil(lambda: place.lists.shots.data(at, Qt.ItemDataRole.DecorationRole) is not None)


def test_what_changed_is_told_and_written_as_the_verb_does(
    place: HandoffPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert place.changed.before is None
    place.write_changes()
    assert place.file.log[-1].tone is Tone.FAULT
    second_cut(place.file)
    idle(qtbot, place.file)
    sequence = place.file.sequence
    steps = changes(sequence, sequence.cut("v1"), sequence.cut("v2"))
    shown = [place.changed.steps.item(number) for number in range(place.changed.steps.count())]
    assert steps and all(one and step.sentence in one.text() for one, step in zip(shown, steps, strict=True))
    with qtbot.waitSignal(place.file.went):
        place.changed.steps.itemActivated.emit(shown[0])
    for name in ("changes.txt", "changes.csv"):
        ours, theirs = tmp_path / "desk" / name, tmp_path / "verb" / name
        monkeypatch.setattr(place, "ask_name", lambda *_given, ours=ours: ours)
        place.write_changes()
        idle(qtbot, place.file)
        verb(monkeypatch, "changes", place.file.path, "v1", "v2", "-o", theirs)
        assert ours.read_bytes() == theirs.read_bytes()
    assert change_text(sequence, sequence.cut("v1"), sequence.cut("v2"), steps) == (tmp_path / "desk" / "changes.txt").read_text("utf-8")
    place.handing.change_list(sequence.cut("v1"), sequence.cut("v2"), tmp_path / "changes.doc")
    idle(qtbot, place.file)
    assert "neither" in place.file.log[-1].sentence


def test_edit_list_and_shot_list_are_those_of_the_verbs(
    place: HandoffPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = place.file.path.parent
    for write, name, words in (
        (place.write_edit_list, "cut.edl", ("edl",)),
        (place.write_shot_list, "cut.xlsx", ("shots",)),
        (place.write_step_chart, "cut.pdf", ("pace",)),
    ):
        ours, theirs = folder / "ours" / name, folder / "verb" / name
        monkeypatch.setattr(place, "ask_name", lambda *_given, ours=ours: ours)
        write()
        idle(qtbot, place.file)
        theirs.parent.mkdir(exist_ok=True)
        verb(monkeypatch, *words, place.file.path, "--cut", "v1", "-o", theirs)
        assert ours.read_bytes() == theirs.read_bytes(), name
    place.handing.step_chart("v1", folder / "chart.doc")
    idle(qtbot, place.file)
    assert "name it chart.pdf" in place.file.log[-1].sentence and not (folder / "chart.doc").exists()


def test_each_department_gets_the_files_that_the_verb_writes(
    place: HandoffPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    second_cut(place.file)
    # Small pictures are made sooner.
    assert place.file.edit(lambda one: settings.set_to(one, settings.Wanted(raster=(192, 108))), "set the picture")
    asked: list[Path] = []

    def ask(given: Path) -> Path:
        asked.append(given)
        return tmp_path / "desk"

    monkeypatch.setattr(place, "ask_folder", ask)
    for folder in Folder:
        place.hand_on(folder)
        idle(qtbot, place.file)
        assert place.column.written.count() > 0, folder
    assert len(asked) == 1
    faults = [line.sentence for line in place.file.log if line.tone is Tone.FAULT]
    assert faults == []
    assert all(shot.code for shot in open_document(place.file.path).sequence.cut("v2").shots)
    verb(monkeypatch, "handoff", place.file.path, "--cut", "v2", "--since", "v1", "-o", tmp_path / "verb")
    assert names(tmp_path / "desk") == names(tmp_path / "verb")
    stem = f"editorial/{place.file.path.stem}_v2"
    for name in (f"{stem}.otio", f"{stem}.vtt", f"{stem}_changes_since_v1.txt", "rigging/v2_rigging.pdf"):
        assert (tmp_path / "desk" / name).read_bytes() == (tmp_path / "verb" / name).read_bytes(), name
    opened: list[str] = []
    monkeypatch.setattr(place, "open_url", lambda url: opened.append(url.toLocalFile()))
    place.show_folder()
    assert opened == [str(tmp_path / "desk" / "director")]


def test_a_movie_is_published_as_asked(place: HandoffPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    output = tmp_path / "cut.mp4"

    def agree(dialog: MovieDialog) -> bool:
        assert not dialog.beep.isEnabled()
        dialog.leader.setChecked(True)
        dialog.beep.setChecked(True)
        dialog.choose("draft")
        dialog.place.line.setText(str(tmp_path / "cut.avi"))
        dialog.accept()
        assert "name it cut.mp4" in dialog.fault
        dialog.place.line.setText("")
        dialog.accept()
        assert "No place is named" in dialog.fault
        dialog.place.line.setText(str(output))
        dialog.accept()
        return bool(dialog.result())

    monkeypatch.setattr(place, "answered", agree)
    place.publish()
    idle(qtbot, place.file)
    assert place.file.cut
    assert probe(output, tmp_path / "cache").frames == place.file.cut.frames + 8 * 24
    assert "is written" in place.file.log[-1].sentence


def test_a_stop_in_the_middle_leaves_no_half_movie(place: HandoffPlace, qtbot: QtBot, tmp_path: Path) -> None:
    folder = tmp_path / "desk"
    place.handing.department(Folder.EDITORIAL, "v1", folder, None)
    qtbot.waitUntil(lambda: any(one.step for one in place.file.work.running), timeout=30_000)
    place.file.work.stop()
    idle(qtbot, place.file)
    assert place.file.log[-1].sentence.startswith("Stopped")
    assert names(tmp_path / "desk") == set()
    assert not place.column.written.count()


def test_a_folder_that_cannot_be_is_told_in_one_sentence(place: HandoffPlace, qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "taken").touch()
    place.handing.department(Folder.RIGGING, "v1", tmp_path / "taken", None)
    idle(qtbot, place.file)
    assert place.file.log[-1].tone is Tone.FAULT and "is a file; name a folder" in place.file.log[-1].sentence


def test_care_is_told_on_the_place_and_read_in_full(place: HandoffPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    assert place.file.cut
    care = care_needed(place.file.sequence, place.file.cut)
    assert (care.wires, care.landings, care.weapons) == ((5,), (5,), (1, 2, 3, 4))
    assert "wires in 1 move" in place.column.care.text() and "Defer to the stunt coordinator" in place.column.care.text()
    pages: list[object] = []
    monkeypatch.setattr(place, "answered", pages.append)
    place.read_cautions()
    assert len(pages) == 1


def test_without_a_cut_nothing_can_be_handed_on(place: HandoffPlace) -> None:
    assert place.file.edit(lambda one: delete_cut(one, "v1"), "delete the cut")
    assert not any(button.isEnabled() for button in place.column.needs_cut)
    place.hand_on(Folder.RIGGING)
    assert place.file.log[-1].tone is Tone.FAULT and "no cut yet" in place.file.log[-1].sentence
    place.file.undo()
    assert all(button.isEnabled() for button in place.column.needs_cut)
    assert place.cuts.currentText() == "v1"
