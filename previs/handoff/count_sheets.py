"""The count sheet of a cut's pulls as a workbook, CSV and PDF, as bytes; what its rows are is decided in `count_rows`."""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

import pandas as pd
from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4, LETTER, landscape
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, LongTable, Paragraph, SimpleDocTemplate, Spacer, TableStyle

from previs.exchange.lists import Row, Value
from previs.exchange.shot_lists import dated_workbook
from previs.exchange.table_files import check_clock, neutral
from previs.handoff.sheet_files import Paper

_SIZES = {Paper.A4: landscape(A4), Paper.LETTER: landscape(LETTER)}
_WIDEST = 60
"""Characters of a workbook's column."""
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_INK, _FAINT, _SHADE, _LINE = (HexColor(tone) for tone in ("#211C16", "#685F56", "#EFE7D4", "#BFB5A2"))
_MARGIN = 12 * mm
_LETTERS = 6.6
_MOST_LETTERS = 240
"""Characters of a cell in the PDF: a row that is taller than a page cannot be set."""

_PULL_COLUMNS = {
    "pull": 27, "shot": 10, "take": 18, "record in": 20, "record out": 20, "shot frames": 14, "speed": 15, "tape": 17, "tape in": 20,
    "tape out": 20, "first": 11, "cut in": 11, "cut out": 11, "last": 11, "frames": 14, "head": 10, "tail": 9, "remarks": 40,
}  # fmt: skip
_ELEMENT_COLUMNS = {
    "pull": 29, "shot": 10, "kind": 24, "role": 17, "performer": 20, "record": 23, "frames": 17, "tape": 18, "tape time": 23,
    "in the pull": 24, "takeover": 37, "framing": 26, "head px": 13, "replacement": 25, "actor learns": 15, "note": 30,
}  # fmt: skip
_SETTLE_COLUMNS = {"code": 10, "shot": 8, "record": 16, "check": 9, "what": 75, "what would mend it": 75}
_AWAY_COLUMNS = {"pull": 30, "code": 15, "version": 160}
"""Columns of the PDF with their shares of the page's width."""


@dataclass(frozen=True, slots=True)
class CountTables:
    """The tables of a count sheet in their order: pulls, elements, what is to be settled, and pulls that are not wanted now."""

    pulls: Sequence[Row]
    elements: Sequence[Row]
    settle: Sequence[Row] = ()
    away: Sequence[Row] = ()


def workbook_bytes(sheets: dict[str, list[Row]], made_on: datetime.date) -> bytes:
    """Named sheets as an XLSX workbook; no cell can run as a formula. Equal input, equal bytes."""
    check_clock()
    held = io.BytesIO()
    with pd.ExcelWriter(held, engine="openpyxl") as book:
        for name, found in sheets.items():
            # As objects, since a column of whole numbers with a blank among them would come out with decimals.
            frame = pd.DataFrame([{column: _cell(value) for column, value in row.items()} for row in found], dtype=object)
            frame.to_excel(book, sheet_name=name, index=False, freeze_panes=(1, 1))
            sheet = book.sheets[name]
            for column, cells in enumerate(frame.items(), start=1):
                longest = max(len(str(cell)) for cell in (cells[0], *cells[1]))
                sheet.column_dimensions[sheet.cell(1, column).column_letter].width = min(longest, _WIDEST) + 2
    return dated_workbook(held.getvalue(), datetime.datetime.combine(made_on, datetime.time()))


def pdf_bytes(
    heading: str,
    facts: str,
    tables: CountTables,
    *,
    made_on: datetime.date,
    paper: Paper = Paper.A4,
) -> bytes:
    """The sheet for the wall and the binder, landscape: pulls, elements and what is to be settled; equal input, equal bytes."""
    _load_faces()
    held = io.BytesIO()
    document = SimpleDocTemplate(
        held,
        pagesize=_SIZES[paper],
        leftMargin=_MARGIN,
        rightMargin=_MARGIN,
        topMargin=_MARGIN,
        bottomMargin=_MARGIN + 4 * mm,
        title=heading,
        author="previs",
        invariant=1,
    )
    width = document.width - 12
    head, said = _style("previs-bold", 13), _style("previs", 8, _FAINT)
    story: list[Flowable] = [Paragraph(_words(heading), head), Spacer(1, 2 * mm), Paragraph(_words(facts), said), Spacer(1, 4 * mm)]
    story.append(_table([_pull_cells(row) for row in tables.pulls], _PULL_COLUMNS, width))
    elements = [_element_cells(row) for row in tables.elements]
    story += _section("Elements", elements, _ELEMENT_COLUMNS, width, "No treatment is on screen in these pulls.")
    nothing = "The checks of the cut find no face and no takeover that is open; look all the same."
    story += _section("To settle, in the whole cut", tables.settle, _SETTLE_COLUMNS, width, nothing)
    if tables.away:
        story += _section("In this folder, and not wanted by this cut now", tables.away, _AWAY_COLUMNS, width, "")
    ends = (
        "An in is the first frame, an out the frame after the last; numbers of a pull name its first and its last frame. Tape times "
        "count at the tape's rate. Learns: moves of the shot that the role's actor has to do."
    )

    def foot(canvas: Canvas, _document: SimpleDocTemplate) -> None:
        canvas.setFont("previs", 7)
        canvas.setFillColor(_FAINT)
        canvas.drawString(_MARGIN + 6, 9 * mm, f"{made_on.isoformat()}   {ends}")
        canvas.drawRightString(_SIZES[paper][0] - _MARGIN - 6, 9 * mm, f"page {canvas.getPageNumber()}")

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return held.getvalue()


