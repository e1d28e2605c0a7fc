"""A tape-out sheet as a PDF: the plan at a stated scale, then the points and what is checked, joined and brought; large enough to read
from a floor."""

from __future__ import annotations

import io
from xml.sax.saxutils import escape

from reportlab.lib.colors import white
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, NextPageTemplate, PageBreak, PageTemplate, Paragraph, Spacer
from reportlab.platypus import Table as Grid

from previs.document.floor import LineKind
from previs.exchange.printed_looks import BOLD, FIGURES, INK, PLAIN, RULE, SHADE, WARN, shortened, style, use_faces
from previs.floor.measuring_units import INCH_MM, Units, read_off
from previs.floor.sheet_lines import draw_chain
from previs.floor.sheet_plan import draw_plan, extent_mm
from previs.floor.sheet_scale import FOOT_MM, MARGIN_MM, Fitted, Page, SheetPaper, fitted, pages, scale_said
from previs.floor.sheet_tables import PointRow, SheetTable, point_rows, tables
from previs.floor.tape_out import FOR_TAPING, NO_FALL, TAPE_COLOUR, TapeOut, instructions

_TITLE, _HEADING, _REMARK = style("tapeout title", 16, fontName=BOLD), style("tapeout heading", 13, fontName=BOLD), style("remark", 9)
_SAID = style("said", 10.5)
_NUMBER, _LENGTH, _CELL = (
    style("number", 15, fontName=BOLD, leading=16),
    style("length", 13, fontName=FIGURES, leading=16),
    style("cell", 11, splitLongWords=1),
)
_WORDS, _NAME = style("words", 9, splitLongWords=1), style("name", 8.5, fontName=BOLD)
_COLUMNS = ("", "point", "hold", "reads", "hold", "reads", "side", "check from", "reads", "off by, if misread by 10 mm", "what")
_SHARES = (17, 40, 32, 108, 32, 108, 38, 44, 108, 74)
"""Points of the columns but the last, which takes the rest."""
_PAD = 3
_BAR_MM = {Units.METRIC: 1000.0, Units.IMPERIAL: float(12 * INCH_MM)}


def sheet_pdf(sheet: TapeOut, paper: SheetPaper, scale: int | None) -> bytes:
    """The sheet as a PDF, the same bytes for the same sheet; raises `UseFault` when the room does not fit at the scale given."""
    use_faces()
    left, bottom, right, top = extent_mm(sheet)
    fit = fitted(right - left, top - bottom, paper, sheet.units, scale)
    lying = pages(paper)[0]
    held = io.BytesIO()
    book = BaseDocTemplate(held, title=_titled(sheet), author="previs", invariant=1, pagesize=_points(fit.page))
    missing: list[str] = []

    def plan(canvas: Canvas, _book: object) -> None:
        missing.extend(_plan_page(canvas, sheet, fit))

    def plain(canvas: Canvas, _book: object) -> None:
        _foot_line(canvas, sheet, lying)

    book.addPageTemplates(
        [
            PageTemplate("plan", [_frame(fit.page)], onPage=plan, pagesize=_points(fit.page)),
            PageTemplate("tables", [_frame(lying)], onPage=plain, pagesize=_points(lying)),
        ]
    )
    width = (lying.width_mm - 2 * MARGIN_MM) * mm
    book.build([NextPageTemplate("tables"), PageBreak(), *_points_part(sheet, width), *_tables_part(sheet, width)])
    return held.getvalue()


def _plan_page(canvas: Canvas, sheet: TapeOut, fit: Fitted) -> tuple[str, ...]:
    page = fit.page
    missing = draw_plan(canvas, sheet, fit)
    width, left = (page.width_mm - 2 * MARGIN_MM) * mm, MARGIN_MM * mm
    top = (page.height_mm - MARGIN_MM) * mm
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 17)
    canvas.drawString(left, top - 14, shortened(_titled(sheet), width - 190, BOLD, 17))
    canvas.drawRightString(left + width, top - 14, scale_said(fit.scale, sheet.units))
    canvas.setFont(PLAIN, 9.5)
    canvas.drawString(left, top - 29, shortened(_room_said(sheet), width - 150, PLAIN, 9.5))
    canvas.drawRightString(left + width, top - 29, f"{sheet.made.day} {sheet.made:%B %Y}")
    canvas.setFillColor(WARN)
    canvas.setFont(BOLD, 9.5)
    canvas.drawString(left, top - 43, shortened(_short_caution(sheet), width, BOLD, 9.5))
    _scale_bar(canvas, sheet, fit, left, (MARGIN_MM + FOOT_MM - 9) * mm)
    foot = [*sheet.cautions[1:], *sheet.remarks]
    if missing:
        foot.append(f"No room at this scale for the numbers {', '.join(missing[:20])}; print on larger paper or see the DXF.")
    _key(canvas, sheet, left + width * 0.3, (MARGIN_MM + FOOT_MM - 9) * mm, width * 0.7)
    _boxed(canvas, foot, left, (MARGIN_MM + FOOT_MM - 16) * mm, width)
    return missing


