"""Paper, and the scale at which a room fits on it; nothing is drawn here."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from itertools import count

from previs.faults import UseFault
from previs.floor.measuring_units import Units


class SheetPaper(StrEnum):
    """Paper that tape-out sheets are printed on."""

    A4 = "a4"
    A3 = "a3"
    LETTER = "letter"
    TABLOID = "tabloid"


PAPER_MM = {
    SheetPaper.A4: (297.0, 210.0),
    SheetPaper.A3: (420.0, 297.0),
    SheetPaper.LETTER: (279.4, 215.9),
    SheetPaper.TABLOID: (431.8, 279.4),
}
"""Width and height of each paper when it lies (ISO 216; ANSI/ASME Y14.1 sizes A and B)."""
MARGIN_MM = 10.0
HEAD_MM = 17.0
FOOT_MM = 35.0
"""What title and foot take of a plan page."""
LABELS_MM = 7.0
"""Room around the drawing for numbers."""
_METRIC = (5, 10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
_IMPERIAL = {12: '1"', 16: '3/4"', 24: '1/2"', 32: '3/8"', 48: '1/4"', 64: '3/16"', 96: '1/8"', 128: '3/32"', 192: '1/16"', 384: '1/32"'}
"""An architect's scales: so much on paper is a foot on the floor."""
_SCALE = re.compile(r"(?:1\s*:\s*)?(\d{1,7})", re.ASCII)
MOST_SCALE = 1_000_000


@dataclass(frozen=True, slots=True)
class Page:
    """A page of some paper, lying or standing, in millimetres, and the box in which the plan is drawn, from the lower left corner."""

    width_mm: float
    height_mm: float

    @property
    def box_mm(self) -> tuple[float, float]:
        """Width and height of the box for the drawing, its numbers included."""
        return self.width_mm - 2 * MARGIN_MM, self.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM


@dataclass(frozen=True, slots=True)
class Fitted:
    """The page and the scale 1 : `scale` at which an extent fits."""

    page: Page
    scale: int


def pages(paper: SheetPaper) -> tuple[Page, Page]:
    """The paper lying, and standing."""
    wide, high = PAPER_MM[paper]
    return Page(wide, high), Page(high, wide)


def fitted(width_mm: float, height_mm: float, paper: SheetPaper, units: Units, scale: int | None = None) -> Fitted:
    """The largest usual scale at which so much floor fits on the paper, lying unless standing holds more; or the scale given.

    Raises `UseFault` when it does not fit at the scale given.
    """
    smallest = {page: _smallest(width_mm, height_mm, page) for page in pages(paper)}
    page = min(smallest, key=lambda one: _usual(smallest[one], units))
    best = _usual(smallest[page], units)
    if scale is None:
        return Fitted(page, best)
    page = min(smallest, key=lambda one: smallest[one] > scale)
    if smallest[page] > scale:
        raise UseFault(
            f"The room does not fit on {paper.value} at 1:{scale}; the largest usual scale is 1:{best}. "
            "Take that, larger paper with --paper, or --full-size."
        )
    return Fitted(page, scale)


def parsed_scale(text: str) -> int:
    """`1:75` or `75`; raises `UseFault` for anything else."""
    match = _SCALE.fullmatch(text.strip())
    if match is None or not 1 <= int(match[1]) <= MOST_SCALE:
        raise UseFault(f"'{text}' is no scale; write it such as 1:50 or 1:75.")
    return int(match[1])


def scale_said(scale: int, units: Units) -> str:
    """The scale in words: `1:75`, or `1/4" = 1 ft (1:48)`."""
    foot = _IMPERIAL.get(scale) if units is Units.IMPERIAL else None
    return f"{foot} = 1 ft (1:{scale})" if foot else f"1:{scale}"


def _smallest(width_mm: float, height_mm: float, page: Page) -> float:
    wide, high = (side - 2 * LABELS_MM for side in page.box_mm)
    return max(width_mm / wide, height_mm / high)


def _usual(smallest: float, units: Units) -> int:
    usual = _METRIC if units is Units.METRIC else tuple(_IMPERIAL)
    fitting = next((scale for scale in usual if scale >= smallest), None)
    return fitting or next(scale for power in count(2) for scale in (10**power, 2 * 10**power, 5 * 10**power) if scale >= smallest)
