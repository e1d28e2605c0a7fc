"""One input put before one reader, and the verdict: a sound value, a refusal in a clear sentence, or a fault of the reader."""

from __future__ import annotations

import signal
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from previs.faults import Fault

MOST_SECONDS = 2.0
"""Processor time that a reader may take over one input."""
LONGEST_LINE, MOST_LINES = 700, 60
"""A sentence beyond this is not one that a person reads; a table's faults are a line each."""


class Verdict(StrEnum):
    READ = "read"
    REFUSED = "refused"
    FAULT = "fault"


class Unsound(AssertionError):
    """A reader gave back a value that cannot be."""


class TooLong(BaseException):
    """Above `Exception`, so that no reader takes it for damage and reads on."""


@dataclass(frozen=True)
class Judged:
    """What came of one input. `told` is the refusal or the fault; `where` tells one fault from another."""

    verdict: Verdict
    told: str = ""
    where: str = ""
    seconds: float = 0.0


def judged(read: Callable[[bytes], object], data: bytes, *, seconds: float = MOST_SECONDS) -> Judged:
    """Let a reader read one input; it raises nothing of the reader's."""
    begun, warned = time.process_time(), list[warnings.WarningMessage]()
    try:
        # What the library warns of would come out beside our sentence, in its words.
        with warnings.catch_warnings(record=True) as caught, _within(seconds):
            warned = caught
            warnings.simplefilter("always")
            read(data)
        verdict = Judged(Verdict.READ)
    except Fault as fault:
        wrong = unclear(str(fault))
        verdict = (
            Judged(Verdict.FAULT, f"{wrong}: {str(fault)[:2000]!r}", f"{wrong} {_place(fault)}")
            if wrong
            else Judged(Verdict.REFUSED, str(fault))
        )
    except TooLong as late:
        verdict = Judged(Verdict.FAULT, f"takes longer than {seconds} s", f"slow {_place(late)}")
    except Exception as error:
        verdict = Judged(Verdict.FAULT, "".join(traceback.format_exception(error))[-3000:], f"{type(error).__name__} {_place(error)}")
    if warned and verdict.verdict is not Verdict.FAULT:
        first = warned[0]
        verdict = Judged(Verdict.FAULT, f"warns: {first.message}", f"{first.category.__name__} {Path(first.filename).name}:{first.lineno}")
    return Judged(verdict.verdict, verdict.told, verdict.where, time.process_time() - begun)


def unclear(sentence: str) -> str:
    """Why this is no clear sentence for a person; empty for one that is."""
    lines = sentence.split("\n")
    if not sentence.strip():
        return "says nothing"
    if len(lines) > MOST_LINES:
        return "goes on for too many lines"
    if max(map(len, lines)) > LONGEST_LINE:
        return "goes on for too long"
    if not all(line.isprintable() for line in lines):
        return "would steer a terminal"
    if "Traceback" in sentence or " object at 0x" in sentence:
        return "shows the program's inside"
    return "" if lines[-1].endswith((".", "?")) else "does not end as a sentence"


@contextmanager
def _within(seconds: float) -> Iterator[None]:
    """Processor time, so that a machine that is busy with other work counts against nobody."""

    def ring(number: int, frame: object) -> None:
        raise TooLong

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def _place(error: BaseException) -> str:
    """The innermost line of this program that the error came through, or else the innermost one of all."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "/previs/" in frame.filename and "site-packages" not in frame.filename]
    last = (ours or frames or [None])[-1]
    return f"{Path(last.filename).name}:{last.lineno}" if last else "nowhere"
