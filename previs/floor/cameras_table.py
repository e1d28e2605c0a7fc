"""Camera positions as a table, in metres and lens millimetres, to values of the floor and back."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pandas as pd

from previs.document.floor import CameraPlace
from previs.document.model import Sequence
from previs.exchange.lists import moves_text
from previs.exchange.table_files import RawTable, TableFaults, read_table
from previs.exchange.table_rows import Faults, Row, rows_of
from previs.floor.metres import metres_in, metres_text

CAMERAS_COLUMNS = ("camera", "x", "y", "height", "aim_x", "aim_y", "lens", "sensor_width")
EXTRA = ("phrases",)
"""A row for each place of a camera: its letter as on the takes, where it stands and points in metres on the plan, and its lens above
the floor in metres; focal length, and the width of its picture held as the delivery is, in millimetres. `phrases` are those that it is
there for, as `1-3, 5`; blank for all of them.
"""
MOST_HEIGHT_MM = 100_000
"""A lens higher than this is a slip of the pen; a limit of ours."""
LEAST_LENS, MOST_LENS = Fraction(1), Fraction(3000)
LEAST_WIDTH, MOST_WIDTH = Fraction(1), Fraction(100)
"""Focal lengths and picture widths that are taken, in millimetres; limits of ours, far beyond what is made for moving pictures."""

_MILLIMETRES = re.compile(r"(\d{1,6}(?:[.,]\d{1,6})?)\s*(?:mm)?", re.ASCII)
_RUN = re.compile(r"(\d{1,9})(?:\s*(?:-|\u2013|to)\s*(\d{1,9}))?", re.ASCII)


def read_cameras(path: Path, sequence: Sequence) -> tuple[CameraPlace, ...]:
    """The cameras that a table holds, in its order. Raises `TableFaults` with everything wrong in it; nothing is then read."""
    raw = read_table(path)
    faults = Faults(raw.name)
    found = read_cameras_rows(raw, sequence, faults)
    if faults.found:
        raise TableFaults(tuple(faults.in_order()))
    return found


def read_cameras_rows(raw: RawTable, sequence: Sequence, faults: Faults) -> tuple[CameraPlace, ...]:
    """As `read_cameras`, with what is wrong noted in `faults`. A camera has one place in each phrase."""
    found: list[CameraPlace] = []
    for row in rows_of(raw, CAMERAS_COLUMNS, EXTRA, faults):
        camera = _camera(row, sequence)
        if camera is not None and _one_place(row, camera, found):
            found.append(camera)
    return tuple(found)


def cameras_table(sequence: Sequence) -> pd.DataFrame:
    """Every camera of the plan as a table that `read_cameras` reads back without loss."""
    rows = [
        (
            one.name,
            *map(metres_text, (*one.at, one.height_mm, *one.aim)),
            *(_decimal(one.lens_mm), _decimal(one.sensor_width_mm), moves_text(tuple(sorted(one.phrases)))),
        )
        for one in (sequence.floor.cameras if sequence.floor else ())
    ]
    return pd.DataFrame(rows, columns=[*CAMERAS_COLUMNS, *EXTRA], dtype=object)


def _camera(row: Row, sequence: Sequence) -> CameraPlace | None:
    name = row.needed("camera")
    x, y, height, aim_x, aim_y = (metres_in(row, column) for column in ("x", "y", "height", "aim_x", "aim_y"))
    lens = _millimetres(row, "lens", LEAST_LENS, MOST_LENS)
    width = _millimetres(row, "sensor_width", LEAST_WIDTH, MOST_WIDTH)
    phrases = _phrases(row, sequence)
    if height is not None and not 0 <= height <= MOST_HEIGHT_MM:
        row.wrong("height", f"'{row.text('height')}' is not a height from 0 to {MOST_HEIGHT_MM // 1000} m above the floor.")
    if row.sound and (x, y) == (aim_x, aim_y):
        row.wrong("aim_x", "points at the spot where the camera stands; write a spot that it looks at.")
    if not row.sound:
        return None
    assert name and None not in (x, y, height, aim_x, aim_y) and lens and width
    return CameraPlace(name, (x or 0, y or 0), (aim_x or 0, aim_y or 0), height or 0, lens, width, phrases)


def _one_place(row: Row, camera: CameraPlace, before: list[CameraPlace]) -> bool:
    for other in before:
        shared = tuple(sorted(set(camera.phrases) & set(other.phrases)))
        if other.name == camera.name and (shared or not camera.phrases or not other.phrases):
            which = f"phrase {moves_text(shared)}" if shared else "all phrases"
            row.wrong("phrases", f"camera {camera.name} has a place for {which} already; give each phrase of a camera one row.")
            return False
    return True


def _phrases(row: Row, sequence: Sequence) -> tuple[int, ...]:
    """`1-3, 5` as numbers, in rising order, each once."""
    known = [phrase.number for phrase in sequence.phrases]
    found: set[int] = set()
    for part in (part.strip() for part in re.split(r"[,;]", row.text("phrases")) if part.strip()):
        run = _RUN.fullmatch(part)
        if run is None:
            row.wrong("phrases", f"'{part}' is no phrase; write numbers and runs of them, such as 1-3, 5.")
            continue
        first, last = int(run[1]), int(run[2] or run[1])
        if last < first:
            row.wrong("phrases", f"'{part}' runs backwards; write the lower number first.")
        elif all(row.one_of("phrases", str(end), [str(one) for one in known], "phrase") for end in dict.fromkeys((first, last))):
            found.update(number for number in known if first <= number <= last)
    return tuple(sorted(found))


def _millimetres(row: Row, column: str, least: Fraction, most: Fraction) -> Fraction | None:
    text = row.needed(column)
    if text is None:
        return None
    match = _MILLIMETRES.fullmatch(text)
    length = Fraction(match[1].replace(",", ".")) if match else None
    if length is None or not least <= length <= most:
        row.wrong(column, f"'{text}' is not a length from {least} to {most} mm, such as 24.89.")
        return None
    return length


def _decimal(length: Fraction) -> str:
    return f"{float(length):.6f}".rstrip("0").rstrip(".")
