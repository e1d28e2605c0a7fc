"""The plan page of a tape-out sheet: the room, A and B, every line of tape and every number, at a scale that a ruler can read."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby, pairwise

from reportlab.lib.colors import white
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from previs.document.floor import LineKind, PlanLine
from previs.exchange.printed_looks import BOLD, INK, PLAIN, RULE
from previs.floor.laying_lines import Joined
from previs.floor.measuring_units import read_off
from previs.floor.placing import Spot
from previs.floor.sheet_lines import TONE, draw_chain, draw_swing
from previs.floor.sheet_numbers import Box, Label, Placing, Stands
from previs.floor.sheet_scale import FOOT_MM, MARGIN_MM, Fitted
from previs.floor.tape_out import NO_FALL, TapeOut

WORD_POINTS, DATUM_POINTS = 7.5, 14.0
_NUMBER_POINTS = (9.0, 11.0)
"""On a small page, and on a large one."""
_MARK = 1.6
_LED_NUMBER, _LED_WORD = 3.0, 18.0
"""Numbers and words that begin further from their spot are led to by a thin line; words have the tone of their line too."""
_LARGE_PAGE_MM = 250.0
_WORD_LINE_COST = 45.0
"""Words go far to keep off the lines, which their white ground would hide."""
_LINE_HEIGHT = 1.15


@dataclass(frozen=True, slots=True)
class View:
    """From room millimetres to points of the page."""

    left: float
    bottom: float
    x_mm: float
    y_mm: float
    scale: int

    def __call__(self, spot: Spot | tuple[int, int]) -> Spot:
        """Where a spot of the room lies on the page."""
        return self.left + (spot[0] - self.x_mm) * mm / self.scale, self.bottom + (spot[1] - self.y_mm) * mm / self.scale


@dataclass(frozen=True, slots=True)
class _Word:
    """Words beside a spot of the page, one or more lines, in the tone of their kind."""

    at: Spot
    lines: tuple[str, ...]
    kind: LineKind | None
    over: bool = False


def extent_mm(sheet: TapeOut) -> Box:
    """What must be on the plan: the room, A and B, and all that is laid, in room millimetres."""
    room = sheet.room
    spots: list[Spot] = [(0, 0), (room.length_mm, room.width_mm), room.datum_a, room.datum_b, *(point.at for point in sheet.points)]
    spots += [point for column in room.columns for point in column.points]
    return _bounds(spots)


def view_of(sheet: TapeOut, fit: Fitted) -> View:
    """The extent of the sheet in the middle of the page's box."""
    left, bottom, right, top = extent_mm(sheet)
    wide, high = fit.page.box_mm
    free_x, free_y = wide - (right - left) / fit.scale, high - (top - bottom) / fit.scale
    return View((MARGIN_MM + free_x / 2) * mm, (MARGIN_MM + FOOT_MM + free_y / 2) * mm, left, bottom, fit.scale)


def draw_plan(canvas: Canvas, sheet: TapeOut, fit: Fitted) -> tuple[str, ...]:
    """Draw the plan; gives the numbers for which there was no room beside their points."""
    view = view_of(sheet, fit)
    wide, high = fit.page.box_mm
    left, bottom = MARGIN_MM * mm, (MARGIN_MM + FOOT_MM) * mm
    placing = Placing((left, bottom, left + wide * mm, bottom + high * mm), *_segments(sheet, view))
    _draw_room(canvas, sheet, view)
    for one in sheet.joined:
        chain = [view(sheet.points[point].at) for point in one.points]
        if one.kind is LineKind.DOOR and len(chain) == 2 and one.opens_left is not None:
            draw_swing(canvas, chain[0], chain[1], left=one.opens_left)
        draw_chain(canvas, one.kind, chain)
    placing.keep_free([_around(view(point.at), _MARK + 0.6) for point in sheet.points])
    placing.keep_free([_bounds([view(point) for point in column.points]) for column in sheet.room.columns])
    _draw_datums(canvas, sheet, view, placing)
    large = min(fit.page.width_mm, fit.page.height_mm) > _LARGE_PAGE_MM
    missing = _draw_numbers(canvas, sheet, view, placing, _NUMBER_POINTS[large])
    for word in _words(sheet, view):
        _draw_word(canvas, word, placing)
    return missing


def _segments(sheet: TapeOut, view: View) -> tuple[list[Box], list[Box]]:
    """The lines of tape, and the room's walls."""
    edges = [(sheet.points[a].at, sheet.points[b].at) for one in sheet.joined for a, b in one.edges]
    corners: list[Spot] = [(0, 0), (sheet.room.length_mm, 0), (sheet.room.length_mm, sheet.room.width_mm), (0, sheet.room.width_mm), (0, 0)]
    tape, walls = ([(*view(first), *view(last)) for first, last in pairs] for pairs in (edges, pairwise(corners)))
    return tape, walls


def _draw_room(canvas: Canvas, sheet: TapeOut, view: View) -> None:
    room = sheet.room
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.7)
    left, bottom = view((0, 0))
    right, top = view((room.length_mm, room.width_mm))
    canvas.rect(left, bottom, right - left, top - bottom)
    for column in room.columns:
        _draw_column(canvas, column, view)


def _draw_column(canvas: Canvas, column: PlanLine, view: View) -> None:
    path = canvas.beginPath()
    path.moveTo(*view(column.points[0]))
    for point in column.points[1:]:
        path.lineTo(*view(point))
    if column.closed:
        path.close()
    canvas.setFillColor(RULE)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.7)
    canvas.drawPath(path, fill=int(column.closed))


