"""Four hours of simulated use in one program: after the first rounds it holds no more memory, threads or files than it did.

Short by default; `PREVIS_HAUL_ROUNDS=120 scripts/test -n 0 tests/haul/test_day.py -s` is 2,880 things done, one every 5 s
for four hours.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from statistics import median

LONG_ROUNDS = int(os.environ.get("PREVIS_HAUL_ROUNDS", "0"))
ROUNDS = LONG_ROUNDS or 3
WARM_ROUNDS = max(ROUNDS // 4, 1)
"""What is loaded when it is first wanted, and what is kept of the last few things, has come by then."""
MOST_GROWTH = 1.05
"""How much the last third may hold of what the first third after warming up holds: Python's own memory is not given back whole."""


def test_a_day_leaves_no_more_memory_threads_or_files_than_its_morning(tmp_path: Path) -> None:
    program = [sys.executable, str(Path(__file__).with_name("day.py")), str(tmp_path), str(ROUNDS)]
    paths = os.pathsep.join((str(Path(__file__).parents[1]), str(Path(__file__).parents[2])))
    held = []
    with subprocess.Popen(program, stdout=subprocess.PIPE, text=True, env=os.environ | {"PYTHONPATH": paths}) as running:
        for line in running.stdout or ():
            held.append(json.loads(line))
            print(line, end="", flush=True)
    assert running.returncode == 0 and len(held) == ROUNDS
    warm = held[WARM_ROUNDS:]
    third = max(len(warm) // 3, 1)

    def early_and_late(what: str) -> tuple[float, float]:
        return median(one[what] for one in warm[:third]), median(one[what] for one in warm[-third:])

    for what, most in (("mb", MOST_GROWTH), ("threads", 1.0), ("files", 1.0)):
        early, late = early_and_late(what)
        print(f"{what}: {early} early, {late} late")
        assert late <= early * most, (what, early, late)
