"""Drawing the tape sheet: takes as floor tape, framings, treatments, hits, sound and movement, ruler; it knows no mouse."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from previs.clock import Span
from previs.desk.chart.hatching import hatching
from previs.desk.chart.scale import Scale
from previs.desk.log.curves import motion_columns, wave_columns
from previs.desk.log.sheet import Hatched, HitTick, TapeSheetData
from previs.desk.looks import Looks, figures_font
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.exchange.lists import tape_label
from previs.media.signals import Signals

_TICK_SECONDS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800)
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)


@dataclass(frozen=True, slots=True)
class Rows:
    """Where the rows of the sheet stand, in pixels, from top to bottom; `gutter` is the width of their names."""

    gutter: float
    names: QRectF
    strip: QRectF
    framing: QRectF
    treated: QRectF
    hits: QRectF
    sound: QRectF
    motion: QRectF
    ruler: QRectF


@dataclass(frozen=True, slots=True)
class Shown:
    """What is drawn over the tape's own marks."""

    frame: int
    take: str
    move: int | None
    begun: tuple[Hatched, ...]
    begun_take: int | None
    focused: bool
    listening: bool


def row_names() -> tuple[str, ...]:
    """What stands before the rows."""
    return tr("takes"), tr("framing"), tr("treated"), tr("hits"), tr("sound"), tr("movement")


def rows(width: float, height: float, metrics: QFontMetricsF) -> Rows:
    """The rows of a sheet of this size."""
    line = metrics.height()
    gutter = max(metrics.horizontalAdvance(name) for name in row_names()) + 14
    heights = [line + 2, 8.0, line, max(9.0, line * 0.7), line + 2]
    ruler = line + 8
    curves = max(height - sum(heights) - ruler - 6, 20.0)
    heights += [curves * 0.58, curves * 0.42, ruler]
    boxes, top = [], 2.0
    for one in heights:
        boxes.append(QRectF(gutter, top, width - gutter, one))
        top += one
    return Rows(gutter, *boxes)


