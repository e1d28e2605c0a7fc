"""The foot of the plan, painted: which line is what, which sign is which role, and a length to judge by."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from previs.desk.floor.inks import hollow_pen, pen_of, role_ink
from previs.desk.looks import Looks
from previs.desk.words import tr
from previs.document.floor import Floor, LineKind

_SAMPLE_PX, _GAP_PX, _EDGE_PX = 26.0, 14.0, 8.0
_LENGTHS_MM = (100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 100_000, 1_000_000)
_LEAST_SCALE_PX = 60.0


@dataclass(frozen=True, slots=True)
class Entry:
    """One sign with its word: of a kind of line, or of the role of that number."""

    word: str
    kind: LineKind | None = None
    role: int = 0


def entries(floor: Floor, roles: tuple[tuple[str, int, bool], ...]) -> tuple[Entry, ...]:
    """What the key explains: the kinds of line that the plan has, and the roles that are shown, as name, number, guessed."""
    kinds = {line.kind for line in floor.lines}
    words = {
        LineKind.WALL: tr("wall"), LineKind.DOOR: tr("door"), LineKind.STEP: tr("step"), LineKind.DROP: tr("drop"),
        LineKind.COLUMN: tr("column"), LineKind.OTHER: tr("other"),
    }  # fmt: skip
    ways = tuple(Entry(tr("{role}, guessed", role=name) if guessed else name, None, number) for name, number, guessed in roles)
    return (*(Entry(words[kind], kind) for kind in LineKind if kind in kinds), *ways)


def foot_px(shown: tuple[Entry, ...], metrics: QFontMetricsF, width: float) -> float:
    """How high the foot is in a window of this width."""
    return len(_lines(shown, metrics, width)) * _line_px(metrics) + 6


def paint_key(painter: QPainter, one: Looks, shown: tuple[Entry, ...], size: tuple[float, float], each: float) -> None:
    """Paint the foot of a window of this size; `each` is how many pixels a millimetre has."""
    metrics = QFontMetricsF(painter.font())
    lines, high = _lines(shown, metrics, size[0]), _line_px(metrics)
    top = size[1] - len(lines) * high - 6
    painter.fillRect(QRectF(0, top, size[0], size[1] - top), QColor(one.sheet))
    painter.setPen(QPen(QColor(one.faint), 1))
    painter.drawLine(QPointF(0, top), QPointF(size[0], top))
    for number, line in enumerate(lines):
        x, y = _EDGE_PX, top + 3 + number * high
        for entry in line:
            _paint_sign(painter, one, entry, QPointF(x, y + high / 2))
            painter.setPen(QColor(one.ink))
            painter.drawText(QPointF(x + _SAMPLE_PX + 5, y + high / 2 + metrics.ascent() / 2 - 1), entry.word)
            x += _wide(entry, metrics)
    _paint_scale(painter, one, metrics, (size[0], top + 3 + high / 2), each)


def scale_bar(each: float) -> tuple[int, float]:
    """A round length in millimetres that is long enough to judge by, and its pixels."""
    length = next((length for length in _LENGTHS_MM if length * each >= _LEAST_SCALE_PX), _LENGTHS_MM[-1])
    return length, length * each


def _paint_sign(painter: QPainter, one: Looks, entry: Entry, at: QPointF) -> None:
    line = QLineF(at, QPointF(at.x() + _SAMPLE_PX, at.y()))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if entry.kind is not None:
        painter.setPen(pen_of(one, entry.kind))
        painter.drawLine(line)
        if entry.kind is LineKind.WALL:
            painter.setPen(hollow_pen(one))
            painter.drawLine(line)
        if entry.kind is LineKind.DROP:
            painter.setPen(QPen(pen_of(one, entry.kind).color(), 1.2))
            for x in (5.0, 13.0, 21.0):
                painter.drawLine(QLineF(at.x() + x - 4, at.y() + 5, at.x() + x + 4, at.y() - 5))
        return
    ink = role_ink(one, entry.role)
    painter.setPen(ink.pen(2.4))
    painter.drawLine(line)
    painter.setPen(QPen(QColor(one.ink), 1.2))
    painter.setBrush(ink.colour)
    painter.drawPath(ink.outline(line.center(), 7.5))
    font = QFont(painter.font())
    font.setBold(True)
    font.setPixelSize(10)
    before = painter.font()
    painter.setFont(font)
    painter.setPen(ink.letters)
    painter.drawText(QRectF(line.center().x() - 8, line.center().y() - 8, 16, 16), int(Qt.AlignmentFlag.AlignCenter), entry.word[:1])
    painter.setFont(before)


def _paint_scale(painter: QPainter, one: Looks, metrics: QFontMetricsF, at: tuple[float, float], each: float) -> None:
    length, wide = scale_bar(each)
    said = tr("{length} m", length=f"{length / 1000:g}")
    right, y = at[0] - _EDGE_PX, at[1] + metrics.ascent() / 2
    painter.setPen(QPen(QColor(one.ink), 1.5))
    painter.drawLine(QLineF(right - wide, y, right, y))
    for x in (right - wide, right):
        painter.drawLine(QLineF(x, y - 5, x, y))
    painter.drawText(QPointF(right - wide / 2 - metrics.horizontalAdvance(said) / 2, y - 4), said)


def _lines(shown: tuple[Entry, ...], metrics: QFontMetricsF, width: float) -> list[list[Entry]]:
    """The entries in lines; the length to judge by has its place at the right of the first."""
    lines: list[list[Entry]] = [[]]
    # As wide as the bar may be: a little less than the step from one round length to the next.
    x, most = _EDGE_PX, width - 2.5 * _LEAST_SCALE_PX - 2 * _EDGE_PX
    for entry in shown:
        if lines[-1] and x + _wide(entry, metrics) > most:
            lines.append([])
            x, most = _EDGE_PX, width - _EDGE_PX
        lines[-1].append(entry)
        x += _wide(entry, metrics)
    return lines


def _wide(entry: Entry, metrics: QFontMetricsF) -> float:
    return _SAMPLE_PX + 5 + metrics.horizontalAdvance(entry.word) + _GAP_PX


def _line_px(metrics: QFontMetricsF) -> float:
    return metrics.height() + 4
