"""Drawing the step chart in a rectangle: upper hand, phrases, steps, ruler; it knows no mouse and changes nothing.

Everything upright and level is drawn as rectangles on whole pixels, which is crisp, and many times faster than strokes.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from previs.clock import Span
from previs.desk.chart.bands import Bands
from previs.desk.chart.hatching import hatching
from previs.desk.chart.numbers import Skyline, Tick, labels
from previs.desk.chart.ruler import draw_ruler
from previs.desk.chart.scale import Part, Scale
from previs.desk.chart.sheet import ChartSheet, Step
from previs.desk.chart.signs import draw_chosen, draw_lock, draw_sound, draw_tape
from previs.desk.looks import Looks
from previs.desk.words import tr
from previs.document.model import LEVEL, Sequence

_LEAST_NAMED = 60.0
"""Pixels from which on a step bears its take's name."""
_MOST_NUMBERS = 1.5
"""How many times the width of the chart its numbers may take beside each other before none is put above another."""
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextDontClip)
_MIDDLE = int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip)


@dataclass(frozen=True, slots=True)
class Marked:
    """What is drawn beside the cut itself: the chosen shot, the part under the pointer, and shots that a check speaks of."""

    chosen: int | None = None
    hovered: tuple[int, Part] | None = None
    checks: frozenset[int] = frozenset()


