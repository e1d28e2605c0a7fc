"""The sheet of paper that the plan lies on: seen nearer, pushed, pointed at; what a click means is decided by others."""

from __future__ import annotations

from math import hypot

from PyQt6.QtCore import QEvent, QPointF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import (
    QColor,
    QFontMetricsF,
    QHelpEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PyQt6.QtWidgets import QSizePolicy, QToolTip, QWidget

from previs.desk.floor.paint_key import Entry, entries, foot_px, paint_key
from previs.desk.floor.paint_plan import paint_plan, paint_room, paint_room_words, paint_words, placing_of
from previs.desk.floor.paint_ways import (
    MARK_PX,
    keep_marks_free,
    paint_numbers,
    paint_pinches,
    paint_ring,
    paint_roles,
    paint_way,
    way_segments,
)
from previs.desk.floor.scene import extent, words
from previs.desk.floor.shown import Shown
from previs.desk.floor.sight import Sight, nearest
from previs.desk.floor.told import told_under
from previs.desk.floor.ways import Way, held
from previs.desk.looks import Looks, looks
from previs.desk.plain import tip
from previs.desk.words import tr
from previs.document.floor import PointMm
from previs.floor.placing import Spot

_ZOOM, _PUSH_PX = 1.25, 60.0
_REACH_PX, _STILL_PX = 11.0, 4.0
_ROUND_MM = 10
"""What is pointed at counts to the centimetre."""


class FloorSheet(QWidget):
    """Shows a floor. `pressed` has the spot of the plan that was clicked; `mark_pressed` the role and the number of a spot of its way.

    `spot_held` has the number of the spot of the drawn way that was taken hold of, and `spot_moved` where it was let go.
    """

    pressed = pyqtSignal(object)
    mark_pressed = pyqtSignal(str, int)
    spot_held = pyqtSignal(int)
    spot_moved = pyqtSignal(int, object)

    def __init__(self) -> None:
        super().__init__()
        self.shown: Shown | None = None
        self.sight = Sight()
        self.chosen: int | None = None
        self._home = "whole"
        self._there: tuple[tuple[str, int, Spot], ...] = ()
        self._moves: frozenset[int] = frozenset()
        self._ringed: Spot | None = None
        self._push: QPointF | None = None
        self._begun = QPointF()
        self._spot: int | None = None
        self._dragged: PointMm | None = None
        self._pointer: Spot | None = None
        self._kept: tuple[object, QPixmap] | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Plan of the floor"))

    # What others ask of it

    def put(self, shown: Shown) -> None:
        """Show this; what was seen before stays in sight, unless the plan or the room is another."""
        before, self.shown = self.shown, shown
        if before is None or (before.floor.lines, before.laid, before.floor.room) != (shown.floor.lines, shown.laid, shown.floor.room):
            self._see_home()
        if self._spot is not None and (before is None or before.drawn_way != shown.drawn_way):
            self._let_go()
        self.update()

    def put_now(self, there: tuple[tuple[str, int, Spot], ...], moves: frozenset[int]) -> None:
        """Show the roles where they are now, and the marks of the moves that the cut shows."""
        if (there, moves) != (self._there, self._moves):
            self._there, self._moves = there, moves
            self.update()

    def choose(self, number: int | None) -> None:
        """Ring a spot of the way that is being drawn."""
        self.chosen = number
        way = self.shown.drawn_way if self.shown else None
        if way and number is not None and number < len(way.spots):
            self.reveal(_float(way.spots[number]))
        self.update()

    def ring(self, spot: Spot | None) -> None:
        """Ring a spot that a list leads to, and bring it in sight."""
        self._ringed = spot
        if spot is not None:
            self.reveal(spot)
        self.update()

    def reveal(self, spot: Spot) -> None:
        """Push the paper so that a spot is seen."""
        if (seen := self.sight.revealing(spot)) is not self.sight:
            self._home, self.sight = "", seen
            self.update()

    def whole(self) -> None:
        """All of the plan, upright."""
        self._home = "whole"
        self._see_home()

    def room(self) -> None:
        """The room as it stands, with what is laid in it."""
        self._home = "room"
        self._see_home()

    @property
    def has_room(self) -> bool:
        """Whether the plan is laid in a room."""
        return self.shown is not None and self.shown.around is not None

    def zoom_in(self) -> None:
        """Nearer, about the middle."""
        self._zoom(_ZOOM, (self.sight.width / 2, self.sight.height / 2))

    def zoom_out(self) -> None:
        """Further away, about the middle."""
        self._zoom(1 / _ZOOM, (self.sight.width / 2, self.sight.height / 2))

    def push(self, across: int, down: int) -> None:
        """Push the paper a little."""
        self._home, self.sight = "", self.sight.shifted(across * _PUSH_PX, down * _PUSH_PX)
        self.update()

    @property
    def middle(self) -> PointMm:
        """The spot of the plan in the middle, to the centimetre."""
        return _rounded(self.sight.middle)

    # Qt's own calls

    def sizeHint(self) -> QSize:  # noqa: N802
        """As large as there is room."""
        return QSize(720, 480)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Smaller than this nothing can be told apart."""
        return QSize(320, 220)

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """What was seen whole stays whole."""
        super().resizeEvent(event)
        self.sight = self.sight.sized(self.width(), self.height())
        self._see_home()

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger words need another foot."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._see_home()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """The paper as it was painted last, where nothing of it changed, and over it what moves."""
        painter, one, shown = QPainter(self), looks(), self.shown
        if shown is None:
            painter.fillRect(self.rect(), QColor(one.sheet))
            return
        painter.drawPixmap(0, 0, self._paper(one, shown))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_moving(painter, one, shown)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(one.focus), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Take hold of the paper, or of a spot of the way that is being drawn."""
        if event is None or event.button() not in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._begun = self._push = event.position()
        way = self.shown.drawn_way if self.shown else None
        left = event.button() == Qt.MouseButton.LeftButton
        self._spot = self._spot_at(way, event.position()) if way and left else None
        if self._spot is not None:
            self.spot_held.emit(self._spot)

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Push the paper, or drag the spot."""
        if event is None:
            return
        at = event.position()
        self._pointer = (at.x(), at.y())
        if self._push is not None and self._far(at) >= _STILL_PX:
            if self._spot is not None:
                self._dragged = _rounded(self.sight.spot(self._pointer))
            else:
                self._home, self.sight = "", self.sight.shifted(at.x() - self._push.x(), at.y() - self._push.y())
                self.setCursor(Qt.CursorShape.ClosedHandCursor)
                self._push = at
        elif self._push is None:
            way = self.shown.drawn_way if self.shown else None
            over = way is not None and self._spot_at(way, at) is not None
            drawing = self.shown is not None and bool(self.shown.drawn_role)
            cursors = Qt.CursorShape
            self.setCursor(cursors.SizeAllCursor if over else cursors.CrossCursor if drawing else cursors.ArrowCursor)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Let go; where the pointer stayed it was a click."""
        if event is None or self._push is None:
            return
        spot, dragged, still = self._spot, self._dragged, self._far(event.position()) < _STILL_PX and self._push == self._begun
        left = event.button() == Qt.MouseButton.LeftButton
        self._let_go()
        if spot is not None and dragged is not None:
            self.spot_moved.emit(spot, dragged)
        elif spot is None and still and left:
            self._click(event.position())

    def leaveEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Nothing is pointed at any more."""
        super().leaveEvent(event)
        self._pointer = None
        self.update()

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """Nearer or further, about the pointer."""
        if event is None:
            return
        if turned := event.angleDelta().y() or event.angleDelta().x():
            self._zoom(_ZOOM if turned > 0 else 1 / _ZOOM, (event.position().x(), event.position().y()))
        event.accept()

    def event(self, event: QEvent | None) -> bool:
        """A tip says what is under the pointer."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self.shown is not None:
            at = (float(event.pos().x()), float(event.pos().y()))
            QToolTip.showText(event.globalPos(), tip(told_under(self.shown, self.sight, at, _REACH_PX)), self)
            return True
        return super().event(event)

    # How it works

    def _click(self, at: QPointF) -> None:
        shown = self.shown
        if shown is None:
            return
        if shown.drawn_role:
            self.pressed.emit(_rounded(self.sight.spot((at.x(), at.y()))))
            return
        for way in reversed(shown.ways):
            if (number := self._spot_at(way, at)) is not None:
                self.mark_pressed.emit(way.role, number)
                return
        self.ring(None)

    def _spot_at(self, way: Way, at: QPointF) -> int | None:
        return nearest([self.sight.pixel(spot) for spot in way.spots], (at.x(), at.y()), _REACH_PX)

    def _far(self, at: QPointF) -> float:
        return hypot(at.x() - self._begun.x(), at.y() - self._begun.y())

    def _let_go(self) -> None:
        self._push, self._spot, self._dragged = None, None, None
        self.setCursor(Qt.CursorShape.ArrowCursor)
        self.update()

    def _zoom(self, factor: float, about: Spot) -> None:
        self._home, self.sight = "", self.sight.zoomed(factor, about)
        self.update()

    def _see_home(self) -> None:
        """See again what is to be seen whole."""
        shown, around = self.shown, self.shown.around if self.shown else None
        if shown is None or not self._home:
            self.update()
            return
        room = around is not None and shown.laid is not None and self._home == "room"
        spots = around.corners if around and (room or not shown.floor.lines) else extent(shown.floor)
        turn = shown.laid.turn_millidegrees if room and shown.laid else 0
        foot = foot_px(self._entries(shown), QFontMetricsF(self.font()), self.width())
        seen = self.sight.sized(self.width(), max(self.height() - foot, 1.0)).whole(spots, turn).sized(self.width(), self.height())
        # The foot lies over the paper: what is seen whole stands above it.
        self.sight = seen.shifted(0, -foot / 2)
        self.update()

    @staticmethod
    def _entries(shown: Shown) -> tuple[Entry, ...]:
        return entries(shown.floor, tuple((way.role, way.role_number, way.guessed) for way in shown.ways))

    def _paper(self, one: Looks, shown: Shown) -> QPixmap:
        """All that stays as it is while the cut plays."""
        key = (shown, self.sight, one.name, self.font().key(), self.size(), self.devicePixelRatioF())
        if self._kept is None or self._kept[0] != key:
            self._kept = key, self._painted(one, shown)
        return self._kept[1]

    def _painted(self, one: Looks, shown: Shown) -> QPixmap:
        ratio = self.devicePixelRatioF()
        paper = QPixmap(round(self.width() * ratio), round(self.height() * ratio))
        paper.setDevicePixelRatio(ratio)
        paper.fill(QColor(one.sheet))
        painter = QPainter(paper)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font())
        floor, sight, around, key = shown.floor, self.sight, shown.around, self._entries(shown)
        foot = foot_px(key, QFontMetricsF(self.font()), self.width())
        if around:
            paint_room(painter, one, sight, around)
        paint_plan(painter, one, sight, floor, shown.laid.part if shown.laid else ())
        placing = placing_of(sight, floor, around, way_segments(sight, shown.ways), foot)
        keep_marks_free(sight, shown.ways, placing)
        for way in shown.ways:
            paint_way(painter, one, sight, way, strong=not shown.drawn_role or way.role == shown.drawn_role)
        for way in shown.ways:
            paint_numbers(painter, one, sight, way, placing)
        paint_pinches(painter, one, sight, shown.pinches, placing)
        paint_words(painter, one, sight, words(floor), placing)
        if around and floor.room:
            paint_room_words(painter, one, sight, floor.room, around, placing)
        paint_key(painter, one, key, (self.width(), self.height()), sight.each)
        painter.end()
        return paper

    def _paint_moving(self, painter: QPainter, one: Looks, shown: Shown) -> None:
        sight = self.sight
        for way in shown.ways:
            for spot, move in zip(way.spots, way.moves, strict=True):
                if move in self._moves:
                    paint_ring(painter, one, sight.pixel(_float(spot)), MARK_PX + 3)
        drawn = shown.drawn_way
        if drawn and self._spot is not None and self._dragged is not None and self._spot < len(drawn.spots):
            paint_way(painter, one, sight, held(drawn, self._spot, self._dragged))
        if drawn and self.chosen is not None and self.chosen < len(drawn.spots):
            paint_ring(painter, one, sight.pixel(_float(self._dragged or drawn.spots[self.chosen])), MARK_PX + 5)
        if not shown.drawn_role:
            # They would lie over the very spots that are to be seen and dragged.
            paint_roles(painter, one, sight, self._there)
        if self._ringed is not None:
            paint_ring(painter, one, sight.pixel(self._ringed), MARK_PX + 13)


def _rounded(spot: Spot) -> PointMm:
    return round(spot[0] / _ROUND_MM) * _ROUND_MM, round(spot[1] / _ROUND_MM) * _ROUND_MM


def _float(point: PointMm) -> Spot:
    return float(point[0]), float(point[1])