def _draw_datums(canvas: Canvas, sheet: TapeOut, view: View, placing: Placing) -> None:
    for name, at in (("A", sheet.room.datum_a), ("B", sheet.room.datum_b)):
        x, y = view(at)
        canvas.setFillColor(INK)
        canvas.circle(x, y, 3.6, stroke=0, fill=1)
        placing.keep_free([_around((x, y), 4.2)])
        stands = placing.place(Label((x, y), stringWidth(name, BOLD, DATUM_POINTS) + 2, DATUM_POINTS))
        if stands:
            _put(canvas, stands, (name,), BOLD, DATUM_POINTS)


def _draw_numbers(canvas: Canvas, sheet: TapeOut, view: View, placing: Placing, points: float) -> tuple[str, ...]:
    missing = []
    for point in sheet.points:
        if point.how is None:
            continue
        at = view(point.at)
        cross = point.label.startswith("H")
        canvas.setFillColor(white if cross else INK)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.circle(*at, _MARK, stroke=int(cross), fill=1)
        stands = placing.place(Label(at, stringWidth(point.label, BOLD, points) + 1, points * 0.85))
        if stands is None:
            missing.append(point.label)
            continue
        if stands.reach > _LED_NUMBER:
            _lead(canvas, at, stands)
        canvas.setFillColor(INK)
        _put(canvas, stands, (point.label,), BOLD, points)
    return tuple(missing)


def _words(sheet: TapeOut, view: View) -> list[_Word]:
    """What is named on the plan: drops first, since they must be read, then doors, steps, the rest, and the places of the fight."""
    words = []
    order = (LineKind.DROP, LineKind.DOOR, LineKind.STEP, LineKind.COLUMN, LineKind.OTHER)
    for kind in order:
        mine = [one for one in sheet.joined if one.kind is kind]
        for (height, _), group in groupby(mine, key=lambda one: (one.height_mm, "" if kind is LineKind.STEP else one.name)):
            lines = list(group)
            middle = lines[len(lines) // 2]
            at = _end(sheet, middle, view) if kind is LineKind.STEP else _middle(sheet, middle, view)
            words.append(_Word(at, _said(sheet, kind, lines, height), kind))
    words += [_Word(view(column.points[0]), ("column of the room",), None) for column in sheet.room.columns]
    named = {one.name for one in sheet.joined}
    return words + [_Word(view(place.at), (place.name,), None, over=True) for place in sheet.places if place.name not in named]


def _said(sheet: TapeOut, kind: LineKind, lines: list[Joined], height_mm: int | None) -> tuple[str, ...]:
    tall = "" if height_mm is None else read_off(height_mm, sheet.units)
    if kind is LineKind.DROP:
        return (NO_FALL, f"{lines[0].name}{f', on the set {tall} down' if tall else ''}")
    if kind is LineKind.STEP:
        count = f"{len(lines)} steps" if len(lines) > 1 else lines[0].name
        return (f"{count}{f', each {tall} high on the set' if tall else ''}",)
    return (lines[0].name,)


def _middle(sheet: TapeOut, one: Joined, view: View) -> Spot:
    """The middle of a line's longest piece, on the page."""
    first, last = max(one.edges, key=lambda edge: round(sheet.length_mm(*edge)))
    (ax, ay), (bx, by) = view(sheet.points[first].at), view(sheet.points[last].at)
    return (ax + bx) / 2, (ay + by) / 2


def _end(sheet: TapeOut, one: Joined, view: View) -> Spot:
    """The upper end of a line on the page: words in the middle of a stair would cover its steps."""
    return max((view(sheet.points[point].at) for point in (one.points[0], one.points[-1])), key=lambda spot: spot[1])


def _draw_word(canvas: Canvas, word: _Word, placing: Placing) -> None:
    """Words where they are free to stand; words that find no place fall away, as they stand in the tables."""
    bold = word.kind is LineKind.DROP
    face = BOLD if bold else PLAIN
    width = max(stringWidth(line, face, WORD_POINTS) for line in word.lines) + 3
    stands = placing.place(Label(word.at, width, len(word.lines) * WORD_POINTS * _LINE_HEIGHT + 1.5, word.over, _WORD_LINE_COST))
    if stands is None:
        return
    if stands.reach > _LED_WORD:
        _lead(canvas, word.at, stands)
    canvas.setFillColor(INK if word.kind is None else TONE[word.kind])
    _put(canvas, stands, word.lines, face, WORD_POINTS, behind=True)


def _put(canvas: Canvas, stands: Stands, lines: tuple[str, ...], face: str, points: float, *, behind: bool = False) -> None:
    left, bottom, right, top = stands.box
    if behind:
        canvas.saveState()
        canvas.setFillColor(white)
        canvas.rect(left, bottom, right - left, top - bottom, stroke=0, fill=1)
        canvas.restoreState()
    canvas.setFont(face, points)
    for number, line in enumerate(lines):
        # The foot of the letters, so that a line of them stands in the middle of its share of the box.
        middle = top - (top - bottom) * (number + 0.5) / len(lines)
        canvas.drawCentredString((left + right) / 2, middle - points * 0.36, line)


def _lead(canvas: Canvas, at: Spot, stands: Stands) -> None:
    left, bottom, right, top = stands.box
    canvas.saveState()
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.5)
    canvas.line(*at, min(max(at[0], left), right), min(max(at[1], bottom), top))
    canvas.restoreState()


def _bounds(spots: list[Spot]) -> Box:
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return min(xs), min(ys), max(xs), max(ys)


def _around(at: Spot, half: float) -> Box:
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half
