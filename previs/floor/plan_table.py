"""A plan written as a table, CSV or XLSX, in metres: walls, doors, steps, drops, columns and places, to the plan's values and back."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path

import pandas as pd

from previs.document.floor import LineKind, NamedPlace, PlanLine, PointMm
from previs.exchange.table_files import TableFaults, read_table
from previs.exchange.table_rows import Faults, Row, rows_of
from previs.floor.metres import metres_in, metres_mm, metres_text

PLAN_COLUMNS = ("kind", "x1", "y1", "x2", "y2", "points", "name", "height", "hinge", "opens")
"""Lengths are metres. A line is x1, y1 to x2, y2, or `points`: `0 0; 5 0; 5 0.85`, closed when its end is its beginning.

A column from x1, y1 to x2, y2 is the rectangle between these corners; with points it is closed. A place has x1 and y1 and a name.
`height` is how far a step goes up or a drop down. `hinge` says at which end of a door it hangs, first or second, and `opens` to
which side its leaf swings, left or right, seen from the hinge to the latch.
"""
MOST_POINTS = 1000
_WITH_HEIGHT = (LineKind.STEP, LineKind.DROP)


class Kind(StrEnum):
    """What a row of a plan's table can be."""

    WALL = "wall"
    DOOR = "door"
    STEP = "step"
    DROP = "drop"
    COLUMN = "column"
    OTHER = "other"
    PLACE = "place"


class _Hinge(StrEnum):
    FIRST = "first"
    SECOND = "second"


class _Opens(StrEnum):
    LEFT = "left"
    RIGHT = "right"


def read_plan_table(path: Path) -> tuple[tuple[PlanLine, ...], tuple[NamedPlace, ...]]:
    """The lines and places that a table holds, in its order. Raises `TableFaults` with everything wrong in it."""
    raw = read_table(path)
    faults = Faults(raw.name)
    lines: list[PlanLine] = []
    places: list[NamedPlace] = []
    for row in rows_of(raw, ("kind",), PLAN_COLUMNS[1:], faults):
        kind = row.choice("kind", Kind)
        if kind is Kind.PLACE:
            place = _place(row)
            places += [place] if place else []
        elif kind is not None:
            line = _line(row, LineKind(kind))
            lines += [line] if line else []
    if not faults.found and not lines:
        faults.add(None, "", "holds no line; write a row for each wall, door, step, drop and column.")
    if faults.found:
        raise TableFaults(tuple(faults.in_order()))
    return tuple(lines), tuple(places)


def points_in(row: Row, column: str) -> tuple[PointMm, ...]:
    """`0 0; 5 0; 5 0.85` as points; a fault is noted, and nothing given, for what cannot be read."""
    parts = [part.strip() for part in row.text(column).split(";") if part.strip()]
    if len(parts) > MOST_POINTS:
        row.wrong(column, f"holds {len(parts)} points, and {MOST_POINTS} is the most; write the line as several.")
        return ()
    points: list[PointMm] = []
    for part in parts:
        numbers = [metres_mm(number) for number in part.split()]
        if len(numbers) != 2 or None in numbers:
            row.wrong(column, f"'{part}' is not a point; write x, a blank and y in metres, and a semicolon between points: 0 0; 5 0.85.")
            return ()
        points.append((numbers[0] or 0, numbers[1] or 0))
    return tuple(points)


def plan_frame(lines: tuple[PlanLine, ...], places: tuple[NamedPlace, ...]) -> pd.DataFrame:
    """A plan as the table that `read_plan_table` reads back without loss."""
    rows = [_row_of(line) for line in lines]
    rows += [("place", metres_text(place.at[0]), metres_text(place.at[1]), "", "", "", place.name, "", "", "") for place in places]
    return pd.DataFrame(rows, columns=list(PLAN_COLUMNS))


def _place(row: Row) -> NamedPlace | None:
    x, y, name = metres_in(row, "x1"), metres_in(row, "y1"), row.needed("name")
    for column in ("x2", "y2", "points", "height", "hinge", "opens"):
        if row.text(column):
            row.wrong(column, "a place is one spot with a name; leave this blank.")
    return NamedPlace(name, (x, y)) if row.sound and name and x is not None and y is not None else None


def _line(row: Row, kind: LineKind) -> PlanLine | None:
    points, closed = _points(row, kind)
    height = metres_in(row, "height") if row.text("height") else None
    if height is not None and kind not in _WITH_HEIGHT:
        row.wrong("height", f"is for steps and drops; leave it blank for a {kind}.")
    if height is not None and height <= 0:
        row.wrong("height", f"'{row.text('height')}' is not above nothing; write how far a step goes up or a drop down.")
    hinge = row.choice("hinge", _Hinge) if row.text("hinge") else None
    opens = row.choice("opens", _Opens) if row.text("opens") else None
    for column, given in (("hinge", hinge), ("opens", opens)):
        if given and kind is not LineKind.DOOR:
            row.wrong(column, f"is for doors; leave it blank for a {kind}.")
    if kind is LineKind.DOOR and row.sound and (len(points) != 2 or closed):
        row.wrong("points", f"a door is one straight opening, from its hinge to its latch, and this has {len(points)} points.")
    if hinge is _Hinge.SECOND:
        points = points[::-1]
    if not row.sound:
        return None
    return PlanLine(kind, points, closed, row.text("name"), height, None if opens is None else opens is _Opens.LEFT)


def _points(row: Row, kind: LineKind) -> tuple[tuple[PointMm, ...], bool]:
    """The line's points and whether it is closed."""
    if row.text("points"):
        for column in ("x1", "y1", "x2", "y2"):
            if row.text(column):
                row.wrong(column, "the row has points as well; write the line in one way.")
        points = points_in(row, "points")
        closed = len(points) > 3 and points[0] == points[-1]
        points = points[:-1] if closed else points
        closed = closed or (kind is LineKind.COLUMN and len(points) > 2)
    else:
        numbers = [metres_in(row, column) for column in ("x1", "y1", "x2", "y2")]
        if None in numbers:
            return (), False
        x1, y1, x2, y2 = (number or 0 for number in numbers)
        closed = kind is LineKind.COLUMN and x1 != x2 and y1 != y2
        points = ((x1, y1), (x2, y1), (x2, y2), (x1, y2)) if closed else ((x1, y1), (x2, y2))
    if row.sound and len(set(points)) < 2:
        row.wrong("points" if row.text("points") else "x2", "the line has no length; give it another end.")
    return points, closed


def _row_of(line: PlanLine) -> tuple[str, ...]:
    # Two corners of a column would be read as those of a rectangle.
    several = len(line.points) > 2 or line.closed or line.kind is LineKind.COLUMN
    ends = ("", "", "", "") if several else tuple(metres_text(number) for point in line.points for number in point)
    points = [*line.points, line.points[0]] if line.closed else line.points
    written = "; ".join(f"{metres_text(x)} {metres_text(y)}" for x, y in points) if several else ""
    hinge = "first" if line.kind is LineKind.DOOR else ""
    opens = "" if line.opens_left is None else "left" if line.opens_left else "right"
    height = "" if line.height_mm is None else metres_text(line.height_mm)
    return (str(line.kind), *ends, written, line.name, height, hinge, opens)
