"""Ways over the plan, painted: the marks of a phrase with their moves, roles where they are now, tight places, what is being drawn."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from previs.desk.floor.findings import pinch_label
from previs.desk.floor.inks import role_ink
from previs.desk.floor.paint_plan import around_px, put_words
from previs.desk.floor.sight import Sight
from previs.desk.floor.ways import Numbered, Way, numbered
from previs.desk.looks import Looks, figures_font
from previs.floor.clearance import Pinch
from previs.floor.placing import Spot
from previs.floor.sheet_numbers import Box, Label, Placing

MARK_PX, MARKER_PX = 5.0, 11.0
_BEND_PX, _PINCH_PX = 2.5, 15.0


def way_segments(sight: Sight, shown: Iterable[Way]) -> list[Box]:
    """The straight pieces of ways in pixels, for words to keep off."""
    return [(*sight.pixel(one), *sight.pixel(two)) for way in shown for one, two in pairwise(_spots(way))]


def paint_way(painter: QPainter, one: Looks, sight: Sight, way: Way, *, strong: bool = True) -> None:
    """A way with its spots; a guess is thin, and its spots are hollow."""
    ink = role_ink(one, way.role_number)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(ink.pen((1.2 if way.guessed else 2.6) if strong else 1.0))
    painter.drawPolyline(QPolygonF([QPointF(*sight.pixel(spot)) for spot in way.spots]))
    if way.comes_from is not None:
        painter.setPen(QPen(ink.colour, 1.2, Qt.PenStyle.DotLine))
        painter.drawLine(QPointF(*sight.pixel(way.comes_from)), QPointF(*sight.pixel(way.spots[0])))
    for spot, move in zip(way.spots, way.moves, strict=True):
        painter.setPen(QPen(ink.colour if way.guessed else QColor(one.ink), 1.2))
        painter.setBrush(QColor(one.sheet) if way.guessed else ink.colour)
        painter.drawPath(ink.outline(QPointF(*sight.pixel(spot)), _BEND_PX if move is None else MARK_PX))


def keep_marks_free(sight: Sight, shown: Iterable[Way], placing: Placing) -> None:
    """Let no word stand on a mark."""
    placing.keep_free([around_px(sight.pixel(spot), MARK_PX) for way in shown for spot in way.spots])


def paint_numbers(painter: QPainter, one: Looks, sight: Sight, way: Way, placing: Placing) -> None:
    """The numbers of the moves beside their marks, marks that lie close together with one label."""
    font = figures_font()
    font.setBold(True)
    metrics = QFontMetricsF(font)
    marks = [(move, sight.pixel(spot)) for spot, move in zip(way.spots, way.moves, strict=True) if move is not None]
    for label in numbered(marks, metrics.horizontalAdvance("00") + 4):
        stands = placing.place(Label(label.at, metrics.horizontalAdvance(label.text) + 10, metrics.height() + 2, line_cost=14.0))
        if stands is not None:
            _paint_label(painter, one, way, label, QRectF(QPointF(*stands.box[:2]), QPointF(*stands.box[2:])), font)


def paint_pinches(painter: QPainter, one: Looks, sight: Sight, pinches: Iterable[tuple[Pinch, bool]], placing: Placing) -> None:
    """Tight places, each with whether it matters to what is shown: a red ring, and in words how much is missing."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for pinch, matters in pinches:
        x, y = sight.pixel(pinch.at)
        painter.setPen(QPen(QColor(one.red), 2.5 if matters else 1.2, Qt.PenStyle.SolidLine if matters else Qt.PenStyle.DotLine))
        painter.drawEllipse(QPointF(x, y), _PINCH_PX, _PINCH_PX)
        if matters:
            put_words(painter, one, (x, y - _PINCH_PX), (pinch_label(pinch),), one.red, placing, bold=True)


def paint_roles(painter: QPainter, one: Looks, sight: Sight, there: tuple[tuple[str, int, Spot], ...]) -> None:
    """Every role where it is now: its shape with its first letter, and its name where that letter is another's too."""
    letters = [name[:1] for name, _, _ in there]
    for name, number, at in there:
        ink, (x, y) = role_ink(one, number), sight.pixel(at)
        painter.setPen(QPen(QColor(one.ink), 2))
        painter.setBrush(ink.colour)
        painter.drawPath(ink.outline(QPointF(x, y), MARKER_PX))
        font = QFont(painter.font())
        font.setBold(True)
        before = painter.font()
        painter.setFont(font)
        painter.setPen(ink.letters)
        around = QRectF(x - MARKER_PX, y - MARKER_PX, 2 * MARKER_PX, 2 * MARKER_PX)
        painter.drawText(around, int(Qt.AlignmentFlag.AlignCenter), name[:1])
        if letters.count(name[:1]) > 1:
            _paint_name(painter, one, QPointF(x, y), name, below=number % 2 == 1)
        painter.setFont(before)


def paint_ring(painter: QPainter, one: Looks, at: Spot, reach: float) -> None:
    """A ring of the focus about a pixel."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(one.sheet), 4))
    painter.drawEllipse(QPointF(*at), reach, reach)
    painter.setPen(QPen(QColor(one.focus), 2.5))
    painter.drawEllipse(QPointF(*at), reach, reach)


def _paint_name(painter: QPainter, one: Looks, at: QPointF, name: str, *, below: bool) -> None:
    metrics = QFontMetricsF(painter.font())
    wide, high = metrics.horizontalAdvance(name) + 6, metrics.height()
    top = at.y() + MARKER_PX * 1.3 + 2 if below else at.y() - MARKER_PX * 1.3 - 2 - high
    box = QRectF(at.x() - wide / 2, top, wide, high)
    ground = QColor(one.sheet)
    ground.setAlpha(225)
    painter.fillRect(box, ground)
    painter.setPen(QColor(one.ink))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), name)


def _paint_label(painter: QPainter, one: Looks, way: Way, label: Numbered, box: QRectF, font: QFont) -> None:
    """A number on a slip of paper, edged with the role's tape: round ends for one role, square ones for the next."""
    ink = role_ink(one, way.role_number)
    x, y = label.at
    painter.setPen(QPen(ink.colour, 1))
    painter.drawLine(QPointF(x, y), QPointF(min(max(x, box.left()), box.right()), min(max(y, box.top()), box.bottom())))
    path, round_px = QPainterPath(), box.height() / 2 if ink.shape == 0 else 1.0
    path.addRoundedRect(box, round_px, round_px)
    painter.setPen(QPen(ink.colour, 1.6, Qt.PenStyle.DotLine if way.guessed else Qt.PenStyle.SolidLine))
    painter.setBrush(QColor(one.sheet))
    painter.drawPath(path)
    before = painter.font()
    painter.setFont(font)
    painter.setPen(QColor(one.ink))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), label.text)
    painter.setFont(before)


def _spots(way: Way) -> tuple[Spot, ...]:
    return tuple((float(x), float(y)) for x, y in ((way.comes_from, *way.spots) if way.comes_from is not None else way.spots))
