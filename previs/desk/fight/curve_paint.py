"""Painting the upper-hand curve down the moves: one role to the left, the other to the right, level between; as written, and as cut."""

from __future__ import annotations

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen

from previs.desk.fight.hands import Hands
from previs.desk.fight.sheet import FightSheet
from previs.desk.looks import looks

_INSET = 8.0


def x_of(box: QRectF, hands: Hands, place: int) -> float:
    """Where a holder stands across the box."""
    return box.left() + _INSET + (box.width() - 2 * _INSET) * place / max(len(hands.holders) - 1, 1)


def paint_curve(painter: QPainter, box: QRectF, sheet: FightSheet, rows: list[QRectF], seen: tuple[int, int], top: float) -> None:
    """The curve through the rows from `seen[0]` to `seen[1]`; it turns in the middle of the row of the move that turns it."""
    one, hands = looks(), sheet.hands
    first, last = max(seen[0] - 1, 0), min(seen[1] + 1, len(rows) - 1)
    painter.setPen(QPen(QColor(one.faint), 1, Qt.PenStyle.DashLine))
    for place in range(len(hands.holders)):
        x = x_of(box, hands, place)
        painter.drawLine(QPointF(x, top), QPointF(x, rows[last].bottom()))
    if hands.in_cut is not None and hands.in_cut != hands.written:
        painter.setPen(QPen(QColor(one.red), 1.4, Qt.PenStyle.DotLine))
        painter.drawPath(_path(box, hands, hands.in_cut, rows, (first, last)))
    path = _path(box, hands, hands.written, rows, (first, last))
    level = x_of(box, hands, hands.level)
    area = QPainterPath(path)
    area.lineTo(level, area.currentPosition().y())
    area.lineTo(level, path.elementAt(0).y)
    area.closeSubpath()
    shade = QColor(one.shade)
    shade.setAlpha(190)
    painter.fillPath(area, shade)
    painter.setPen(QPen(QColor(one.ink), 2.2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin))
    painter.drawPath(path)
    _paint_turns(painter, box, sheet, rows, seen)


def _path(box: QRectF, hands: Hands, places: tuple[int, ...], rows: list[QRectF], span: tuple[int, int]) -> QPainterPath:
    first, last = span
    before = places[first - 1] if first else hands.level
    path = QPainterPath(QPointF(x_of(box, hands, before), rows[first].top()))
    for row in range(first, last + 1):
        y = rows[row].center().y()
        path.lineTo(path.currentPosition().x(), y)
        path.lineTo(x_of(box, hands, places[row]), y)
    path.lineTo(path.currentPosition().x(), rows[last].bottom())
    return path


def _paint_turns(painter: QPainter, box: QRectF, sheet: FightSheet, rows: list[QRectF], seen: tuple[int, int]) -> None:
    for row in range(seen[0], min(seen[1], len(rows) - 1) + 1):
        if sheet.rows[row].move.number in sheet.hands.turns:
            paint_ring(painter, QPointF(x_of(box, sheet.hands, sheet.hands.written[row]), rows[row].center().y()))


def paint_ring(painter: QPainter, at: QPointF) -> None:
    """A ring at a turn that the cut does not show as it was written."""
    painter.setPen(QPen(QColor(looks().red), 1.6))
    painter.setBrush(QColor(looks().sheet))
    painter.drawEllipse(at, 4, 4)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_holders(painter: QPainter, box: QRectF, hands: Hands) -> None:
    """The names of the holders over their places, in steps, so that long names do not run into each other."""
    metrics = QFontMetricsF(painter.font())
    steps = min(len(hands.holders), max(1, int(box.height() // metrics.height())))
    for place, holder in enumerate(hands.holders):
        x, width = x_of(box, hands, place), metrics.horizontalAdvance(holder)
        left = min(max(x - width / 2, box.left()), max(box.right() - width, box.left()))
        step = steps - 1 - place % steps
        painter.drawText(QRectF(left, box.bottom() - metrics.height() * (step + 1), box.right() - left, metrics.height()), 0, holder)
