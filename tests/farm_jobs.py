"""Jobs for a farm's workers, in a module that they can import."""

from __future__ import annotations

import os
import time
from pathlib import Path

from previs.faults import Fault, UseFault
from previs.media.workers import Tick


def count(job: tuple[Path, int, float], tick: Tick) -> tuple[int, int]:
    """Count to a number at so many seconds a step, beside a file that says which process is at it; gives the number and the process."""
    folder, number, seconds = job
    (folder / f"{number}.{os.getpid()}").touch()
    for _ in range(number):
        tick()
        time.sleep(seconds)
    return number, os.getpid()


def refuse(job: int, _tick: Tick) -> int:
    """Refuse odd numbers."""
    if job % 2:
        raise UseFault(f"{job} is odd; give an even number.")
    return job


def die(_job: int, _tick: Tick) -> None:
    """Take the process with it."""
    os._exit(7)


def lose(_job: int, _tick: Tick) -> None:
    """Fail as a disk does."""
    raise Fault("The disk is full.")
