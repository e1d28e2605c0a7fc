"""Drawing the step chart in a rectangle: upper hand, steps, ruler; it knows no mouse and changes nothing."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPainterPath, QPen

from previs.clock import Span
from previs.desk.chart.scale import Scale
from previs.desk.chart.sheet import ChartSheet, Step
from previs.desk.looks import Looks, figures_font
from previs.desk.words import tr
from previs.document.model import LEVEL, Kind, Sequence, Size

HATCHING = {
    Kind.DIGITAL_DOUBLE: Qt.BrushStyle.DiagCrossPattern,
    Kind.FACE_REPLACEMENT: Qt.BrushStyle.BDiagPattern,
    Kind.RIG_REMOVAL: Qt.BrushStyle.Dense6Pattern,
}
"""Crosses, strokes and dots, as on the printed chart."""
_TICK_SECONDS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600)
_FOOT = 20.0


@dataclass(frozen=True, slots=True)
class Bands:
    """Where the parts of the chart stand, in pixels: the left column of names, and from top to bottom hand, steps, ruler."""

    names: float
    hand: QRectF
    steps: QRectF
    ruler: QRectF

    def top(self, sheet: ChartSheet, size: Size) -> float:
        """The height of a size's line."""
        each = (self.steps.height() - _FOOT - 14) / max(len(sheet.sizes), 1)
        return self.steps.bottom() - _FOOT - each * sheet.level(size)


@dataclass(frozen=True, slots=True)
class Marked:
    """What is drawn over the cut itself: the chosen shot, the frame of the player, and shots that a check speaks of."""

    chosen: int | None
    frame: int
    checks: dict[int, str]
    focused: bool


def bands(width: float, height: float, metrics: QFontMetricsF, sheet: ChartSheet) -> Bands:
    """The parts of a chart of this size."""
    words = [*(size.value for size in sheet.sizes), *sheet.roles]
    names = max([metrics.horizontalAdvance(word) for word in words] or [40.0]) + 16
    line = metrics.height()
    hand, ruler = max(3.2 * line, height * 0.16), line + 8
    return Bands(
        names,
        QRectF(names, 4, width - names, hand),
        QRectF(names, 8 + hand, width - names, height - hand - ruler - 10),
        QRectF(names, height - ruler, width - names, ruler),
    )


