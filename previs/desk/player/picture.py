"""The picture that a player shows: the frame, one beside it, one laid over it, or a sentence in its place; it orders nothing."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QRect, QSize, Qt
from PyQt6.QtGui import QColor, QImage, QPainter, QPaintEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from previs.desk.looks import looks
from previs.desk.player.decoding import Pictured

Overlay = Callable[[QPainter, QRect, int], None]
_OVER_SHARE = 0.5


class Picture(QWidget):
    """Paints the last pictures that were handed over; `overlay` may draw on the main one, given its rectangle and its frame."""

    def __init__(self) -> None:
        super().__init__()
        self.overlay: Overlay | None = None
        self.shown: Pictured | None = None
        self._silent = ""
        self.setMinimumSize(QSize(160, 90))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:  # noqa: N802
        """The shape of most pictures."""
        return QSize(480, 270)

    def put(self, pictured: Pictured) -> None:
        """Show these."""
        self.shown = pictured
        self.update()

    def clear(self, sentence: str = "") -> None:
        """Show no picture, and why."""
        self.shown, self._silent = None, sentence
        self.update()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint all of it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        shown = self.shown
        if shown is None:
            self._say(painter, self.rect(), self._silent)
            return
        main, beside, over = shown.images
        places = self._places(2 if shown.order.beside else 1)
        place = self._paint(painter, places[0], main, shown.faults[0])
        if over is not None and place is not None:
            painter.setOpacity(_OVER_SHARE)
            painter.drawImage(place, over)
            painter.setOpacity(1.0)
        if shown.order.beside:
            self._paint(painter, places[1], beside, shown.faults[1])
        if self.overlay and place is not None:
            self.overlay(painter, place, shown.order.main.frame)

    def _places(self, count: int) -> list[QRect]:
        """Side by side where the widget is wide, one above the other where it is high."""
        if count == 1:
            return [self.rect()]
        if self.width() > 2 * self.height():
            half = self.width() // 2
            return [QRect(0, 0, half - 2, self.height()), QRect(half + 2, 0, self.width() - half - 2, self.height())]
        half = self.height() // 2
        return [QRect(0, 0, self.width(), half - 2), QRect(0, half + 2, self.width(), self.height() - half - 2)]

    def _paint(self, painter: QPainter, place: QRect, image: QImage | None, fault: str) -> QRect | None:
        if image is None:
            self._say(painter, place, fault)
            return None
        size = image.size().scaled(place.size(), Qt.AspectRatioMode.KeepAspectRatio)
        target = QRect(
            place.x() + (place.width() - size.width()) // 2, place.y() + (place.height() - size.height()) // 2, size.width(), size.height()
        )
        painter.drawImage(target, image)
        return target

    def _say(self, painter: QPainter, place: QRect, sentence: str) -> None:
        one = looks()
        painter.fillRect(place, QColor(one.shade))
        painter.setPen(QColor(one.ink))
        inner = place.adjusted(16, 16, -16, -16)
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), sentence)
