"""The plan at full size on many pages that are cut and joined edge to edge, with a first page that shows where each belongs."""

from __future__ import annotations

import io

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from previs.document.floor import LineKind
from previs.exchange.printed_looks import BOLD, INK, PLAIN, RULE, WARN, shortened, use_faces
from previs.floor.measuring_units import INCH_MM, Units
from previs.floor.placing import Spot
from previs.floor.sheet_lines import draw_chain
from previs.floor.sheet_scale import MARGIN_MM, SheetPaper
from previs.floor.sheet_tiles import STRIP_MM, Tile, Tiles, tiled
from previs.floor.tape_out import FOR_TAPING, NO_FALL, TapeOut

BAR_MM = {Units.METRIC: 100.0, Units.IMPERIAL: 4 * float(INCH_MM)}
"""How long the bar is by which a print is checked."""
_BAR_SAID = {Units.METRIC: "100 mm", Units.IMPERIAL: "4 in"}
_CROSS_MM = 4.0


def full_size_pdf(sheet: TapeOut, paper: SheetPaper) -> bytes:
    """The plan as pages at full size; the same bytes for the same sheet. Raises `UseFault` when there are too many pages."""
    use_faces()
    tiles = tiled(sheet, paper)
    held = io.BytesIO()
    canvas = Canvas(held, pagesize=(tiles.page.width_mm * mm, tiles.page.height_mm * mm), invariant=1)
    canvas.setTitle(f"Full size: {sheet.title}")
    canvas.setAuthor("previs")
    _map_page(canvas, sheet, tiles)
    canvas.showPage()
    for tile in tiles.tiles:
        _tile_page(canvas, sheet, tiles, tile)
        canvas.showPage()
    canvas.save()
    return held.getvalue()


def _map_page(canvas: Canvas, sheet: TapeOut, tiles: Tiles) -> None:
    left, top, width = MARGIN_MM * mm, (tiles.page.height_mm - MARGIN_MM) * mm, (tiles.page.width_mm - 2 * MARGIN_MM) * mm
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 16)
    canvas.drawString(left, top - 14, shortened(f"Full size: {sheet.title}, {sheet.section or 'the plan'}", width, BOLD, 16))
    lines = (
        f"{len(tiles.tiles)} pages in {tiles.rows} rows and {tiles.columns} columns; {sheet.made.day} {sheet.made:%B %Y}.",
        f"Print at 100 %, never fitted to the page: the bar on each page must measure {_BAR_SAID[sheet.units]}.",
        "Cut at the corner crosses and join edge to edge; row 1 is the lowest, column 1 the leftmost, as on the plan.",
    )
    canvas.setFont(PLAIN, 10)
    for number, line in enumerate(lines):
        canvas.drawString(left, top - 32 - 13 * number, shortened(line, width, PLAIN, 10))
    canvas.setFillColor(WARN)
    canvas.setFont(BOLD, 10)
    canvas.drawString(left, top - 32 - 13 * len(lines), shortened(FOR_TAPING, width, BOLD, 10))
    _draw_map(canvas, tiles, left, MARGIN_MM * mm, width, top - 32 - 13 * (len(lines) + 1) - MARGIN_MM * mm)


def _draw_map(canvas: Canvas, tiles: Tiles, left: float, bottom: float, width: float, height: float) -> None:
    each = min(width / (tiles.columns * tiles.width_mm), height / (tiles.rows * tiles.height_mm))
    first = tiles.tiles[0]
    origin = first.at[0] - (first.column - 1) * tiles.width_mm, first.at[1] - (first.row - 1) * tiles.height_mm
    wide, high = tiles.width_mm * each, tiles.height_mm * each
    canvas.setStrokeColor(RULE)
    canvas.setFillColor(INK)
    canvas.setLineWidth(0.3)
    points = max(1.5, min(8.0, high * 0.4, wide * 0.28))
    canvas.setFont(PLAIN, points)
    for tile in tiles.tiles:
        x, y = left + (tile.column - 1) * wide, bottom + (tile.row - 1) * high
        canvas.rect(x, y, wide, high)
        canvas.drawCentredString(x + wide / 2, y + high / 2 - points * 0.36, f"{tile.row}/{tile.column}")
    for tile in tiles.tiles:
        for kind, start, end in tile.pieces:
            ends = [(left + (x - origin[0]) * each, bottom + (y - origin[1]) * each) for x, y in (start, end)]
            canvas.setLineWidth(1.6 if kind is LineKind.WALL else 0.8)
            canvas.setStrokeColor(INK)
            canvas.line(*ends[0], *ends[1])


def _tile_page(canvas: Canvas, sheet: TapeOut, tiles: Tiles, tile: Tile) -> None:
    left, bottom = MARGIN_MM * mm, (MARGIN_MM + STRIP_MM) * mm
    wide, high = tiles.width_mm * mm, tiles.height_mm * mm

    def on_page(spot: Spot) -> Spot:
        return left + (spot[0] - tile.at[0]) * mm, bottom + (spot[1] - tile.at[1]) * mm

    for kind, start, end in tile.pieces:
        draw_chain(canvas, kind, [on_page(start), on_page(end)])
    canvas.setStrokeColor(INK)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 26)
    for index in tile.points:
        x, y = on_page(sheet.points[index].at)
        canvas.setLineWidth(0.8)
        canvas.line(x - 12, y, x + 12, y)
        canvas.line(x, y - 12, x, y + 12)
        # Towards the middle of the page, where there is room for it.
        drawn = canvas.drawString if x < left + wide / 2 else canvas.drawRightString
        drawn(x + (8 if x < left + wide / 2 else -8), y + (8 if y < bottom + high / 2 else -28), sheet.label(index))
    canvas.setLineWidth(0.4)
    for x in (left, left + wide):
        for y in (bottom, bottom + high):
            canvas.line(x - _CROSS_MM * mm, y, x + _CROSS_MM * mm, y)
            canvas.line(x, y - _CROSS_MM * mm, x, y + _CROSS_MM * mm)
    _strip(canvas, sheet, tiles, tile, left, MARGIN_MM * mm)


def _strip(canvas: Canvas, sheet: TapeOut, tiles: Tiles, tile: Tile, left: float, bottom: float) -> None:
    width, bar = tiles.width_mm * mm, BAR_MM[sheet.units] * mm
    canvas.setLineWidth(1)
    canvas.line(left + width - bar, bottom, left + width, bottom)
    for x in (left + width - bar, left + width):
        canvas.line(x, bottom - 2, x, bottom + 5)
    canvas.setFont(PLAIN, 7.5)
    canvas.drawCentredString(left + width - bar / 2, bottom + 3, f"must measure {_BAR_SAID[sheet.units]}")
    canvas.setFont(BOLD, 11)
    canvas.drawString(left, bottom + 2, f"row {tile.row}, column {tile.column}")
    drop = f"{NO_FALL.capitalize()}. " if any(kind is LineKind.DROP for kind, _, _ in tile.pieces) else ""
    canvas.setFont(PLAIN, 7.5)
    canvas.drawString(left, bottom - 7, shortened(f"{drop}{sheet.title}. {FOR_TAPING}", width - bar - 8, PLAIN, 7.5))