class Chart:
    """One painting of the chart."""

    def __init__(self, painter: QPainter, one: Looks, sequence: Sequence, sheet: ChartSheet, scale: Scale, where: Bands) -> None:
        self._painter, self._one = painter, one
        self._sequence, self._sheet, self._scale, self._where = sequence, sheet, scale, where
        self._seen = Span(max(0, scale.frame(where.names) - 1), max(1, scale.frame(where.steps.right()) + 2))
        self._steps = sheet.steps_in(self._seen)
        # The stretches in which a step keeps its height, without those under the transition into the next.
        self._runs = {
            step.number: [(own, where.tops[size]) for span, size in step.runs if (own := span.meet(step.record))] for step in self._steps
        }
        self._pixels = painter.deviceTransform().m11()
        self._small = QFont(painter.font())
        self._small.setPointSizeF(max(painter.font().pointSizeF() - 1.5, 7.0))
        # Where shots are a few pixels wide, heavy lines would run together.
        shot = sheet.frames / max(len(sheet.steps), 1) * scale.each
        self._heavy = 3.0 if shot > 9 else 2.0 if shot > 5 else 1.0

    def draw(self, marked: Marked) -> None:
        """All of it but the frame that the player shows."""
        painter, where = self._painter, self._where
        self._names()
        painter.save()
        painter.setClipRect(QRectF(where.names, 0, where.steps.width() + 4, where.ruler.bottom()))
        self._hand()
        self._lines()
        self._shades(marked)
        self._hatching()
        self._cuts()
        self._edge()
        self._story()
        self._foot(marked)
        self._ticks()
        self._hovered(marked)
        self._signs(marked)
        draw_ruler(painter, self._one, self._sequence, self._seen, self._scale, where)
        self._target()
        painter.restore()

    # On whole pixels

    def _x(self, frame: float) -> float:
        return round(self._scale.x(frame) * self._pixels) / self._pixels

    def _box(self, span: Span, top: float, bottom: float) -> QRectF:
        left = self._x(span.start)
        return QRectF(left, top, self._x(span.end_exclusive) - left, bottom - top)

    def _fill(self, boxes: list[QRectF], colour: str, share: float = 1.0) -> None:
        if not boxes:
            return
        ground = QColor(colour)
        ground.setAlphaF(share)
        self._painter.setPen(Qt.PenStyle.NoPen)
        self._painter.setBrush(ground)
        self._painter.drawRects(*boxes)

    def _pen(self, colour: str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> None:
        self._painter.setPen(QPen(QColor(colour), width, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    # From back to front

    def _names(self) -> None:
        """The column of names, which stays where it is; where lines are too near each other, those in use are named."""
        where = self._where
        self._pen(self._one.ink)
        self._named({**where.holders}, list(where.holders))
        self._pen(self._one.soft)
        used = {size for step in self._sheet.steps for _, size in step.runs}
        sizes = sorted(where.tops, key=lambda size: size not in used)
        self._named({size.value: where.tops[size] for size in sizes}, [size.value for size in sizes])

    def _named(self, heights: dict[str, float], first: list[str]) -> None:
        drawn: list[float] = []
        for name in first:
            at = heights[name]
            if all(abs(at - other) >= self._where.line * 0.8 for other in drawn):
                drawn.append(at)
                self._painter.drawText(QRectF(0, at - self._where.line / 2, self._where.names - 8, self._where.line), _RIGHT, name)

    def _hand(self) -> None:
        where, one = self._where, self._one
        level = where.holders[LEVEL]
        self._fill([QRectF(where.hand.left(), level, where.hand.width(), 1)], one.faint)
        colours = dict(zip(self._sheet.roles, (one.red, one.blue, one.green, one.ochre), strict=False))
        upright = []
        for before, spell in zip((None, *self._sheet.spells), self._sheet.spells, strict=False):
            at = where.holders.get(spell.holder, level)
            if before:
                was = where.holders.get(before.holder, level)
                upright.append(QRectF(self._x(spell.record.start) - 0.5, min(was, at), 1, abs(was - at)))
            if not spell.record.meet(self._seen):
                continue
            colour = colours.get(spell.holder, one.ink)
            if at != level:
                self._fill([self._box(spell.record, min(at, level), max(at, level))], colour, 0.16)
            self._fill([self._box(spell.record, at - 2, at + 2)], colour)
        self._fill(upright, one.ink)

    def _lines(self) -> None:
        steps, where = self._where.steps, self._where
        self._fill([QRectF(steps.left(), top, steps.width(), 1) for top in where.tops.values()], self._one.faint)
        self._pen(self._one.rule, 1, Qt.PenStyle.DotLine)
        for span, _ in self._sheet.phrases[1:]:
            if self._seen.holds(span.start):
                x = self._x(span.start)
                self._painter.drawLine(QLineF(x, where.hand.top(), x, where.floor))

    def _shades(self, marked: Marked) -> None:
        where = self._where
        boxes: dict[bool, list[QRectF]] = {True: [], False: []}
        for step in self._steps:
            boxes[step.number == marked.chosen] += [self._box(span, top, where.floor) for span, top in self._runs[step.number]]
        self._fill(boxes[False], self._one.shade)
        self._fill(boxes[True], self._one.chosen)
        self._fill([self._box(step.record, where.floor - 8, where.floor) for step in self._steps if step.black], self._one.ink)

    def _hatching(self) -> None:
        where = self._where
        for part in self._sheet.hatched:
            if not part.record.meet(self._seen):
                continue
            colour = self._one.treatment(part.kind)
            box = self._box(part.record, where.tops[part.size] + 3, where.floor)
            self._painter.fillRect(box, hatching(part.kind, colour, self._pixels))
            self._fill(_outline(box, 1.5), colour)

    def _cuts(self) -> None:
        """A cut as an upright line, a dissolve or a wipe as a slanted one: up to what comes in, or down to black."""
        where, straight = self._where, []
        before = where.floor
        for step in self._steps:
            runs = self._runs[step.number]
            after = runs[0][1] if runs else where.floor - (0 if step.black else 12)
            change, x = step.placed.shot.transition, self._x(step.record.start)
            if change:
                self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                self._pen(self._one.ink, 2)
                ends = (before, where.floor) if step.black else (where.floor, after)
                self._painter.drawLine(QLineF(x, ends[0], self._x(step.record.start + change.frames), ends[1]))
                self._painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            else:
                straight.append(QRectF(x, after, 1, where.floor - after))
            before = runs[-1][1] if runs else where.floor
        self._fill([*straight, QRectF(where.steps.left(), where.floor, where.steps.width(), 1)], self._one.ink)

    def _edge(self) -> None:
        """The tops of the steps as one line, broken where a card or black stands."""
        bars: list[QRectF] = []
        heavy, before = self._heavy, None
        for step in self._steps:
            runs = self._runs[step.number]
            for span, top in runs:
                left, right = self._x(span.start), self._x(span.end_exclusive)
                bars.append(QRectF(left, top, right - left, heavy))
                if before is not None and before != top:
                    bars.append(QRectF(left - heavy / 2, min(before, top), heavy, abs(before - top) + heavy))
                before = top
            if not runs:
                before = None
        self._fill(bars, self._one.ink)

    def _story(self) -> None:
        """The phrases by their numbers, where the chart has room for them beside the words of the target."""
        painter, where = self._painter, self._where
        painter.setFont(self._small)
        metrics = QFontMetricsF(self._small)
        target = self._target_words(metrics)[1]
        self._pen(self._one.soft)
        for span, number in self._sheet.phrases:
            left, right = max(self._x(span.start), where.names) + 4, self._x(span.end_exclusive)
            right = min(right, target.left()) if left < target.right() else right
            for words in (tr("phrase {number}", number=number), number):
                if left + metrics.horizontalAdvance(words) < right - 2:
                    painter.drawText(QPointF(left, where.story.top() + metrics.ascent() + 1), words)
                    break

    def _foot(self, marked: Marked) -> None:
        """The number of each shot under it, with a sign where a check speaks of it; and the cards."""
        painter, where = self._painter, self._where
        metrics = QFontMetricsF(self._small)
        least = metrics.horizontalAdvance("1") + 1
        painter.setFont(self._small)
        for step in self._steps:
            box = self._box(step.record, where.floor + 1, where.foot.bottom())
            if step.number == marked.chosen:
                draw_tape(painter, self._one, box)
            spoken_of = step.number in marked.checks
            words = f"{step.number}!" if spoken_of else str(step.number)
            if box.width() > least and box.width() > metrics.horizontalAdvance(words) + 1:
                self._pen(self._one.red if spoken_of else self._one.ink)
                painter.drawText(box, _MIDDLE, words)
            elif spoken_of:
                self._fill([QRectF(box.center().x() - 1.5, box.top() + 5, 3, 3)], self._one.red)
            if step.placed.shot.sound_lead_frames:
                begin = self._x(step.record.start - step.placed.shot.sound_lead_frames)
                draw_sound(painter, self._one, begin, self._x(step.record.start), where.floor)
            if step.card:
                self._card(step, metrics)
            else:
                self._named_step(step, metrics, self._one.chosen if step.number == marked.chosen else self._one.shade)

    def _card(self, step: Step, metrics: QFontMetricsF) -> None:
        assert step.card
        painter, where = self._painter, self._where
        box = self._box(step.record, where.card_top, where.floor - 5)
        box.adjust(min(4.0, box.width() / 8), 0, -min(4.0, box.width() / 8), 0)
        painter.fillRect(box, QColor(self._one.sheet))
        self._pen(self._one.ink, 1.4, Qt.PenStyle.DashLine)
        painter.drawRect(box)
        words = tr("card, moves {moves}: {text}", moves=step.moves, text=step.card.text) if step.moves else step.card.text
        self._pen(self._one.ink)
        painter.save()
        painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
        flags = int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap)
        if box.width() > metrics.horizontalAdvance("m") * 6:
            painter.drawText(box.adjusted(4, 3, -4, -3), flags, words)
        elif box.width() > metrics.height():
            painter.translate(box.center())
            painter.rotate(-90)
            shown = metrics.elidedText(step.card.text, Qt.TextElideMode.ElideRight, box.height() - 8)
            painter.drawText(QRectF(-box.height() / 2, -box.width() / 2, box.height(), box.width()), _MIDDLE, shown)
        painter.restore()

    def _named_step(self, step: Step, metrics: QFontMetricsF, ground: str) -> None:
        """The take, and the speed where it is not full, in a step that is wide enough to be read."""
        source = step.placed.source
        left, right = max(self._x(step.record.start), self._where.names) + 8, self._x(step.record.end_exclusive)
        if source is None or right - left < _LEAST_NAMED:
            return
        words = source.take.name
        if source.speed == 0:
            words = tr("{take}, held", take=source.take.name)
        elif source.speed != 1:
            words = tr("{take}, {speed:.0%}", take=source.take.name, speed=float(source.speed))
        width = metrics.horizontalAdvance(words)
        if right - left < width + 10 or self._where.floor - max(top for _, top in self._runs[step.number]) < metrics.height() + 10:
            return
        base = self._where.floor - 9
        self._fill([QRectF(left - 2, base - metrics.ascent(), width + 4, metrics.height())], ground)
        self._pen(self._one.soft)
        self._painter.drawText(QPointF(left, base), words)

    def _ticks(self) -> None:
        painter, where = self._painter, self._where
        painter.setFont(self._small)
        digit = QFontMetricsF(self._small).horizontalAdvance("0")
        wide = 2.0 if self._heavy > 1 else 1.0
        ticks = self._sheet.ticks_in(self._seen)
        frames = [*(seen.record_frame for seen, _ in ticks), self._sheet.frames]
        self._fill(
            [QRectF(self._x(frame), where.tops[size] - 11, wide, 16) for (_, size), frame in zip(ticks, frames, strict=False)],
            self._one.red,
        )
        self._pen(self._one.red)
        drawn = [
            Tick(
                self._x(frame),
                where.tops[size],
                digit * len(str(seen.move.number)),
                (min(following, seen.placed.on_screen.end_exclusive) - frame) * self._scale.each,
            )
            for (seen, size), (frame, following) in zip(ticks, pairwise(frames), strict=True)
        ]
        skyline = Skyline([(self._x(span.start), self._x(span.end_exclusive), top) for runs in self._runs.values() for span, top in runs])
        crowded = sum(tick.width for tick in drawn) > _MOST_NUMBERS * where.steps.width()
        ascent = QFontMetricsF(self._small).ascent()
        for (seen, _), label in zip(ticks, labels(drawn, ascent, where.story.bottom(), skyline, crowded=crowded), strict=True):
            if label:
                painter.drawText(QPointF(label.left, label.base), str(seen.move.number))

    def _hovered(self, marked: Marked) -> None:
        """The edge that would be taken hold of."""
        if marked.hovered is None or marked.hovered[1] is Part.BODY:
            return
        number, part = marked.hovered
        step = next((step for step in self._steps if step.number == number), None)
        if step is None:
            return
        x = self._x(step.record.start if part is Part.HEAD else step.record.end_exclusive)
        left = x if part is Part.HEAD else x - 5
        top = min((top for _, top in self._runs[step.number]), default=self._where.card_top)
        self._fill([QRectF(left, top, 5, self._where.foot.bottom() - top)], self._one.focus)

    def _signs(self, marked: Marked) -> None:
        where = self._where
        for step in self._steps:
            if step.number != marked.chosen and not step.placed.shot.locked:
                continue
            top = min((top for _, top in self._runs[step.number]), default=where.card_top)
            box = self._box(step.record, top, where.floor)
            if step.number == marked.chosen:
                draw_chosen(self._painter, self._one, box)
            if step.placed.shot.locked:
                draw_lock(self._painter, self._one, QPointF(box.center().x(), where.floor - 12), box.width())

    def _target_words(self, metrics: QFontMetricsF) -> tuple[str, QRectF]:
        """What stands at the target's line, and where: before it, or behind where there is no room before."""
        words = tr("target {length}", length=self._sequence.timebase.duration(self._sheet.target_frames))
        width, x = metrics.horizontalAdvance(words), self._x(self._sheet.target_frames)
        left = x - width - 6 if x - width - 6 > self._where.names else x + 6
        return words, QRectF(left, self._where.story.top(), width, metrics.height())

    def _target(self) -> None:
        painter, where, one = self._painter, self._where, self._one
        x = self._x(self._sheet.target_frames)
        top, bottom = where.hand.top(), where.ruler.top()
        if self._sheet.frames > self._sheet.target_frames:
            over = Span(self._sheet.target_frames, self._sheet.frames)
            self._fill([self._box(over, top, bottom)], one.red, 0.12)
        self._pen(one.red, 2, Qt.PenStyle.DashLine)
        painter.drawLine(QLineF(x, top, x, bottom))
        painter.setFont(self._small)
        words, box = self._target_words(QFontMetricsF(self._small))
        painter.fillRect(box.adjusted(-2, 0, 2, 0), QColor(one.ground))
        painter.drawText(QPointF(box.left(), box.top() + QFontMetricsF(self._small).ascent() + 1), words)


def _outline(box: QRectF, width: float) -> list[QRectF]:
    """The four sides of a box as boxes."""
    across, down = box.width(), box.height()
    return [
        QRectF(box.left(), box.top(), across, width),
        QRectF(box.left(), box.bottom() - width, across, width),
        QRectF(box.left(), box.top(), width, down),
        QRectF(box.right() - width, box.top(), width, down),
    ]