def _section(title: str, rows: Sequence[Row], columns: dict[str, int], width: float, nothing: str) -> list[Flowable]:
    table = _table(rows, columns, width) if rows else Paragraph(nothing, _style("previs", 8, _FAINT))
    return [Spacer(1, 6 * mm), Paragraph(title, _style("previs-bold", 10)), Spacer(1, 2 * mm), table]


def _pull_cells(row: Row) -> Row:
    return row | {"tape": f"{row['tape']}\n{row['tape rate']}"}


def _element_cells(row: Row) -> Row:
    """An element's row with what belongs together in one cell, so that its columns fit the page."""
    until, begun, ended, back = (row[name] for name in ("performer until", "digital from", "digital to", "performer from"))
    takeover = []
    if begun is not None:
        takeover = [f"performer to {until}"] if until is not None else []
        takeover.append(f"digital {begun} - {ended}")
        takeover += [f"performer from {back}"] if back is not None else []
    inside = [f"{row['first']} - {row['last']}"]
    inside += [f"marked from {row['marked first']}"] if row["marked first"] != row["first"] else []
    inside += [f"marked to {row['marked last']}"] if row["marked last"] != row["last"] else []
    return row | {
        "tape": f"{row['tape']}\n{row['tape rate']}",
        "record": f"{row['record in']}\n{row['record out']}",
        "tape time": f"{row['tape in']}\n{row['tape out']}",
        "in the pull": "\n".join(inside),
        "takeover": "\n".join(takeover),
    }


def _table(rows: Sequence[Row], columns: dict[str, int], width: float) -> LongTable:
    whole = sum(columns.values())
    bold, words = _style("previs-bold", _LETTERS), _style("previs", _LETTERS)
    cells = [[Paragraph(escape(column), bold) for column in columns]]
    cells += [[Paragraph(_words(row[column]), words) for column in columns] for row in rows]
    table = LongTable(cells, colWidths=[width * share / whole for share in columns.values()], repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("BACKGROUND", (0, 0), (-1, 0), _SHADE),
                ("LINEBELOW", (0, 0), (-1, -1), 0.4, _LINE),
                *((edge, (0, 0), (-1, -1), 2) for edge in ("LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING")),
            ]
        )
    )
    return table


def _words(value: Value) -> str:
    """A cell's text as a paragraph wants it, the end of a very long one left to the workbook."""
    text = "" if value is None else _NOT_IN_XML.sub(" ", str(value))
    if len(text) > _MOST_LETTERS:
        text = f"{text[: _MOST_LETTERS - 1]}…"
    return escape(text).replace("\n", "<br/>")


def _style(face: str, letters: float, tone: HexColor = _INK) -> ParagraphStyle:
    # A name without blanks, such as a long role, must break rather than run into the next column.
    return ParagraphStyle(face, fontName=face, fontSize=letters, leading=letters * 1.22, textColor=tone, splitLongWords=1)


def _load_faces() -> None:
    # The plotting library brings these faces along, so that a sheet has the same letters on every machine.
    from matplotlib import get_data_path  # only here, since it takes long to come

    folder = Path(get_data_path()) / "fonts" / "ttf"
    for name, file in (("previs", "DejaVuSans.ttf"), ("previs-bold", "DejaVuSans-Bold.ttf")):
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))


def _cell(value: Value) -> Value:
    return _NOT_IN_XML.sub(" ", neutral(value)) if isinstance(value, str) else value
