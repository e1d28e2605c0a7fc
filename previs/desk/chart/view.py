"""The step chart to work on: choose a shot, drag an edge, roll and slip, by mouse and by keys; the edits themselves are in `cut`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from PyQt6.QtCore import QEvent, QRectF, QSize, Qt, QTimerEvent, pyqtSignal
from PyQt6.QtGui import (
    QAction,
    QColor,
    QFontMetricsF,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PyQt6.QtWidgets import QSizePolicy, QToolTip, QWidget

from previs.desk.chart.bands import LEAST_LINES, Bands, bands
from previs.desk.chart.dragging import SNAP_FRAMES, SNAP_PIXELS, Drag, Grip, Preview, Pull, Stop, edge_frame
from previs.desk.chart.kept import Kept, View
from previs.desk.chart.keys import actions_of
from previs.desk.chart.paint import Marked
from previs.desk.chart.panel import draw_panel
from previs.desk.chart.scale import Part, Scale, under
from previs.desk.chart.sheet import ChartSheet, Step, sheet_of
from previs.desk.chart.signs import draw_frame
from previs.desk.chart.told import of_drag, of_hand, of_made, of_part, of_shot
from previs.desk.looks import looks
from previs.desk.open_file import OpenFile
from previs.desk.plain import tip
from previs.desk.words import tr
from previs.document.model import Cut, Sequence

_ZOOM = 1.25
_SHIFT_MS, _SHIFT_PIXELS, _SHIFT_EDGE = 30, 14.0, 10.0


@dataclass
class _Held:
    """A drag that is under way: on what, from where in frames, where the pointer is, and what it would give now."""

    pull: Pull
    before: Sequence
    from_frame: float
    x: float
    preview: Preview = field(default_factory=lambda: Preview(0, None))
    stop: Stop | None = None


class StepChart(QWidget):
    """The chart of the cut that is being worked on.

    `shot_chosen` has the number of the chosen shot, `hovered` that of the shot under the pointer, 0 for none; `frame_wanted`
    a record frame that was pointed at; `previewed` the sequence that a drag would give, and None when it is over. While an
    edge is dragged, `edge_pointed` has the reel and the frame of the tape's grid that would stand at the edge.
    """

    shot_chosen = pyqtSignal(int)
    frame_wanted = pyqtSignal(int)
    previewed = pyqtSignal(object)
    hovered = pyqtSignal(int)
    edge_pointed = pyqtSignal(str, int)

    def __init__(self, file: OpenFile, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.chosen: int | None = None
        self.frame = 0
        self.snap = True
        self._file = file
        self._scale = Scale(0.0, 1.0, 0.0, 100.0)
        self._is_whole = True
        self._held: _Held | None = None
        self._scrubbing = False
        self._over: tuple[int, Part] | None = None
        self._checks: dict[int, str] = {}
        self._kept = Kept()
        self._shifting = 0
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Step chart"))
        self._actions = actions_of(self, self)
        self.addActions(self._actions)
        file.changed.connect(self._changed)
        file.cut_chosen.connect(self._changed)
        self.show_cut()

    # What others ask of it

    def show_cut(self, *_: object) -> None:
        """Show the cut as it is now."""
        cut = self._file.cut
        if self.chosen is not None and (cut is None or self.chosen > len(cut.shots)):
            self.choose(None)
        self._fit()
        self._describe()
        self.update()

    def choose(self, number: int | None, *, in_view: bool = True) -> None:
        """Choose a shot by its number, or none; with `in_view` the chart shifts to show it, which under a pointer it must not."""
        step = self._step(number)
        number = step.number if step else None
        if number == self.chosen:
            return
        self.chosen = number
        self._describe()
        if step and in_view and not self._is_whole:
            self.reveal(step.record.start, step.record.end_exclusive)
        self.update()
        self.shot_chosen.emit(number or 0)

    def set_frame(self, frame: int) -> None:
        """Mark the frame that the player shows."""
        if frame != self.frame:
            self.frame = frame
            if not self._is_whole and self._held is None:
                self.reveal(frame, frame + 1)
            self.update()

    def marks(self, checks: Mapping[int, str]) -> None:
        """Mark the shots that checks speak of, with their sentences."""
        self._checks = dict(checks)
        self._describe()
        self.update()

    def zoom_in(self) -> None:
        """Closer, about the marked frame where it is in view."""
        self._zoom(_ZOOM, self._about())

    def zoom_out(self) -> None:
        """Wider, about the marked frame where it is in view."""
        self._zoom(1 / _ZOOM, self._about())

    def whole(self) -> None:
        """The whole cut."""
        self._is_whole = True
        self._fit()
        self.update()

    def fill_with_shot(self) -> None:
        """The chosen shot as large as it fits, with a little of its neighbours."""
        step, sheet = self._step(self.chosen), self._sheet
        if step is None or sheet is None:
            self._file.say(tr("Choose a shot first."))
            return
        self._zoom(self._scale.width * 0.8 / max(step.record.length * self._scale.each, 1e-6), self._scale.left)
        middle = (step.record.start + step.record.end_exclusive) / 2
        half = self._scale.width / self._scale.each / 2
        self._scale = self._scale.shifted((middle - half - self._scale.first) * self._scale.each, sheet.end_frame)
        self.update()

    def reveal(self, start: int, end: int) -> None:
        """Shift as little as it takes to show these record frames."""
        if sheet := self._sheet:
            self._scale = self._scale.showing(start, end, sheet.end_frame)
            self.update()

    def shot_under(self, x: float) -> int | None:
        """The number of the shot at a pixel across, None where there is none."""
        sheet = self._sheet
        found = under(sheet, self._scale, x) if sheet and x >= self._scale.left else None
        return found[0] if found else None

    def actions(self) -> list[QAction]:
        """What keys do to it, to be added to a place."""
        return self._actions

    # What its keys call

    def by_keys(self, drag: Drag, frames: int) -> None:
        """Pull the chosen shot by so many frames to the right, or as far as it goes."""
        cut = self._file.cut
        if cut is None or self.chosen is None:
            self._file.say(tr("Choose a shot first."))
            return
        pull = Pull(self._file.sequence, Grip(cut.name, self.chosen, drag))
        self._make(pull.grip, pull.by(frames))

    def neighbour(self, by: int) -> None:
        """Choose the shot so many further on, from the one under the marked frame where none is chosen."""
        sheet = self._sheet
        if sheet is None:
            return
        marked = sheet.step_at(self.frame)
        here = self.chosen or (marked.number - by if marked else 1 - by)
        number = min(max(here + by, 1), len(sheet.steps))
        self.choose(number)
        self.frame_wanted.emit(sheet.steps[number - 1].record.start)

    def toggle_snap(self) -> None:
        """Let edges stop at places that are worth it, or not."""
        self.snap = not self.snap
        stops = tr("Edges stop at hits, at the target and at the frame that is shown.")
        self._file.say(stops if self.snap else tr("Edges go where they are pulled."))

    # Qt's own calls

    def sizeHint(self) -> QSize:  # noqa: N802
        """Wide and not high."""
        return QSize(800, 320)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Lower than this, sizes could not be told apart."""
        return QSize(360, round(QFontMetricsF(self.font()).height() * LEAST_LINES))

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Keep the whole whole, and the rest where it is."""
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger words need more room."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.ApplicationFontChange, QEvent.Type.StyleChange):
            self._fit()
            self.updateGeometry()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint the cut, or what a drag would make of it, and over it the frame that is shown."""
        painter, one = QPainter(self), looks()
        sheet = self._sheet
        if sheet is None:
            painter.fillRect(self.rect(), QColor(one.ground))
            painter.setPen(QColor(one.soft))
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), tr("There is no cut yet."))
            return
        where, scale = self._bands(sheet), self._scale_now
        marked = Marked(self.chosen, None if self._held else self._over, frozenset(self._checks))
        pixels = painter.deviceTransform().m11()
        view = View(self._sequence, sheet, scale, where, marked, one, self.font(), self.size(), pixels)
        painter.drawPixmap(0, 0, self._kept.picture(view))
        x = scale.x(self.frame + 0.5)
        if self._held is None and where.names <= x <= self.width():
            draw_frame(painter, one, x, where.hand.top(), where.ruler.top())
        if self.hasFocus():
            painter.setPen(QPen(QColor(one.focus), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        if self._held:
            self._paint_drag(painter, where)

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Begin to drag an edge, to slip, or to scrub along the ruler or a step; choose what is under the pointer."""
        sheet, cut = self._sheet, self._file.cut
        if event is None or sheet is None or cut is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        at = event.position()
        if at.y() >= self._bands(sheet).ruler.top():
            self._scrubbing = True
            self._scrub(at.x())
            return
        found = self._under(at.x())
        if found is None:
            self.choose(None)
            return
        number, part = found
        drag = self._drag_of(part, event.modifiers())
        if drag is Drag.ROLL and part is Part.TAIL and number < len(sheet.steps):
            number += 1
        self.choose(number, in_view=False)
        if drag is None:
            self._scrubbing = True
            self._scrub(at.x())
        else:
            pull = Pull(self._file.sequence, Grip(cut.name, number, drag), self.frame)
            self._held = _Held(pull, self._file.sequence, self._scale.at(at.x()), at.x())

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Drag on, or show what could be dragged."""
        if event is None or self._sheet is None:
            return
        at = event.position()
        if self._scrubbing:
            self._scrub(at.x())
        elif self._held:
            self._drag_to(at.x())
            self._shift_at_the_edge()
        else:
            self._hover(self._under(at.x()) if at.y() < self._bands(self._sheet).ruler.top() else None)

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Make the edit that the drag came to."""
        if event is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self._scrubbing = False
        if held := self._held:
            self._let_go()
            self._make(held.pull.grip, held.preview)

    def leaveEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Nothing is under the pointer any more."""
        super().leaveEvent(event)
        self._hover(None)

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Turn to shift; with Ctrl to zoom about the pointer."""
        if event is None or self._sheet is None or self._held:
            return
        turned = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._zoom(_ZOOM if turned > 0 else 1 / _ZOOM, event.position().x())
        else:
            self._scale = self._scale.shifted(-turned, self._sheet.end_frame)
            self._hover(None)
        self.update()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Escape lets go of a drag and leaves everything as it was."""
        if event and event.key() == Qt.Key.Key_Escape and self._held:
            self._let_go()
            return
        super().keyPressEvent(event)

    def timerEvent(self, event: QTimerEvent | None) -> None:  # noqa: N802
        """While a drag is held at the border, what lies beyond comes in."""
        held, sheet = self._held, self._sheet
        if event is None or event.timerId() != self._shifting:
            super().timerEvent(event)
        elif held and sheet and (beyond := self._beyond(held.x)):
            self._scale = self._scale.shifted(beyond * _SHIFT_PIXELS, sheet.end_frame)
            self._drag_to(held.x)
            self.update()
        else:
            self._stop_shifting()

    def event(self, event: QEvent | None) -> bool:
        """A tip says what is under the pointer."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            QToolTip.showText(event.globalPos(), tip(self._tip(event.pos().x(), event.pos().y())), self)
            return True
        return super().event(event)

    # How it works

    @property
    def _sequence(self) -> Sequence:
        held = self._held
        return held.preview.sequence if held and held.preview.sequence is not None else self._file.sequence

    @property
    def _cut(self) -> Cut | None:
        cut = self._file.cut
        return self._sequence.cut(cut.name) if cut else None

    @property
    def _sheet(self) -> ChartSheet | None:
        cut = self._cut
        return sheet_of(self._sequence, cut) if cut and cut.shots else None

    @property
    def _scale_now(self) -> Scale:
        """The scale to draw by. Under a head that is dragged the tail stays where it is, so that the edge follows the pointer."""
        held = self._held
        if held and held.pull.grip.drag is Drag.TRIM_HEAD and held.preview.sequence is not None:
            return self._scale.moved(-held.preview.frames)
        return self._scale

    def _step(self, number: int | None) -> Step | None:
        sheet = self._sheet
        return sheet.steps[number - 1] if sheet and number and 1 <= number <= len(sheet.steps) else None

    def _bands(self, sheet: ChartSheet) -> Bands:
        return bands(float(self.width()), float(self.height()), QFontMetricsF(self.font()), sheet)

    def _changed(self, *_: object) -> None:
        """Another value is there: a drag on the one before is over."""
        if self._held:
            self._let_go()
        self.show_cut()

    def _describe(self) -> None:
        step, sheet = self._step(self.chosen), self._sheet
        told = of_shot(self._sequence, sheet, step, self._checks) if step and sheet else tr("No shot is chosen.")
        self.setAccessibleDescription(told)

    def _fit(self) -> None:
        sheet = self._sheet
        if sheet is None:
            return
        where = self._bands(sheet)
        self._scale = Scale(self._scale.first, self._scale.each, where.names, max(where.steps.width(), 1.0))
        self._scale = self._scale.whole(sheet.end_frame) if self._is_whole else self._scale.within(sheet.end_frame)

    def _about(self) -> float:
        x = self._scale.x(self.frame + 0.5)
        return x if self._scale.left <= x <= self._scale.left + self._scale.width else self._scale.left + self._scale.width / 2

    def _zoom(self, factor: float, about_x: float) -> None:
        if (sheet := self._sheet) and self._held is None:
            self._scale = self._scale.zoomed(factor, about_x, sheet.end_frame)
            self._is_whole = self._scale.each <= self._scale.whole(sheet.end_frame).each * 1.001
            self._hover(None)
            self.update()

    def _scrub(self, x: float) -> None:
        cut = self._cut
        if cut:
            self.frame_wanted.emit(min(max(self._scale.frame(x), 0), cut.frames - 1))

    def _under(self, x: float) -> tuple[int, Part] | None:
        sheet = self._sheet
        return under(sheet, self._scale, x) if sheet and x >= self._scale.left else None

    def _hover(self, found: tuple[int, Part] | None) -> None:
        if found == self._over:
            return
        before, self._over = self._over, found
        on_edge = found is not None and found[1] is not Part.BODY
        self.setCursor(Qt.CursorShape.SplitHCursor if on_edge else Qt.CursorShape.ArrowCursor)
        self.update()
        if (before and before[0]) != (found and found[0]):
            self.hovered.emit(found[0] if found else 0)

    @staticmethod
    def _drag_of(part: Part, held: Qt.KeyboardModifier) -> Drag | None:
        if part is Part.BODY:
            # Many desktops move the whole window where Alt is held, so that Alt alone would not do.
            slips = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ControlModifier
            return Drag.SLIP if held & slips else None
        if held & Qt.KeyboardModifier.ShiftModifier:
            return Drag.ROLL
        return Drag.TRIM_HEAD if part is Part.HEAD else Drag.TRIM_TAIL

    def _drag_to(self, x: float) -> None:
        held = self._held
        if held is None:
            return
        held.x = x
        frames = round(self._scale.at(x) - held.from_frame)
        reach = min(int(SNAP_PIXELS / self._scale.each), SNAP_FRAMES)
        held.stop = held.pull.stop_near(frames, reach) if self.snap else None
        before, held.preview = held.preview, held.pull.by(held.stop.frames if held.stop else frames)
        if held.stop and held.preview.frames != held.stop.frames:
            held.stop = None
        self.update()
        if held.preview.frames != before.frames:
            self.previewed.emit(held.preview.sequence)
            if at := edge_frame(self._sequence, held.pull.grip):
                self.edge_pointed.emit(*at)

    def _let_go(self) -> None:
        self._held = None
        self._stop_shifting()
        self._hover(None)
        self.previewed.emit(None)
        self.update()

    def _make(self, grip: Grip, preview: Preview) -> None:
        frames, before, told = preview.frames, self._file.sequence, []
        if preview.sequence is not None and self._file.edit(lambda one: grip.edited(one, frames), grip.what):
            told.append(of_made(before, self._file.sequence, grip))
        if preview.stopped:
            told.append(preview.stopped)
        if told:
            self._file.say(" ".join(told))

    def _beyond(self, x: float) -> int:
        """Whether a pointer is at the left border, -1, at the right one, 1, or between, 0."""
        if self._is_whole:
            return 0
        return -1 if x < self._scale.left + _SHIFT_EDGE else 1 if x > self.width() - _SHIFT_EDGE else 0

    def _shift_at_the_edge(self) -> None:
        if self._held and self._beyond(self._held.x) and not self._shifting:
            self._shifting = self.startTimer(_SHIFT_MS)

    def _stop_shifting(self) -> None:
        if self._shifting:
            self.killTimer(self._shifting)
            self._shifting = 0

    def _tip(self, x: int, y: int) -> str:
        sheet = self._sheet
        if sheet is None or x < self._scale.left:
            return ""
        where, frame = self._bands(sheet), self._scale.frame(x)
        if y < where.story.top():
            return of_hand(self._sequence, sheet, frame)
        step, found = sheet.step_at(frame), self._under(x)
        if step is None or found is None:
            return ""
        return "\n".join(filter(None, (of_shot(self._sequence, sheet, step, self._checks), of_part(step, found[1]))))

    def _paint_drag(self, painter: QPainter, where: Bands) -> None:
        held = self._held
        if held is None:
            return
        large, lines = of_drag(held.before, held.pull.grip, held.preview, held.stop)
        around = QRectF(where.names + 4, 6, self.width() - where.names - 10, self.height() - 12)
        draw_panel(painter, looks(), around, held.x, large, lines)
