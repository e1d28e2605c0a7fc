"""Tables as files, CSV (RFC 4180, UTF-8) or XLSX, to rows of text and back; it knows nothing of what the columns mean."""

from __future__ import annotations

import csv
import datetime
import io
import re
import time
import unicodedata
import warnings
import zipfile
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import pandas as pd

from previs.faults import Fault, UseFault
from previs.replacing import replacing

MOST_ROWS = 20_000
MOST_BYTES = 20 * 1024 * 1024
FIRST_YEAR, LAST_YEAR = 1980, 2107
"""The years that a ZIP archive, which a workbook is, can carry."""
_MOST_UNPACKED = 10 * MOST_BYTES
_MOST_COLUMNS = 64
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_RISKY = re.compile(r"'*[=+\-@\t\r]")
Grid = list[list[object]]
"""The rows of a table as its file has them, from the first on; a row of CSV may be shorter than others."""
_DIRECTION_MARKS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Characters that make text show in another order than it is read."""


@dataclass(frozen=True, slots=True)
class TableFault:
    """One thing wrong in a table: which table, the row as a spreadsheet counts it, the column, and a sentence.

    `row` is None for what concerns the table as a whole, `column` is empty for what concerns a whole row.
    """

    table: str
    row: int | None
    column: str
    sentence: str

    def __str__(self) -> str:
        row = f" row {self.row}" if self.row is not None else ""
        column = f", column {self.column}" if self.column else ""
        return f"{self.table}{row}{column}: {self.sentence}"


class TableFaults(UseFault):
    """Everything that is wrong in the tables that were given; nothing of them was taken over.

    `advice` is a sentence for several of the faults together; a fault that repeats in many rows is said once.
    """

    def __init__(self, faults: tuple[TableFault, ...], advice: str = "") -> None:
        self.faults = faults
        rows: dict[tuple[str, str, str], list[int | None]] = {}
        for fault in faults:
            rows.setdefault((fault.table, fault.column, fault.sentence), []).append(fault.row)
        lines = [_said(*same, numbers) for same, numbers in rows.items()]
        super().__init__("\n".join([*lines, advice] if advice else lines))


def _said(table: str, column: str, sentence: str, rows: list[int | None]) -> str:
    """One fault, or the same one in several rows, as a line."""
    numbers = [row for row in rows if row is not None]
    if len(numbers) < 2:
        return str(TableFault(table, rows[0], column, sentence))
    named = ", ".join(map(str, numbers[:8])) + (f" and {len(numbers) - 8} more" if len(numbers) > 8 else "")
    return f"{table} rows {named}{f', column {column}' if column else ''}: {sentence}"


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as trimmed text; `changed` says what a spreadsheet made of it when it is no longer what was typed."""

    text: str
    changed: str = ""


@dataclass(frozen=True, slots=True)
class RawTable:
    """A table as it lies in its file: name, trimmed header cells, and the rows that are not blank with their numbers."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[Cell, ...]], ...]


def neutral(text: str) -> str:
    """The text with an apostrophe ahead where a spreadsheet would otherwise run it as a formula.

    Rule: OWASP, "CSV Injection": cells that begin with = + - @, tab or carriage return. A text that already begins with
    apostrophes and one of these gets one more, so that `as_typed` always gives back what went in.
    """
    return f"'{text}" if _RISKY.match(text) else text


def as_typed(text: str) -> str:
    """The text behind `neutral`; other text as it is."""
    return text[1:] if text.startswith("'") and _RISKY.match(text) else text


def check_clock() -> None:
    """Raise `Fault` while the clock tells a year that no workbook, a ZIP archive, can carry: after a dead battery, for one."""
    if not FIRST_YEAR <= (year := time.localtime().tm_year) <= LAST_YEAR:
        raise Fault(f"The clock of this computer says {year}, which no workbook can carry; set the clock, or write .csv.")


def write_table(frame: pd.DataFrame, path: Path) -> None:
    """Write a table as CSV or, by the name's ending, XLSX; text cells are made `neutral`. Replaces what was there.

    Raises `UseFault` for another ending.
    """
    safe = frame.map(lambda cell: neutral(cell) if isinstance(cell, str) else cell)
    ending = path.suffix.lower()
    if ending == ".csv":
        text = safe.to_csv(index=False, lineterminator="\r\n")
        with replacing(path) as temporary:
            temporary.write_bytes(text.encode("utf-8"))
    elif ending == ".xlsx":
        if any(isinstance(cell, str) and _NOT_IN_XML.search(cell) for row in safe.itertuples(index=False) for cell in row):
            raise UseFault(f"A text in the table holds a control character, which {path.name} cannot; write CSV, or delete it.")
        check_clock()
        with replacing(path) as temporary:
            safe.to_excel(temporary, index=False, engine="openpyxl")
    else:
        raise UseFault(f"{path.name} ends neither in .csv nor in .xlsx; give the table one of these endings.")


def read_table(path: Path) -> RawTable:
    """The table in a CSV or XLSX file; of a workbook, the first sheet. Blank rows are skipped.

    CSV may be separated by commas, semicolons or tabs. Raises `TableFaults` for a file that is no table, is not UTF-8,
    is larger than 20 MB or 20,000 rows, or has rows of another length than its header.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _whole(path, f"is larger than {MOST_BYTES // 1024**2} MB, which no table of this kind is; split it or pick another file.")
        data = path.read_bytes()
    except OSError as error:
        raise _whole(path, f"cannot be read ({error.strerror}); check the name and the folder.") from error
    ending = path.suffix.lower()
    if ending == ".csv":
        grid = _csv_grid(path, data)
    elif ending == ".xlsx":
        grid = _xlsx_grid(path, data)
    else:
        raise _whole(path, "ends neither in .csv nor in .xlsx; save the table as one of these.")
    return _table(path, grid)


