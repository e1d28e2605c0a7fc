"""A plan made clean: ends that nearly meet joined, doubles gone, and everything that is odd told with its place; nothing is lost unsaid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from previs.document.floor import PlanLine, PointMm

SNAP_MM = 20
"""How far two ends may lie apart that are meant to meet. Ours, no source: less than the width of two strips of tape."""
MOST_SNAP_MM = 500
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


@dataclass(frozen=True, slots=True)
class Cleaned:
    """The lines as they are now, and everything that was found, by kind and then in the order of the plan."""

    lines: tuple[PlanLine, ...]
    findings: tuple[Finding, ...]

    def of(self, odd: Odd) -> tuple[Finding, ...]:
        """What was found of one kind."""
        return tuple(finding for finding in self.findings if finding.odd is odd)


def cleaned(lines: Sequence[PlanLine], snap_mm: int = SNAP_MM) -> Cleaned:
    """The plan's lines with ends snapped that lie within `snap_mm` (0 for none) and doubles taken away, and what is odd in them."""
    from previs.floor.cleaning_doubles import without_doubles
    from previs.floor.cleaning_oddities import oddities
    from previs.floor.cleaning_snap import snapped

    joined, moved = snapped(lines, snap_mm)
    single, gone = without_doubles(joined)
    order = list(Odd)
    found = sorted([*moved, *gone, *oddities(single)], key=lambda finding: order.index(finding.odd))
    return Cleaned(single, tuple(found))