class Chart:
    """One painting of the chart."""

    def __init__(self, painter: QPainter, one: Looks, sequence: Sequence, sheet: ChartSheet, scale: Scale, where: Bands) -> None:
        self._painter, self._one = painter, one
        self._sequence, self._sheet, self._scale, self._where = sequence, sheet, scale, where
        self._seen = Span(max(0, scale.frame(where.steps.left()) - 1), max(1, scale.frame(where.steps.right()) + 2))

    def draw(self, marked: Marked) -> None:
        """All of it."""
        painter = self._painter
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._names()
        painter.save()
        painter.setClipRect(QRectF(self._where.names, 0, self._where.steps.width(), self._where.ruler.bottom()))
        self._hand()
        self._lines()
        for step in self._sheet.steps:
            if step.placed.on_screen.meet(self._seen):
                self._step(step, marked)
        self._edge()
        self._hatching()
        self._ticks()
        self._chosen(marked)
        self._ruler()
        self._target()
        self._frame(marked.frame)
        painter.restore()

    def _pen(self, colour: str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> None:
        self._painter.setPen(QPen(QColor(colour), width, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _box(self, span: Span, top: float, bottom: float) -> QRectF:
        return QRectF(QPointF(self._scale.x(span.start), top), QPointF(self._scale.x(span.end_exclusive), bottom))

    def _hand_height(self, holder: str) -> float:
        roles = list(self._sheet.roles)
        lines = [roles[0], LEVEL, roles[1]] if len(roles) == 2 else [*reversed(roles), LEVEL]
        band = self._where.hand
        return band.top() + band.height() * (lines.index(holder) + 0.5) / len(lines) if holder in lines else band.bottom()

    def _names(self) -> None:
        painter, where = self._painter, self._where
        right = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._pen(self._one.ink)
        for name in (*self._sheet.roles, LEVEL):
            painter.drawText(QRectF(0, self._hand_height(name) - 10, where.names - 8, 20), right, name)
        self._pen(self._one.soft)
        for size in self._sheet.sizes:
            painter.drawText(QRectF(0, where.top(self._sheet, size) - 10, where.names - 8, 20), right, size.value)

    def _hand(self) -> None:
        level = self._hand_height(LEVEL)
        self._pen(self._one.faint)
        self._painter.drawLine(QLineF(self._where.hand.left(), level, self._where.hand.right(), level))
        colours = dict(zip(self._sheet.roles, (self._one.red, self._one.blue, self._one.green, self._one.ochre), strict=False))
        for before, spell in zip((None, *self._sheet.spells), self._sheet.spells, strict=False):
            at, colour = self._hand_height(spell.holder), colours.get(spell.holder, self._one.ink)
            left, right = self._scale.x(spell.record.start), self._scale.x(spell.record.end_exclusive)
            ground = QColor(colour)
            ground.setAlphaF(0.16)
            self._painter.fillRect(QRectF(QPointF(left, min(at, level)), QPointF(right, max(at, level))), ground)
            if before:
                self._pen(self._one.ink, 1.2)
                self._painter.drawLine(QLineF(left, self._hand_height(before.holder), left, at))
            self._pen(colour, 4)
            self._painter.drawLine(QLineF(left, at, right, at))

    def _lines(self) -> None:
        steps = self._where.steps
        for size in self._sheet.sizes:
            self._pen(self._one.faint, 1)
            top = self._where.top(self._sheet, size)
            self._painter.drawLine(QLineF(steps.left(), top, steps.right(), top))
        self._pen(self._one.rule, 1, Qt.PenStyle.DotLine)
        for frame, _ in self._sheet.phrases:
            x = self._scale.x(frame)
            self._painter.drawLine(QLineF(x, steps.top(), x, steps.bottom() - _FOOT))
        self._pen(self._one.ink)
        self._painter.drawLine(QLineF(steps.left(), steps.bottom() - _FOOT, steps.right(), steps.bottom() - _FOOT))

    def _step(self, step: Step, marked: Marked) -> None:
        painter, where = self._painter, self._where
        floor = where.steps.bottom() - _FOOT
        chosen = step.number == marked.chosen
        ground = QColor(self._one.chosen if chosen else self._one.shade)
        for span, size in step.runs:
            if own := span.meet(step.record):
                painter.fillRect(self._box(own, where.top(self._sheet, size), floor), ground)
        if step.card:
            self._card(step, floor)
        elif step.black:
            painter.fillRect(self._box(step.record, floor - 8, floor), QColor(self._one.ink))
        self._cut_line(step, floor)
        foot = self._box(step.record, floor, floor + _FOOT)
        if chosen:
            painter.fillRect(foot.adjusted(1, 2, -1, -2), QColor(self._one.chosen))
        self._foot(step, foot, marked)

    def _foot(self, step: Step, foot: QRectF, marked: Marked) -> None:
        painter = self._painter
        words = str(step.number) + ("!" if step.number in marked.checks else "")
        metrics = QFontMetricsF(painter.font())
        if foot.width() > metrics.horizontalAdvance(words) + 2:
            self._pen(self._one.red if step.number in marked.checks else self._one.ink)
            painter.drawText(foot, int(Qt.AlignmentFlag.AlignCenter), words)
        if step.placed.shot.locked:
            # Two crossed strips of tape hold it down.
            middle, half = QPointF(foot.center().x(), foot.top() - 12), min(7.0, foot.width() / 2 - 1)
            self._pen(self._one.ink, 3)
            for up in (-half, half):
                painter.drawLine(QLineF(middle.x() - half, middle.y() - up, middle.x() + half, middle.y() + up))

    def _card(self, step: Step, floor: float) -> None:
        assert step.card
        box = self._box(step.record, self._where.steps.top() + 18, floor - 4).adjusted(3, 0, -3, 0)
        if box.width() < 4:
            return
        self._pen(self._one.ink, 1.2, Qt.PenStyle.DashLine)
        self._painter.fillRect(box, QColor(self._one.sheet))
        self._painter.drawRect(box)
        named = tr("moves {moves}: {text}", moves=step.moves, text=step.card.text) if step.moves else step.card.text
        self._pen(self._one.ink)
        if box.width() > 46:
            self._painter.drawText(box.adjusted(4, 4, -4, -4), int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), named)

    def _cut_line(self, step: Step, floor: float) -> None:
        """A cut as an upright line, a dissolve or a wipe as a slanted one."""
        x = self._scale.x(step.record.start)
        top = self._where.top(self._sheet, step.runs[0][1]) if step.runs else self._where.steps.top() + 18
        change = step.placed.shot.transition
        self._pen(self._one.ink, 1.6 if change else 0.8)
        self._painter.drawLine(QLineF(x, floor, self._scale.x(step.record.start + change.frames) if change else x, top))

    def _edge(self) -> None:
        """The tops of the steps as one line, broken where a card or black stands."""
        path, open_path = QPainterPath(), False
        for step in self._sheet.steps:
            if not step.runs or not step.placed.on_screen.meet(self._seen):
                open_path = False
                continue
            for span, size in step.runs:
                if not (own := span.meet(step.record)):
                    continue
                top = self._where.top(self._sheet, size)
                start = QPointF(self._scale.x(own.start), top)
                path.lineTo(start) if open_path else path.moveTo(start)
                path.lineTo(QPointF(self._scale.x(own.end_exclusive), top))
                open_path = True
        self._pen(self._one.ink, 2.6 if self._scale.each > 0.3 else 1.4)
        self._painter.drawPath(path)

    def _hatching(self) -> None:
        floor = self._where.steps.bottom() - _FOOT
        for part in self._sheet.hatched:
            if part.record.meet(self._seen):
                colour = QColor(self._one.treatment(part.kind))
                box = self._box(part.record, self._where.top(self._sheet, part.size) + 3, floor - 1)
                self._painter.fillRect(box, QBrush(colour, HATCHING[part.kind]))
                self._pen(colour.name(), 1.4)
                self._painter.drawRect(box)

    def _ticks(self) -> None:
        metrics = QFontMetricsF(self._painter.font())
        frames = [seen.record_frame for seen, _ in self._sheet.ticks] + [self._sheet.frames]
        for (seen, size), (frame, following) in zip(self._sheet.ticks, pairwise(frames), strict=True):
            if not self._seen.holds(frame):
                continue
            x, top = self._scale.x(frame), self._where.top(self._sheet, size)
            self._pen(self._one.red, 2)
            self._painter.drawLine(QLineF(x, top - 10, x, top + 4))
            number = str(seen.move.number)
            if (following - frame) * self._scale.each > metrics.horizontalAdvance(number) + 6:
                self._painter.drawText(QPointF(x + 3, top - 3), number)

    def _chosen(self, marked: Marked) -> None:
        step = next((step for step in self._sheet.steps if step.number == marked.chosen), None)
        if step is None:
            return
        floor = self._where.steps.bottom() - _FOOT
        top = min((self._where.top(self._sheet, size) for _, size in step.runs), default=self._where.steps.top() + 18)
        self._pen(self._one.focus if marked.focused else self._one.ink, 2.4)
        self._painter.drawRect(self._box(step.record, top, floor + _FOOT - 1))

    def _ruler(self) -> None:
        rate, ruler, painter = self._sequence.timebase.rate, self._where.ruler, self._painter
        painter.save()
        painter.setFont(figures_font(max(7.0, painter.font().pointSizeF() - 2)))
        wide = QFontMetricsF(painter.font()).horizontalAdvance("00:00:00:00") + 16
        seconds = next((one for one in _TICK_SECONDS if one * rate.nominal * self._scale.each >= wide), _TICK_SECONDS[-1])
        every = seconds * rate.nominal
        timebase = self._sequence.timebase
        for frame in range(self._seen.start // every * every, self._seen.end_exclusive, every):
            x = self._scale.x(frame)
            self._pen(self._one.rule)
            painter.drawLine(QLineF(x, ruler.top(), x, ruler.top() + 6))
            self._pen(self._one.soft)
            label = timebase.label(timebase.wrap(self._sequence.start_frame + frame))
            painter.drawText(QPointF(x + 3, ruler.top() + QFontMetricsF(painter.font()).ascent() + 3), label)
        painter.restore()

    def _target(self) -> None:
        x = self._scale.x(self._sheet.target_frames)
        top, bottom = self._where.hand.top(), self._where.ruler.top()
        if self._sheet.frames > self._sheet.target_frames:
            over = QColor(self._one.red)
            over.setAlphaF(0.12)
            self._painter.fillRect(QRectF(QPointF(x, top), QPointF(self._scale.x(self._sheet.frames), bottom)), over)
        self._pen(self._one.red, 2, Qt.PenStyle.DashLine)
        self._painter.drawLine(QLineF(x, top, x, bottom))
        right = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        self._painter.drawText(QRectF(x - 126, self._where.steps.top(), 120, 20), right, tr("target"))

    def _frame(self, frame: int) -> None:
        x = self._scale.x(frame + 0.5)
        self._pen(self._one.focus, 1.4)
        self._painter.drawLine(QLineF(x, self._where.hand.top(), x, self._where.ruler.top() + 4))
        path = QPainterPath(QPointF(x - 6, self._where.ruler.top() + 12))
        path.lineTo(x + 6, self._where.ruler.top() + 12)
        path.lineTo(x, self._where.ruler.top() + 2)
        self._painter.fillPath(path, QColor(self._one.focus))
