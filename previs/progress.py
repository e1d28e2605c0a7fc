"""How long work reports where it is and how it is stopped; nothing about bars or windows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One report: `done` of `total` units, and what is being done, in words for a person."""

    done: int
    total: int
    doing: str


Report = Callable[[Step], None]
"""Called often by long work. It may raise `Stopped`; the work then leaves nothing half-made and lets it pass."""


class Stopped(Exception):
    """The person asked to stop."""


def silent(step: Step) -> None:
    """A report that goes nowhere."""
