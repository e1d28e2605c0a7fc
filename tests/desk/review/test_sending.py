"""What the Review place writes is what the verbs write; what was written is opened; a stop leaves nothing half made."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from desk.review.conftest import idle
from PyQt6.QtCore import QUrl
from pytestqt.qtbot import QtBot

from previs.cli.app import main
from previs.cut.edits import trim_tail
from previs.cut.versions import copy_cut
from previs.desk.open_file import Tone
from previs.desk.review.asking import ReviewDialog
from previs.desk.review.place import ReviewPlace
from previs.document import settings
from previs.media.probe import probe


def verb(monkeypatch: pytest.MonkeyPatch, *arguments: object) -> None:
    monkeypatch.setattr(sys, "argv", ["previs", *map(str, arguments)])
    with pytest.raises(SystemExit) as left:
        main()
    assert not left.value.code


def said(place: ReviewPlace) -> str:
    return place.file.log[-1].sentence


@pytest.fixture
def small(noted: ReviewPlace, qtbot: QtBot) -> ReviewPlace:
    """Two cuts, and small pictures, which are made sooner."""
    assert noted.file.edit(lambda one: trim_tail(copy_cut(one, "v1", "v2"), "v2", 1, -4), "make a second cut")
    assert noted.file.edit(lambda one: settings.set_to(one, settings.Wanted(raster=(192, 108))), "set the picture")
    idle(qtbot, noted)
    return noted


def test_the_folder_is_that_of_the_verb_and_its_page_is_opened(
    small: ReviewPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "desk"

    def agree(dialog: ReviewDialog) -> bool:
        assert dialog.cut.name == "v2" and dialog.beside is None and dialog.confidential.isChecked()
        dialog.choose("v2", "v1")
        dialog.place.line.setText("")
        dialog.accept()
        assert dialog.fault == "Name a folder for the review."
        dialog.place.line.setText(str(small.file.path))
        dialog.accept()
        assert "is a file; name a folder" in dialog.fault
        dialog.place.line.setText(str(folder))
        dialog.accept()
        return bool(dialog.result())

    monkeypatch.setattr(small.outgoing, "answered", agree)
    assert not small._open_page.isEnabled()
    small.outgoing.write_review()
    idle(qtbot, small)
    assert small.file.log[-1].tone is Tone.PLAIN and said(small).startswith(f"{folder / 'index.html'} is written;")
    verb(monkeypatch, "review", small.file.path, "--cut", "v2", "--against", "v1", "-o", tmp_path / "verb")
    assert {path.name for path in folder.iterdir()} == {path.name for path in (tmp_path / "verb").iterdir()}
    assert (folder / "index.html").read_bytes() == (tmp_path / "verb" / "index.html").read_bytes()
    cut = small.file.sequence.cut("v2")
    assert probe(folder / "movie.mp4", tmp_path / "cache").frames == cut.frames
    opened: list[str] = []

    def open_url(url: QUrl) -> bool:
        opened.append(url.toLocalFile())
        return len(opened) < 3

    monkeypatch.setattr(small.outgoing, "open_url", open_url)
    assert small._open_page.isEnabled() and small._open_folder.isEnabled()
    small._open_page.trigger()
    small._open_folder.trigger()
    assert opened == [str(folder / "index.html"), str(folder)]
    small.outgoing.open_page()
    assert small.file.log[-1].tone is Tone.FAULT and f"open {folder / 'index.html'} by hand" in said(small)
    (folder / "index.html").unlink()
    small.outgoing.open_page()
    assert len(opened) == 3 and "is not there any more" in said(small)


def test_the_report_and_the_list_are_those_of_the_verbs(
    small: ReviewPlace, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for write, name, words in (
        (small.outgoing.write_report, "report.pdf", ("report", small.file.path)),
        (small.outgoing.write_notes, "notes.xlsx", ("notes", small.file.path)),
    ):
        ours, theirs = tmp_path / "desk" / name, tmp_path / "verb" / name
        monkeypatch.setattr(small.outgoing, "ask_name", lambda *_given, ours=ours: ours)
        write()
        idle(qtbot, small)
        assert f"{ours} is written" in said(small), said(small)
        theirs.parent.mkdir(exist_ok=True)
        verb(monkeypatch, *words, "--cut", "v2", "-o", theirs)
        assert ours.stat().st_size > 1000 and abs(ours.stat().st_size - theirs.stat().st_size) < 200, name
    monkeypatch.setattr(small.outgoing, "ask_name", lambda *_given: tmp_path / "report.doc")
    for write in (small.outgoing.write_report, small.outgoing.write_notes):
        write()
        assert small.file.log[-1].tone is Tone.FAULT and ".pdf" in said(small)


def test_a_stop_in_the_middle_leaves_no_page(noted: ReviewPlace, qtbot: QtBot, tmp_path: Path) -> None:
    cut = noted.file.sequence.cut("v1")
    noted.outgoing.sending.review(cut, None, tmp_path / "desk", confidential=True)
    qtbot.waitUntil(lambda: any(one.step for one in noted.file.work.running), timeout=30_000)
    noted.file.work.stop()
    idle(qtbot, noted)
    assert said(noted).startswith("Stopped")
    assert not (tmp_path / "desk").exists() or not any((tmp_path / "desk").iterdir())
    assert noted.outgoing.page is None and not noted._open_page.isEnabled()
    noted.outgoing.open_page()
    assert said(noted) == "There is no review of this file yet; write one first."


def test_a_cut_is_never_offered_beside_itself(small: ReviewPlace, tmp_path: Path) -> None:
    sequence = small.file.sequence
    dialog = ReviewDialog(sequence, sequence.cut("v2"), tmp_path, None)
    assert [dialog._beside.itemText(number) for number in range(dialog._beside.count())] == ["no other cut", "v1"]
    dialog.choose("v2", "v1")
    dialog.choose("v1")
    assert [dialog._beside.itemText(number) for number in range(dialog._beside.count())] == ["no other cut", "v2"]
    dialog.deleteLater()
