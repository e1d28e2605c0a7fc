"""What can be found in a plan while it is cleaned; what is done about it is decided elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from previs.document.floor import PointMm

TOUCH_MM = 2
"""What lies so near touches: curves are flattened, and everything is rounded to whole millimetres."""


class Odd(StrEnum):
    """What was found in a plan; the first three were set right, the others are as they were."""

    SNAPPED = "snapped"
    DOUBLE = "double"
    OVERLAP = "overlap"
    CROSSING = "crossing"
    SELF_CROSSING = "self-crossing"
    ISLAND = "island"
    OPEN_WALL = "open wall"
    SHUT_DOOR = "shut door"
    NO_HEIGHT = "no height"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found, and where on the plan; `mm` is how far an end was moved, or how long or large the piece is."""

    odd: Odd
    at: PointMm
    mm: int = 0
    name: str = ""
