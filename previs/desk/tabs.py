"""The index tabs down the left side of the window, as of a binder, each with a strip of floor tape; they hold no place themselves."""

from __future__ import annotations

from PyQt6.QtCore import QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PyQt6.QtWidgets import QAbstractButton, QButtonGroup, QVBoxLayout, QWidget

from previs.desk.looks import looks


class Tab(QAbstractButton):
    """One tab: its tape's colour, its title, and the number of the key that goes there."""

    def __init__(self, title: str, number: int) -> None:
        super().__init__()
        self.setText(title)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._number = number
        self.setAccessibleName(title)

    def sizeHint(self) -> QSize:  # noqa: N802
        """As wide as the longest title of a place, as high as a thumb."""
        metrics = self.fontMetrics()
        return QSize(max(metrics.horizontalAdvance(self.text()), metrics.horizontalAdvance("Hand-off")) + 48, metrics.height() * 3)

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """A tab with a cut corner; the chosen one is of one piece with the page, and has its whole strip of tape."""
        one, chosen = looks(), self.isChecked()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width, height = float(self.width()), float(self.height())
        left, corner = (2.0, 10.0) if chosen else (8.0, 10.0)
        outline = QPolygonF(
            [QPointF(width, 3), QPointF(left + corner, 3), QPointF(left, 3 + corner), QPointF(left, height - 3), QPointF(width, height - 3)]
        )
        painter.setBrush(QColor(one.ground if chosen else one.shade))
        painter.setPen(QPen(QColor(one.focus if self.hasFocus() else one.rule), 2.5 if self.hasFocus() else 1))
        painter.drawPolyline(outline) if chosen else painter.drawPolygon(outline)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(one.tape[self._number - 1]))
        painter.drawRect(QRectF(left + 5, 3 + corner + 2, 9 if chosen else 5, height - 10 - corner))
        painter.setPen(QColor(one.ink))
        font = self.font()
        font.setBold(chosen)
        painter.setFont(font)
        painter.drawText(QRectF(left + 19, 0, width - left - 19, height), Qt.AlignmentFlag.AlignVCenter, self.text())
        if self.underMouse() and not chosen:
            painter.setPen(QPen(QColor(one.ink), 1))
            painter.drawLine(QPointF(left + 19, height - 9), QPointF(width - 8, height - 9))


class Tabs(QWidget):
    """All tabs, one above the other; `chosen` has the number of the place, from 0."""

    chosen = pyqtSignal(int)

    def __init__(self) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 8, 0, 8)
        self._column.setSpacing(0)
        self._column.addStretch(1)
        self._group = QButtonGroup(self)
        self._group.idClicked.connect(self.chosen)

    def show_titles(self, titles: list[str]) -> None:
        """Have these tabs and no others."""
        for button in self._group.buttons():
            self._group.removeButton(button)
            button.deleteLater()
        for number, title in enumerate(titles):
            tab = Tab(title, number + 1)
            tab.setToolTip(f"{title}  (Ctrl+{number + 1})")
            self._group.addButton(tab, number)
            self._column.insertWidget(number, tab)

    def choose(self, number: int) -> None:
        """Draw this one as chosen."""
        if button := self._group.button(number):
            button.setChecked(True)
