"""The bench: each row measured against its reference in the same run, medians of several, with the machine described."""

from __future__ import annotations

import os
import platform
import sys
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

from benches import assembly


@dataclass(frozen=True)
class Row:
    """What was measured: median seconds of ours and of the reference, and the ratio asked for (reference over ours)."""

    name: str
    ours_seconds: float
    reference: str
    reference_seconds: float
    goal: float

    def line(self) -> str:
        """The row as a line of the table."""
        ratio = self.reference_seconds / self.ours_seconds
        verdict = "met" if ratio >= self.goal else "MISSED"
        return (
            f"| {self.name} | {self.ours_seconds:.3f} s | {self.reference} {self.reference_seconds:.3f} s "
            f"| {ratio:.1f} x | {self.goal:g} x | {verdict} |"
        )


def assembly_row(runs: int) -> Row:
    """200 moves of 12 takes to 5,760 frames: from takes to cut, against HiGHS given the finished problem."""
    measured = [assembly.measure() for _ in range(runs)]
    return Row(
        "assemble 200 moves x 12 takes to 5,760 frames",
        median(one.ours_seconds for one in measured),
        "HiGHS",
        median(one.highs_seconds for one in measured),
        10,
    )


ROWS: dict[str, Callable[[int], Row]] = {"assembly": assembly_row}


def main(arguments: list[str]) -> int:
    """Measure the rows named, or all; `--once` measures each a single time."""
    runs = 1 if "--once" in arguments else 3
    wanted = [name for name in arguments if not name.startswith("--")] or list(ROWS)
    unknown = [name for name in wanted if name not in ROWS]
    if unknown:
        print(f"There is no row '{unknown[0]}'; there are: {', '.join(ROWS)}.", file=sys.stderr)
        return 2
    print(f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, median of {runs}\n")
    print("| row | ours | reference | ratio | goal | |\n|---|---|---|---|---|---|")
    for name in wanted:
        print(ROWS[name](runs).line(), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
