"""A sheet as PDF pages for the wall or the pocket, lying on A4 or Letter; it decides no content."""

from __future__ import annotations

import io
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4, LETTER, landscape
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import CondPageBreak, Flowable, Image, Paragraph, SimpleDocTemplate, Spacer
from reportlab.platypus import Table as Grid

from previs.exchange.printed_looks import BOLD, FOOT_POINTS, INK, MARGIN, PLAIN, RULE, SHADE, WARN, shortened, style, use_faces
from previs.handoff.sheet_files import Paper
from previs.handoff.sheets import Pictures, Sheet, Table, Value

PAGE_POINTS = {Paper.A4: landscape(A4), Paper.LETTER: landscape(LETTER)}
_PADDING = 3
_FRAME_PADDING = 6
"""What the page frame of the library keeps free on each side."""
_STILL_POINTS = (40 * mm, 24 * mm)
_LEAST_SECTION = 80.0
"""Points that a title, its remark, a header and a first row want together."""
_WIDEST_CELL = 190.0
"""Points beyond which a column asks for no more width, however long its text."""
_LONGEST_CELL = 1500
"""Characters of a cell on paper: about as much as a column holds on a page; the workbook has the rest."""


_TITLE = style("title", 17, fontName=BOLD, spaceAfter=4)
_HEAD = style("head", 9)
_TABLE = style("table", 11, fontName=BOLD, spaceBefore=9, spaceAfter=3)
_REMARK = style("remark", 7.5, spaceAfter=3)
_CELL = style("cell", 8, splitLongWords=1)
_NAME = style("name", 8, fontName=BOLD, splitLongWords=1)
_CAUTION = style("caution", 8, leftIndent=6, borderPadding=4, spaceAfter=3)


def pdf_bytes(sheet: Sheet, paper: Paper, pictures: Pictures) -> bytes:
    """The sheet as a PDF; the same sheet and pictures give the same bytes. `pictures` are the stills that its tables name."""
    use_faces()
    size = PAGE_POINTS[paper]
    held = io.BytesIO()
    pages = SimpleDocTemplate(
        held, pagesize=size, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=MARGIN, bottomMargin=MARGIN + 5 * mm,
        title=f"{sheet.title}, {dict(sheet.head).get('Sequence', '')}", author="previs", invariant=1,
    )  # fmt: skip
    width = size[0] - 2 * (MARGIN + _FRAME_PADDING)
    story: list[Flowable] = [Paragraph(escape(sheet.title), _TITLE), _head(sheet, width), *_cautions(sheet, width)]
    for table in sheet.tables:
        story += _section(table, width, pictures)
    foot = "  |  ".join(value for _, value in sheet.head[:3])

    def mark(canvas: Canvas, _pages: object) -> None:
        canvas.setFont(PLAIN, FOOT_POINTS)
        canvas.setFillColor(INK)
        canvas.drawString(MARGIN + _FRAME_PADDING, MARGIN, shortened(f"{sheet.title}  |  {foot}", width - 60))
        canvas.drawRightString(size[0] - MARGIN - _FRAME_PADDING, MARGIN, f"page {canvas.getPageNumber()}")

    pages.build(story, onFirstPage=mark, onLaterPages=mark)
    return held.getvalue()


def _head(sheet: Sheet, width: float) -> Flowable:
    said = [Paragraph(f'<font name="{BOLD}">{escape(what)}:</font> {escape(value[:_LONGEST_CELL])}', _HEAD) for what, value in sheet.head]
    said += [Paragraph("", _HEAD)] * (-len(said) % 3)
    lines = [said[at : at + 3] for at in range(0, len(said), 3)]
    return Grid(lines, [width / 3] * 3, style=[("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")])


def _cautions(sheet: Sheet, width: float) -> list[Flowable]:
    said = [[Paragraph(escape(caution), _CAUTION)] for caution in sheet.cautions]
    return [Spacer(1, 4), Grid(said, [width], style=[("BOX", (0, 0), (-1, -1), 1.2, WARN), ("TOPPADDING", (0, 0), (-1, -1), 2)])]


def _section(table: Table, width: float, pictures: Pictures) -> list[Flowable]:
    # A title alone at the foot of a page would be lost; kept with its whole table, it would leave pages empty.
    parts: list[Flowable] = [
        CondPageBreak(_LEAST_SECTION + (_STILL_POINTS[1] if table.stills else 0)),
        Paragraph(escape(table.title), _TABLE),
    ]
    if table.remark:
        parts.append(Paragraph(escape(table.remark), _REMARK))
    return [*parts, _grid(table, width, pictures) if table.rows else Paragraph(escape(table.empty), _CELL)]


def _grid(table: Table, width: float, pictures: Pictures) -> Flowable:
    widths = column_widths(table, width - (_STILL_POINTS[0] + 2 * _PADDING if table.stills else 0))
    lines: list[list[Flowable]] = [[Paragraph(escape(name), _NAME) for name in table.columns]]
    lines += [[Paragraph(_said(value), _CELL) for value in row] for row in table.rows]
    if table.stills:
        widths = [_STILL_POINTS[0] + 2 * _PADDING, *widths]
        stills = [
            _picture(pictures[still]) if still is not None and still in pictures else Paragraph("no picture", _CELL)
            for still in table.stills
        ]
        lines = [[first, *line] for first, line in zip([Paragraph("picture", _NAME), *stills], lines, strict=True)]
    looks = [
        ("BACKGROUND", (0, 0), (-1, 0), SHADE),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), _PADDING),
        ("RIGHTPADDING", (0, 0), (-1, -1), _PADDING),
    ]
    return Grid(lines, widths, style=looks, repeatRows=1, splitInRow=1)


def column_widths(table: Table, width: float) -> list[float]:
    """Points for each column, `width` in all: room for its longest word first, then by how much text it has."""
    least, wanted = [], []
    for column, name in enumerate(table.columns):
        texts = [(name, BOLD), *((str("" if row[column] is None else row[column])[:_LONGEST_CELL], PLAIN) for row in table.rows)]
        words = max((pdfmetrics.stringWidth(word, font, 8) for text, font in texts for word in text.split()), default=0)
        lines = max(pdfmetrics.stringWidth(text, font, 8) for text, font in texts)
        least.append(min(words, _WIDEST_CELL / 2) + 2 * _PADDING + 1)
        wanted.append(min(lines, _WIDEST_CELL) + 2 * _PADDING + 1)
    if sum(least) >= width:
        return [width * one / sum(least) for one in least]
    missing = [max(0.0, much - little) for much, little in zip(wanted, least, strict=True)]
    share = min(1.0, (width - sum(least)) / sum(missing)) if sum(missing) else 0.0
    widths = [little + share * more for little, more in zip(least, missing, strict=True)]
    return [one * width / sum(widths) for one in widths]


def _said(value: Value) -> str:
    text = "" if value is None else str(value)
    return escape(text if len(text) <= _LONGEST_CELL else text[:_LONGEST_CELL] + " ...").replace("\n", "<br/>")


def _picture(data: bytes) -> Flowable:
    wide, high = ImageReader(io.BytesIO(data)).getSize()
    scale = min(_STILL_POINTS[0] / wide, _STILL_POINTS[1] / high)
    return Image(io.BytesIO(data), wide * scale, high * scale)
