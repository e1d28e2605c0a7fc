"""A sheet for a department as plain values: a head, tables and cautions; what is in them is decided elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from previs.document.model import Cut, Sequence
from previs.exchange.lists import record_label

Value = str | int | float | None

DERIVED = "derived from cut x marks; a new version replaces it"
"""Stands on every sheet, so that nobody corrects one by hand and works on from it."""


@dataclass(frozen=True, slots=True)
class Still:
    """A picture to be shown in a row: a frame of the sequence-rate grid of a tape."""

    reel: str
    grid_frame: int


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a sheet.

    `name` is one word for file names; every row is as long as `columns`; `empty` is the sentence for no rows, `remark` how
    the rows were found. `stills` is empty or as long as `rows`, None where a row has no picture.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]
    empty: str
    remark: str = ""
    stills: tuple[Still | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of one department: `name` is one word for file names, `head` pairs of what and its value."""

    name: str
    title: str
    head: tuple[tuple[str, str], ...]
    tables: tuple[Table, ...]
    cautions: tuple[str, ...]


Pictures = Mapping[Still, bytes]
"""Stills as JPEG files in memory; one that could not be made is missing."""


def head(sequence: Sequence, cut: Cut, made: date) -> tuple[tuple[str, str], ...]:
    """What a sheet belongs to: sequence, cut, date, length, start time code, and that it is derived."""
    length = f"{sequence.timebase.duration(cut.frames)} at {sequence.timebase.rate.name} frames a second"
    return (
        ("Sequence", sequence.title),
        ("Cut", cut.name),
        ("Date", made.isoformat()),
        ("Length", length),
        ("Start time code", record_label(sequence, 0)),
        ("Note", DERIVED),
    )