def _whole(path: Path, sentence: str) -> TableFaults:
    return TableFaults((TableFault(path.name, None, "", sentence),))


def _csv_grid(path: Path, data: bytes) -> Grid:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _whole(
            path, f"is not UTF-8: line {line} has a byte that cannot be (byte {error.start + 1} of the file); save it as CSV UTF-8."
        ) from error
    if "\0" in text:
        raise _whole(path, "holds bytes that no text has, so it is no CSV table; save the table as CSV UTF-8.")
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(",;\t", key=first.count)
    lines = csv.reader(io.StringIO(text), delimiter=separator, strict=True)
    try:
        return [_of_a_table(path, number, line) for number, line in enumerate(islice(lines, MOST_ROWS + 2), start=1)]
    except csv.Error as error:
        raise _whole(path, f"cannot be taken apart as CSV ({error}); look for a quotation mark that is not closed.") from error


def _of_a_table(path: Path, number: int, line: list[str]) -> list[object]:
    """A row of a CSV file; separators beyond the most columns that a table has count as none."""
    if any(line[_MOST_COLUMNS:]):
        raise _whole(path, f"has more than {_MOST_COLUMNS} cells in row {number}, which no table of this kind has; pick another file.")
    return [*line[:_MOST_COLUMNS]]


def _xlsx_grid(path: Path, data: bytes) -> Grid:
    broken = _whole(path, "is not a workbook that can be read; open it in the spreadsheet and save it again as .xlsx or as CSV UTF-8.")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > _MOST_UNPACKED:
                raise _whole(
                    path, f"unpacks to more than {_MOST_UNPACKED // 1024**2} MB, which no table of this kind does; do not trust it."
                )
        # The library tells on standard error of what it passes over, in its own words.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            grid = pd.read_excel(
                io.BytesIO(data), sheet_name=0, header=None, dtype=object, na_filter=False, nrows=MOST_ROWS + 2, engine="openpyxl"
            )
    except TableFaults:
        raise
    except Exception as error:  # A damaged workbook can fail anywhere inside the XML and number readers.
        raise broken from error
    # A sheet is always a full rectangle, so a cell without a value is blank there, not missing.
    return [["" if _missing(cell) else cell for cell in line] for line in grid.itertuples(index=False, name=None)]


def _missing(cell: object) -> bool:
    return cell is None or (isinstance(cell, float) and cell != cell)


def _table(path: Path, grid: Grid) -> RawTable:
    lines = list(enumerate(grid, start=1))
    filled = [(number, line) for number, line in lines if any(_shown(cell) for cell in line)]
    if not filled:
        raise _whole(path, "is empty; write a header row and at least one row below it.")
    if lines[-1][0] > MOST_ROWS + 1:
        raise _whole(path, f"has more than {MOST_ROWS:,} rows, which no table of this kind has; split it or pick another file.")
    # The first row that holds anything is the header, as a sheet may begin with a blank one.
    header = [_shown(cell) for cell in filled[0][1]]
    while header and not header[-1]:
        header.pop()
    faults: list[TableFault] = []
    rows: list[tuple[int, tuple[Cell, ...]]] = []
    for number, line in filled[1:]:
        ragged = _ragged(line, len(header))
        if ragged:
            faults.append(TableFault(path.name, number, "", ragged))
        cells = tuple(_cell(cell) for cell in line[: len(header)])
        for name, cell in zip(header, cells, strict=False):
            if wrong := _unwelcome(cell.text, line_ends=name.strip().lower() == "note"):
                faults.append(TableFault(path.name, number, name, f"{wrong}; delete it and type the cell again."))
        rows.append((number, cells))
    if faults:
        raise TableFaults(tuple(faults))
    return RawTable(path.name, tuple(header), tuple(rows))


def _ragged(line: list[object], width: int) -> str:
    longest = max((column for column, cell in enumerate(line, start=1) if _shown(cell)), default=0)
    if longest > width:
        return f"has something in cell {longest}, but the header has {width}; put cells that hold a comma in quotation marks."
    there = next((column for column, cell in enumerate(line) if _missing(cell)), len(line))
    if there < width:
        return f"has {there} cells, but the header has {width}; add the missing separators."
    return ""


def _shown(cell: object) -> str:
    return _cell(cell).text


def _cell(cell: object) -> Cell:
    if _missing(cell):
        return Cell("")
    if isinstance(cell, str):
        return Cell(as_typed(cell.replace("\r\n", "\n").replace("\r", "\n").strip(" \n\u00a0")))
    if isinstance(cell, bool):
        return Cell("yes" if cell else "no")
    if isinstance(cell, float) and cell.is_integer():
        return Cell(str(int(cell)))
    if isinstance(cell, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        return Cell(str(cell), "a date" if isinstance(cell, datetime.date) else "a clock time")
    return Cell(str(cell))


def _unwelcome(text: str, *, line_ends: bool) -> str:
    if text.isprintable():
        return ""
    for place, letter in enumerate(text, start=1):
        if unicodedata.category(letter) in ("Cc", "Cs") and not (line_ends and letter in "\n\t"):
            return f"character {place} is a control character (U+{ord(letter):04X})"
        if letter in _DIRECTION_MARKS:
            return f"character {place} turns the direction of reading (U+{ord(letter):04X})"
    return ""
