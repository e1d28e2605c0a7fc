"""Every verb on a long show, in a program of its own: under 2 GB with all its processes, and with few files open at once.

Short by default; `PREVIS_HAUL=1 scripts/test -n 0 tests/haul/test_long_show.py -s` is 500 tapes and 999 shots, the most that one edit
list holds.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import threading
from pathlib import Path

from haul.measuring import tree_mb

WHOLE = bool(os.environ.get("PREVIS_HAUL"))
TAPES, SHOTS = (500, 999) if WHOLE else (40, 99)
MOST_MB = 2048
MOST_OPEN_FILES = 1024 if WHOLE else 50
"""What a system allows a program as a rule; in the short show as many fewer as it has fewer tapes."""
LOOK_EVERY_SECONDS = 0.1


def test_a_long_show_is_worked_through_in_two_gigabytes(tmp_path: Path) -> None:
    program = [sys.executable, str(Path(__file__).with_name("long_show.py")), str(tmp_path), str(TAPES), str(SHOTS)]
    paths = os.pathsep.join((str(Path(__file__).parents[1]), str(Path(__file__).parents[2])))
    environment = os.environ | {"PYTHONPATH": paths}
    top = {"mb": 0.0}
    over = threading.Event()
    with subprocess.Popen(program, stdout=subprocess.PIPE, text=True, env=environment, preexec_fn=_few_files) as running:
        watch = threading.Thread(target=_watch, args=(running.pid, top, over))
        watch.start()
        try:
            done = []
            for line in running.stdout or ():
                done.append(json.loads(line))
                print(f"{done[-1]['what']}: {done[-1]['seconds']} s, at most {top['mb']:.0f} MB so far", flush=True)
        finally:
            over.set()
            watch.join()
    assert running.returncode == 0
    assert done[-1]["what"] == "publish draft"
    assert 0 < top["mb"] < MOST_MB


def _few_files() -> None:
    resource.setrlimit(resource.RLIMIT_NOFILE, (MOST_OPEN_FILES, MOST_OPEN_FILES))


def _watch(pid: int, top: dict[str, float], over: threading.Event) -> None:
    while not over.wait(LOOK_EVERY_SECONDS):
        top["mb"] = max(top["mb"], tree_mb(pid))
