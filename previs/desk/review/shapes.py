"""Circles and arrows that reviewers drew, painted on a picture with an edge, so that they are seen on any."""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, cos, hypot, sin

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPainterPath, QPen

from previs.desk.looks import looks
from previs.document.notes import Drawing, Shape

_THICK_SHARE, _LEAST_THICK_PX = 1 / 110, 2.0
"""How thick a line is, as a share of the picture's height, as on the reviewer's page."""
_HEAD_TIMES, _HEAD_SHARE, _WING = 6, 0.6, 0.5
"""The arrow's head: times the thickness, at most this share of the arrow, and its half angle in radians."""


def path_of(drawing: Drawing, place: QRect) -> QPainterPath:
    """A shape on a picture that fills `place`; its points are thousandths of it from the top left."""
    start = QPointF(place.left() + drawing.from_x * place.width() / 1000, place.top() + drawing.from_y * place.height() / 1000)
    end = QPointF(place.left() + drawing.to_x * place.width() / 1000, place.top() + drawing.to_y * place.height() / 1000)
    path = QPainterPath()
    if drawing.shape is Shape.CIRCLE:
        path.addEllipse(QRectF(start, end).normalized())
        return path
    across, down = end.x() - start.x(), end.y() - start.y()
    way, head = atan2(down, across), min(_HEAD_TIMES * _thick(place), _HEAD_SHARE * hypot(across, down))
    path.moveTo(start)
    path.lineTo(end)
    for turn in (_WING, -_WING):
        path.moveTo(end)
        path.lineTo(QPointF(end.x() - head * cos(way + turn), end.y() - head * sin(way + turn)))
    return path


def paint_shapes(painter: QPainter, place: QRect, drawings: Iterable[Drawing]) -> None:
    """Paint shapes on a picture that fills `place`."""
    thick, one = _thick(place), looks()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setClipRect(place)
    for drawing in drawings:
        path = path_of(drawing, place)
        for colour, width in ((one.sheet, 2 * thick), (one.red, thick)):
            painter.setPen(QPen(QColor(colour), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
            painter.drawPath(path)
    painter.restore()


def _thick(place: QRect) -> float:
    return max(_LEAST_THICK_PX, place.height() * _THICK_SHARE)
