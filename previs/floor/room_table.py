"""The rehearsal room, from a table or from a person's words, in metres: its size, its margin, two points to measure from, its columns."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from msgspec.structs import replace

from previs.document.floor import LineKind, PlanLine, PointMm, Room
from previs.document.floor_faults import FARTHEST_MM
from previs.exchange.table_files import TableFaults, read_table
from previs.exchange.table_rows import Faults, Row, rows_of
from previs.faults import UseFault
from previs.floor.metres import metres_in, metres_mm
from previs.floor.plan_table import points_in

ROOM_COLUMNS = ("kind", "x", "y", "length", "width", "points", "margin", "name")
"""Metres throughout. One row `room` has length, width and perhaps a margin; two rows `datum` are the points that tapes are held to.

Each row `column` is a rectangle with x, y as its corner nearest the room's corner 0, 0, or `points`: `1 1; 1.4 1; 1.2 1.4`.
"""
MARGIN_MM = 500


class _Kind(StrEnum):
    ROOM = "room"
    DATUM = "datum"
    COLUMN = "column"


@dataclass(frozen=True, slots=True)
class WrittenRoom:
    """A room in a person's words, metres as `16`, `16.2 m` or `16,2`; points as `0 0` or `0,0`. None for what is not said.

    A column is `X Y LENGTH WIDTH`.
    """

    length: str | None = None
    width: str | None = None
    margin: str | None = None
    datum_a: str | None = None
    datum_b: str | None = None
    columns: tuple[str, ...] = ()


def read_room_table(path: Path) -> Room:
    """The room that a table holds. Raises `TableFaults` with everything wrong in it."""
    raw = read_table(path)
    faults = Faults(raw.name)
    rooms: list[tuple[int, int, int]] = []
    datums: list[PointMm] = []
    columns: list[PlanLine] = []
    for row in rows_of(raw, ("kind",), ROOM_COLUMNS[1:], faults):
        kind = row.choice("kind", _Kind)
        if kind is _Kind.ROOM:
            rooms += _size(row)
        elif kind is _Kind.DATUM:
            datums += _spot(row)
        elif kind is _Kind.COLUMN:
            columns += _column(row)
    if not faults.found:
        if len(rooms) != 1:
            faults.add(None, "kind", f"holds {len(rooms)} rows 'room'; write one, with the room's length and width.")
        if len(datums) not in (0, 2):
            faults.add(None, "kind", f"holds {len(datums)} rows 'datum'; write two, the points that tapes are held to, or none.")
    if faults.found:
        raise TableFaults(tuple(faults.in_order()))
    length, width, margin = rooms[0]
    a, b = datums or ((0, 0), (length, 0))
    return checked(Room(length, width, a, b, tuple(columns), margin))


def room_written(written: WrittenRoom, before: Room | None) -> Room:
    """The room as a person says it; what is not said is as before. Raises `UseFault` for what is no length or no room."""
    length = _length("length", written.length, before.length_mm if before else None)
    width = _length("width", written.width, before.width_mm if before else None)
    margin = _length("margin", written.margin, before.margin_mm if before else MARGIN_MM)
    room = before or Room(length, width, (0, 0), (length, 0))
    # The points to measure from stand in the corners until somebody says otherwise.
    in_corners = (room.datum_a, room.datum_b) == ((0, 0), (room.length_mm, 0))
    b = (length, 0) if in_corners else room.datum_b
    return checked(
        replace(
            room,
            length_mm=length,
            width_mm=width,
            margin_mm=margin,
            datum_a=_point("first point", written.datum_a, room.datum_a),
            datum_b=_point("second point", written.datum_b, b),
            columns=tuple(map(_written_column, written.columns)) or room.columns,
        )
    )


def checked(room: Room) -> Room:
    """The room, when it can be one. Raises `UseFault` for no floor, no way between the points, or a column outside."""
    if min(room.length_mm, room.width_mm) <= 0 or room.margin_mm < 0:
        raise UseFault(
            f"A room of {_m(room.length_mm)} x {_m(room.width_mm)} m with a margin of {_m(room.margin_mm)} m is none; "
            "give length and width above nothing."
        )
    if 2 * room.margin_mm >= min(room.length_mm, room.width_mm):
        raise UseFault(f"A margin of {_m(room.margin_mm)} m on both sides leaves no floor to lay on; give a smaller --margin.")
    if room.datum_a == room.datum_b:
        raise UseFault("The two points to measure from are one and the same; choose two that are far apart, such as two corners.")
    for name, (x, y) in (("first", room.datum_a), ("second", room.datum_b)):
        if not (0 <= x <= room.length_mm and 0 <= y <= room.width_mm):
            raise UseFault(f"The {name} point to measure from, {_m(x)} {_m(y)}, is not in the room; give one in it or on its walls.")
    for column in room.columns:
        if not all(0 <= x <= room.length_mm and 0 <= y <= room.width_mm for x, y in column.points):
            x, y = column.points[0]
            raise UseFault(f"The column at {_m(x)} {_m(y)} is not in the room; measure it from the room's corner 0, 0.")
    return room


def room_told(room: Room) -> str:
    """The room in one sentence."""
    columns = len(room.columns)
    standing = f"{columns or 'no'} column{'' if columns == 1 else 's'}"
    return (
        f"Room {_m(room.length_mm)} x {_m(room.width_mm)} m, {standing}, "
        f"nothing laid nearer to walls and columns than {_m(room.margin_mm)} m; "
        f"tapes are held at {_m(room.datum_a[0])} {_m(room.datum_a[1])} and {_m(room.datum_b[0])} {_m(room.datum_b[1])}."
    )


def room_facts(room: Room) -> dict[str, object]:
    """The room for programs, in metres."""
    return {
        "length": room.length_mm / 1000,
        "width": room.width_mm / 1000,
        "margin": room.margin_mm / 1000,
        "datum points": [[number / 1000 for number in point] for point in (room.datum_a, room.datum_b)],
        "columns": [{"name": column.name, "points": [[x / 1000, y / 1000] for x, y in column.points]} for column in room.columns],
    }


def _size(row: Row) -> list[tuple[int, int, int]]:
    length, width = metres_in(row, "length"), metres_in(row, "width")
    margin = metres_in(row, "margin") if row.text("margin") else MARGIN_MM
    for column, mm in (("length", length), ("width", width)):
        if mm is not None and mm <= 0:
            row.wrong(column, "is not above nothing; measure the room from wall to wall.")
    if row.sound and length is not None and width is not None and margin is not None:
        return [(length, width, margin)]
    return []


def _spot(row: Row) -> list[PointMm]:
    x, y = metres_in(row, "x"), metres_in(row, "y")
    return [(x, y)] if x is not None and y is not None else []


def _column(row: Row) -> list[PlanLine]:
    if row.text("points"):
        points = points_in(row, "points")
        if row.sound and len(set(points)) < 3:
            row.wrong("points", "a column has three corners or more.")
        points = points[:-1] if len(points) > 3 and points[0] == points[-1] else points
        return [PlanLine(LineKind.COLUMN, points, True, row.text("name"))] if row.sound else []
    numbers = [metres_in(row, name) for name in ("x", "y", "length", "width")]
    if None in numbers:
        return []
    x, y, length, width = (number or 0 for number in numbers)
    if min(length, width) <= 0:
        row.wrong("length", "a column has a length and a width above nothing.")
        return []
    return [_rectangle(x, y, length, width, row.text("name"))]


def _rectangle(x: int, y: int, length: int, width: int, name: str = "") -> PlanLine:
    return PlanLine(LineKind.COLUMN, ((x, y), (x + length, y), (x + length, y + width), (x, y + width)), True, name)


def _length(what: str, written: str | None, before: int | None) -> int:
    if written is None:
        if before is None:
            raise UseFault(f"The room's {what} is not known yet; say --{what} in metres, such as --{what} 9.")
        return before
    mm = metres_mm(written)
    if mm is None:
        raise UseFault(f"'{written}' is not a {what} in metres up to {FARTHEST_MM // 1_000_000} km, such as 9 or 9.4.")
    return mm


def _point(what: str, written: str | None, before: PointMm) -> PointMm:
    if written is None:
        return before
    numbers = _numbers(written)
    if len(numbers) != 2:
        raise UseFault(f"'{written}' is not the {what} to measure from; write x and y in metres with a blank between, such as '0 0'.")
    return numbers[0], numbers[1]


def _written_column(written: str) -> PlanLine:
    numbers = _numbers(written)
    if len(numbers) != 4 or min(numbers[2:]) <= 0:
        raise UseFault(f"'{written}' is not a column; write x, y, length and width in metres with blanks between, such as '4 3 0.4 0.4'.")
    return _rectangle(numbers[0], numbers[1], numbers[2], numbers[3])


def _numbers(written: str) -> list[int]:
    """Metres with blanks or commas between, in millimetres; nothing when one of them is no length."""
    parts = written.split() if " " in written.strip() else written.split(",")
    numbers = [metres_mm(part.rstrip(",")) for part in parts]
    return [number for number in numbers if number is not None] if None not in numbers else []


def _m(mm: int) -> str:
    return f"{mm / 1000:.3f}".rstrip("0").rstrip(".")
