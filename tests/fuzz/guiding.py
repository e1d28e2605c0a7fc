"""A run guided by coverage, where atheris is installed: it keeps the inputs that reach new lines and goes on from them.

`PYTHONPATH=tests python -m fuzz.guiding READER SCRATCH RUNS SECONDS SEED` is a process that `fuzz.running` watches. Nothing of the
program is imported before it can be instrumented.
"""

from __future__ import annotations

import os
import random
import sys
from contextlib import suppress
from pathlib import Path

import atheris


def main(arguments: list[str]) -> None:
    """Say a line of JSON for each thing found, as `fuzz.running` does; the library ends the process."""
    name, scratch, runs, seconds, seed = arguments[0], Path(arguments[1]), int(arguments[2]), float(arguments[3]), int(arguments[4])
    with atheris.instrument_imports(include=["previs"]):
        from fuzz.judging import judged
        from fuzz.running import Teller, limit_memory, warmed

        one = warmed(name, scratch)
    limit_memory(one)
    begun_from = scratch / "begun_from"
    begun_from.mkdir()
    for number, data in enumerate(one.seeds()):
        (begun_from / str(number)).write_bytes(data)
    teller, chance, left = Teller(scratch), random.Random(seed), runs

    def look(data: bytes) -> None:
        nonlocal left
        (scratch / "input").write_bytes(data)
        teller.tell(judged(lambda given: one.read(given, scratch), data, seconds=one.seconds), data)
        left -= 1
        if left <= 0 or teller.seconds > seconds:
            teller.close()
            os._exit(0)

    def worse(data: bytes, most: int, number: int) -> bytes:
        # Half by the format's own changes, which keep an input whole enough to get far. The library does not survive an error here.
        if number % 2:
            chance.seed(number)
            with suppress(Exception):
                return one.worse(data, one.tokens, chance)[:most]
        return bytes(atheris.Mutate(data, most))

    atheris.Setup(["fuzz", str(begun_from), "-max_len=65536", f"-seed={seed or 1}"], look, custom_mutator=worse)
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
