"""Rows of a list as a Qt table with a still before each, and the hatching of treatments drawn beside their names."""

from __future__ import annotations

from typing import Any

from PyQt6.QtCore import QAbstractTableModel, QModelIndex, QObject, QRect, QSize, Qt
from PyQt6.QtGui import QColor, QPainter, QPen
from PyQt6.QtWidgets import QApplication, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from previs.desk.chart.hatching import hatching
from previs.desk.handoff.rows import ListRow
from previs.desk.looks import figures_font, looks
from previs.desk.plain import tip
from previs.desk.player.stills import Stills
from previs.desk.tapes.small import small_still
from previs.document.model import Kind

STILL_PX = 88
_SWATCH_PX = 12


class ListTable(QAbstractTableModel):
    """A list of shots or of treatments; `figures` are the columns of time code, the still's being 0."""

    def __init__(self, headings: tuple[str, ...], stills: Stills, figures: frozenset[int], parent: QObject) -> None:
        super().__init__(parent)
        self._headings, self._stills, self._figures = ("", *headings), stills, figures
        self._rows: tuple[ListRow, ...] = ()
        stills.arrived.connect(self._arrived)

    @property
    def rows(self) -> tuple[ListRow, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: tuple[ListRow, ...]) -> None:
        """Show these and no others."""
        if rows == self._rows:
            return
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def rowCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """One for each line."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """The still's and those of the cells."""
        return 0 if parent is not None and parent.isValid() else len(self._headings)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:  # noqa: N802
        """The headings of the columns."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._headings[section]
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Still, words and face of a cell."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row, column = self._rows[index.row()], index.column()
        if column == 0:
            still = role == Qt.ItemDataRole.DecorationRole and row.reel
            return small_still(self._stills, row.reel, row.still_frame, STILL_PX) if still else None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            cell = row.cells[column - 1]
            return tip(cell) if role == Qt.ItemDataRole.ToolTipRole else cell
        if role == Qt.ItemDataRole.FontRole and column in self._figures:
            return figures_font()
        if role == Qt.ItemDataRole.UserRole:
            return row.treated
        return None

    def _arrived(self, reel: str, frame: int) -> None:
        for number, row in enumerate(self._rows):
            if (row.reel, row.still_frame) == (reel, frame):
                self.dataChanged.emit(self.index(number, 0), self.index(number, 0))


class Treated(QStyledItemDelegate):
    """Draws treatments' names with their colour and hatching before them; lines after those are plain words."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: N802
        """Room for the words and the swatch."""
        return super().sizeHint(option, index) + QSize(_SWATCH_PX + 8, 0)

    def paint(self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex) -> None:
        """The ground of the cell, then a line for each treatment."""
        if painter is None:
            return
        ground = QStyleOptionViewItem(option)
        self.initStyleOption(ground, index)
        ground.text = ""
        style = ground.widget.style() if ground.widget else QApplication.style()
        if style:
            style.drawControl(QStyle.ControlElement.CE_ItemViewItem, ground, painter, ground.widget)
        lines = str(index.data() or "").split("\n")
        treated = index.data(Qt.ItemDataRole.UserRole) or ()
        painter.save()
        painter.setFont(option.font)
        high = option.fontMetrics.height() + 2
        top = option.rect.center().y() - high * len(lines) // 2
        for number, line in enumerate(lines):
            at = QRect(option.rect.left() + 6, top + number * high, option.rect.width() - 8, high)
            if number < len(treated):
                self._swatch(painter, at, treated[number][0])
            painter.setPen(QColor(looks().ink))
            words = option.fontMetrics.elidedText(line, Qt.TextElideMode.ElideRight, at.width() - _SWATCH_PX - 6)
            painter.drawText(at.adjusted(_SWATCH_PX + 6, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, words)
        painter.restore()

    @staticmethod
    def _swatch(painter: QPainter, at: QRect, kind: Kind) -> None:
        colour = QColor(looks().treatment(kind))
        painter.setPen(QPen(colour, 1))
        painter.setBrush(hatching(kind, colour.name(), painter.deviceTransform().m11()))
        painter.drawRect(QRect(at.left(), at.top() + (at.height() - _SWATCH_PX) // 2, _SWATCH_PX, _SWATCH_PX))
