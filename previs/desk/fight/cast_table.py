"""The cast as a small table: role, actor, doubles; what is typed goes to the file as one edit."""

from __future__ import annotations

from PyQt6.QtCore import QAbstractTableModel, QModelIndex, QSize, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QAbstractItemView, QHeaderView, QTableView

from previs.desk.open_file import OpenFile
from previs.desk.plain import tip
from previs.desk.words import tr
from previs.document.casting import cast_rows, with_casting
from previs.document.fight_words import rename_role
from previs.document.model import Sequence

_NOBODY = QModelIndex()


def changed_cast(sequence: Sequence, role: str, column: int, text: str) -> Sequence:
    """The sequence with another name, actor or doubles (separated by commas) of a role; raises `UseFault` as those edits do."""
    cast = next((one for one in sequence.cast if one.role == role), None)
    if column == 0:
        return rename_role(sequence, role, text)
    if column == 1:
        return with_casting(sequence, role, text, cast.doubles if cast else ())
    return with_casting(sequence, role, cast.actor if cast else "", tuple(text.split(",")))


class CastModel(QAbstractTableModel):
    """A row for each role of the fight."""

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._rows: list[tuple[str, str, str]] = []
        self.show_cast()

    def show_cast(self) -> None:
        """Show the cast as it is now."""
        rows = [(str(one["role"]), str(one["actor"]), str(one["doubles"])) for one in cast_rows(self._file.sequence)]
        if len(rows) == len(self._rows):
            self._rows = rows
            if rows:
                self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, 2))
            return
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def rowCount(self, parent: QModelIndex = _NOBODY) -> int:  # noqa: N802
        """How many roles."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: QModelIndex = _NOBODY) -> int:  # noqa: N802
        """Role, actor and doubles."""
        return 0 if parent.isValid() else 3

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:  # noqa: N802
        """The names of the columns."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return (tr("role"), tr("actor"), tr("doubles"))[section]
        return None

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        """Every cell can be written."""
        return super().flags(index) | Qt.ItemFlag.ItemIsEditable if index.isValid() else Qt.ItemFlag.NoItemFlags

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """What a cell shows."""
        if not index.isValid():
            return None
        text = self._rows[index.row()][index.column()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            return text
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip(text) or None
        if role == Qt.ItemDataRole.AccessibleTextRole:
            head = self.headerData(index.column(), Qt.Orientation.Horizontal)
            return tr("{heading}: {text}", heading=head, text=text or tr("blank"))
        return None

    def setData(self, index: QModelIndex, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:  # noqa: N802
        """Write what was typed; what stood there already is no edit."""
        if not index.isValid() or role != Qt.ItemDataRole.EditRole or str(value) == self._rows[index.row()][index.column()]:
            return False
        of, column, text = self._rows[index.row()][0], index.column(), str(value)
        what = tr("rename role {role}", role=of) if column == 0 else tr("cast {role}", role=of)
        return self._file.edit(lambda one: changed_cast(one, of, column, text), what)


class CastTable(QTableView):
    """The cast, written in place."""

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._cast = CastModel(file)
        self.setModel(self._cast)
        self.setAccessibleName(tr("The cast"))
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.DoubleClicked)
        rows, heads = self.verticalHeader(), self.horizontalHeader()
        assert rows is not None and heads is not None
        rows.hide()
        heads.setHighlightSections(False)
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        heads.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)

    def show_cast(self) -> None:
        """Show the cast as it is now."""
        if rows := self.verticalHeader():
            rows.setDefaultSectionSize(self.fontMetrics().height() + 10)
        self._cast.show_cast()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Wide enough for two names beside each other."""
        return QSize(self.fontMetrics().horizontalAdvance("x") * 38, 120)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Return writes a cell."""
        if event and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.edit(self.currentIndex())
        else:
            super().keyPressEvent(event)

    def keyboardSearch(self, search: str | None) -> None:  # noqa: N802
        """Letters are keys of the place."""
