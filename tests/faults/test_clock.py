"""A clock that is set back or forth changes nothing: versions, undo, locks and leftovers go by counts and names, not by dates."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from document.drawn import plain_sequence

from previs.document.locks import holding, holding_here, lock_path
from previs.document.sitting import Sitting
from previs.document.store import create, kept_versions, open_document, save
from previs.faults import Fault

LONG_AGO, FAR_AHEAD = 86_400, 4_000_000_000


def dated(path: Path, seconds: int) -> None:
    for file in (path, *path.parent.rglob("*")):
        os.utime(file, (seconds, seconds))


@pytest.mark.parametrize("seconds", [LONG_AGO, FAR_AHEAD])
def test_versions_keep_their_order(seconds: int, tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    opened = create(path, plain_sequence("0"))
    for number in range(1, 4):
        dated(path, seconds if number % 2 else LONG_AGO)
        opened = save(opened, plain_sequence(str(number)))
    assert [open_document(one.path).sequence.title for one in kept_versions(path)] == ["0", "1", "2"]


@pytest.mark.parametrize("seconds", [LONG_AGO, FAR_AHEAD])
def test_undo_goes_back_by_what_was_done_not_when(seconds: int, tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence("0"))
    with Sitting(path) as sitting:
        for number in range(1, 4):
            sitting.edit(lambda _, title=str(number): plain_sequence(title), f"title {number}")
            dated(path, seconds if number % 2 else LONG_AGO)
        assert [sitting.undo().what for _ in range(3)] == ["title 3", "title 2", "title 1"]
        assert sitting.redo().what == "title 1" and sitting.sequence.title == "1"


@pytest.mark.parametrize("year", [1970, 2099])
def test_a_lock_is_stale_by_its_process_and_not_by_its_date(year: int, tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence())
    at = datetime(year, 1, 1, tzinfo=UTC)
    with holding(path, "maria", socket.gethostname(), os.getpid(), at):
        dated(path, LONG_AGO)
        with pytest.raises(Fault, match=f"maria has it since {year}-01-01"), holding_here(path):
            pass
    # The lock of a program that has ended is taken over, however new it seems.
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    with holding(path, "maria", socket.gethostname(), ended.pid, at):
        left = lock_path(path).read_bytes()
    lock_path(path).write_bytes(left)
    os.utime(lock_path(path), (FAR_AHEAD, FAR_AHEAD))
    with holding_here(path):
        pass
    assert not lock_path(path).exists()
