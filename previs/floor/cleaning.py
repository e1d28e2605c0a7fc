"""A plan made clean: ends that nearly meet joined, doubles gone, and everything that is odd told with its place; nothing is lost unsaid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from previs.document.floor import PlanLine
from previs.floor.cleaning_doubles import without_doubles
from previs.floor.cleaning_findings import Finding, Odd
from previs.floor.cleaning_oddities import oddities
from previs.floor.cleaning_snap import snapped

SNAP_MM = 20
"""How far two ends may lie apart that are meant to meet. Ours, no source: less than the width of two strips of tape."""
MOST_SNAP_MM = 500
"""More would close doors."""


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
    joined, moved = snapped(lines, snap_mm)
    single, gone = without_doubles(joined)
    order = list(Odd)
    found = sorted([*moved, *gone, *oddities(single)], key=lambda finding: order.index(finding.odd))
    return Cleaned(single, tuple(found))
