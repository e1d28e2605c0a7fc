"""The tape sheet to work on: look along a tape, click and drag to a frame, drag hits and edges of takes; it makes no edit itself."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PyQt6.QtCore import QEvent, QRect, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QFontMetricsF, QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent, QWheelEvent
from PyQt6.QtWidgets import QSizePolicy, QToolTip, QWidget

from previs.clock import Span
from previs.desk.chart.scale import Scale
from previs.desk.log.paint import Rows, SheetPaint, Shown, draw_curves, rows
from previs.desk.log.sheet import Grip, Gripped, TapeSheetData, edge_under, hit_under, marks_of, take_under
from previs.desk.looks import looks
from previs.desk.open_file import OpenFile
from previs.desk.plain import tip
from previs.desk.words import tr
from previs.exchange.lists import tape_label
from previs.media.signals import Signals

_ZOOM = 1.4
_CLICK_PIXELS = 3


@dataclass
class _Held:
    """Something dragged: what, from which pixel, the frame that it is over, whether it has moved at all."""

    what: Gripped
    from_x: float
    frame: int
    moved: bool = False


class TapeSheet(QWidget):
    """One tape over its own time.

    `frame_wanted` has a frame that was pointed at; `take_chosen` a take that was clicked; `hit_dragged` (take, move,
    frame) and `edge_dragged` (take, whether it is the beginning, frame) what a drag came to.
    """

    frame_wanted = pyqtSignal(int)
    take_chosen = pyqtSignal(str)
    hit_dragged = pyqtSignal(str, int, int)
    edge_dragged = pyqtSignal(str, bool, int)

    def __init__(self, file: OpenFile, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._file = file
        self._data: TapeSheetData | None = None
        self._signals: Signals | None = None
        self._shown = Shown(0, "", None, (), None, focused=False, listening=False)
        self._scale = Scale(0.0, 1.0, 0.0, 100.0)
        self._is_whole = True
        self._held: _Held | None = None
        self._scrubbing = False
        self._curves: tuple[tuple[object, ...], QPixmap] | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Tape sheet"))

    # What the place asks of it

    def put(self, data: TapeSheetData | None, signals: Signals | None) -> None:
        """Show this tape; another tape is shown whole."""
        another = data is None or self._data is None or data.tape.reel != self._data.tape.reel
        self._data, self._signals = data, signals
        if another:
            self._is_whole, self._held = True, None
        self._fit()
        self.update()

    def mark(self, shown: Shown) -> None:
        """Draw this over the tape; a frame beyond the edge is brought into view."""
        if shown == self._shown:
            return
        moved = shown.frame != self._shown.frame
        self._shown = shown
        if moved and not self._is_whole and self._held is None and not self._scrubbing and self._data:
            self._scale = self._scale.showing(shown.frame, shown.frame + 1, self._data.frames)
        self.update()

    def zoom(self, closer: bool) -> None:
        """Closer or wider, about the marked frame."""
        self._zoom(_ZOOM if closer else 1 / _ZOOM, self._scale.x(self._shown.frame))

    def whole(self) -> None:
        """The whole tape."""
        self._is_whole = True
        self._fit()
        self.update()

    def show_span(self, span: Span) -> None:
        """Just these frames and a little around them."""
        if self._data is None or not span.length:
            return
        self._is_whole = False
        each = self._scale.width / (span.length * 1.1)
        around = replace(self._scale, first=span.start - span.length * 0.05, each=each)
        self._scale = around.zoomed(1.0, around.left, self._data.frames)
        self.update()

    def mark_beside(self, by: int) -> int | None:
        """The frame of the mark before (-1) or after (1) the shown frame, or None."""
        frames = marks_of(self._data) if self._data else []
        if by < 0:
            return max((frame for frame in frames if frame < self._shown.frame), default=None)
        return min((frame for frame in frames if frame > self._shown.frame), default=None)

    # Qt's own calls

    def sizeHint(self) -> QSize:  # noqa: N802
        """Wide and not high."""
        return QSize(640, 190)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """All rows, with curves that can be read."""
        return QSize(320, round(QFontMetricsF(self.font()).height() * 5.6) + 70)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Keep the whole whole, and the rest where it is."""
        super().resizeEvent(event)
        self._fit()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint the tape."""
        painter, one, data = QPainter(self), looks(), self._data
        painter.fillRect(self.rect(), QColor(one.ground))
        if data is None:
            painter.setPen(QColor(one.soft))
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), tr("No tape is chosen."))
            return
        where = self._rows()
        self._paint_curves(painter, where)
        shown = replace(self._shown, focused=self.hasFocus())
        SheetPaint(painter, one, self._file.sequence, self._dragged(data), self._scale, where).draw(shown)
        if self.hasFocus():
            painter.setPen(QColor(one.focus))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Take hold of a hit or an edge, choose a take, or go to a frame."""
        data = self._data
        if event is None or data is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        at, frame = event.position(), self._frame_at(event.position().x())
        found = self._under(at.x(), at.y())
        if found is not None:
            self._held = _Held(found, at.x(), frame)
            return
        if at.y() < self._rows().framing.bottom() and (name := take_under(data, frame, self._shown.take)):
            self.take_chosen.emit(name)
        self._scrubbing = True
        self.frame_wanted.emit(frame)

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Drag on, or show what could be dragged."""
        if event is None or self._data is None:
            return
        at = event.position()
        if self._scrubbing:
            self.frame_wanted.emit(self._frame_at(at.x()))
        elif self._held:
            self._held.moved = self._held.moved or abs(at.x() - self._held.from_x) > _CLICK_PIXELS
            self._held.frame = self._frame_at(at.x())
            self.update()
        else:
            self.setCursor(Qt.CursorShape.SplitHCursor if self._under(at.x(), at.y()) else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, _event: QMouseEvent | None) -> None:  # noqa: N802
        """Hand over what the drag came to; a click on a hit goes there."""
        self._scrubbing = False
        held, self._held = self._held, None
        if held is None or self._data is None:
            return
        self.update()
        if not held.moved:
            self.frame_wanted.emit(self._frame_of(held))
        elif held.what.grip is Grip.HIT:
            self.hit_dragged.emit(held.what.take, held.what.move, held.frame)
        else:
            begin = held.what.grip is Grip.BEGIN
            self.edge_dragged.emit(held.what.take, begin, held.frame if begin else held.frame - 1)

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Turn to shift; with Ctrl to zoom about the pointer."""
        if event is None or self._data is None:
            return
        turned = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._zoom(_ZOOM if turned > 0 else 1 / _ZOOM, event.position().x())
        else:
            self._scale = self._scale.shifted(-turned, self._data.frames)
        self.update()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Escape lets go of a drag and leaves everything as it was."""
        if event and event.key() == Qt.Key.Key_Escape and self._held:
            self._held = None
            self.update()
            return
        super().keyPressEvent(event)

    def event(self, event: QEvent | None) -> bool:
        """A tip says what is under the pointer; Escape is the sheet's own while something is held."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            QToolTip.showText(event.globalPos(), tip(self._told(event.pos().x(), event.pos().y())), self)
            return True
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and self._held:
            event.accept()
        return super().event(event)

    # How it works

    def _rows(self) -> Rows:
        return rows(float(self.width()), float(self.height()), QFontMetricsF(self.font()))

    def _fit(self) -> None:
        if self._data is None:
            return
        where = self._rows()
        self._scale = replace(self._scale, left=where.gutter, width=max(where.names.width(), 1.0))
        frames = self._data.frames
        self._scale = self._scale.whole(frames) if self._is_whole else self._scale.within(frames)

    def _zoom(self, factor: float, about_x: float) -> None:
        if self._data:
            self._scale = self._scale.zoomed(factor, about_x, self._data.frames)
            self._is_whole = self._scale.each <= self._scale.whole(self._data.frames).each * 1.001
            self.update()

    def _frame_at(self, x: float) -> int:
        frames = self._data.frames if self._data else 1
        return min(max(self._scale.frame(x), 0), max(frames - 1, 0))

    def _frame_of(self, held: _Held) -> int:
        assert self._data
        if held.what.grip is Grip.HIT:
            found = (hit.frame for hit in self._data.hits if (hit.take, hit.move) == (held.what.take, held.what.move))
        else:
            begin = held.what.grip is Grip.BEGIN
            spans = (take.span for take in self._data.takes if take.name == held.what.take)
            found = (span.start if begin else span.end_exclusive - 1 for span in spans)
        return next(found, held.frame)

    def _under(self, x: float, y: float) -> Gripped | None:
        data, where = self._data, self._rows()
        if data is None or x < where.gutter:
            return None
        if where.hits.top() <= y < where.ruler.top():
            return hit_under(data, self._scale, x)
        return edge_under(data, self._scale, x, self._shown.take) if y < where.framing.bottom() else None

    def _dragged(self, data: TapeSheetData) -> TapeSheetData:
        """The sheet as the drag would leave it."""
        held = self._held
        if held is None or not held.moved:
            return data
        if held.what.grip is Grip.HIT:
            hits = tuple(
                replace(hit, frame=held.frame) if (hit.take, hit.move) == (held.what.take, held.what.move) else hit for hit in data.hits
            )
            return replace(data, hits=hits)
        takes = []
        for take in data.takes:
            if take.name == held.what.take:
                start, end = take.span.start, take.span.end_exclusive
                begin = held.what.grip is Grip.BEGIN
                span = Span(min(held.frame, end - 1), end) if begin else Span(start, max(held.frame, start + 1))
                takes.append(replace(take, span=span))
            else:
                takes.append(take)
        return replace(data, takes=tuple(takes))

    def _paint_curves(self, painter: QPainter, where: Rows) -> None:
        if self._signals is None:
            painter.setPen(QColor(looks().soft))
            told = tr("Listening to and looking at this tape ...") if self._shown.listening else tr("This tape was not listened to yet.")
            painter.drawText(where.sound.adjusted(8, 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter), told)
            return
        key = (
            id(self._signals),
            self._scale,
            self.size().width(),
            self.size().height(),
            looks().name,
            self.devicePixelRatioF(),
            self.font(),
        )
        if self._curves is None or self._curves[0] != key:
            ratio = self.devicePixelRatioF()
            drawn = QPixmap(round(self.width() * ratio), round(self.height() * ratio))
            drawn.setDevicePixelRatio(ratio)
            drawn.fill(QColor(looks().ground))
            inner = QPainter(drawn)
            inner.setFont(self.font())
            draw_curves(inner, looks(), self._file.sequence, self._signals, self._scale, where)
            inner.end()
            self._curves = key, drawn
        painter.drawPixmap(QRect(0, 0, self.width(), self.height()), self._curves[1])

    def _told(self, x: float, y: float) -> str:
        data = self._data
        if data is None or x < self._rows().gutter:
            return ""
        frame = self._frame_at(x)
        lines = [tape_label(data.tape, frame / self._file.sequence.timebase.rate.fps)]
        found = hit_under(data, self._scale, x) if y >= self._rows().hits.top() else None
        if found:
            move = next((one for one in self._file.sequence.moves if one.number == found.move), None)
            lines.append(tr("move {move}: {label}", move=found.move, label=move.label if move else ""))
        elif name := take_under(data, frame, self._shown.take):
            lines.append(tr("take {take}", take=name))
        lines += [tr("{kind} of {role}", kind=one.kind.value, role=one.role) for one in data.hatched if one.span.holds(frame)]
        lines += [why for span, why in data.offers if span.holds(frame)]
        return "\n".join(lines)