class SheetPaint:
    """One painting of the sheet."""

    def __init__(self, painter: QPainter, one: Looks, sequence: Sequence, data: TapeSheetData, scale: Scale, where: Rows) -> None:
        self._painter, self._one = painter, one
        self._sequence, self._data, self._scale, self._where = sequence, data, scale, where
        self._seen = Span(max(0, scale.frame(where.names.left()) - 1), max(1, scale.frame(where.names.right()) + 2))

    def draw(self, shown: Shown) -> None:
        """All but the curves."""
        painter = self._painter
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._gutter()
        painter.save()
        painter.setClipRect(QRectF(self._where.gutter, 0, self._where.names.width(), self._where.ruler.bottom()))
        self._takes(shown)
        self._flags()
        for one in (*self._data.hatched, *shown.begun):
            self._hatch(one)
        self._offers()
        self._begun_take(shown)
        self._hits(shown)
        self._ruler()
        self._frame(shown.frame)
        painter.restore()

    def _pen(self, colour: str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> None:
        self._painter.setPen(QPen(QColor(colour), width, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _box(self, span: Span, row: QRectF) -> QRectF:
        return QRectF(QPointF(self._scale.x(span.start), row.top()), QPointF(self._scale.x(span.end_exclusive), row.bottom()))

    def _gutter(self) -> None:
        where = self._where
        both = QRectF(where.names).united(where.strip)
        self._pen(self._one.soft)
        boxes = (both, where.framing, where.treated, where.hits, where.sound, where.motion)
        for name, box in zip(row_names(), boxes, strict=True):
            self._painter.drawText(QRectF(0, box.center().y() - 10, where.gutter - 8, 20), _RIGHT, name)
        self._pen(self._one.faint)
        for row in (where.framing, where.treated, where.hits, where.sound, where.ruler):
            self._painter.drawLine(QLineF(where.gutter, row.top(), row.right(), row.top()))

    def _takes(self, shown: Shown) -> None:
        where, painter = self._where, self._painter
        painter.save()
        metrics = QFontMetricsF(painter.font())
        for take in self._data.takes:
            if not take.span.meet(self._seen):
                continue
            box, chosen = self._box(take.span, where.strip), take.name == shown.take
            if chosen:
                ground = QRectF(box.left(), where.names.top(), box.width(), where.hits.bottom() - where.names.top())
                tint = QColor(self._one.chosen)
                tint.setAlphaF(0.6)
                painter.fillRect(ground, tint)
            painter.fillRect(box, QColor(self._one.tape[take.colour % len(self._one.tape)]))
            self._pen(self._one.ink, 2 if chosen else 1)
            for x in (box.left(), box.right()):
                painter.drawLine(QLineF(x, where.names.top() + 2, x, where.framing.bottom()))
            left = max(box.left(), where.gutter) + 4
            room = QRectF(left, where.names.top(), max(box.right() - left - 2, 0), where.names.height())
            if room.width() > metrics.horizontalAdvance("A") * 2:
                painter.drawText(room, _LEFT, metrics.elidedText(take.label, Qt.TextElideMode.ElideRight, room.width()))
        painter.restore()

    def _flags(self) -> None:
        painter, row = self._painter, self._where.framing
        metrics = QFontMetricsF(painter.font())
        ends = {take.name: take.span.end_exclusive for take in self._data.takes}
        for number, flag in enumerate(self._data.flags):
            after = self._data.flags[number + 1] if number + 1 < len(self._data.flags) else None
            end = after.frame if after and after.take == flag.take else ends[flag.take]
            left, right = self._scale.x(flag.frame), self._scale.x(end)
            if right < self._where.gutter or left > row.right():
                continue
            pennant = QPolygonF([QPointF(left, row.top() + 2), QPointF(left + 8, row.center().y() - 1), QPointF(left, row.bottom() - 4)])
            self._pen(self._one.ink, 1)
            painter.setBrush(QColor(self._one.sheet if flag.first else self._one.ink))
            painter.drawPolygon(pennant)
            at = max(left + 11, self._where.gutter + 3)
            if right - at > metrics.horizontalAdvance("wide") / 2:
                words = metrics.elidedText(flag.size.value, Qt.TextElideMode.ElideRight, right - at - 2)
                painter.drawText(QRectF(at, row.top(), right - at, row.height()), _LEFT, words)

    def _hatch(self, one: Hatched) -> None:
        if one.span.meet(self._seen):
            colour = QColor(self._one.treatment(one.kind))
            box = self._box(one.span, self._where.treated).adjusted(0, 1, 0, -1)
            self._painter.fillRect(box, hatching(one.kind, colour.name(), self._painter.deviceTransform().m11()))
            self._pen(colour.name(), 1.4, Qt.PenStyle.DashLine if one.open else Qt.PenStyle.SolidLine)
            self._painter.drawRect(box)

    def _offers(self) -> None:
        painter = self._painter
        self._pen(self._one.ink, 1.4, Qt.PenStyle.DashLine)
        for span, _ in self._data.offers:
            if span.meet(self._seen):
                painter.drawRect(self._box(span, self._where.strip).adjusted(0, -4, 0, 0))
        row = self._where.hits
        middle = row.center().y()
        self._pen(self._one.soft, 1.2)
        for frame in self._data.offered:
            if self._seen.holds(frame):
                painter.drawEllipse(QPointF(self._scale.x(frame + 0.5), middle), 3.2, 3.2)
        self._pen(self._one.blue, 1.4)
        for frame in self._data.slates:
            if self._seen.holds(frame):
                x = self._scale.x(frame + 0.5)
                painter.drawPolygon(QPolygonF([QPointF(x - 5, middle - 5), QPointF(x + 5, middle - 5), QPointF(x, middle + 5)]))

    def _begun_take(self, shown: Shown) -> None:
        if shown.begun_take is None:
            return
        first, last = sorted((shown.begun_take, shown.frame))
        self._pen(self._one.red, 1.6, Qt.PenStyle.DashLine)
        self._painter.drawRect(self._box(Span(first, last + 1), self._where.strip))

    def _hits(self, shown: Shown) -> None:
        painter, where = self._painter, self._where
        metrics = QFontMetricsF(painter.font())
        for number, hit in enumerate(self._data.hits):
            if not self._seen.holds(hit.frame):
                continue
            x, marked = self._scale.x(hit.frame + 0.5), hit.move == shown.move and hit.take == shown.take
            self._pen(self._one.red, 2.4 if marked else 1.6, Qt.PenStyle.SolidLine if hit.sure else Qt.PenStyle.DashLine)
            painter.drawLine(QLineF(x, where.hits.top() + 2, x, where.motion.bottom()))
            after = self._data.hits[number + 1].frame if number + 1 < len(self._data.hits) else hit.frame + 10**6
            self._number(hit, x, metrics, abs(after - hit.frame) * self._scale.each, marked=marked)

    def _number(self, hit: HitTick, x: float, metrics: QFontMetricsF, room: float, *, marked: bool) -> None:
        words = str(hit.move) if hit.sure else tr("{move}?", move=hit.move)
        width = metrics.horizontalAdvance(words) + 4
        if room < width + 2 and not marked:
            return
        box = QRectF(x + 2, self._where.hits.top() + 1, width, self._where.hits.height() - 2)
        self._painter.fillRect(box, QColor(self._one.chosen if marked else self._one.ground))
        self._painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)

    def _ruler(self) -> None:
        rate, ruler, painter = self._sequence.timebase.rate, self._where.ruler, self._painter
        painter.save()
        painter.setFont(figures_font(max(7.0, painter.font().pointSizeF() - 1)))
        metrics = QFontMetricsF(painter.font())
        wide = metrics.horizontalAdvance("00:00:00:00") + 16
        seconds = next((one for one in _TICK_SECONDS if one * rate.nominal * self._scale.each >= wide), _TICK_SECONDS[-1])
        every = seconds * rate.nominal
        for frame in range(self._seen.start // every * every, min(self._seen.end_exclusive, self._data.frames), every):
            x = self._scale.x(frame)
            self._pen(self._one.rule)
            painter.drawLine(QLineF(x, ruler.top(), x, ruler.top() + 6))
            self._pen(self._one.soft)
            painter.drawText(QPointF(x + 3, ruler.top() + metrics.ascent() + 4), tape_label(self._data.tape, frame / rate.fps))
        painter.restore()

    def _frame(self, frame: int) -> None:
        x, ruler = self._scale.x(frame + 0.5), self._where.ruler
        self._pen(self._one.focus, 1.4)
        self._painter.drawLine(QLineF(x, self._where.names.top(), x, ruler.top() + 4))
        path = QPainterPath(QPointF(x - 6, ruler.top() + 12))
        path.lineTo(x + 6, ruler.top() + 12)
        path.lineTo(x, ruler.top() + 2)
        self._painter.fillPath(path, QColor(self._one.focus))


def draw_curves(painter: QPainter, one: Looks, sequence: Sequence, signals: Signals, scale: Scale, where: Rows) -> None:
    """The waveform, and the movement under it."""
    left = where.sound.left()
    wave = wave_columns(signals, scale, sequence.timebase.rate.fps)
    painter.setPen(QPen(QColor(one.soft), 1))
    if wave is None:
        painter.setPen(QColor(one.soft))
        painter.drawText(where.sound.adjusted(6, 0, 0, 0), _LEFT, tr("This tape has no sound."))
    else:
        middle, half = where.sound.center().y(), where.sound.height() / 2 - 2
        lines = [
            QLineF(left + x + 0.5, middle - high * half, left + x + 0.5, middle - low * half + 1)
            for x, (low, high) in enumerate(zip(*wave, strict=True))
        ]
        if lines:
            painter.drawLines(*lines)
    columns = motion_columns(signals, scale)
    foot, full = where.motion.bottom() - 1, where.motion.height() - 3
    path = QPainterPath(QPointF(left, foot))
    for x, value in enumerate(np.asarray(columns).tolist()):
        path.lineTo(left + x, foot - value * full)
    path.lineTo(left + len(columns), foot)
    ground = QColor(one.blue)
    ground.setAlphaF(0.25)
    painter.fillPath(path, ground)
