"""The notes as a table of Qt: words, faces and inks of its cells; what they say is in the rows."""

from __future__ import annotations

from typing import Any

from PyQt6.QtCore import QAbstractTableModel, QModelIndex, QObject, Qt
from PyQt6.QtGui import QColor, QFont

from previs.desk.looks import figures_font, looks
from previs.desk.review.rows import FIGURES, Column, NoteRow, headings
from previs.document.notes import NoteState


class NoteTable(QAbstractTableModel):
    """A list of notes."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._headings = headings(None)
        self._rows: tuple[NoteRow, ...] = ()

    @property
    def rows(self) -> tuple[NoteRow, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: tuple[NoteRow, ...], headed: tuple[str, ...]) -> None:
        """Show these and no others; where the same notes stand in the same lines, what is chosen stays so."""
        if (rows, headed) == (self._rows, self._headings):
            return
        if headed == self._headings and [row.ident for row in rows] == [row.ident for row in self._rows]:
            self._rows = rows
            self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(headed) - 1))
            return
        self.beginResetModel()
        self._rows, self._headings = rows, headed
        self.endResetModel()

    def rowCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """One for each note."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """Those of the cells."""
        return 0 if parent is not None and parent.isValid() else len(self._headings)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:  # noqa: N802
        """The headings of the columns."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._headings[section]
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Words, face and ink of a cell."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row, column = self._rows[index.row()], Column(index.column())
        if role == Qt.ItemDataRole.DisplayRole:
            return row.cells[column]
        if role == Qt.ItemDataRole.FontRole:
            return _font(row, column)
        if role == Qt.ItemDataRole.ForegroundRole:
            if row.worries and column is Column.KIND:
                return QColor(looks().red)
            return None if row.standing.note.state is NoteState.OPEN else QColor(looks().soft)
        return None


def _font(row: NoteRow, column: Column) -> QFont | None:
    if column in FIGURES:
        return figures_font()
    if row.worries and column is Column.KIND:
        font = QFont()
        font.setBold(True)
        return font
    return None
