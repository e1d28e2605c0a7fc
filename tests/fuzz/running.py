"""Runs of readers in a process of their own each, with limits, watched from outside: a hang or a dead process is a fault of that input.

`PYTHONPATH=tests python -m fuzz.running READER SCRATCH RUNS SECONDS SEED` is the process; it says a line of JSON for each thing found.
"""

from __future__ import annotations

import json
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from fuzz.judging import Judged, Verdict, judged
from fuzz.readers import Reader, reader

STUCK_SECONDS = 60
"""Time without a verdict after which the process is taken for hung, whatever else the machine does."""
CORPUS = Path(__file__).parent / "corpus"


@dataclass
class Result:
    """The counts of one reader's run; `faults` are by where they come from, with what was told and the file of the input.

    `slowest` is processor time, `megabytes` the most that the whole process held at a time.
    """

    reader: str
    verdicts: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    megabytes: int = 0
    faults: dict[str, tuple[str, Path]] = field(default_factory=dict)

    @property
    def runs(self) -> int:
        return sum(self.verdicts.values())

    def line(self) -> str:
        """Its row of the table."""
        refused, read, faults = (self.verdicts[verdict] for verdict in (Verdict.REFUSED, Verdict.READ, Verdict.FAULT))
        return f"| {self.reader} | {self.runs} | {refused} | {read} | {faults} | {self.slowest:.2f} s | {self.megabytes} MB |"


PLAIN, GUIDED = "fuzz.running", "fuzz.guiding"
"""The processes that there are."""


def run(result: Result, runs: int, seconds: float, seed: int, findings: Path, how: str = PLAIN) -> Result:
    """So many more inputs before one reader, or for that long; a process that dies or hangs is begun again."""
    begun, wanted = time.monotonic(), result.runs + runs
    while result.runs < wanted and (left := seconds - (time.monotonic() - begun)) > 0:
        if not _process(result, wanted - result.runs, left, seed + result.runs, findings, how):
            break
    return result


def _process(result: Result, runs: int, seconds: float, seed: int, findings: Path, how: str) -> bool:
    """One process; True when it ended before its time, so that another goes on."""
    before = result.runs
    with tempfile.TemporaryDirectory(prefix="fuzz_") as scratch:
        command = [sys.executable, "-m", how, result.reader, scratch, str(runs), str(seconds), str(seed)]
        complaints = Path(scratch) / "complaints"
        paths = [str(CORPUS.parents[1]), str(CORPUS.parents[2]), *os.environ.get("PYTHONPATH", "").split(os.pathsep)]
        environment = os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, paths))}
        with (
            complaints.open("wb") as held,
            subprocess.Popen(command, stdout=subprocess.PIPE, stderr=held, text=True, env=environment) as process,
        ):
            watch = _Watch(process)
            for line in process.stdout or ():
                watch.seen()
                _note(result, json.loads(line), Path(scratch), findings)
            code = process.wait()
            watch.stop()
        if code == 0:
            return False
        result.verdicts[Verdict.FAULT] += 1
        why = "hangs" if watch.hung else f"ends the program ({code})"
        _keep(result, f"{why} {_newest(Path(scratch))}", complaints.read_text(errors="replace")[-2000:], Path(scratch) / "input", findings)
        return result.runs > before + 1


class _Watch:
    """Ends a process that says nothing for too long."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.hung = False
        self._process, self._last, self._over = process, time.monotonic(), threading.Event()
        threading.Thread(target=self._look, daemon=True).start()

    def seen(self) -> None:
        self._last = time.monotonic()

    def stop(self) -> None:
        self._over.set()

    def _look(self) -> None:
        while not self._over.wait(1):
            if time.monotonic() - self._last > STUCK_SECONDS:
                self.hung = True
                self._process.kill()
                return


def _newest(scratch: Path) -> str:
    return f"input of {(scratch / 'input').stat().st_size} bytes" if (scratch / "input").exists() else "before the first input"


def _note(result: Result, told: dict[str, object], scratch: Path, findings: Path) -> None:
    result.verdicts.update(told["verdicts"])  # type: ignore[arg-type]
    result.slowest = max(result.slowest, float(told["slowest"]))  # type: ignore[arg-type]
    result.megabytes = max(result.megabytes, int(told["megabytes"]))  # type: ignore[call-overload]
    if "where" in told:
        _keep(result, str(told["where"]), str(told["told"]), scratch / str(told["input"]), findings)


def _keep(result: Result, where: str, told: str, found: Path, findings: Path) -> None:
    """The first input of each fault, as a file to look at."""
    if where in result.faults or not found.exists():
        result.faults.setdefault(where, (told, found))
        return
    findings.mkdir(parents=True, exist_ok=True)
    kept = findings / f"{result.reader}_{len(result.faults):02d}"
    kept.write_bytes(found.read_bytes())
    kept.with_suffix(".txt").write_text(f"{where}\n{told}\n", encoding="utf-8", errors="backslashreplace")
    result.faults[where] = (told, kept)


def limit_memory(one: Reader) -> None:
    """Let the process grow by no more than the reader may."""
    taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    most = taken + one.megabytes * 1024**2
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


class Teller:
    """Counts verdicts and says them; a fault at once, the counts now and then."""

    def __init__(self, scratch: Path) -> None:
        self._scratch, self._counts, self._slowest = scratch, Counter[str](), 0.0
        self._known: set[str] = set()
        self._begun = self._told = time.monotonic()

    def tell(self, verdict: Judged, data: bytes) -> None:
        self._counts[verdict.verdict] += 1
        self._slowest = max(self._slowest, verdict.seconds)
        if verdict.verdict is Verdict.FAULT and verdict.where not in self._known:
            self._known.add(verdict.where)
            name = f"fault{len(self._known)}"
            (self._scratch / name).write_bytes(data)
            self._say({"where": verdict.where, "told": verdict.told, "input": name})
        elif time.monotonic() - self._told > 1:
            self._say({})

    @property
    def seconds(self) -> float:
        """Time since it began."""
        return time.monotonic() - self._begun

    def close(self) -> None:
        self._say({})

    def _say(self, more: dict[str, object]) -> None:
        # Not what `getrusage` tells, which counts in what the program that started this one held.
        most = int(re.search(r"VmHWM:\s*(\d+)", Path("/proc/self/status").read_text())[1]) // 1024  # type: ignore[index]
        print(json.dumps({"verdicts": self._counts, "slowest": self._slowest, "megabytes": most, **more}), flush=True)
        self._counts, self._told = Counter(), time.monotonic()


def warmed(name: str, scratch: Path) -> Reader:
    """The reader with its seeds made and read, so that neither counts as an input's time or memory."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    one = reader(name)
    for seed in one.seeds():
        judged(lambda data: one.read(data, scratch), seed, seconds=60)
    return one


def main(arguments: list[str]) -> int:
    name, scratch, runs, seconds, seed = arguments[0], Path(arguments[1]), int(arguments[2]), float(arguments[3]), int(arguments[4])
    one = warmed(name, scratch)
    limit_memory(one)
    chance, teller, place = random.Random(seed), Teller(scratch), scratch / "input"
    for _ in range(runs):
        if teller.seconds > seconds:
            break
        data = one.input(chance)
        # Where the watcher finds it when this process does not live to tell.
        place.write_bytes(data)
        teller.tell(judged(lambda given: one.read(given, scratch), data, seconds=one.seconds), data)
    teller.close()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
