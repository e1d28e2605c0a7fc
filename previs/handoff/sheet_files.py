"""Sheets as files: PDF on A4 or Letter, a workbook, CSV; the same sheet gives the same bytes. It decides no content."""

from __future__ import annotations

import csv
import io
import re
from datetime import datetime
from enum import StrEnum

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.worksheet import Worksheet

from previs.exchange.shot_lists import dated_workbook
from previs.exchange.table_files import check_clock, neutral
from previs.handoff.sheets import Sheet, Table, Value


class Paper(StrEnum):
    """Paper that a sheet is printed on, lying."""

    A4 = "a4"
    LETTER = "letter"


_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_NOT_ON_PAGES = re.compile(r"[\x00-\x1f\\*?:/\[\]\ufffe\uffff]")
_LONGEST_PAGE = 28
_WIDEST = 60
"""Characters of a column of a workbook."""
"""The date of every entry of a workbook, the earliest that the format knows, so that bytes do not change with the clock."""


def csv_bytes(table: Table) -> bytes:
    """One table as CSV (RFC 4180, UTF-8): its header and its rows, no cell of which can run as a formula."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(table.columns)
    writer.writerows([_plain(value) for value in row] for row in table.rows)
    return text.getvalue().encode("utf-8")


def workbook_bytes(sheet: Sheet) -> bytes:
    """The sheet as a workbook (.xlsx): first page head and cautions, then a page for each table, text as text."""
    check_clock()
    book = Workbook()
    front = book.active
    assert isinstance(front, Worksheet)
    front.title = "about"
    for row, (what, value) in enumerate([(sheet.title, ""), *sheet.head, *(("Caution", caution) for caution in sheet.cautions)], start=1):
        _put(front, row, 1, what).font = Font(bold=True)
        _put(front, row, 2, value).alignment = Alignment(wrap_text=True, vertical="top")
    front.column_dimensions["A"].width, front.column_dimensions["B"].width = 20, 100
    for table in sheet.tables:
        _page(book.create_sheet(_page_name(table.name)), table)
    held = io.BytesIO()
    book.save(held)
    return dated_workbook(held.getvalue(), datetime.fromisoformat(dict(sheet.head).get("Date", "1980-01-01")))


def _page_name(name: str) -> str:
    """A table's name as the name of a page: with what workbooks allow there, and room for the number of a second one of that name."""
    return _NOT_ON_PAGES.sub(" ", name)[:_LONGEST_PAGE].strip(" '") or "table"


def _page(page: Worksheet, table: Table) -> None:
    for column, name in enumerate(table.columns, start=1):
        _put(page, 1, column, name).font = Font(bold=True)
        longest = max(len(line) for value in (name, *(row[column - 1] for row in table.rows)) for line in str(value).split("\n"))
        page.column_dimensions[page.cell(1, column).column_letter].width = min(longest, _WIDEST) + 2
    for number, row in enumerate(table.rows, start=2):
        for column, value in enumerate(row, start=1):
            _put(page, number, column, value).alignment = Alignment(wrap_text=True, vertical="top")
    page.freeze_panes = "A2"


def _put(page: Worksheet, row: int, column: int, value: Value) -> Cell:
    cell = page.cell(row, column)
    assert isinstance(cell, Cell)
    plain = _plain(value)
    cell.value = _NOT_IN_XML.sub(" ", plain) if isinstance(plain, str) else plain
    if isinstance(plain, str):
        cell.data_type = "s"
    return cell


def _plain(value: Value) -> Value:
    return neutral(value) if isinstance(value, str) else value
