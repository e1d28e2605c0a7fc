"""No save and no lock is broken by a program that dies, at any moment: measured with real processes and real signals."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

TESTS = Path(__file__).resolve().parent.parent

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks and signals")


def killing(what: str, folder: Path, *numbers: int) -> dict[str, Any]:
    ran = subprocess.run(
        [sys.executable, "-m", "document.killing", what, str(folder), *map(str, numbers)], cwd=TESTS, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stderr
    answer: dict[str, Any] = json.loads(ran.stdout)
    return answer


def test_two_hundred_programs_killed_at_random_leave_one_of_two_whole_files(tmp_path: Path) -> None:
    seen = killing("at_random", tmp_path, 200, 20260301)
    # Each file was checked where it lay; here, that the kills hit saves at work and not idle programs.
    assert seen["seen"].keys() == {"old", "new"} and sum(seen["seen"].values()) == 200
    assert seen["saves"] > 10
    assert seen["killed inside a save"] > 20


def test_a_save_killed_before_each_of_its_calls_leaves_the_old_file_then_the_new_one(tmp_path: Path) -> None:
    seen = killing("before_each_call", tmp_path)
    assert seen["calls"] > 30
    # One step turns the old file into the new one: there is no way back and nothing between.
    turned = seen["seen"].index("new")
    assert seen["seen"] == ["old"] * turned + ["new"] * (seen["calls"] + 1 - turned)
    assert 20 < turned < seen["calls"]


def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    seen = killing("disk_full", tmp_path)
    assert seen["said"] == (
        "salt.previs could not be saved, and what is on disk is whole: the disk is full, or your share of it is; make room and save again."
    )
    assert seen["untouched"] and seen["left"] == ["salt.previs"]


def test_a_closed_folder_and_a_closed_file_are_said_so() -> None:
    # Not below pytest's own folder, into which a program without rights may not go.
    with TemporaryDirectory() as name:
        folder = Path(name).resolve()
        seen = killing("closed_folder", folder)
        folder.chmod(0o755)
    path = folder / "salt.previs"
    assert seen["said"] == [
        "salt.previs could not be saved, and what is on disk is whole: "
        f"the folder {folder} may not be written to; allow it, or save in another folder.",
        f"{path} cannot be held for editing (Permission denied); check that its folder may be written to.",
        f"{path} cannot be read (Permission denied); check who may read it, and the disk.",
    ]
    assert seen["left"] == ["salt.previs"]


def test_of_programs_that_find_a_stale_lock_together_one_at_a_time_gets_in(tmp_path: Path) -> None:
    seen = killing("race_for_a_stale_lock", tmp_path, 40)
    assert seen["two inside"] == 0 and seen["rounds nobody"] == 0
    assert seen["got in"] >= 40 and seen["got in"] + seen["sent away"] == 160