def _titled(sheet: TapeOut) -> str:
    part = f", section {sheet.sheet} of {sheet.sheets}" if sheet.sheets > 1 else ""
    return f"Tape-out: {sheet.title}{part}{f', {sheet.section}' if sheet.section else ''}"


def _room_said(sheet: TapeOut) -> str:
    room, units = sheet.room, sheet.units
    return (
        f"Room {read_off(room.length_mm, units)} x {read_off(room.width_mm, units)}. A to B {read_off(sheet.baseline_mm, units)}. "
        f"{len(sheet.points)} points; {units.words}."
    )


def _short_caution(sheet: TapeOut) -> str:
    drops = any(one.kind is LineKind.DROP for one in sheet.joined)
    return f"{FOR_TAPING} {NO_FALL.capitalize()}." if drops else FOR_TAPING


def _scale_bar(canvas: Canvas, sheet: TapeOut, fit: Fitted, left: float, bottom: float) -> None:
    """A bar of whole metres or feet, half of each inked, its ends written; what it says can be held against any ruler."""
    step = _BAR_MM[sheet.units]
    longest = 0.25 * fit.page.width_mm * fit.scale
    step = next((step * times for times in (1, 2, 5, 10, 20, 50, 100, 1000) if step * times * 8 > longest), longest)
    pieces = max(1, int(longest // step))
    each = step * mm / fit.scale
    canvas.setLineWidth(0.7)
    canvas.setStrokeColor(INK)
    canvas.setFont(PLAIN, 8)
    for number in range(pieces + 1):
        if number < pieces:
            canvas.setFillColor(INK if number % 2 == 0 else white)
            canvas.rect(left + number * each, bottom, each, 5, fill=1)
        canvas.setFillColor(INK)
        if number in (0, 1, pieces):
            canvas.drawCentredString(left + number * each, bottom + 8, _bar_said(number * step, sheet.units))


def _bar_said(length_mm: float, units: Units) -> str:
    return f"{length_mm / 1000:g} m" if units is Units.METRIC else f"{length_mm / float(12 * INCH_MM):g} ft"


def _key(canvas: Canvas, sheet: TapeOut, left: float, bottom: float, width: float) -> None:
    each = width / max(len(sheet.needs), 1)
    for number, need in enumerate(sheet.needs):
        at = left + number * each
        draw_chain(canvas, need.kind, [(at, bottom + 3), (at + 26, bottom + 3)])
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, 8)
        canvas.drawString(at + 30, bottom + 5, need.kind.value)
        canvas.setFont(PLAIN, 7.5)
        canvas.drawString(at + 30, bottom - 4, f"{TAPE_COLOUR[need.kind]} tape")


def _boxed(canvas: Canvas, lines: list[str], left: float, top: float, width: float) -> None:
    """Cautions in a box that grows down to the margin; what the box cannot hold stands on the next page again."""
    y = top
    for size in (8.0, 7.2, 6.4):
        said = [Paragraph(escape(line), style(f"foot {size}", size)) for line in lines]
        heights = [one.wrap(width - 10, 1000)[1] for one in said]
        if sum(heights) + 6 <= top - MARGIN_MM * mm + 6:
            break
    canvas.setStrokeColor(WARN)
    canvas.setLineWidth(1.1)
    y = top
    for one, height in zip(said, heights, strict=True):
        if y - height < MARGIN_MM * mm - 6:
            break
        y -= height
        one.drawOn(canvas, left + 5, y)
    canvas.rect(left, y - 4, width, top - y + 6)


def _points_part(sheet: TapeOut, width: float) -> list[Flowable]:
    steps = [Paragraph(escape(f"{number}. {one}"), _SAID) for number, one in enumerate(instructions(sheet), start=1)]
    remarks = [Paragraph(escape(one), _SAID) for one in sheet.remarks]
    return [
        Paragraph(escape(f"{_titled(sheet)}: the points"), _TITLE), Spacer(1, 5), *steps, *remarks, Spacer(1, 8),
        _point_grid(point_rows(sheet), width),
    ]  # fmt: skip


def _point_grid(rows: tuple[PointRow, ...], width: float) -> Flowable:
    lines: list[list[Flowable | str]] = [[Paragraph(name, _NAME) for name in _COLUMNS]]
    looks = [*_LOOKS, ("VALIGN", (0, 1), (-1, -1), "MIDDLE")]
    before = ("A", "B")
    for number, row in enumerate(rows, start=1):
        pair = (row.first, row.second)
        if row.first and pair != before:
            # A tape is held elsewhere than for the point before.
            looks.append(("BACKGROUND", (2, number), (5, number), SHADE))
        before = pair if row.first else before
        error = f"<b>{escape(row.error)} !</b>" if row.doubtful else escape(row.error)
        texts = (
            ("", _CELL), (row.label, _NUMBER), (row.first, _CELL), (row.first_read, _LENGTH), (row.second, _CELL),
            (row.second_read, _LENGTH), (row.side, _CELL), (row.third, _CELL), (row.third_read, _LENGTH),
        )  # fmt: skip
        lines.append(
            [*(Paragraph(escape(text), face) for text, face in texts), Paragraph(error, _CELL), Paragraph(escape(row.words), _WORDS)]
        )
        looks.append(("BOX", (0, number), (0, number), 0.9, INK))
    return Grid(lines, [*_SHARES, width - sum(_SHARES)], style=looks, repeatRows=1, rowHeights=None)


_LOOKS = [
    ("BACKGROUND", (0, 0), (-1, 0), SHADE),
    ("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE),
    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
    ("LEFTPADDING", (0, 0), (-1, -1), _PAD),
    ("RIGHTPADDING", (0, 0), (-1, -1), _PAD),
    ("TOPPADDING", (0, 0), (-1, -1), 2),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 3.5),
]


def _tables_part(sheet: TapeOut, width: float) -> list[Flowable]:
    story: list[Flowable] = []
    for table in tables(sheet):
        story += [Spacer(1, 10), CondPageBreak(100), Paragraph(escape(table.title), _HEADING), Paragraph(escape(table.remark), _REMARK)]
        story.append(_grid(table, width))
    return story


def _grid(table: SheetTable, width: float) -> Flowable:
    lines = [[Paragraph(escape(name), _NAME) for name in table.columns]]
    lines += [[Paragraph(escape(cell), _CELL) for cell in row] for row in table.rows]
    shares = [max(len(cell) for cell in (name, *(row[column] for row in table.rows))) + 4 for column, name in enumerate(table.columns)]
    wide = min(width, sum(shares) * 7.0)
    return Grid(lines, [wide * share / sum(shares) for share in shares], style=_LOOKS, repeatRows=1, hAlign="LEFT")


def _frame(page: Page) -> Frame:
    margin = MARGIN_MM * mm
    return Frame(
        margin, margin + 10, page.width_mm * mm - 2 * margin, page.height_mm * mm - 2 * margin - 10,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip


def _foot_line(canvas: Canvas, sheet: TapeOut, page: Page) -> None:
    canvas.setFont(PLAIN, 8)
    canvas.setFillColor(INK)
    width = (page.width_mm - 2 * MARGIN_MM) * mm
    said = f"{_titled(sheet)}  |  {sheet.made.day} {sheet.made:%B %Y}  |  {_short_caution(sheet)}"
    canvas.drawString(MARGIN_MM * mm, MARGIN_MM * mm - 4, shortened(said, width - 60, PLAIN, 8))
    canvas.drawRightString(MARGIN_MM * mm + width, MARGIN_MM * mm - 4, f"page {canvas.getPageNumber()}")


def _points(page: Page) -> tuple[float, float]:
    return page.width_mm * mm, page.height_mm * mm
