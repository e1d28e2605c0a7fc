"""The hatching of treatments on a screen: crosses, strokes and dots, as on the printed chart, as fine on every screen."""

from __future__ import annotations

from functools import lru_cache

from PyQt6.QtCore import QLineF, QPointF, Qt
from PyQt6.QtGui import QBrush, QColor, QImage, QPainter, QPen, QTransform

from previs.document.model import Kind

_EACH = 8
"""Pixels from one stroke to the next."""


@lru_cache(maxsize=32)
def hatching(kind: Kind, colour: str, pixels_a_point: float) -> QBrush:
    """The brush of a kind of treatment for a screen that has so many real pixels for each of Qt's."""
    side = round(_EACH * pixels_a_point)
    image = QImage(side, side, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(side / _EACH, side / _EACH)
    painter.setPen(QPen(QColor(colour), 1.3))
    if kind is Kind.RIG_REMOVAL:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colour))
        for at in (2.0, 6.0):
            painter.drawEllipse(QPointF(at, at), 1.1, 1.1)
    else:
        for shift in (-_EACH, 0, _EACH):
            painter.drawLine(QLineF(shift - 1, _EACH + 1, shift + _EACH + 1, -1))
            if kind is Kind.DIGITAL_DOUBLE:
                painter.drawLine(QLineF(shift - 1, -1, shift + _EACH + 1, _EACH + 1))
    painter.end()
    brush = QBrush(image)
    brush.setTransform(QTransform.fromScale(_EACH / side, _EACH / side))
    return brush
