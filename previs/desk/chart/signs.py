"""Small signs on the chart, of paper tape: what is chosen, what is locked, which frame is shown; each is drawn where it is told."""

from __future__ import annotations

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from previs.desk.looks import Looks

_TEETH = 3


def draw_tape(painter: QPainter, one: Looks, box: QRectF) -> None:
    """A strip of paper tape, torn at both ends."""
    if box.width() < 8:
        painter.fillRect(box, QColor(one.chosen))
        return
    inside = box.adjusted(1, 2, -1, -2)
    each = inside.height() / (2 * _TEETH)
    down = [inside.top() + each * step for step in range(2 * _TEETH + 1)]
    right = [QPointF(inside.right() - (step % 2) * 2, y) for step, y in enumerate(down)]
    left = [QPointF(inside.left() + (step % 2) * 2, y) for step, y in enumerate(reversed(down))]
    _smoothly(painter, QPolygonF([*right, *left]), QColor(one.chosen), QPen(QColor(one.rule), 1))


def draw_chosen(painter: QPainter, one: Looks, box: QRectF) -> None:
    """A double outline in ink."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(one.ink), 2, join=Qt.PenJoinStyle.MiterJoin))
    painter.drawRect(box)
    if box.width() > 14 and box.height() > 14:
        painter.setPen(QPen(QColor(one.ink), 1, join=Qt.PenJoinStyle.MiterJoin))
        painter.drawRect(box.adjusted(4, 5, -5, -5))


def draw_lock(painter: QPainter, one: Looks, middle: QPointF, room: float) -> None:
    """Two crossed strips of tape, which hold a shot down, in the `room` across that it has."""
    half = min(9.0, max(room / 2 - 1, 2.5))
    strip = QRectF(-half, -half * 0.28, 2 * half, half * 0.56)
    for turn in (40.0, -40.0):
        painter.save()
        painter.translate(middle)
        painter.rotate(turn)
        _smoothly(painter, QPolygonF(strip), QColor(one.chosen), QPen(QColor(one.ink), 1.2))
        painter.restore()


def draw_sound(painter: QPainter, one: Looks, begin: float, cut: float, floor: float) -> None:
    """A shot's sound that begins before or after its picture: a bar under the floor to the cut point, with a stop where it begins."""
    left, right = min(begin, cut), max(begin, cut)
    painter.fillRect(QRectF(left, floor + 3, max(right - left, 1.0), 2), QColor(one.blue))
    painter.fillRect(QRectF(begin - 1, floor - 3, 2, 11), QColor(one.blue))


def draw_frame(painter: QPainter, one: Looks, x: float, top: float, bottom: float) -> None:
    """The frame that the player shows: a line through the chart with a foot on the ruler."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRectF(round(x) - 0.75, top, 1.5, bottom - top), QColor(one.focus))
    foot = QPainterPath(QPointF(x - 6, bottom + 9))
    foot.lineTo(x + 6, bottom + 9)
    foot.lineTo(x, bottom - 1)
    painter.fillPath(foot, QColor(one.focus))
    painter.restore()


def _smoothly(painter: QPainter, shape: QPolygonF, ground: QColor, outline: QPen) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(outline)
    painter.setBrush(ground)
    painter.drawPolygon(shape)
    painter.restore()
