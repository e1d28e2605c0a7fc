"""Runs guided by coverage, where atheris is installed: it keeps the inputs that reach new lines and goes on from them.

`PYTHONPATH=tests python -m fuzz.guiding READER SCRATCH RUNS SECONDS SEED` is the process.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
from pathlib import Path

from fuzz.running import Result, Teller, _note, limit_memory, warmed


def run_guided(result: Result, runs: int, seconds: float, seed: int, findings: Path) -> Result:
    """Add a guided run to a reader's counts."""
    with tempfile.TemporaryDirectory(prefix="fuzz_") as scratch:
        command = [sys.executable, "-m", "fuzz.guiding", result.reader, scratch, str(runs), str(seconds), str(seed)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as process:
            for line in process.stdout or ():
                if line.startswith("{"):
                    _note(result, json.loads(line), Path(scratch), findings)
    return result


def main(arguments: list[str]) -> None:
    import atheris

    name, scratch, runs, seconds, seed = arguments[0], Path(arguments[1]), arguments[2], float(arguments[3]), arguments[4]
    with atheris.instrument_imports(include=["previs"]):
        one = warmed(name, scratch)
    limit_memory(one)
    begun_from = scratch / "begun_from"
    begun_from.mkdir()
    for number, data in enumerate(one.seeds()):
        (begun_from / str(number)).write_bytes(data)
    from fuzz.judging import judged

    teller, chance, left = Teller(scratch), random.Random(int(seed)), [int(runs)]

    def look(data: bytes) -> None:
        teller.tell(judged(lambda given: one.read(given, scratch), data), data)
        left[0] -= 1
        if not left[0]:
            teller.close()

    def worse(data: bytes, most: int, number: int) -> bytes:
        # Half by the format's own changes, which keep an input whole enough to get far.
        if number % 2:
            chance.seed(number)
            return one.worse(data, one.tokens, chance)[:most]
        return bytes(atheris.Mutate(data, most))

    atheris.Setup(
        ["fuzz", str(begun_from), f"-runs={runs}", f"-max_total_time={max(1, round(seconds))}", "-max_len=65536", f"-seed={int(seed) or 1}"],
        look, custom_mutator=worse, enable_python_coverage=True,
    )  # fmt: skip
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
