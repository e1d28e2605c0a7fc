"""The note of paper beside the pointer that says what a drag comes to, large enough to be read while the eye is on the edge."""

from __future__ import annotations

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from previs.desk.looks import Looks, figures_font

_WRAPPED = 330.0
_PAD, _AWAY = 10.0, 26.0


def draw_panel(painter: QPainter, one: Looks, around: QRectF, x: float, large: str, lines: list[str]) -> None:
    """Draw it near the pointer's `x`, on whichever side there is room, and within `around`."""
    points = painter.font().pointSizeF()
    big, small = figures_font(points * 1.7), QFont(painter.font())
    big.setBold(True)
    flags = int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
    metrics, head = QFontMetricsF(small), QFontMetricsF(big)
    heights = [metrics.boundingRect(QRectF(0, 0, _WRAPPED, 10_000), flags, line).height() for line in lines]
    width = max([head.horizontalAdvance(large), *(min(metrics.horizontalAdvance(line), _WRAPPED) for line in lines)]) + 2 * _PAD + 2
    height = head.height() + sum(heights) + 2 * _PAD
    left = x + _AWAY if x + _AWAY + width <= around.right() else x - _AWAY - width
    box = QRectF(round(min(max(left, around.left()), around.right() - width)), round(around.top()), round(width), round(height))
    painter.fillRect(box.translated(3, 3), QColor(one.faint))
    painter.fillRect(box, QColor(one.sheet))
    painter.setPen(QPen(QColor(one.ink), 1.5))
    painter.drawRect(box)
    painter.setFont(big)
    painter.drawText(QPointF(box.left() + _PAD, box.top() + _PAD + head.ascent()), large)
    painter.setFont(small)
    top = box.top() + _PAD + head.height()
    for line, down in zip(lines, heights, strict=True):
        painter.drawText(QRectF(box.left() + _PAD, top, _WRAPPED, down), flags, line)
        top += down
