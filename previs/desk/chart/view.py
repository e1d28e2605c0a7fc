"""The step chart to work on: choose a shot, drag an edge, roll and slip, by mouse and by keys; the edits themselves are in `cut`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from PyQt6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import (
    QAction,
    QColor,
    QFontMetricsF,
    QHelpEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PyQt6.QtWidgets import QSizePolicy, QToolTip, QWidget

from previs.desk.chart.dragging import SNAP_PIXELS, Drag, Preview, previewed, snapped, what
from previs.desk.chart.paint import Bands, Chart, Marked, bands
from previs.desk.chart.scale import Part, Scale, under
from previs.desk.chart.sheet import ChartSheet, Step, sheet_of
from previs.desk.looks import figures_font, looks
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.exchange.lists import against_target

_ZOOM = 1.25


@dataclass
class _Held:
    """A drag that is under way: where it began, and what it would give now."""

    drag: Drag
    shot: int
    from_x: float
    preview: Preview


class StepChart(QWidget):
    """The chart of the cut that is being worked on.

    `shot_chosen` has the number of the chosen shot, 0 for none; `frame_wanted` a record frame that was pointed at;
    `previewed` the sequence that a drag would give, and None when it is over.
    """

    shot_chosen = pyqtSignal(int)
    frame_wanted = pyqtSignal(int)
    previewed = pyqtSignal(object)

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
        self._checks: dict[int, str] = {}
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Step chart"))
        self._actions = self._make_actions()
        file.changed.connect(self.show_cut)
        file.cut_chosen.connect(self.show_cut)
        self.show_cut()

    # What others ask of it

    def show_cut(self, *_: object) -> None:
        """Show the cut as it is now."""
        cut = self._file.cut
        if self.chosen is not None and (cut is None or self.chosen > len(cut.shots)):
            self.choose(None)
        self._fit()
        self.update()

    def choose(self, number: int | None) -> None:
        """Choose a shot by its number, or none."""
        if number == self.chosen:
            return
        self.chosen = number
        step = self._step(number)
        self.setAccessibleDescription(self._told(step) if step else tr("No shot is chosen."))
        if step:
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
        self.update()

    def zoom_in(self) -> None:
        """Closer, about the marked frame."""
        self._zoom(_ZOOM, self._scale.x(self.frame))

    def zoom_out(self) -> None:
        """Wider, about the marked frame."""
        self._zoom(1 / _ZOOM, self._scale.x(self.frame))

    def whole(self) -> None:
        """The whole cut."""
        self._is_whole = True
        self._fit()
        self.update()

    def reveal(self, start: int, end: int) -> None:
        """Shift as little as it takes to show these record frames."""
        if sheet := self._sheet:
            self._scale = self._scale.showing(start, end, sheet.end_frame)

    def shot_under(self, x: float) -> int | None:
        """The number of the shot at a pixel across, None where there is none."""
        sheet = self._sheet
        found = under(sheet, self._scale, x) if sheet and x >= self._scale.left else None
        return found[0] if found else None

    def actions(self) -> list[QAction]:
        """What keys do to it, to be added to a place."""
        return self._actions

    # Qt's own calls

    def sizeHint(self) -> QSize:  # noqa: N802
        """Wide and not high."""
        return QSize(800, 300)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Lower than this, sizes could not be told apart."""
        return QSize(360, 180)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Keep the whole whole, and the rest where it is."""
        super().resizeEvent(event)
        self._fit()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint the cut, or what a drag would make of it."""
        painter, one = QPainter(self), looks()
        painter.fillRect(self.rect(), QColor(one.ground))
        sequence, sheet = self._sequence, self._sheet
        if sheet is None:
            painter.setPen(QColor(one.soft))
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), tr("There is no cut yet."))
            return
        marked = Marked(self.chosen, self.frame, self._checks, self.hasFocus())
        Chart(painter, one, sequence, sheet, self._scale, self._bands(sheet)).draw(marked)
        if self._held:
            self._paint_drag(painter, sequence)

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Begin to drag an edge, to slip, or to scrub along the ruler; choose what is under the pointer."""
        sheet = self._sheet
        if event is None or sheet is None or event.button() != Qt.MouseButton.LeftButton:
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        at = event.position()
        if at.y() >= self._bands(sheet).ruler.top():
            self._scrubbing = True
            self._scrub(at.x())
            return
        found = under(sheet, self._scale, at.x()) if at.x() >= self._scale.left else None
        if found is None:
            self.choose(None)
            return
        number, part = found
        drag = self._drag_of(part, event.modifiers())
        if drag is Drag.ROLL and part is Part.TAIL:
            number += 1
        self.choose(number if number <= len(sheet.steps) else None)
        if part is Part.BODY:
            self.frame_wanted.emit(self._scale.frame(at.x()))
        if drag and self.chosen:
            self._held = _Held(drag, number, at.x(), Preview(0, None))

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Drag on, or show what could be dragged."""
        sheet = self._sheet
        if event is None or sheet is None:
            return
        at = event.position()
        if self._scrubbing:
            self._scrub(at.x())
        elif self._held:
            self._drag_to(at.x())
        else:
            found = under(sheet, self._scale, at.x()) if at.x() >= self._scale.left else None
            edge = found and found[1] is not Part.BODY
            self.setCursor(Qt.CursorShape.SplitHCursor if edge else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, _event: QMouseEvent | None) -> None:  # noqa: N802
        """Make the edit that the drag came to."""
        self._scrubbing = False
        held, self._held = self._held, None
        if held is None:
            return
        self.previewed.emit(None)
        preview = held.preview
        cut = self._file.cut
        if preview.sequence is not None and cut:
            made = preview.sequence
            self._file.edit(lambda _: made, what(held.drag, held.shot, cut.name))
        if preview.stopped:
            self._file.say(preview.stopped)
        self.update()

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Turn to shift; with Ctrl to zoom about the pointer."""
        if event is None or self._sheet is None:
            return
        turned = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._zoom(_ZOOM if turned > 0 else 1 / _ZOOM, event.position().x())
        else:
            self._scale = self._scale.shifted(-turned, self._sheet.end_frame)
        self.update()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Escape lets go of a drag and leaves everything as it was."""
        if event and event.key() == Qt.Key.Key_Escape and self._held:
            self._held = None
            self.previewed.emit(None)
            self.update()
            return
        super().keyPressEvent(event)

    def event(self, event: QEvent | None) -> bool:
        """A tip says what is under the pointer."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and (sheet := self._sheet):
            step = sheet.step_at(self._scale.frame(event.pos().x()))
            QToolTip.showText(event.globalPos(), self._told(step) if step and event.pos().x() > self._scale.left else "", self)
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

    def _step(self, number: int | None) -> Step | None:
        sheet = self._sheet
        return sheet.steps[number - 1] if sheet and number and number <= len(sheet.steps) else None

    def _bands(self, sheet: ChartSheet) -> Bands:
        return bands(float(self.width()), float(self.height()), QFontMetricsF(self.font()), sheet)

    def _fit(self) -> None:
        sheet = self._sheet
        if sheet is None:
            return
        where = self._bands(sheet)
        self._scale = Scale(self._scale.first, self._scale.each, where.names, max(where.steps.width(), 1.0))
        self._scale = self._scale.whole(sheet.end_frame) if self._is_whole else self._scale.within(sheet.end_frame)

    def _zoom(self, factor: float, about_x: float) -> None:
        if sheet := self._sheet:
            self._scale = self._scale.zoomed(factor, about_x, sheet.end_frame)
            self._is_whole = self._scale.each <= self._scale.whole(sheet.end_frame).each * 1.001
            self.update()

    def _scrub(self, x: float) -> None:
        cut = self._cut
        if cut:
            self.frame_wanted.emit(min(max(self._scale.frame(x), 0), cut.frames - 1))

    @staticmethod
    def _drag_of(part: Part, held: Qt.KeyboardModifier) -> Drag | None:
        if part is Part.BODY:
            return Drag.SLIP if held & Qt.KeyboardModifier.AltModifier else None
        if held & Qt.KeyboardModifier.ShiftModifier:
            return Drag.ROLL
        return Drag.TRIM_HEAD if part is Part.HEAD else Drag.TRIM_TAIL

    def _drag_to(self, x: float) -> None:
        held, cut = self._held, self._file.cut
        if held is None or cut is None:
            return
        frames = round((x - held.from_x) / self._scale.each)
        if self.snap:
            frames = snapped(self._file.sequence, cut, held.shot, held.drag, frames, int(SNAP_PIXELS / self._scale.each))
        if frames != held.preview.frames or held.preview.stopped:
            held.preview = previewed(self._file.sequence, cut.name, held.shot, held.drag, frames)
            self.previewed.emit(held.preview.sequence)
            self.update()

    def _by_keys(self, drag: Drag, frames: int) -> None:
        cut = self._file.cut
        if cut is None or self.chosen is None:
            self._file.say(tr("Choose a shot first."))
            return
        preview = previewed(self._file.sequence, cut.name, self.chosen, drag, frames)
        made = preview.sequence
        if made is not None:
            self._file.edit(lambda _: made, what(drag, self.chosen, cut.name))
        if preview.stopped:
            self._file.say(preview.stopped)

    def _neighbour(self, by: int) -> None:
        sheet = self._sheet
        if sheet is None:
            return
        here = self.chosen or next((step.number for step in sheet.steps if step.record.holds(self.frame)), 1) - by
        number = min(max(here + by, 1), len(sheet.steps))
        self.choose(number)
        self.frame_wanted.emit(sheet.steps[number - 1].record.start)

    def _toggle_snap(self) -> None:
        self.snap = not self.snap
        self._file.say(tr("Edges stop at hits and at the target.") if self.snap else tr("Edges go where they are pulled."))

    def _told(self, step: Step) -> str:
        shot, fps = step.placed.shot, self._file.sequence.timebase.rate.fps
        lines = [
            tr("Shot {number}: {frames} frames, {seconds:.2f} s", number=step.number, frames=shot.frames, seconds=float(shot.frames / fps))
        ]
        if step.placed.source:
            sizes = ", ".join(dict.fromkeys(size.value for _, size in step.runs))
            lines.append(tr("take {take}, {sizes}", take=step.placed.source.take.name, sizes=sizes))
        if step.moves:
            lines.append(tr("moves {moves}", moves=step.moves))
        if shot.locked:
            lines.append(tr("locked"))
        if step.number in self._checks:
            lines.append(self._checks[step.number])
        return "\n".join(lines)

    def _paint_drag(self, painter: QPainter, sequence: Sequence) -> None:
        held, cut = self._held, self._cut
        if held is None or cut is None:
            return
        before = self._file.sequence.cut(cut.name).shots[held.shot - 1].frames
        shot = cut.shots[held.shot - 1]
        fps = sequence.timebase.rate.fps
        change = held.preview.frames if held.drag in (Drag.SLIP, Drag.ROLL) else shot.frames - before
        lines = [
            tr("{change:+d} frames", change=change),
            tr("shot {number}: {frames} frames, {seconds:.2f} s", number=held.shot, frames=shot.frames, seconds=float(shot.frames / fps)),
            tr("{total}, {against}", total=sequence.timebase.duration(cut.frames), against=against_target(sequence, cut)),
        ]
        if held.preview.stopped:
            lines.append(tr("no further"))
        painter.setFont(figures_font(painter.font().pointSizeF() + 2))
        metrics, one = QFontMetricsF(painter.font()), looks()
        width, height = max(metrics.horizontalAdvance(line) for line in lines) + 20, metrics.height() * len(lines) + 12
        left = min(max(held.from_x - width / 2, 4.0), self.width() - width - 4)
        box = QRectF(left, 8, width, height)
        painter.fillRect(box, QColor(one.sheet))
        painter.setPen(QColor(one.ink))
        painter.drawRect(box)
        for number, line in enumerate(lines):
            painter.drawText(QPointF(left + 10, 8 + 6 + metrics.height() * number + metrics.ascent()), line)

    def _make_actions(self) -> list[QAction]:
        trims = [
            (tr("Tail of the shot: {frames:+d} frames", frames=by), keys, partial(self._by_keys, Drag.TRIM_TAIL, by))
            for by, keys in ((1, "Alt+Right"), (-1, "Alt+Left"), (10, "Alt+Shift+Right"), (-10, "Alt+Shift+Left"))
        ]
        trims += [
            (tr("Head of the shot: {frames:+d} frames", frames=by), keys, partial(self._by_keys, Drag.TRIM_HEAD, -by))
            for by, keys in ((1, "Ctrl+Left"), (-1, "Ctrl+Right"), (10, "Ctrl+Shift+Left"), (-10, "Ctrl+Shift+Right"))
        ]
        trims += [
            (tr("Cut point into the shot: {frames:+d} frames", frames=by), keys, partial(self._by_keys, Drag.ROLL, by))
            for by, keys in ((1, "Ctrl+Alt+Right"), (-1, "Ctrl+Alt+Left"))
        ]
        trims += [
            (tr("Picture in the shot: {frames:+d} frames", frames=by), keys, partial(self._by_keys, Drag.SLIP, -by))
            for by, keys in ((1, "Alt+Up"), (-1, "Alt+Down"))
        ]
        table: list[tuple[str, str, Callable[[], None]]] = [
            (tr("The shot before"), "Up", partial(self._neighbour, -1)),
            (tr("The next shot"), "Down", partial(self._neighbour, 1)),
            *trims,
            (tr("Edges stop at hits and at the target, or not"), "S", self._toggle_snap),
            (tr("Closer"), "+", self.zoom_in),
            (tr("Wider"), "-", self.zoom_out),
            (tr("The whole cut"), "0", self.whole),
        ]
        made = []
        for text, keys, do in table:
            action = QAction(text, self)
            action.setShortcut(QKeySequence(keys))
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            action.triggered.connect(lambda _checked=False, do=do: do())
            made.append(action)
        return made
