"""The types that the command line's fixtures give, for annotations."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from clips import Clip


@dataclass(frozen=True)
class Ran:
    """What a run of the command line gave: exit code, standard output, standard error."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@dataclass(frozen=True)
class Job:
    """A folder with a sequence file that has tapes, fight and marks, and no cut."""

    folder: Path
    file: Path
    tapes: dict[str, Clip]
