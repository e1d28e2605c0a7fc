"""The chart's ruler: record time code, from minutes down to single frames."""

from __future__ import annotations

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter

from previs.clock import Span
from previs.desk.chart.bands import Bands
from previs.desk.chart.scale import Scale
from previs.desk.looks import Looks, figures_font
from previs.document.model import Sequence

_SECONDS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600)
_LEAST_BETWEEN = 5.0
"""Pixels between two strokes, at the least."""


def steps_of(nominal: int) -> list[int]:
    """The distances in frames at which a ruler may count, from one frame up: parts of a second that come out even, then seconds."""
    return [*(frames for frames in range(1, nominal) if nominal % frames == 0), *(nominal * seconds for seconds in _SECONDS)]


def draw_ruler(painter: QPainter, one: Looks, sequence: Sequence, seen: Span, scale: Scale, where: Bands) -> None:
    """Strokes, and time code beside as many of them as there is room for."""
    painter.setFont(figures_font(max(7.0, painter.font().pointSizeF())))
    metrics, timebase = QFontMetricsF(painter.font()), sequence.timebase
    steps = steps_of(timebase.rate.nominal)
    wide = metrics.horizontalAdvance("00:00:00:00") + 14
    every = next((step for step in steps if step * scale.each >= wide), steps[-1])
    between = next((step for step in steps if step * scale.each >= _LEAST_BETWEEN and every % step == 0), every)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(one.rule))
    frames = range(seen.start // between * between, seen.end_exclusive, between)
    top = where.ruler.top()
    strokes = [QRectF(round(scale.x(frame)), top, 1, 4 if frame % every else 9) for frame in frames]
    if strokes:
        painter.drawRects(*strokes)
    painter.setPen(QColor(one.soft))
    for frame in range(seen.start // every * every, seen.end_exclusive, every):
        if scale.x(frame) < where.names - 1:
            continue
        label = timebase.label(timebase.wrap(sequence.start_frame + frame))
        painter.drawText(QPointF(round(scale.x(frame)) + 4, top + metrics.ascent() + 4), label)
