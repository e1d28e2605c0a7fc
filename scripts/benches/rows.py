"""A row of the bench: what was measured, of us and of a named reference in the same run."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """What was measured: medians of ours and of the reference, in one unit, and the ratio asked for (reference over ours)."""

    name: str
    ours: float
    reference: str
    reference_value: float
    goal: float
    unit: str = "s"

    def line(self) -> str:
        """The row as a line of the table."""
        ratio = self.reference_value / self.ours
        verdict = "met" if ratio >= self.goal else "MISSED"
        return (
            f"| {self.name} | {self.ours:.4g} {self.unit} | {self.reference} {self.reference_value:.4g} {self.unit} "
            f"| {ratio:.2f} x | {self.goal:.3g} x | {verdict} |"
        )
