"""The fight as a Qt table over the immutable sequence; what is typed goes to the file as one edit."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QAbstractTableModel, QModelIndex, Qt
from PyQt6.QtGui import QColor, QFont

from previs.desk.fight.written import COLUMNS, NUMBERS, Row, heading, may_be_written, shown, typed
from previs.desk.looks import looks
from previs.desk.plain import tip
from previs.desk.words import tr

Written = Callable[[int, str, str], bool]
"""Writes (number of the move, column, what was typed); False when that could not be."""
_NOBODY = QModelIndex()


class FightModel(QAbstractTableModel):
    """A row for each move, in the columns of `written.COLUMNS`."""

    def __init__(self, write: Written) -> None:
        super().__init__()
        self._write = write
        self._rows: tuple[Row, ...] = ()
        self._holes: frozenset[int] = frozenset()
        self.bold = QFont()

    @property
    def rows(self) -> tuple[Row, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: tuple[Row, ...], holes: frozenset[int]) -> None:
        """Show these rows; `holes` are the numbers of the moves that lack something.

        As many rows as before are shown in place, so that an editor that is just being closed keeps its cell.
        """
        self._holes = holes
        if len(rows) == len(self._rows):
            self._rows = rows
            if rows:
                self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(COLUMNS) - 1))
            return
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def row_of(self, move: int) -> int | None:
        """The row of a move."""
        return next((at for at, row in enumerate(self._rows) if row.move.number == move), None)

    def rowCount(self, parent: QModelIndex = _NOBODY) -> int:  # noqa: N802
        """How many moves."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: QModelIndex = _NOBODY) -> int:  # noqa: N802
        """How many columns."""
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:  # noqa: N802
        """The names of the columns."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            # A column of short words is no wider than the longest word of its heading.
            return heading(COLUMNS[section]).replace(" ", "\n")
        return None

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        """Every cell can be written, but the breath of a move that does not end its phrase."""
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        found, column = super().flags(index), COLUMNS[index.column()]
        if column == "optional":
            return found | Qt.ItemFlag.ItemIsUserCheckable
        return found | Qt.ItemFlag.ItemIsEditable if may_be_written(self._rows[index.row()], column) else found

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """What a cell shows."""
        if not index.isValid():
            return None
        row, column = self._rows[index.row()], COLUMNS[index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return shown(row, column)
        if role == Qt.ItemDataRole.EditRole:
            return typed(row, column)
        if role == Qt.ItemDataRole.CheckStateRole and column == "optional":
            return Qt.CheckState.Checked if row.move.optional else Qt.CheckState.Unchecked
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return tr("{heading}: {text}", heading=heading(column), text=typed(row, column) or tr("blank"))
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip(shown(row, column)) or None
        return self._dress(row, column, role)

    def setData(self, index: QModelIndex, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:  # noqa: N802
        """Write what was typed; what stood there already is no edit."""
        if not index.isValid() or role not in (Qt.ItemDataRole.EditRole, Qt.ItemDataRole.CheckStateRole):
            return False
        row, column = self._rows[index.row()], COLUMNS[index.column()]
        text = str(value)
        if role == Qt.ItemDataRole.CheckStateRole:
            text = "yes" if Qt.CheckState(value) is Qt.CheckState.Checked else ""
        if text == typed(row, column):
            return False
        return self._write(row.move.number, column, text)

    def _dress(self, row: Row, column: str, role: int) -> object:
        if role == Qt.ItemDataRole.BackgroundRole:
            return QColor(looks().ground if row.band % 2 else looks().sheet)
        if role == Qt.ItemDataRole.ForegroundRole:
            if column == "move" and row.move.number in self._holes:
                return QColor(looks().red)
            return QColor(looks().soft) if column == "phrase" and not row.begins else None
        if role == Qt.ItemDataRole.FontRole and ((column == "phrase" and row.begins) or column == "move"):
            return self.bold
        if role == Qt.ItemDataRole.TextAlignmentRole and column in NUMBERS:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None
