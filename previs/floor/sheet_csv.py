"""A tape-out sheet as CSV (RFC 4180, UTF-8): the points as read off and in millimetres, and everything else in one table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from previs.exchange.table_files import neutral
from previs.floor.sheet_tables import point_rows, tables
from previs.floor.tape_out import TapeOut

POINT_COLUMNS = (
    "point", "x_mm", "y_mm", "hold", "reads", "reads_mm", "hold_2", "reads_2", "reads_2_mm", "side", "check_from", "check", "check_mm",
    "error", "error_mm", "what",
)  # fmt: skip


def points_csv(sheet: TapeOut) -> bytes:
    """The points in the order of laying; lengths as they are read off, and in millimetres to a tenth."""
    rows = []
    for point, row in zip(sheet.points, point_rows(sheet), strict=True):
        how = point.how
        exact = (None, None, None) if how is None else (how.first_mm, how.second_mm, how.error_mm)
        third = None if how is None or how.third is None else how.third_mm
        rows.append(
            (
                row.label, _tenths(point.at[0]), _tenths(point.at[1]), row.first, row.first_read, _tenths(exact[0]),
                row.second, row.second_read, _tenths(exact[1]), row.side, row.third, row.third_read, _tenths(third),
                row.error, _tenths(exact[2]), neutral(row.words),
            )
        )  # fmt: skip
    return _written([POINT_COLUMNS, *rows])


def others_csv(sheet: TapeOut) -> bytes:
    """Tape to bring, lines, doors, right angles, diagonals and cautions, each row with the name of its table first."""
    rows: list[tuple[str, ...]] = [("table", "1", "2", "3", "4", "5")]
    for table in tables(sheet):
        rows += [(table.name, *table.columns), *((table.name, *row) for row in table.rows)]
    rows += [("caution", one) for one in (*sheet.cautions, *sheet.remarks)]
    width = max(map(len, rows))
    return _written(tuple(map(neutral, row)) + ("",) * (width - len(row)) for row in rows)


def _tenths(length_mm: float | None) -> str:
    return "" if length_mm is None else f"{length_mm:.1f}"


def _written(rows: Iterable[tuple[str, ...]]) -> bytes:
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue().encode("utf-8")
