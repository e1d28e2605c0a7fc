"""The shot list of a cut as a workbook of three sheets, or its shots alone as CSV; what the rows are is decided in `lists`."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pandas as pd

from previs.document.model import Sequence
from previs.exchange.lists import Value, as_csv_text, rows
from previs.exchange.table_files import neutral
from previs.faults import UseFault

SHEETS = ("shots", "treatments", "moves")
_WIDEST = 60
"""Characters of a column."""
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def shot_list_bytes(sequence: Sequence, cut_name: str | None, path: Path) -> bytes:
    """The file that goes to `path`: by its ending a workbook (.xlsx) with shots, treatments and moves, or shots as .csv.

    Time code stays text, and no cell can run as a formula. Raises `UseFault` for another ending, and for a cut that is not
    there. A workbook carries the time it was made, so its bytes differ from one writing to the next; CSV does not.
    """
    cut = sequence.cut(cut_name)
    ending = path.suffix.lower()
    if ending == ".csv":
        return as_csv_text(rows(sequence, "shots", cut.name)).encode("utf-8")
    if ending != ".xlsx":
        raise UseFault(f"{path.name} ends neither in .xlsx nor in .csv; give the shot list one of these endings.")
    held = io.BytesIO()
    with pd.ExcelWriter(held, engine="openpyxl") as book:
        for name in SHEETS:
            found = rows(sequence, name, cut.name)
            # As objects, since a column of whole numbers with a blank among them would come out with decimals.
            frame = pd.DataFrame([{column: _cell(value) for column, value in row.items()} for row in found], dtype=object)
            frame.to_excel(book, sheet_name=name, index=False, freeze_panes=(1, 0))
            for column, cells in enumerate(frame.items(), start=1):
                longest = max(len(line) for cell in (cells[0], *cells[1]) for line in str(cell).split("\n"))
                sheet = book.sheets[name]
                sheet.column_dimensions[sheet.cell(1, column).column_letter].width = min(longest, _WIDEST) + 2
    return held.getvalue()


def _cell(value: Value) -> Value:
    return _NOT_IN_XML.sub(" ", neutral(value)) if isinstance(value, str) else value
