"""Saves under bad conditions: killed programs, full disks, closed folders; a program of its own that the tests run.

It is its own program because it forks and gives up rights, which a test run must not. It prints what it saw as JSON.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import socket
import sys
import time
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType

from document.drawn import plain_sequence

from previs.document.locks import holding, lock_path
from previs.document.store import create, kept_versions, open_document, save
from previs.faults import Fault

OLD, NEW = plain_sequence("old"), plain_sequence("new " * 4_000)
NOBODY = 65534
NOW = datetime(2026, 3, 1, 14, 2, tzinfo=UTC)


def held(path: Path):
    return holding(path, "maria", socket.gethostname(), os.getpid(), NOW)


def in_a_child(work: Callable[[], None]) -> int:
    """Fork, do the work, leave without any cleaning up; the child's process number."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            work()
            code = 0
        except Fault:
            code = 2
        finally:
            os._exit(code)
    return child


def what_is_left(path: Path) -> str:
    """Which of the two whole values the file is, after the next program has started on it without trouble."""
    with held(path):
        sequence = open_document(path).sequence
        versions = [open_document(version.path).sequence for version in kept_versions(path)]
        left = {entry.name for entry in path.parent.iterdir()}
    assert sequence in (OLD, NEW) and all(version in (OLD, NEW) for version in versions)
    assert left <= {path.name, f"{path.name}.versions", f".{path.name}.lock"}, left
    return "old" if sequence == OLD else "new"


def save_over_and_over(path: Path, ready: int) -> None:
    with held(path):
        opened = open_document(path)
        os.write(ready, b"!")
        while True:
            opened = save(opened, NEW if opened.sequence == OLD else OLD)


def at_random(folder: Path, trials: int, seed: int) -> dict[str, object]:
    path, rng, seen = folder / "salt.previs", random.Random(seed), Counter[str]()
    create(path, OLD)
    inside = 0
    reading, ready = os.pipe()
    for _ in range(trials):
        child = in_a_child(lambda: save_over_and_over(path, ready))
        os.read(reading, 1)
        time.sleep(rng.uniform(0, 0.03))
        os.kill(child, signal.SIGKILL)
        assert os.waitpid(child, 0)[1] == signal.SIGKILL
        inside += any(entry.name.endswith(".saving") for entry in folder.iterdir())
        seen[what_is_left(path)] += 1
    return {"trials": trials, "killed inside a save": inside, "seen": seen, "saves": kept_versions(path)[-1].number}


def before_each_call(folder: Path) -> dict[str, object]:
    """One save, killed before the first call to the system side of Python, then before the second, and so on to the end."""
    path, seen, number, finished = folder / "salt.previs", list[str](), 0, False
    while not finished:
        number += 1
        for old in folder.rglob("*"):
            if old.is_file():
                old.unlink()
        create(path, OLD)

        def killed_save(dies_at: int = number) -> None:
            opened, calls = open_document(path), 0

            def count(frame: FrameType, event: str, _: object) -> None:
                nonlocal calls
                name = frame.f_code.co_filename
                if event == "c_call" and (name.endswith("store.py") or "pathlib" in name):
                    calls += 1
                    if calls == dies_at:
                        os.kill(os.getpid(), signal.SIGKILL)

            sys.setprofile(count)
            save(opened, NEW)
            sys.setprofile(None)

        status = os.waitpid(in_a_child(killed_save), 0)[1]
        finished = status == 0
        assert finished or status == signal.SIGKILL, status
        seen.append(what_is_left(path))
    return {"calls": number - 1, "seen": seen}


def disk_full(folder: Path) -> dict[str, object]:
    """A real refusal by the system: no file of this process may be longer than 4,000 bytes."""
    path = folder / "salt.previs"
    create(path, OLD)
    opened, before = open_document(path), path.read_bytes()
    resource.setrlimit(resource.RLIMIT_FSIZE, (4000, resource.RLIM_INFINITY))
    try:
        save(opened, NEW)
    except Fault as fault:
        return {"said": str(fault), "untouched": path.read_bytes() == before, "left": sorted(entry.name for entry in folder.iterdir())}
    return {"said": "", "untouched": False, "left": []}


def race_for_a_stale_lock(folder: Path, rounds: int) -> dict[str, object]:
    """Four programs find the lock of a dead one at the same moment; never may two be inside together."""
    path, marker, codes = folder / "salt.previs", folder / "inside", Counter[str]()
    create(path, OLD)

    def enter() -> None:
        with held(path):
            descriptor = os.open(marker, os.O_CREAT | os.O_EXCL)
            time.sleep(0.01)
            os.close(descriptor)
            marker.unlink()

    def die_inside() -> None:
        with held(path):
            os._exit(0)

    for _ in range(rounds):
        os.waitpid(in_a_child(die_inside), 0)
        assert lock_path(path).exists()
        children = [in_a_child(enter) for _ in range(4)]
        ended = Counter(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children)
        assert not lock_path(path).exists()
        codes.update({"got in": ended[0], "two inside": ended[1], "sent away": ended[2], "rounds nobody": int(ended[0] == 0)})
    return dict(codes)


def closed_folder(folder: Path) -> dict[str, object]:
    """A folder that may be read and not written to, then a file that may not be read; not as root, to whom nothing is closed."""
    path = folder / "salt.previs"
    create(path, OLD)
    for entry, mode in ((path, 0o666), (folder, 0o555)):
        entry.chmod(mode)
    if os.geteuid() == 0:
        os.chown(path, NOBODY, NOBODY)
        os.setuid(NOBODY)
    opened = open_document(path)

    def hold() -> None:
        with held(path):
            pass

    said = [refusal(lambda: save(opened, NEW)), refusal(hold)]
    path.chmod(0)
    said.append(refusal(lambda: open_document(path)))
    return {"said": said, "left": [entry.name for entry in folder.iterdir()]}


def refusal(work: Callable[[], object]) -> str:
    try:
        work()
    except Fault as fault:
        return str(fault)
    return "nothing was refused"


if __name__ == "__main__":
    what, folder, *numbers = sys.argv[1:]
    jobs: dict[str, Callable[..., dict[str, object]]] = {
        "at_random": at_random,
        "before_each_call": before_each_call,
        "disk_full": disk_full,
        "closed_folder": closed_folder,
        "race_for_a_stale_lock": race_for_a_stale_lock,
    }
    print(json.dumps(jobs[what](Path(folder), *map(int, numbers))))
