"""Somebody does anything at random at the desk: no exception, no Qt warning, no thread left, and the document always sound.

Short by default; `PREVIS_SOAK_MINUTES=60 scripts/test tests/desk/test_soak.py` is the long walk.
"""

from __future__ import annotations

import gc
import os
import random
import shutil
from pathlib import Path
from time import monotonic

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from person import Person
from pytestqt.qtbot import QtBot

from previs.desk.memory import Memory
from previs.desk.rubbish import Rubbish
from previs.desk.window import Window, dress
from previs.document.invariants import faults_in
from previs.document.store import open_document

MINUTES = float(os.environ.get("PREVIS_SOAK_MINUTES", "0"))
SHORT_STEPS = 150
_TOLD_SECONDS = 120


@settings(max_examples=2, deadline=None, suppress_health_check=list(HealthCheck), database=None)
@given(seed=st.integers(0, 2**32))
def test_whatever_a_person_does_the_document_stays_sound(
    seed: int, made_fight: Path, tmp_path_factory: pytest.TempPathFactory, qtbot: QtBot
) -> None:
    _sit_down(seed, made_fight, tmp_path_factory.mktemp("soak"), qtbot)


@pytest.mark.skipif(not MINUTES, reason="PREVIS_SOAK_MINUTES says how long; a failure is not tried again, as its seed is told")
def test_a_long_day_at_the_desk(made_fight: Path, tmp_path: Path, qtbot: QtBot) -> None:
    seed = int(os.environ.get("PREVIS_SOAK_SEED") or random.randrange(2**32))
    print(f"seed {seed}")
    _sit_down(seed, made_fight, tmp_path, qtbot)


def _sit_down(seed: int, made_fight: Path, folder: Path, qtbot: QtBot) -> None:
    document = folder / "fight" / made_fight.name
    shutil.copytree(made_fight.parent, document.parent)
    threads = _threads()
    memory = Memory(folder / "desk.ini")
    dress(memory)
    with pytest.MonkeyPatch.context() as monkeypatch:
        # A name without a folder must not be written where the program was started.
        started = folder / "started"
        started.mkdir()
        monkeypatch.chdir(started)
        window = Window(memory)
        assert window.open(document)
        window.show()
        rubbish = Rubbish()
        person = Person(window, random.Random(seed), folder, monkeypatch)
        try:
            _walk(person, document)
        except BaseException:
            print("\n".join(person.done[-40:]))
            raise
        finally:
            window.close()
            window.deleteLater()
            rubbish.stop()
    assert list(started.iterdir()) == []
    # What was stopped holds its reader, and that its threads, until the rubbish is taken out.
    gc.collect()
    # Libraries keep a few helpers of their own once they have been used.
    try:
        # Qt's own helpers go after half a minute without work.
        qtbot.waitUntil(lambda: _threads() <= threads + 8, timeout=60_000)
    except BaseException:
        print(sorted((task / "comm").read_text().strip() for task in Path("/proc/self/task").iterdir()))
        raise


def _walk(person: Person, document: Path) -> None:
    begun = told = monotonic()
    end, steps = begun + 60 * MINUTES, 0
    while steps < SHORT_STEPS or monotonic() < end:
        steps += 1
        person.do_something()
        window = person.window
        if window.file is None:
            assert window.open(document)
            window.show()
        if steps % 10 == 0:
            assert window.file is not None
            assert faults_in(window.file.sequence) == ()
            assert open_document(document).sequence == window.file.sequence
        if monotonic() - told > _TOLD_SECONDS:
            told = monotonic()
            print(f"{told - begun:.0f} s: {steps} steps, {_memory_mb()} MB, {_threads()} threads, {_open_files()} open files", flush=True)


def _memory_mb() -> int:
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGESIZE") // 2**20


def _open_files() -> int:
    return len(list(Path("/proc/self/fd").iterdir()))


def _threads() -> int:
    """How many threads this process has, as the system counts them."""
    return len(list(Path("/proc/self/task").iterdir()))
