from __future__ import annotations

import threading
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from previs.desk.asking import Asking, PlaceField
from previs.desk.work import Work
from previs.faults import UseFault
from previs.progress import Report


class Question(Asking):
    """Asks for a place that the disk refuses, then for one that we refuse, then for a good one."""

    def __init__(self) -> None:
        super().__init__("Where", "", "Go", None)
        self.place = Path("x" * 400)

    def do(self) -> None:
        if not self.place.exists():
            raise UseFault(f"There is no {self.place}; choose another.")


def test_what_the_disk_refuses_is_told_in_the_dialog_which_stays(qtbot: QtBot, tmp_path: Path) -> None:
    asked = Question()
    qtbot.addWidget(asked)
    asked.accept()
    assert asked.fault.startswith("The disk or the folder refused at xxx") and "name too long" in asked.fault
    asked.place = tmp_path / "none"
    asked.accept()
    assert "choose another" in asked.fault and not asked.result()
    asked.place = tmp_path
    asked.accept()
    assert asked.result()


def test_what_the_disk_refuses_in_the_background_is_one_sentence(qtbot: QtBot) -> None:
    def job(_report: Report) -> None:
        Path("/proc/nothing/here").write_text("")

    work = Work()
    with qtbot.waitSignal(work.failed) as failed:
        work.do("writing", job, lambda _: None)
    assert failed.args[0].startswith("The disk or the folder refused at /proc/nothing/here: No such file") and "Traceback" in failed.args[1]
    work.close()


def test_of_many_looks_in_a_row_only_the_newest_waits(qtbot: QtBot) -> None:
    first, looked = threading.Event(), []
    work = Work(at_once=1)
    work.do("waiting", lambda _: first.wait(20), lambda _: None)
    for number in range(50):
        work.do("looking", lambda _, number=number: number, looked.append, anew=True)
    assert [one.what for one in work.running] == ["waiting", "looking"]
    first.set()
    qtbot.waitUntil(lambda: looked == [49])
    work.close()


def test_a_mere_name_stands_where_the_proposed_one_would_and_none_is_told(qtbot: QtBot, tmp_path: Path) -> None:
    field = PlaceField(tmp_path / "pulls", "Where", folder=True)
    qtbot.addWidget(field)
    for written, meant in (
        ("7", tmp_path / "7"),
        ("/a/b", Path("/a/b")),
        ("~", Path.home()),
        ("~no-such/x", tmp_path / "~no-such/x"),
    ):
        field.line.setText(written)
        assert field.path == meant
    field.line.setText("  ")
    with pytest.raises(UseFault, match="No place is named"):
        _ = field.path
