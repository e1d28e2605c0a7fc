"""The bench: each row measured against its reference in the same run, medians of several, with the machine described."""

from __future__ import annotations

import os
import platform
import sys
from collections.abc import Callable
from statistics import median

from benches import assembly, desk, document, growth, listening, media
from benches.rows import Row


def assembly_rows(runs: int) -> list[Row]:
    """200 moves of 12 takes to 5,760 frames: from takes to cut, against HiGHS given the finished problem."""
    return [_assembled("HiGHS", assembly.by_highs, 10, runs)]


def cp_sat_rows(_runs: int) -> list[Row]:
    """The same against CP-SAT, once, since it takes minutes."""
    return [_assembled("CP-SAT", assembly.by_cp_sat, 100, 1)]


def _assembled(reference: str, by: Callable[..., int | None], goal: float, runs: int) -> Row:
    measured = [assembly.measure(by) for _ in range(runs)]
    told = reference if all(one.proven for one in measured) else f"{reference}, stopped unproven after"
    ours, theirs = median(one.ours_seconds for one in measured), median(one.reference_seconds for one in measured)
    return Row("assemble 200 moves x 12 takes to 5,760 frames", ours, told, theirs, goal)


def desk_rows(runs: int) -> list[Row]:
    """The desk with 200 shots, 2,000 hits and 60 tapes: opened, under a drag, sought in, and how much memory it took."""
    measured = [desk.measure() for _ in range(runs)]
    show, redraw = "desk, 200 shots, 2,000 hits, 60 tapes", median(one.redraw_seconds for one in measured)
    return [
        Row(f"{show}: from start to painted window", median(one.open_seconds for one in measured), "limit", desk.OPEN_SECONDS, 1),
        Row(f"{show}: 95 % of redraws while trimming", redraw, "30 a second", desk.REDRAW_SECONDS, 1),
        Row(f"{show}: seek to picture, median", median(one.seek_seconds for one in measured), "a frame at 24", 1 / 24, 1),
        Row(f"{show}: most memory", median(one.memory_mb for one in measured), "limit", desk.MEMORY_MB, 1, "MB"),
    ]


ROWS: dict[str, Callable[[int], list[Row]]] = {
    "index": media.index_rows,
    "copies": media.copy_rows,
    "seek": media.seek_rows,
    "publish": media.publish_rows,
    "assembly": assembly_rows,
    "cp-sat": cp_sat_rows,
    "sound": listening.rows,
    "document": document.rows,
    "desk": desk_rows,
}
GROWTH = "growth"


def main(arguments: list[str]) -> int:
    """Measure the rows named, or all; `--once` measures each a single time."""
    runs = 1 if "--once" in arguments else 3
    wanted = [name for name in arguments if not name.startswith("--")] or [*ROWS, GROWTH]
    unknown = [name for name in wanted if name not in (*ROWS, GROWTH)]
    if unknown:
        print(f"There is no row '{unknown[0]}'; there are: {', '.join((*ROWS, GROWTH))}.", file=sys.stderr)
        return 2
    print(f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, median of {runs}\n")
    measured = [name for name in wanted if name in ROWS]
    if measured:
        print("| row | ours | reference | ratio | goal | |\n|---|---|---|---|---|---|")
    for name in measured:
        for row in ROWS[name](runs):
            print(row.line(), flush=True)
    if GROWTH in wanted:
        print("\n| the work | " + " | ".join(f"x {size}" for size in growth.SIZES) + " | grows as its power |\n|---|---|---|---|---|---|")
        for grown in growth.rows(runs):
            print(grown.line(), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
