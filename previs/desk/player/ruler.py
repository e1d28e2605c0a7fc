"""The ruler under the picture: where in the strip the shown frame is, to click and drag along; it plays nothing."""

from __future__ import annotations

from PyQt6.QtCore import QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PyQt6.QtWidgets import QSizePolicy, QWidget

from previs.clock import Span
from previs.desk.looks import looks
from previs.desk.words import tr

_EDGE = 8


class Ruler(QWidget):
    """A strip of tape as long as what is shown, with a pointer; `wanted` has the frame that the person points at."""

    wanted = pyqtSignal(int)

    def __init__(self) -> None:
        super().__init__()
        self._frames, self._frame = 0, 0
        self._loop: Span | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(tr("Where the shown frame is"))
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:  # noqa: N802
        """As high as a finger needs."""
        return QSize(200, 22)

    def put(self, frames: int, frame: int, loop: Span | None) -> None:
        """Show this."""
        if (frames, frame, loop) != (self._frames, self._frame, self._loop):
            self._frames, self._frame, self._loop = frames, frame, loop
            self.update()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint the strip, the loop and the pointer."""
        one, painter = looks(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        height = float(self.height())
        painter.fillRect(QRectF(_EDGE, height - 9, self.width() - 2 * _EDGE, 6), QColor(one.shade))
        painter.setPen(QPen(QColor(one.rule), 1))
        for tenth in range(11):
            x = _EDGE + (self.width() - 2 * _EDGE) * tenth / 10
            painter.drawLine(QPointF(x, height - 9), QPointF(x, height - 3))
        if self._loop:
            left, right = self._x(self._loop.start), self._x(self._loop.end_exclusive)
            painter.fillRect(QRectF(left, height - 9, max(2.0, right - left), 6), QColor(one.ochre))
        x = self._x(self._frame)
        painter.setBrush(QColor(one.red))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawPolygon(QPolygonF([QPointF(x - 6, 2), QPointF(x + 6, 2), QPointF(x, height - 6)]))

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Go there."""
        self.mouseMoveEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Go along."""
        if event and event.buttons() & Qt.MouseButton.LeftButton and self._frames:
            share = (event.position().x() - _EDGE) / max(1, self.width() - 2 * _EDGE)
            self.wanted.emit(min(max(int(share * self._frames), 0), self._frames - 1))

    def _x(self, frame: int) -> float:
        return _EDGE + (self.width() - 2 * _EDGE) * frame / max(1, self._frames - 1)
