"""Two and more programs on one file, and on one folder of pulls: what any of them was told is done, is there."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from clips import make_clip
from document.drawn import plain_sequence
from faults.adding import TIMES
from faults.test_killed import TESTS
from handoff.test_pull_files import THREE, fight, pull

from previs.document.locks import holding_here
from previs.document.sitting import Sitting
from previs.document.store import create, open_document, save
from previs.faults import Fault
from previs.handoff.pull_log import read_log
from previs.handoff.pull_turn import filled_alone
from previs.progress import Step, Stopped, silent


def at_once(what: str, place: Path, programs: int) -> list[dict[str, Any]]:
    started = [
        subprocess.Popen([sys.executable, "-m", "faults.adding", what, str(place), name], cwd=TESTS, stdout=subprocess.PIPE, text=True)
        for name in "abcdefgh"[:programs]
    ]
    (place.parent / "go").touch()
    answers = [program.communicate()[0] for program in started]
    assert [program.returncode for program in started] == [0] * programs
    return [json.loads(answer) for answer in answers]


def test_of_many_programs_each_edit_that_was_made_is_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence("Stair"))
    seen = at_once("document", path, 4)
    made = [mark for one in seen for mark in one["done"]]
    assert open_document(path).sequence.title.split()[1:] == sorted(made, key=open_document(path).sequence.title.split().index)
    assert made
    for sentence in (sentence for one in seen for sentence in one["said"]):
        assert sentence.endswith(".") and ("is open: " in sentence or "was opened by another program" in sentence), sentence


def test_a_second_program_that_ignores_the_lock_is_told_of_the_first(tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence())
    mine, theirs = open_document(path), open_document(path)
    save(theirs, plain_sequence("theirs"))
    with pytest.raises(Fault, match=r"was changed on disk since it was opened, .* nothing was saved; open it again and repeat the edit"):
        save(mine, plain_sequence("mine"))
    assert open_document(path).sequence.title == "theirs"
    save(open_document(path), plain_sequence("both"))
    assert open_document(path).sequence.title == "both"


def test_the_desk_keeps_the_command_line_out_and_the_other_way_round(tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence())
    with Sitting(path), pytest.raises(Fault, match=r"is open: .* wait until it is closed there\."), holding_here(path):
        pass
    with holding_here(path), pytest.raises(Fault, match=r"is open: .* wait until it is closed there\."):
        Sitting(path)


def test_two_programs_in_one_folder_of_pulls_lose_no_entry(tmp_path: Path) -> None:
    seen = at_once("pulls", tmp_path / "pulls", 3)
    assert all(len(one["done"]) == TIMES and not one["said"] for one in seen)
    assert {entry.code for entry in read_log(tmp_path / "pulls", "The Salt Stair").pulls} == {mark for one in seen for mark in one["done"]}
    assert [path.name for path in (tmp_path / "pulls").iterdir()] == ["pulls.json"]


def test_pulls_wait_for_another_program_and_the_wait_can_be_stopped(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "film.mp4", frames=120, rate=Fraction(24), size=(128, 72), options={"g": "24"})
    made, waiting = fight(clip, *THREE), threading.Event()

    def stops(step: Step) -> None:
        if step.doing.startswith("waiting for another program"):
            raise Stopped

    def told(step: Step) -> None:
        if step.doing.startswith("waiting for another program"):
            waiting.set()

    with filled_alone(tmp_path / "pulls", silent):
        with pytest.raises(Stopped):
            pull(made, tmp_path, report=stops)
        second = threading.Thread(target=lambda: pull(made, tmp_path, report=told))
        second.start()
        assert waiting.wait(10)
        assert not list((tmp_path / "pulls").glob("*.mov"))
    second.join()
    assert len(read_log(tmp_path / "pulls", made.title).pulls) == 3
    assert not list((tmp_path / "pulls").glob(".*"))
