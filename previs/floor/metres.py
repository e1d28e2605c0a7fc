"""Lengths as people write them, in metres, to whole millimetres and back; what is measured is not its business."""

from __future__ import annotations

import re
from decimal import Decimal

from previs.document.floor_faults import FARTHEST_MM
from previs.exchange.table_rows import Row

_METRES = re.compile(r"([+-]?(?:\d{1,6}(?:[.,]\d{1,9})?|[.,]\d{1,9}))\s*m?", re.ASCII)


def metres_mm(text: str) -> int | None:
    """A length in metres, such as 0.85, 0,85 or 0.85 m, to the nearest millimetre; None for what is none or further than 10 km."""
    match = _METRES.fullmatch(text.replace("\u2212", "-").strip())
    mm = round(Decimal(match[1].replace(",", ".")) * 1000) if match else None
    return mm if mm is not None and abs(mm) <= FARTHEST_MM else None


def metres_in(row: Row, column: str, least_mm: int = -FARTHEST_MM, most_mm: int = FARTHEST_MM) -> int | None:
    """The metres of a cell in millimetres; a fault is noted, and None given, for a blank or for what is no such length."""
    text = row.needed(column)
    if text is None:
        return None
    mm = metres_mm(text)
    if mm is None or not least_mm <= mm <= most_mm:
        row.wrong(column, f"'{text}' is not a length from {metres_text(least_mm)} to {metres_text(most_mm)} m, such as 0.85.")
        return None
    return mm


def metres_text(mm: int) -> str:
    """Millimetres as metres, with no more decimals than are needed: `0.85`."""
    return f"{mm / 1000:.3f}".rstrip("0").rstrip(".")
