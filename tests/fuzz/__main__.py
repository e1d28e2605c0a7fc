"""`scripts/fuzz`: readers put to the test, one after the other or several at a time, and a table of what came of it."""

from __future__ import annotations

import argparse
import importlib.util
import random
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from fuzz.readers import names, reader
from fuzz.running import GUIDED, Result, run


def main() -> int:
    """Exit code 0 without a fault, 1 with one, 2 for a reader that is not there."""
    parser = argparse.ArgumentParser(prog="scripts/fuzz", description=__doc__)
    parser.add_argument("readers", nargs="*", metavar="READER", help=f"which; all when none is named: {', '.join(names())}")
    parser.add_argument("--runs", type=int, default=2000, help="inputs for each reader (2000)")
    parser.add_argument("--seconds", type=float, default=600, help="the longest time for each reader (600)")
    parser.add_argument("--seed", type=int, help="the number that the inputs follow from; another each time when not given")
    parser.add_argument("--processes", type=int, default=1, help="readers at a time (1)")
    parser.add_argument(
        "--findings", type=Path, default=Path(tempfile.gettempdir()) / "previs_fuzz", help="where inputs that show a fault go"
    )
    parser.add_argument("--plain", action="store_true", help="no runs guided by coverage, also where atheris is installed")
    given = parser.parse_args()
    if unknown := [name for name in given.readers if name not in names()]:
        print(f"There is no reader '{unknown[0]}'; there are: {', '.join(names())}.", file=sys.stderr)
        return 2
    seed = given.seed if given.seed is not None else random.randrange(10**9)
    guided = not given.plain and importlib.util.find_spec("atheris") is not None
    how = "half of each pure reader's inputs guided by coverage (atheris)" if guided else "inputs made worse at random"
    print(f"seed {seed}, {how}\n\n| reader | runs | refused in a sentence | read | faults | slowest | most memory |")
    print("|---|---|---|---|---|---|---|")

    def one(name: str) -> Result:
        # Half and half, so that a table of both kinds of run has the same number of inputs in it.
        guiding = guided and reader(name).pure
        share = 2 if guiding else 1
        result = run(Result(name), given.runs // share, given.seconds / share, seed, given.findings)
        return run(result, given.runs - given.runs // 2, given.seconds / 2, seed, given.findings, GUIDED) if guiding else result

    wanted = list(dict.fromkeys(given.readers)) or list(names())
    with ThreadPoolExecutor(given.processes) as at_work:
        results = []
        for result in at_work.map(one, wanted):
            results.append(result)
            print(result.line(), flush=True)
    for result in results:
        for where, (told, kept) in result.faults.items():
            print(f"\n{result.reader}: {where}\n  input: {kept}\n  {told.strip().splitlines()[-1] if told.strip() else ''}")
    return 1 if any(result.verdicts["fault"] for result in results) else 0


if __name__ == "__main__":
    sys.exit(main())
