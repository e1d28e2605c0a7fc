"""Flights and head boxes as tables, a row for each mark, to marks and back; it opens no file."""

from __future__ import annotations

import re
from fractions import Fraction

import pandas as pd

from previs.document.model import Flight, HeadBox, Sequence, Tape
from previs.exchange.table_files import RawTable
from previs.exchange.table_rows import Faults, Row, moment_text, rows_of

FLIGHTS_COLUMNS = ("tape", "role", "take_off", "landing", "height", "distance", "rise", "note")
"""`height`, `distance` and `rise` are metres and may be blank; see `Flight`."""
HEADS_COLUMNS = ("tape", "role", "at", "left", "top", "width", "height")
"""`left`, `top`, `width` and `height` are upright pixels of the tape; see `HeadBox`."""

_METRES = re.compile(r"([+-]?\d{1,4}(?:[.,]\d{1,6})?)\s*m?", re.ASCII)
_MOST_METRES = 1000
_MOST_PX = 100_000


def read_flights_rows(raw: RawTable, sequence: Sequence, faults: Faults) -> tuple[Flight, ...]:
    """The flights that the table holds, in its order; what is wrong is noted in `faults`."""
    found: list[Flight] = []
    for row in rows_of(raw, FLIGHTS_COLUMNS, (), faults):
        tape, role = _tape(row, sequence), _role(row, sequence)
        take_off, landing = (row.moment("take_off", tape), row.moment("landing", tape)) if tape else (None, None)
        if take_off is not None and landing is not None and landing <= take_off:
            row.wrong("landing", f"'{row.text('landing')}' is not after take_off, '{row.text('take_off')}'.")
        height, distance, rise = _metres(row, "height", 0), _metres(row, "distance", 0), _metres(row, "rise", -_MOST_METRES)
        if height is not None and rise is not None and rise > height:
            row.wrong("rise", f"the landing, {row.text('rise')} m up, is above the flight's highest, {row.text('height')} m; check both.")
        note = row.text("note")
        if row.sound and tape and role and take_off is not None and landing is not None:
            found.append(Flight(tape.reel, role, take_off, landing, height, distance, rise or Fraction(0), note))
    return tuple(found)


def read_heads_rows(raw: RawTable, sequence: Sequence, faults: Faults) -> tuple[HeadBox, ...]:
    """The head boxes that the table holds, in its order; what is wrong is noted in `faults`."""
    found: list[HeadBox] = []
    for row in rows_of(raw, HEADS_COLUMNS, (), faults):
        tape, role = _tape(row, sequence), _role(row, sequence)
        at = row.moment("at", tape) if tape else None
        if tape is not None and at is not None and at >= tape.duration:
            row.wrong("at", f"'{row.text('at')}' is the very end of tape {tape.reel}, which has no picture there.")
        # A head may hang over the edge of the picture.
        left, top = row.whole("left", -_MOST_PX, _MOST_PX), row.whole("top", -_MOST_PX, _MOST_PX)
        width, height = row.whole("width", 1, _MOST_PX), row.whole("height", 1, _MOST_PX)
        numbers = [number for number in (left, top, width, height) if number is not None]
        if row.sound and tape and role and at is not None and len(numbers) == 4:
            found.append(HeadBox(tape.reel, role, at, *numbers))
    return tuple(found)


def flights_table(sequence: Sequence) -> pd.DataFrame:
    """Every flight as a table of `FLIGHTS_COLUMNS`."""
    rows = []
    for one in sequence.flights:
        tape = sequence.tape(one.reel)
        moments = moment_text(one.take_off, tape), moment_text(one.landing, tape)
        metres = (_metres_text(one.height_metres), _metres_text(one.distance_metres), _metres_text(one.rise_metres or None))
        rows.append((one.reel, one.role, *moments, *metres, one.note))
    return pd.DataFrame(rows, columns=list(FLIGHTS_COLUMNS))


def heads_table(sequence: Sequence) -> pd.DataFrame:
    """Every head box as a table of `HEADS_COLUMNS`."""
    rows = [
        (one.reel, one.role, moment_text(one.at, sequence.tape(one.reel)), one.left, one.top, one.width, one.height)
        for one in sequence.heads
    ]
    return pd.DataFrame(rows, columns=list(HEADS_COLUMNS))


def _tape(row: Row, sequence: Sequence) -> Tape | None:
    tapes = {tape.reel: tape for tape in sequence.tapes}
    reel = row.needed("tape")
    return tapes[reel] if reel is not None and row.one_of("tape", reel, tapes, "tape") else None


def _role(row: Row, sequence: Sequence) -> str | None:
    role = row.needed("role")
    return role if role is not None and row.one_of("role", role, sequence.roles, "role") else None


def _metres(row: Row, column: str, least: int) -> Fraction | None:
    """A length in metres, such as 0.85, 0,85 or 0.85 m, exact; None for a blank cell."""
    text = row.text(column)
    if not text:
        return None
    match = _METRES.fullmatch(text.replace("\u2212", "-"))
    metres = Fraction(match[1].replace(",", ".")) if match else None
    if metres is None or not least <= metres <= _MOST_METRES:
        row.wrong(
            column, f"'{text}' is not a length from {least} to {_MOST_METRES} m, such as 0.85; leave it blank when nobody measured it."
        )
        return None
    return metres


def _metres_text(metres: Fraction | None) -> str:
    if metres is None:
        return ""
    # Six places are what the table can say, a thousandth of a millimetre.
    return f"{float(metres):.6f}".rstrip("0").rstrip(".")
