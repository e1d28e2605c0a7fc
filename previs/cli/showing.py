"""What the command line prints: results on standard output, progress and remarks on standard error."""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Iterator, Mapping
from collections.abc import Sequence as Several
from contextlib import contextmanager
from time import monotonic
from types import FrameType
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from previs.printable import printable
from previs.progress import Report, Step, Stopped

_SECONDS_BETWEEN_LINES = 5

Row = Mapping[str, str | int | float | bool | None]


def say(sentence: str) -> None:
    """A sentence for the person, on standard error, so that it never mixes with a result."""
    print(printable(sentence), file=sys.stderr)


def show(line: str = "") -> None:
    """A line of a result for a person, on standard output."""
    print(printable(line))


def show_text(text: str) -> None:
    """A result of many lines, such as a table in CSV."""
    for line in text.removesuffix("\n").split("\n"):
        show(line.removesuffix("\r"))


def answer(value: Any) -> None:
    """A result as JSON, with signs that could steer a terminal as their numbers, which JSON reads back as the same."""
    text = json.dumps(value, indent=2, ensure_ascii=False)
    print("\n".join(line if line.isprintable() else "".join(map(_in_json, line)) for line in text.split("\n")))


def _in_json(sign: str) -> str:
    return sign if sign.isprintable() else json.dumps(sign)[1:-1]


def show_rows(rows: Several[Row]) -> None:
    """Rows as aligned text columns, as wide as they are; a header and a line when there is none."""
    if not rows:
        print("(nothing)")
        return
    names = list(rows[0])
    # A cell of several lines would break the columns.
    cells = [names] + [["" if row[name] is None else printable(str(row[name])).replace("\n", " ") for name in names] for row in rows]
    widths = [max(len(line[column]) for line in cells) for column in range(len(names))]
    numeric = [all(isinstance(row[name], int | float) or row[name] is None for row in rows) for name in names]
    for line in cells:
        parts = [cell.rjust(width) if right else cell.ljust(width) for cell, width, right in zip(line, widths, numeric, strict=True)]
        print("  ".join(parts).rstrip())


@contextmanager
def reporting(what: str) -> Iterator[Report]:
    """A progress bar for long work; one Ctrl-C asks the work to stop cleanly, a second one breaks it off.

    Where there is no terminal to draw a bar on, a line every few seconds says how far the work is.
    """
    asked_to_stop = False

    def ask(_signal: int, _frame: FrameType | None) -> None:
        nonlocal asked_to_stop
        if asked_to_stop:
            raise KeyboardInterrupt
        asked_to_stop = True

    told_at = monotonic()

    def tell(step: Step) -> None:
        nonlocal told_at
        if not console.is_terminal and monotonic() - told_at >= _SECONDS_BETWEEN_LINES:
            told_at = monotonic()
            say(f"{what}: {step.doing}, {step.done} of {step.total}.")

    before = signal.signal(signal.SIGINT, ask)
    # A tape may be called [/b]: what stands in brackets is its name.
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TextColumn("{task.percentage:>3.0f}%"), TimeRemainingColumn())
    console = Console(stderr=True)
    try:
        with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
            task = bar.add_task(what, total=None)

            def report(step: Step) -> None:
                if asked_to_stop:
                    raise Stopped
                tell(step)
                bar.update(task, completed=step.done, total=step.total, description=step.doing)

            yield report
    finally:
        signal.signal(signal.SIGINT, before)
