"""A short run of every reader; `scripts/fuzz` runs them for as long as one likes. Every input that ever showed a fault is in the corpus."""

from __future__ import annotations

import random
import sys
from collections import Counter
from pathlib import Path

import pytest
from fuzz.judging import Verdict, judged, unclear
from fuzz.readers import Reader, names, reader
from fuzz.running import CORPUS, Result, run, warmed

from previs.faults import UseFault

RUNS = 30
SLOW = {"drawing": 12, "history": 12}
"""Of which one input takes longer."""
APART = ("movie", "timeline")
"""Readers whose libraries could end the process that they are in."""


@pytest.mark.parametrize("name", [name for name in names() if name not in APART])
def test_what_is_broken_is_read_or_refused_in_a_sentence(name: str, tmp_path: Path) -> None:
    one, chance = warmed(name, tmp_path), random.Random(20261125)
    verdicts = Counter[Verdict]()
    for _ in range(SLOW.get(name, RUNS)):
        data = one.input(chance)
        found = judged(lambda given: one.read(given, tmp_path), data, seconds=one.seconds)
        assert found.verdict is not Verdict.FAULT, (found.told, data[:2000])
        verdicts[found.verdict] += 1
    assert verdicts.total() == SLOW.get(name, RUNS)


@pytest.mark.parametrize("name", APART)
def test_what_is_broken_is_read_or_refused_in_a_process_with_limits(name: str, tmp_path: Path) -> None:
    result = run(Result(name), RUNS, 240, 20261125, tmp_path)
    assert not result.faults, result.faults
    assert result.runs == RUNS
    assert result.verdicts[Verdict.REFUSED] and result.verdicts[Verdict.READ]


@pytest.mark.parametrize("kept", sorted(CORPUS.glob("*")), ids=lambda path: path.name)
def test_what_was_a_fault_once_is_none_now(kept: Path, tmp_path: Path) -> None:
    one = warmed(kept.stem.rpartition("_")[0], tmp_path)
    found = judged(lambda given: one.read(given, tmp_path), kept.read_bytes(), seconds=one.seconds)
    assert found.verdict is not Verdict.FAULT, found.told


LARGE = {
    "document": b'{"title": "' + b"x" * 10_000_000 + b'"}',
    "notes": b"[" * 10_000_000,
    "timeline": b'{"x": ' + b'{"a":' * 2_000_000,
    "hits": b"," * 10_000_000,
    "takes": b"take,tape\n" * 1_000_000,
    "pasted": b"\n" * 10_000_000,
    "edit-list": b"001  FILM V C 00:00:00:00 00:00:00:01 00:00:00:00 00:00:00:01\n" * 150_000,
    "pull-log": b"9" * 10_000_000,
    "lock": b"user: " * 1_500_000,
}


@pytest.mark.parametrize("name", LARGE)
def test_ten_megabytes_take_no_longer_than_a_moment(name: str, tmp_path: Path) -> None:
    one = warmed(name, tmp_path)
    found = judged(lambda given: one.read(given, tmp_path), LARGE[name])
    assert found.verdict is Verdict.REFUSED or name == "lock", found.told


def test_the_judge_finds_what_it_looks_for() -> None:
    def raising(error: Exception) -> Verdict:
        def read(data: bytes) -> None:
            raise error

        return judged(read, b"").verdict

    def endless(data: bytes) -> None:
        while True:
            pass

    assert raising(UseFault("It is broken; mend it.")) is Verdict.REFUSED
    assert raising(ValueError("x")) is Verdict.FAULT
    assert raising(UseFault("It is broken")) is Verdict.FAULT
    assert judged(endless, b"", seconds=0.05).verdict is Verdict.FAULT
    assert judged(lambda data: None, b"").verdict is Verdict.READ
    assert unclear("\x1b[2J is there.") and unclear("") and unclear("x" * 701 + ".") and unclear(".\n" * 61)


def test_a_process_that_dies_is_a_fault_of_the_input_that_it_was_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    dying = tmp_path / "dying.py"
    dying.write_text("import os, pathlib, sys\npathlib.Path(sys.argv[2], 'input').write_bytes(b'deadly')\nos.abort()\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    result = run(Result("document"), 5, 20, 1, tmp_path / "found", how="dying")
    assert result.verdicts[Verdict.FAULT] == 1
    ((_, kept),) = result.faults.values()
    assert kept.read_bytes() == b"deadly"
    assert sys.executable


def test_every_reader_has_seeds_that_it_reads(tmp_path: Path) -> None:
    """A run that only ever refuses would find nothing."""
    for name in names():
        one: Reader = reader(name)
        if name in APART:
            continue
        found = [judged(lambda given, one=one: one.read(given, tmp_path), seed, seconds=20).verdict for seed in one.seeds()]  # type: ignore[misc]
        assert Verdict.READ in found, name
