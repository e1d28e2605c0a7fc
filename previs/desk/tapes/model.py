"""The rows of tapes as a Qt table with stills; it edits nothing itself, but says what a person wrote."""

from __future__ import annotations

from typing import Any

from PyQt6.QtCore import QAbstractTableModel, QModelIndex, QObject, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QBrush, QColor, QFont

from previs.desk.looks import figures_font, looks
from previs.desk.plain import tip
from previs.desk.player.stills import Stills
from previs.desk.tapes.rows import EDITED, FIGURES, Column, TapeRow, headings
from previs.desk.tapes.small import small_still
from previs.desk.words import tr

STILL_PX = 96


class TapeTable(QAbstractTableModel):
    """`written` has the reel, the column and the text that a person wrote."""

    written = pyqtSignal(str, object, str)

    def __init__(self, stills: Stills, parent: QObject) -> None:
        super().__init__(parent)
        self._stills = stills
        self._rows: tuple[TapeRow, ...] = ()
        self._headings = headings()
        stills.arrived.connect(self._arrived)

    @property
    def rows(self) -> tuple[TapeRow, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: tuple[TapeRow, ...]) -> None:
        """Show these; where the tapes are the same, what is chosen stays chosen."""
        if [row.reel for row in rows] == [row.reel for row in self._rows]:
            self._rows = rows
            if rows:
                self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(Column) - 1))
            return
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def rowCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """One for each tape."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """The same for all."""
        return 0 if parent is not None and parent.isValid() else len(Column)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:  # noqa: N802
        """The headings of the columns."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._headings[Column(section)]
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        """Reel, camera and time code may be corrected."""
        found = super().flags(index)
        return found | Qt.ItemFlag.ItemIsEditable if Column(index.column()) in EDITED else found

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Words, still, face, colour and reading of a cell."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row, column = self._rows[index.row()], Column(index.column())
        if column is Column.STILL:
            return self._still(row, role)
        if role == Qt.ItemDataRole.DisplayRole:
            return row.words[column]
        if role == Qt.ItemDataRole.EditRole:
            return row.written(column)
        if role == Qt.ItemDataRole.FontRole:
            return _face(column)
        if role == Qt.ItemDataRole.ForegroundRole and row.away and column is Column.FILE:
            return QBrush(QColor(looks().red))
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip(row.path) if column is Column.FILE else _hint(column)
        return None

    def setData(self, index: QModelIndex, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:  # noqa: N802
        """Tell what was written; whether it can be is decided by the edit."""
        row, column = self._rows[index.row()], Column(index.column())
        if role != Qt.ItemDataRole.EditRole or str(value).strip() == row.written(column):
            return False
        self.written.emit(row.reel, column, str(value))
        return True

    def _still(self, row: TapeRow, role: int) -> Any:
        if role == Qt.ItemDataRole.DecorationRole:
            return small_still(self._stills, row.reel, row.still_frame, STILL_PX)
        if role == Qt.ItemDataRole.SizeHintRole:
            return QSize(STILL_PX + 8, STILL_PX * 9 // 16 + 6)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return tr("A picture of tape {reel}", reel=row.reel)
        return None

    def _arrived(self, reel: str, frame: int) -> None:
        for number, row in enumerate(self._rows):
            if (row.reel, row.still_frame) == (reel, frame):
                self.dataChanged.emit(self.index(number, 0), self.index(number, 0))


def _face(column: Column) -> QFont | None:
    if column in FIGURES:
        return figures_font()
    if column is Column.REEL:
        font = QFont()
        font.setBold(True)
        return font
    return None


def _hint(column: Column) -> str | None:
    return tr("F4 or a second click corrects it.") if column in EDITED else None
