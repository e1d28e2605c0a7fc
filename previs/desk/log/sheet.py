"""The tape sheet: a tape's sound and movement over its time, with its takes, hits, treatments and proposals; it marks nothing."""

from __future__ import annotations

from fractions import Fraction

from PyQt6.QtCore import QLineF, QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QBrush, QColor, QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent, QWheelEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from previs.desk.chart.paint import HATCHING
from previs.desk.chart.scale import EDGE_PIXELS, Scale
from previs.desk.log.tape_data import TapeData, motion_columns, proposals, wave_columns
from previs.desk.looks import figures_font, looks
from previs.desk.words import tr
from previs.document.model import SURE, Take
from previs.exchange.lists import tape_label
from previs.media.signals import Signals

_ZOOM = 1.3
_TICK_SECONDS = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600)


class TapeSheet(QWidget):
    """`frame_wanted` has the frame pointed at; `hit_moved` a take's name, a move and a frame; `edge_moved` a take's name, whether
    its end, and a frame; `take_wanted` the name of a take that was pressed.
    """

    frame_wanted = pyqtSignal(int)
    hit_moved = pyqtSignal(str, int, int)
    edge_moved = pyqtSignal(str, bool, int)
    take_wanted = pyqtSignal(str)

    def __init__(self) -> None:
        super().__init__()
        self.data: TapeData | None = None
        self.signals: Signals | None = None
        self.chosen = ""
        self.frame = 0
        self.begun: int | None = None
        self._scale = Scale(0.0, 1.0, 8.0, 100.0)
        self._is_whole = True
        self._held: tuple[str, int, bool] | None = None
        self._held_at: int | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Sound, movement and marks of the tape"))

    def put(self, data: TapeData | None, signals: Signals | None, chosen: str) -> None:
        """Show a tape, what is known of it, and which take is chosen."""
        if data is None or self.data is None or data.tape.reel != self.data.tape.reel:
            self._is_whole = True
        self.data, self.signals, self.chosen = data, signals, chosen
        self._fit()
        self.update()

    def set_frame(self, frame: int) -> None:
        """Mark the frame that the player shows."""
        if frame != self.frame:
            self.frame = frame
            if self.data and not self._is_whole and self._held is None:
                self._scale = self._scale.showing(frame - 10, frame + 24, self.data.frames)
            self.update()

    def zoom(self, closer: bool, about_x: float | None = None) -> None:
        """Closer or wider, about the marked frame or a pixel."""
        if self.data:
            x = self._scale.x(self.frame) if about_x is None else about_x
            self._scale = self._scale.zoomed(_ZOOM if closer else 1 / _ZOOM, x, self.data.frames)
            self._is_whole = self._scale.each <= self._scale.whole(self.data.frames).each * 1.001
            self.update()

    def whole(self) -> None:
        """The whole tape."""
        self._is_whole = True
        self._fit()
        self.update()

    def reveal(self, take: Take) -> None:
        """All of a take."""
        if self.data:
            start, end = (float(at * self.data.fps) for at in (take.start, take.end_exclusive))
            each = self._scale.width / max(end - start + 24, 24)
            self._scale = Scale(max(0.0, start - 12), min(each, 24.0), self._scale.left, self._scale.width).within(self.data.frames)
            self._is_whole = False
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Wide and low."""
        return QSize(700, 200)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Lower than this nothing can be told."""
        return QSize(300, 130)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Keep the whole whole."""
        super().resizeEvent(event)
        self._fit()

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Turn to shift; with Ctrl to zoom."""
        if event and self.data:
            turned = event.angleDelta().y() or event.angleDelta().x()
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self.zoom(turned > 0, event.position().x())
            else:
                self._scale = self._scale.shifted(-turned, self.data.frames)
                self.update()
            event.accept()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Take hold of a hit or of a take's edge, else go to the frame."""
        if event is None or self.data is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._held = self._under(event.position())
        if self._held is None:
            take = self.data.take_at(self._frame(event.position().x()))
            if take and self._lane().contains(event.position()):
                self.take_wanted.emit(take.name)
            self.frame_wanted.emit(self._frame(event.position().x()))

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Drag what is held, or go along."""
        if event is None or self.data is None:
            return
        if self._held:
            self._held_at = self._frame(event.position().x())
            self.frame_wanted.emit(self._held_at)
            self.update()
        elif event.buttons() & Qt.MouseButton.LeftButton:
            self.frame_wanted.emit(self._frame(event.position().x()))
        else:
            over = self._under(event.position())
            self.setCursor(Qt.CursorShape.SplitHCursor if over else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, _event: QMouseEvent | None) -> None:  # noqa: N802
        """Let go, and have it marked."""
        held, at, self._held, self._held_at = self._held, self._held_at, None, None
        if held and at is not None:
            name, move, is_end = held
            if move:
                self.hit_moved.emit(name, move, at)
            else:
                self.edge_moved.emit(name, is_end, at)
        self.update()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint all of it."""
        painter, one = QPainter(self), looks()
        painter.fillRect(self.rect(), QColor(one.sheet))
        if self.data is None:
            painter.setPen(QColor(one.soft))
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), tr("Choose a tape."))
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.signals:
            self._curves(painter)
        else:
            painter.setPen(QColor(one.soft))
            painter.drawText(self._middle(), int(Qt.AlignmentFlag.AlignCenter), tr("Listening to the tape ..."))
        self._takes(painter)
        self._treatments(painter)
        if self.signals:
            self._proposals(painter)
        self._hits(painter)
        self._ruler(painter)
        self._pointer(painter)

    # Where things stand

    def _lane(self) -> QRectF:
        return QRectF(0, 2, self.width(), QFontMetricsF(self.font()).height() + 6)

    def _ruler_band(self) -> QRectF:
        high = QFontMetricsF(self.font()).height() + 4
        return QRectF(0, self.height() - high, self.width(), high)

    def _middle(self) -> QRectF:
        return QRectF(QPointF(0, self._lane().bottom() + 18), QPointF(self.width(), self._ruler_band().top() - 2))

    def _fit(self) -> None:
        if self.data:
            self._scale = Scale(self._scale.first, self._scale.each, 8.0, max(self.width() - 16.0, 1.0))
            self._scale = self._scale.whole(self.data.frames) if self._is_whole else self._scale.within(self.data.frames)

    def _frame(self, x: float) -> int:
        assert self.data
        return min(max(self._scale.frame(x), 0), max(self.data.frames - 1, 0))

    def _x(self, moment: Fraction) -> float:
        assert self.data
        return self._scale.x(float(moment * self.data.fps))

    def _under(self, at: QPointF) -> tuple[str, int, bool] | None:
        """The hit (take, move, False) or the edge of a take (take, 0, whether its end) under a point."""
        assert self.data
        for take in self.data.takes:
            if self._lane().contains(at):
                for moment, is_end in ((take.start, False), (take.end_exclusive, True)):
                    if abs(self._x(moment) - at.x()) <= EDGE_PIXELS:
                        return take.name, 0, is_end
            elif at.y() < self._middle().top() + 12:
                for hit in take.hits:
                    if abs(self._x(hit.at) - at.x()) <= EDGE_PIXELS:
                        return take.name, hit.move, False
        return None

    # Painting

    def _curves(self, painter: QPainter) -> None:
        assert self.data and self.signals
        one, middle, pixels = looks(), self._middle(), self.width()
        each = 1 / float(self.data.fps) / self._scale.each
        first = (self._scale.first - self._scale.left / self._scale.each) / float(self.data.fps)
        centre, half = middle.center().y(), middle.height() / 2
        movement = motion_columns(self.signals, first, each, pixels)
        tops = [QPointF(x, middle.bottom() - float(value) * middle.height()) for x, value in enumerate(movement)]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(one.shade))
        painter.drawPolygon(QPolygonF([QPointF(0, middle.bottom()), *tops, QPointF(pixels, middle.bottom())]))
        painter.setPen(QPen(QColor(one.soft), 1))
        wave = wave_columns(self.signals, first, each, pixels)
        for x, (low, high) in enumerate(wave):
            if high > low:
                painter.drawLine(QLineF(x, centre - float(high) * half, x, centre - float(low) * half))

    def _takes(self, painter: QPainter) -> None:
        assert self.data
        one, lane = looks(), self._lane()
        for number, take in enumerate(self.data.takes):
            start, end = take.start, take.end_exclusive
            if self._held and self._held[0] == take.name and not self._held[1] and self._held_at is not None:
                moment = self._held_at / self.data.fps
                start, end = (start, moment) if self._held[2] else (moment, end)
            box = QRectF(QPointF(self._x(start), lane.top()), QPointF(self._x(end), lane.bottom()))
            strip = QColor(one.tape[(number + 1) % len(one.tape)])
            painter.fillRect(box, QColor(one.chosen if take.name == self.chosen else one.shade))
            painter.fillRect(QRectF(box.left(), box.bottom() - 4, box.width(), 4), strip)
            painter.setPen(QPen(QColor(one.ink), 2.2 if take.name == self.chosen else 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box)
            if box.width() > 30:
                painter.drawText(box.adjusted(5, 0, -2, -3), int(Qt.AlignmentFlag.AlignVCenter), take.name)
            for framing in take.framings[1:]:
                x = self._x(framing.at)
                painter.fillRect(QRectF(x - 1, lane.top(), 2, lane.height()), QColor(one.ink))
                painter.drawText(QPointF(x + 4, lane.bottom() - 7), framing.size.value)
        if self.begun is not None:
            x = self._scale.x(self.begun)
            painter.fillRect(
                QRectF(QPointF(min(x, self._scale.x(self.frame)), lane.top()), QPointF(max(x, self._scale.x(self.frame)), lane.bottom())),
                QColor(one.chosen),
            )

    def _treatments(self, painter: QPainter) -> None:
        assert self.data
        one, middle = looks(), self._middle()
        for mark in self.data.treatments:
            box = QRectF(QPointF(self._x(mark.start), middle.bottom() - 16), QPointF(self._x(mark.end_exclusive), middle.bottom()))
            colour = QColor(one.treatment(mark.kind))
            painter.fillRect(box, QColor(one.sheet))
            painter.fillRect(box, QBrush(colour, HATCHING[mark.kind]))
            painter.setPen(QPen(colour, 1.4))
            painter.drawRect(box)
            words = tr("{kind}, {role}", kind=mark.kind.value, role=mark.role)
            if box.width() > 20:
                painter.drawText(QPointF(box.left() + 2, box.top() - 3), words)

    def _proposals(self, painter: QPainter) -> None:
        """What is heard and seen: open triangles for hits, bars for slates, dashed boxes for takes."""
        assert self.data and self.signals
        one, middle, lane = looks(), self._middle(), self._lane()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(one.soft), 1.2))
        for hit in self.signals.hits:
            x = self._x(Fraction(hit.at))
            painter.drawPolygon(QPolygonF([QPointF(x - 3, middle.top()), QPointF(x + 3, middle.top()), QPointF(x, middle.top() + 6)]))
        painter.setPen(QPen(QColor(one.blue), 2))
        for slate in self.signals.slates:
            x = self._x(Fraction(slate.at))
            painter.drawLine(QLineF(x, middle.top(), x, middle.bottom()))
        painter.setPen(QPen(QColor(one.soft), 1, Qt.PenStyle.DashLine))
        for take in proposals(self.data.tape, self.signals):
            painter.drawRect(
                QRectF(QPointF(self._x(Fraction(take.begin)), lane.top()), QPointF(self._x(Fraction(take.end)), lane.bottom()))
            )

    def _hits(self, painter: QPainter) -> None:
        assert self.data
        one, middle = looks(), self._middle()
        metrics = QFontMetricsF(painter.font())
        for take in self.data.takes:
            for hit in take.hits:
                x = self._x(hit.at)
                if self._held and self._held[:2] == (take.name, hit.move) and self._held_at is not None:
                    x = self._scale.x(self._held_at)
                sure = hit.confidence >= SURE
                painter.setPen(QPen(QColor(one.red), 2, Qt.PenStyle.SolidLine if sure else Qt.PenStyle.DotLine))
                painter.drawLine(
                    QLineF(x, middle.top() - 14, x, middle.bottom() - (0 if take.name == self.chosen else middle.height() / 2))
                )
                if self._scale.each > 0.9 or take.name == self.chosen:
                    words = str(hit.move) if sure else tr("{move}?", move=hit.move)
                    painter.drawText(QPointF(x + 3, middle.top() - 16 + metrics.ascent() / 2), words)

    def _ruler(self, painter: QPainter) -> None:
        assert self.data
        one, band = looks(), self._ruler_band()
        painter.save()
        painter.setFont(figures_font(max(7.0, painter.font().pointSizeF() - 2)))
        metrics = QFontMetricsF(painter.font())
        fps = float(self.data.fps)
        wide = metrics.horizontalAdvance("00:00:00:00") + 16
        seconds = next((one_ for one_ in _TICK_SECONDS if one_ * fps * self._scale.each >= wide), _TICK_SECONDS[-1])
        first, last = int(self._frame(0) / fps / seconds), int(self._frame(self.width()) / fps / seconds) + 1
        for number in range(first, last + 1):
            x = self._x(Fraction(number * seconds))
            painter.setPen(QPen(QColor(one.rule), 1))
            painter.drawLine(QLineF(x, band.top(), x, band.top() + 5))
            painter.setPen(QColor(one.soft))
            painter.drawText(QPointF(x + 3, band.top() + metrics.ascent()), tape_label(self.data.tape, Fraction(number * seconds)))
        painter.restore()

    def _pointer(self, painter: QPainter) -> None:
        x = self._scale.x(self.frame + 0.5)
        painter.setPen(QPen(QColor(looks().focus), 1.6))
        painter.drawLine(QLineF(x, 0, x, self._ruler_band().top() + 4))
