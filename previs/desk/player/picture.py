"""The picture that a player shows: the frame, one beside it, one laid over it, or a sentence in its place; it orders nothing."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QRect, QRectF, QSize, QSizeF, Qt
from PyQt6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPaintEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from previs.desk.looks import looks
from previs.desk.player.decoding import Pictured

Overlay = Callable[[QPainter, QRect, int], None]
_OVER_SHARE = 0.5
_ALMOST_PX = 6.0


class Picture(QWidget):
    """Paints the last pictures that were handed over; `overlay` may draw on the main one, given its rectangle and its frame."""

    def __init__(self) -> None:
        super().__init__()
        self.overlay: Overlay | None = None
        self.shown: Pictured | None = None
        self.sentence = ""
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
        self.shown, self.sentence = None, sentence
        self.update()

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Paint all of it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.rect(), QColor(looks().ground))
        shown = self.shown
        if shown is None:
            self._say(painter, self.rect(), self.sentence)
            return
        main, beside, over = shown.images
        places = self._places(2 if shown.order.beside else 1)
        place = self._paint(painter, places[0], main, shown.faults[0])
        if over is not None and place is not None:
            painter.setOpacity(_OVER_SHARE)
            painter.drawImage(QRectF(place), over)
            painter.setOpacity(1.0)
        if shown.order.beside:
            self._paint(painter, places[1], beside, shown.faults[1])
        if self.overlay and place is not None:
            self.overlay(painter, place.toAlignedRect(), shown.order.main.frame)

    def box_px(self, *, shared: bool) -> tuple[int, int]:
        """Width and height that the main picture may have, in pixels of the screen; `shared` when one stands beside it."""
        place, ratio = self._places(2 if shared else 1)[0], self.devicePixelRatioF()
        return max(64, round(place.width() * ratio)), max(64, round(place.height() * ratio))

    def _places(self, count: int) -> list[QRect]:
        """Side by side where the widget is wide, one above the other where it is high."""
        if count == 1:
            return [self.rect()]
        if self.width() > 2 * self.height():
            half = self.width() // 2
            return [QRect(0, 0, half - 2, self.height()), QRect(half + 2, 0, self.width() - half - 2, self.height())]
        half = self.height() // 2
        return [QRect(0, 0, self.width(), half - 2), QRect(0, half + 2, self.width(), self.height() - half - 2)]

    def _paint(self, painter: QPainter, place: QRect, image: QImage | None, fault: str) -> QRectF | None:
        if image is None:
            self._say(painter, place, fault)
            return None
        target = where(QRectF(place), image.size(), self.devicePixelRatioF())
        painter.drawImage(target, image)
        return target

    def _say(self, painter: QPainter, place: QRect, sentence: str) -> None:
        one = looks()
        painter.fillRect(place, QColor(one.shade))
        painter.setPen(QColor(one.ink))
        inner = place.adjusted(16, 16, -16, -16)
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), sentence)


def where(place: QRectF, image_px: QSize, ratio: float) -> QRectF:
    """Where in a place an image goes, in its own shape; each of its pixels on one of the screen's where it is about as large."""
    own = QSizeF(image_px) / ratio
    size = own.scaled(place.size(), Qt.AspectRatioMode.KeepAspectRatio)
    if abs(size.width() - own.width()) < _ALMOST_PX and own.width() <= place.width() and own.height() <= place.height():
        size = own
    left, top = (
        (round(whole * ratio) - round(part * ratio)) // 2 / ratio
        for whole, part in ((place.width(), size.width()), (place.height(), size.height()))
    )
    return QRectF(place.x() + left, place.y() + top, size.width(), size.height())


def paint_caption(painter: QPainter, place: QRect, caption: str) -> None:
    """Say something in the corner of a picture that fills `place`."""
    one, metrics = looks(), QFontMetricsF(painter.font())
    words = metrics.elidedText(caption, Qt.TextElideMode.ElideRight, place.width() - 32)
    box = QRectF(place.left() + 8, place.top() + 8, metrics.horizontalAdvance(words) + 16, metrics.height() + 6)
    painter.fillRect(box, QColor(one.sheet))
    painter.setPen(QColor(one.ink))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)
