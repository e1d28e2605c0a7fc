"""All that the Fight place shows of one fight, worked out together from a sequence and the chosen cut; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.desk.fight.hands import Hands, hands_of
from previs.desk.fight.strips import Strips, strips_of
from previs.desk.fight.written import Row, rows_of
from previs.document.model import Cut, Sequence
from previs.fight.coverage import Covered, Figures, coverage, figures


@dataclass(frozen=True, slots=True)
class FightSheet:
    """`rows` and `covered` have one for each move; `cut` is the name of the cut that is told of, or nothing."""

    rows: tuple[Row, ...]
    covered: tuple[Covered, ...]
    strips: Strips
    hands: Hands
    figures: Figures
    cut: str

    @property
    def holes(self) -> tuple[int, ...]:
        """The rows of the moves that lack something."""
        return tuple(row for row, one in enumerate(self.covered) if one.hole)


def sheet_of(sequence: Sequence, cut: Cut | None) -> FightSheet:
    """The sheet of a fight; raises `UseFault` when a shot's take or tape is not in the sequence."""
    covered = coverage(sequence, cut)
    return FightSheet(
        rows_of(sequence),
        covered,
        strips_of(sequence, covered),
        hands_of(sequence, cut),
        figures(sequence, covered),
        cut.name if cut else "",
    )
