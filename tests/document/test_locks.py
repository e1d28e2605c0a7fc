"""Who holds a document: real processes, dead ones, numbers given twice, and locks that nobody can read."""

from __future__ import annotations

import errno
import fcntl
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from document.drawn import plain_sequence

from previs.document.locks import holding, lock_path, process_start
from previs.document.store import create
from previs.faults import Fault

NOW = datetime(2026, 3, 1, 14, 2, tzinfo=UTC)
HOST = socket.gethostname()

HOLD = """
import os, socket, sys
from datetime import UTC, datetime
from pathlib import Path
from previs.document.locks import holding
with holding(Path(sys.argv[1]), "maria", sys.argv[2], os.getpid(), datetime(2026, 3, 1, 9, 30, tzinfo=UTC)):
    print("held", flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    create(tmp_path / "salt.previs", plain_sequence())
    return tmp_path / "salt.previs"


def here(path: Path, who: str = "ben") -> AbstractContextManager[None]:
    return holding(path, who, HOST, os.getpid(), NOW)


@contextmanager
def held_elsewhere(path: Path, host: str = HOST) -> Iterator[subprocess.Popen[str]]:
    """Another program that holds the document until it is told to end."""
    with subprocess.Popen([sys.executable, "-c", HOLD, str(path), host], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        try:
            yield other
        finally:
            other.kill()


def refused(path: Path) -> str:
    with pytest.raises(Fault) as caught, here(path):
        pytest.fail("the document was held by two")
    return str(caught.value)


def test_the_lock_can_be_read_by_a_person_and_goes_at_the_end(path: Path) -> None:
    with here(path, who="Jo\nvan Dün"):
        assert lock_path(path).read_text(encoding="utf-8") == (
            "This document is open in previs.\n"
            "user: Jo van Dün\n"
            f"machine: {HOST}\n"
            f"process: {os.getpid()}\n"
            f"process started: {process_start(os.getpid())}\n"
            "since: 2026-03-01T14:02:00+00:00\n"
        )
        assert lock_path(path).name == ".salt.previs.lock"
    assert [entry.name for entry in path.parent.iterdir()] == ["salt.previs"]


def test_another_program_that_holds_it_is_named(path: Path) -> None:
    with held_elsewhere(path) as other:
        assert refused(path) == (
            f"{path} is open: maria has it since 2026-03-01T09:30:00+00:00 on {HOST} (process {other.pid}); wait until it is closed there."
        )
        other.communicate()
        assert other.returncode == 0
        with here(path):
            pass


def test_a_second_hold_in_the_same_program_is_refused_too(path: Path) -> None:
    with here(path):
        assert "ben has it since" in refused(path)
        assert lock_path(path).exists()


def test_a_link_to_the_document_is_the_same_document(path: Path) -> None:
    link = path.with_name("current.previs")
    link.symlink_to(path)
    with here(path):
        assert "ben has it since" in refused(link)


def test_the_lock_of_a_killed_program_is_taken_over(path: Path) -> None:
    with held_elsewhere(path) as other:
        other.kill()
        other.wait()
        assert lock_path(path).exists()
        with here(path):
            assert "user: ben" in lock_path(path).read_text()


def test_the_lock_of_a_program_whose_number_was_given_again_is_taken_over(path: Path) -> None:
    with here(path, who="maria"):
        claim = lock_path(path).read_text()
    started = process_start(os.getpid())
    assert started is not None
    lock_path(path).write_text(claim.replace(started, "some other time"))
    with here(path):
        assert "user: ben" in lock_path(path).read_text()


def test_a_lock_set_while_a_stale_one_is_being_removed_stays(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with here(path, who="maria"):
        living = lock_path(path).read_text()
    with held_elsewhere(path) as other:
        other.kill()
        other.wait()

        def others_come_first(*given: object) -> None:
            lock_path(path).unlink()
            lock_path(path).write_text(living)

        monkeypatch.setattr(fcntl, "flock", others_come_first)
        assert refused(path) == f"{path} was opened by another program a moment ago; try again."
        assert lock_path(path).read_text() == living


def test_a_dead_number_on_another_machine_says_nothing(path: Path) -> None:
    with held_elsewhere(path, host="cutting-2") as other:
        other.kill()
        other.wait()
        assert "maria has it since 2026-03-01T09:30:00+00:00 on cutting-2" in refused(path)
        assert "machine: cutting-2" in lock_path(path).read_text()


@pytest.mark.parametrize("content", ["", "keep out", "This document is open in previs.\nuser: maria\n", "\x00" * 40])
def test_a_lock_that_cannot_be_read_is_never_removed_by_the_program(path: Path, content: str) -> None:
    lock_path(path).write_text(content)
    sentence = refused(path)
    assert sentence == f"The lock of {path} cannot be read; make sure that nobody has it open, then remove {lock_path(path)} and try again."
    assert lock_path(path).read_text() == content


def test_the_lock_goes_when_the_work_fails(path: Path) -> None:
    with pytest.raises(ZeroDivisionError), here(path):
        _ = 1 / 0
    assert not lock_path(path).exists()


def test_a_lock_that_somebody_else_has_set_since_stays(path: Path) -> None:
    with here(path):
        claim = lock_path(path).read_text()
        lock_path(path).write_text(claim.replace("ben", "maria"))
    assert "user: maria" in lock_path(path).read_text()


def test_what_a_killed_save_left_is_cleared_and_nothing_else(path: Path) -> None:
    beside = [".salt.previs.12-ab.saving", ".salt.previs.lock.ab.saving", ".sea.previs.12-ab.saving", "salt.previs.saving"]
    for name in beside:
        path.with_name(name).write_text("half a docu")
    with here(path):
        assert {entry.name for entry in path.parent.iterdir()} == {"salt.previs", ".salt.previs.lock", *beside[2:]}


def test_disks_without_hard_links_work_too(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*given: object) -> None:
        raise OSError(errno.ENOTSUP, os.strerror(errno.ENOTSUP))

    monkeypatch.setattr(os, "link", no_links)
    with here(path):
        assert "ben has it" in refused(path)
    assert [entry.name for entry in path.parent.iterdir()] == ["salt.previs"]


def test_a_draft_that_the_holder_cleared_away_is_no_missing_folder(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def cleared(*given: object) -> None:
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT))

    with held_elsewhere(path):
        monkeypatch.setattr(os, "link", cleared)
        assert "maria has it since" in refused(path)


def test_a_folder_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    assert "cannot be held for editing (No such file or directory)" in refused(tmp_path / "no" / "salt.previs")


def test_a_process_is_known_by_when_it_started() -> None:
    assert process_start(os.getpid()) == process_start(os.getpid()) != process_start(1)
    with subprocess.Popen(["true"]) as ended:
        ended.wait()
    assert process_start(ended.pid) is None
