"""The fight table as a person works on it: cells are written in place, copied and pasted as blocks; it decides nothing."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QAbstractItemModel, QItemSelectionModel, QModelIndex, QRect, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QFocusEvent, QFont, QFontMetrics, QKeyEvent, QKeySequence, QPainter, QPen
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QCompleter,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from previs.desk.fight.table_model import FightModel
from previs.desk.fight.written import COLUMNS
from previs.desk.looks import looks
from previs.desk.words import tr

_WIDEST = {"label": 280, "note": 320}
"""In pixels at the usual size of words: beyond that a cell is shortened, and told whole below the table."""
_USUAL_WIDEST = 160
_AIR = 16


class _Field(QLineEdit):
    """A field whose list of words comes up as soon as the keys go to it."""

    def focusInEvent(self, event: QFocusEvent | None) -> None:  # noqa: N802
        """Show the words; not when they were just put away."""
        super().focusInEvent(event)
        completer = self.completer()
        if completer and event and event.reason() is not Qt.FocusReason.PopupFocusReason:
            completer.complete()


class _Cells(QStyledItemDelegate):
    """Paints the line under a phrase, and gives a cell a field with what there is to choose from."""

    def __init__(self, view: QTableView, choices: Callable[[str], tuple[str, ...]]) -> None:
        super().__init__(view)
        self._choices = choices

    def paint(self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex) -> None:
        """The cell, with a line below where its phrase ends."""
        super().paint(painter, option, index)
        model = index.model()
        if painter and isinstance(model, FightModel) and model.rows[index.row()].ends:
            painter.setPen(QPen(QColor(looks().rule), 1))
            painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())

    def createEditor(self, parent: QWidget | None, option: QStyleOptionViewItem, index: QModelIndex) -> QWidget | None:  # noqa: N802, ARG002
        """A field, with a list of words where there is one."""
        field = _Field(parent)
        field.setFrame(False)
        field.setStyleSheet("QLineEdit { padding: 0 2px; }")
        field.setAccessibleName(str(index.data(Qt.ItemDataRole.AccessibleTextRole)))
        words = self._choices(COLUMNS[index.column()])
        if words:
            completer = QCompleter(list(words), field)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
            field.setCompleter(completer)
            if popup := completer.popup():
                metrics = popup.fontMetrics()
                popup.setMinimumWidth(max(metrics.horizontalAdvance(word) for word in words) + 3 * _AIR)
        return field

    def setModelData(self, editor: QWidget | None, model: QAbstractItemModel | None, index: QModelIndex) -> None:  # noqa: N802
        """Hand over what was typed."""
        if isinstance(editor, QLineEdit) and model:
            model.setData(index, editor.text(), Qt.ItemDataRole.EditRole)


class FightTable(QTableView):
    """The table. `row_chosen` has the row of the current cell, -1 for none; `pasted` and `cleared` ask for an edit of cells.

    `copied` asks for the chosen block on the clipboard. A block is the smallest that holds every chosen cell.
    """

    row_chosen = pyqtSignal(int)
    copied = pyqtSignal()
    pasted = pyqtSignal()
    cleared = pyqtSignal()

    def __init__(self, model: FightModel, choices: Callable[[str], tuple[str, ...]]) -> None:
        super().__init__()
        self._model = model
        self.setModel(model)
        self.setItemDelegate(_Cells(self, choices))
        self.setAccessibleName(tr("The written fight"))
        self.setEditTriggers(QAbstractItemView.EditTrigger.DoubleClicked)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setCornerButtonEnabled(False)
        rows, heads = self.verticalHeader(), self.horizontalHeader()
        assert rows is not None and heads is not None
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        heads.setHighlightSections(False)
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        model.modelReset.connect(lambda: self.row_chosen.emit(-1))

    @property
    def row(self) -> int | None:
        """The row of the current cell."""
        index = self.currentIndex()
        return index.row() if index.isValid() else None

    @property
    def block(self) -> QRect:
        """The smallest block of cells that holds every chosen one, by columns and rows; an empty one where none is chosen."""
        chosen = self.selectedIndexes() or ([self.currentIndex()] if self.currentIndex().isValid() else [])
        found = QRect()
        for index in chosen:
            found = found.united(QRect(index.column(), index.row(), 1, 1))
        return found

    def choose(self, row: int, column: int | None = None) -> None:
        """Make a cell the current one and bring it into view; the column stays as it is where none is given."""
        at = self.currentIndex().column() if column is None else column
        index, across = self._model.index(row, max(at, 0)), self.horizontalScrollBar()
        before = across.value() if across else 0
        self.take_alone(index)
        self.scrollTo(index)
        if across and column is None:
            across.setValue(before)

    def take_alone(self, index: QModelIndex) -> None:
        """Make a cell the current and the only chosen one, whatever keys are held down just now."""
        if chosen := self.selectionModel():
            chosen.setCurrentIndex(index, QItemSelectionModel.SelectionFlag.ClearAndSelect)

    def write(self, row: int, column: str) -> None:
        """Open a cell to be written."""
        self.choose(row, COLUMNS.index(column))
        self.edit(self.currentIndex())

    def fit(self, header_px: int) -> None:
        """Make columns as wide as their words and rows as high as a line; to be called when words or their size change."""
        heads, rows = self.horizontalHeader(), self.verticalHeader()
        assert heads is not None and rows is not None
        font = QFont(QApplication.font())
        font.setPointSizeF(font.pointSizeF() * 0.92)
        self.setFont(font)
        heads.setFont(font)
        self._model.bold = QFont(font)
        self._model.bold.setBold(True)
        metrics = QFontMetrics(font)
        rows.setDefaultSectionSize(metrics.height() + 10)
        heads.setFixedHeight(header_px)
        scale = metrics.horizontalAdvance("x") / 7
        for at, name in enumerate(COLUMNS):
            self.setColumnWidth(at, self._width(at, metrics, int(_WIDEST.get(name, _USUAL_WIDEST) * scale)))

    def _width(self, at: int, metrics: QFontMetrics, most: int) -> int:
        head = str(self._model.headerData(at, Qt.Orientation.Horizontal))
        bold = QFontMetrics(self._model.bold)
        texts = [str(self._model.index(row, at).data()) for row in range(self._model.rowCount())]
        words = max((metrics.horizontalAdvance(text) for text in texts), default=0)
        return max(min(words + _AIR, most), max(bold.horizontalAdvance(word) for word in head.split()) + _AIR)

    def currentChanged(self, current: QModelIndex, previous: QModelIndex) -> None:  # noqa: N802
        """Tell which row is chosen now."""
        super().currentChanged(current, previous)
        if current.row() != previous.row():
            self.row_chosen.emit(current.row())

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Return writes a cell; the usual keys copy, paste and clear; letters are for the place, not for a search."""
        if event is None:
            return
        standard = QKeySequence.StandardKey
        if self.state() is QAbstractItemView.State.EditingState:
            # What a field lets pass, such as the Return that ends it, is not meant for the table.
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._write_current()
        elif event.matches(standard.Copy):
            self.copied.emit()
        elif event.matches(standard.Paste):
            self.pasted.emit()
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and not event.modifiers():
            self.cleared.emit()
        else:
            super().keyPressEvent(event)

    def keyboardSearch(self, search: str | None) -> None:  # noqa: N802
        """Letters are keys of the place."""

    def _write_current(self) -> None:
        index = self.currentIndex()
        if not index.isValid():
            return
        if COLUMNS[index.column()] == "optional":
            checked = index.data(Qt.ItemDataRole.CheckStateRole) == Qt.CheckState.Checked
            self._model.setData(index, Qt.CheckState.Unchecked if checked else Qt.CheckState.Checked, Qt.ItemDataRole.CheckStateRole)
        elif index.flags() & Qt.ItemFlag.ItemIsEditable:
            self.edit(index)
