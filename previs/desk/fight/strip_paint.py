"""Painting coverage: strips of tape in the columns of their sizes, with a mark for each move that they hold."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from previs.desk.fight.strips import Strip, Strips
from previs.desk.looks import looks
from previs.document.model import Size

_WIDEST_LANE, _LEAST_LANE, _BETWEEN = 24.0, 4.0, 6.0
_NAMED_FROM = 17.0


@dataclass(frozen=True, slots=True)
class Lanes:
    """Left and right of each size's column, how wide a lane in it is, in pixels, and how many lanes each has."""

    columns: dict[Size, tuple[float, float]]
    lane: float
    counts: dict[Size, int]

    def of(self, strip: Strip) -> tuple[float, float]:
        """Left and right of a strip."""
        left, right = self.columns[strip.size]
        first = left + (right - left - self.counts[strip.size] * self.lane) / 2
        return first + strip.lane * self.lane, first + (strip.lane + 1) * self.lane


def lanes_of(counts: dict[Size, int], left: float, right: float, line: float) -> Lanes:
    """The columns of the sizes between two edges, each as wide as the words in its head, a line for each, or wider."""
    lane = _WIDEST_LANE
    while lane > _LEAST_LANE and _room(counts, lane, line) > right - left:
        lane -= 0.5
    columns, at = {}, left
    for size, lanes in counts.items():
        width = max(lanes * lane, _head(size, line))
        columns[size] = (at, at + width)
        at += width + _BETWEEN
    return Lanes(columns, lane, dict(counts))


def _room(counts: dict[Size, int], lane: float, line: float) -> float:
    return sum(max(lanes * lane, _head(size, line)) + _BETWEEN for size, lanes in counts.items()) - _BETWEEN


def _head(size: Size, line: float) -> float:
    return line * len(size.split())


def paint_strip(painter: QPainter, lanes: Lanes, strip: Strip, rows: list[QRectF], colour: QColor) -> None:
    """A strip down its rows: filled at performance tempo, an outline at learning tempo; its name along it where there is room."""
    left, right = lanes.of(strip)
    box = QRectF(left + 1, rows[0].top() + 2, right - left - 2, rows[-1].bottom() - rows[0].top() - 4)
    tint = QColor(colour)
    tint.setAlpha(110)
    painter.setBrush(tint if strip.performed else Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(colour, 1.4, Qt.PenStyle.SolidLine if strip.performed else Qt.PenStyle.DashLine))
    painter.drawRect(box)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    named = lanes.lane >= _NAMED_FROM
    across = box.left() + (box.width() * 0.27 if named else box.width() / 2)
    for held, rect in zip(strip.marks, rows, strict=True):
        at, size = QPointF(across, rect.center().y()), min(box.width(), 9.0)
        paint_dot(painter, at, size, performed=held.performed, bare=bool(held.bare), used=held.used)
    if named:
        _paint_name(painter, strip, box)


def paint_dot(painter: QPainter, at: QPointF, size: float, *, performed: bool, bare: bool, used: bool) -> None:
    """A dot, hollow at learning tempo; a cross where a double's face shows; in a ring where the cut shows it."""
    one, reach = looks(), size * 0.36
    if used:
        painter.setPen(QPen(QColor(one.ink), 1.6))
        painter.setBrush(QColor(one.sheet))
        painter.drawEllipse(at, reach + 2.2, reach + 2.2)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if bare:
        painter.setPen(QPen(QColor(one.red), 1.9))
        for way in (1, -1):
            painter.drawLine(QPointF(at.x() - reach, at.y() - way * reach), QPointF(at.x() + reach, at.y() + way * reach))
        return
    painter.setPen(QPen(QColor(one.ink), 1.2))
    painter.setBrush(QColor(one.ink) if performed else QColor(one.sheet))
    painter.drawEllipse(at, reach * 0.8, reach * 0.8)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def camera_colour(strips: Strips, camera: str) -> QColor:
    """The tape of a camera; its name stands in the words of each take."""
    tape = looks().tape
    return QColor(tape[strips.cameras.index(camera) % len(tape)])


def _paint_name(painter: QPainter, strip: Strip, box: QRectF) -> None:
    metrics = QFontMetricsF(painter.font())
    if metrics.horizontalAdvance(strip.take) + 6 > box.height():
        return
    painter.save()
    painter.setPen(QColor(looks().ink))
    painter.translate(box.right(), box.top() + 3)
    painter.rotate(90)
    painter.drawText(QRectF(0, 0, box.height(), box.width() * 0.6), Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, strip.take)
    painter.restore()
