"""What the signs of the drawing beside the fight table mean, in a line below it."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QPointF, QRectF, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QResizeEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from previs.desk.fight.curve_paint import paint_ring
from previs.desk.fight.sheet import FightSheet
from previs.desk.fight.strip_paint import camera_colour, paint_dot
from previs.desk.looks import looks
from previs.desk.words import tr

_Sign = tuple[Callable[[QPainter, QRectF], None], str]
_SIGN_PX = 26.0


class Legend(QWidget):
    """Signs and words, on as many lines as they need."""

    def __init__(self) -> None:
        super().__init__()
        self._sheet: FightSheet | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_sheet(self, sheet: FightSheet) -> None:
        """Explain what this sheet shows."""
        self._sheet = sheet
        self.setAccessibleName("; ".join(words for _, words in self._signs()))
        self.updateGeometry()
        self.update()

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Another width needs other lines; a layout keeps what it was told for the width before."""
        super().resizeEvent(event)
        if event and event.oldSize().width() != event.size().width():
            self.updateGeometry()

    def sizeHint(self) -> QSize:  # noqa: N802
        """As high as its lines."""
        return QSize(400, self.heightForWidth(self.width()))

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """How high its lines are at a width."""
        return int(self._laid_out(width)[-1][1].bottom() + 3) if self._signs() else 0

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Each sign with its words."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self._font())
        for (sign, words), box in self._laid_out(self.width()):
            sign(painter, QRectF(box.left(), box.top(), _SIGN_PX - 6, box.height()))
            painter.setPen(QColor(looks().soft))
            painter.drawText(box.adjusted(_SIGN_PX, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, words)

    def _font(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 0.88)
        return font

    def _laid_out(self, width: int) -> list[tuple[_Sign, QRectF]]:
        metrics = QFontMetricsF(self._font())
        found, x, y = [], 2.0, 1.0
        for sign in self._signs():
            wide = _SIGN_PX + metrics.horizontalAdvance(sign[1]) + 16
            if x > 2 and x + wide > width:
                x, y = 2.0, y + metrics.height() + 2
            found.append((sign, QRectF(x, y, wide, metrics.height())))
            x += wide
        return found

    def _signs(self) -> list[_Sign]:
        sheet = self._sheet
        if sheet is None or not sheet.rows:
            return []
        signs: list[_Sign] = [(_line(False), tr("upper hand as written"))]
        if sheet.hands.in_cut is not None and sheet.hands.in_cut != sheet.hands.written:
            signs.append((_line(True), tr("as cut {cut} shows it", cut=sheet.cut)))
        if sheet.hands.turns:
            signs.append((_ring, tr("a turn that it does not show so")))
        if not sheet.strips.strips:
            return signs
        for camera in sheet.strips.cameras:
            words = tr("camera {camera}", camera=camera) if camera else tr("no camera noted")
            signs.append((_tape(camera_colour(sheet.strips, camera)), words))
        signs += [
            (_dot(performed=True, bare=False, used=False), tr("performance tempo")),
            (_dot(performed=False, bare=False, used=False), tr("learning tempo")),
            (_dot(performed=True, bare=True, used=False), tr("a double's face shows")),
        ]
        return [*signs, (_dot(performed=True, bare=False, used=True), tr("in cut {cut}", cut=sheet.cut))] if sheet.cut else signs


def _line(cut: bool) -> Callable[[QPainter, QRectF], None]:
    def paint(painter: QPainter, box: QRectF) -> None:
        one = looks()
        painter.setPen(QPen(QColor(one.red), 1.4, Qt.PenStyle.DotLine) if cut else QPen(QColor(one.ink), 2.2))
        painter.drawLine(QPointF(box.left(), box.center().y()), QPointF(box.right(), box.center().y()))

    return paint


def _ring(painter: QPainter, box: QRectF) -> None:
    paint_ring(painter, box.center())


def _tape(colour: QColor) -> Callable[[QPainter, QRectF], None]:
    def paint(painter: QPainter, box: QRectF) -> None:
        tint = QColor(colour)
        tint.setAlpha(110)
        painter.setPen(QPen(colour, 1.4))
        painter.setBrush(tint)
        painter.drawRect(box.adjusted(0, 2, 0, -2))
        painter.setBrush(Qt.BrushStyle.NoBrush)

    return paint


def _dot(*, performed: bool, bare: bool, used: bool) -> Callable[[QPainter, QRectF], None]:
    def paint(painter: QPainter, box: QRectF) -> None:
        paint_dot(painter, box.center(), 9.0, performed=performed, bare=bare, used=used)

    return paint
