"""A verb killed at a moment of its file work loses nothing, leaves nothing half-made, and goes on when it is called again."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).resolve().parents[1]
EVERY = os.environ.get("PREVIS_FAULTS_ALL")
"""Set, every verb is killed at every moment, which takes an hour; else some are at some."""
SOME = ("new", "ingest", "set", "undo", "captions", "setups", "publish")

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks and signals")


def lines_of(program: str, folder: Path, *arguments: object) -> list[dict[str, Any]]:
    """What one of the programs beside this file saw, verb by verb."""
    command = [sys.executable, "-m", f"faults.{program}", str(folder), *map(str, arguments)]
    ran = subprocess.run(command, cwd=TESTS, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr[-3000:]
    return [json.loads(line) for line in ran.stdout.splitlines()]


def test_a_verb_killed_at_any_moment_goes_on(tmp_path: Path) -> None:
    seen = lines_of("killing", tmp_path, 0 if EVERY else 2, 20261130, *(() if EVERY else SOME))
    assert not [one for one in seen if "broken" in one]
    assert all(one["killed"] >= min(one["moments"], 2) for one in seen)
    # The kills lie before and after the step that turns the old document into the new one.
    turned = {one["verb"]: one["done already"] for one in seen}
    assert turned["set"] and turned["undo"] and turned["ingest"]
    assert sum(one["killed"] - one["done already"] for one in seen) >= len(seen)
