"""The list of notes with what filters it; it answers none and changes nothing."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QModelIndex, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QAbstractItemView, QComboBox, QHBoxLayout, QHeaderView, QTableView, QVBoxLayout, QWidget

from previs.desk.review.model import NoteTable
from previs.desk.review.rows import Column, NoteRow, headings, reviewer_words, reviewers, state_words
from previs.desk.words import tr
from previs.document.model import Cut
from previs.document.notes import NoteKind, NoteState
from previs.review.note_lists import Standing, Wanted

_AIR_PX, _ROWS_LOOKED_AT = 8, 60
_OWN_KEYS = {getattr(Qt.Key, f"Key_{name}") for name in ("Up", "Down", "Home", "End", "PageUp", "PageDown", "Return", "Enter")}


class NoteView(QTableView):
    """While it has the keys, arrows up and down, Home, End and Enter are the list's and not the player's."""

    def event(self, event: QEvent | None) -> bool:
        """Claim the list's keys before a shortcut of the place has them."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            plain = event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
            if plain and event.key() in _OWN_KEYS:
                event.accept()
                return True
        return super().event(event)

    def moveCursor(self, way: QAbstractItemView.CursorAction, held: Qt.KeyboardModifier) -> QModelIndex:  # noqa: N802
        """Home and End go to the first and the last note, since a line is one thing here."""
        model, ways = self.model(), QAbstractItemView.CursorAction
        if model and model.rowCount() and way in (ways.MoveHome, ways.MoveEnd):
            return model.index(0 if way is ways.MoveHome else model.rowCount() - 1, Column.STATE)
        return super().moveCursor(way, held)


class NoteList(QWidget):
    """All notes, or those that are wanted. `chosen` when another note is chosen, or none; `activated` with Enter or a double click."""

    chosen = pyqtSignal()
    activated = pyqtSignal()
    filtered = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.state, self.kind, self.reviewer = QComboBox(), QComboBox(), QComboBox()
        self.model, self.view = NoteTable(self), NoteView()
        self._every: tuple[NoteRow, ...] = ()
        self._headings = headings(None)
        self._ident = ""
        # When every widget has its new letters, and only once.
        self._refit = QTimer(self)
        self._refit.setSingleShot(True)
        self._refit.timeout.connect(self._fit)
        self._lay_out()
        for box in (self.state, self.kind, self.reviewer):
            box.activated.connect(lambda _: self._show())
        self.view.activated.connect(lambda _: self.activated.emit())
        if selection := self.view.selectionModel():
            selection.currentRowChanged.connect(self._row_changed)

    @property
    def current(self) -> Standing | None:
        """The chosen note."""
        at = self.view.currentIndex()
        return self.model.rows[at.row()].standing if at.isValid() and at.row() < len(self.model.rows) else None

    @property
    def wanted(self) -> Wanted:
        """What the person wants to see."""
        return Wanted(self.state.currentData(), self.kind.currentData(), self.reviewer.currentData())

    @property
    def listed(self) -> tuple[Standing, ...]:
        """The notes that are wanted, as they stand in the list."""
        return tuple(row.standing for row in self.model.rows)

    def put(self, cut: Cut | None, every: tuple[NoteRow, ...]) -> None:
        """Show these notes, told for this cut; the one that was chosen stays so while it is listed."""
        self._every, self._headings = every, headings(cut)
        self._offer_reviewers()
        self._show()

    def choose(self, ident: str) -> bool:
        """Choose a note; False when it is not listed."""
        row = next((number for number, one in enumerate(self.model.rows) if one.ident == ident), None)
        if row is None:
            return False
        self.view.setCurrentIndex(self.model.index(row, Column.STATE))
        return True

    def want(self, ident: str) -> None:
        """Choose a note when it comes, or now when it is listed already."""
        self._ident = ident
        self.choose(ident)

    def show_all(self) -> None:
        """Take the filters away."""
        for box in (self.state, self.kind, self.reviewer):
            box.setCurrentIndex(0)
        self._show()

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger or smaller text needs other columns."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._refit.start()

    def _show(self) -> None:
        ident, row = self._ident, max(self.view.currentIndex().row(), 0)
        wanted = self.wanted
        rows = tuple(one for one in self._every if wanted.holds(one.standing))
        self.model.show_rows(rows, self._headings)
        # A note that was answered may be wanted no more: the one that came into its line is looked at next.
        if rows and not (ident and self.choose(ident)):
            self.view.setCurrentIndex(self.model.index(min(row, len(rows) - 1), Column.STATE))
        self._fit()
        self.filtered.emit()
        self._tell()

    def _row_changed(self, now: QModelIndex, before: QModelIndex) -> None:
        if now.row() != before.row() or not now.isValid():
            self._tell()

    def _tell(self) -> None:
        one = self.current
        if one:
            self._ident = one.note.ident
        self.chosen.emit()

    def _offer_reviewers(self) -> None:
        names = list(reviewers(one.standing for one in self._every))
        if self.reviewer.count() and names == [self.reviewer.itemData(number) for number in range(1, self.reviewer.count())]:
            return
        chosen = self.reviewer.currentData()
        self.reviewer.clear()
        self.reviewer.addItem(tr("every reviewer"), None)
        for name in names:
            self.reviewer.addItem(reviewer_words(name), name)
        self.reviewer.setCurrentIndex(max(0, self.reviewer.findData(chosen)) if chosen is not None else 0)

    def _fit(self) -> None:
        """Columns as wide as their words, the note's as wide as is left; lines as high as two lines of words."""
        for column in range(Column.NOTE):
            self.view.resizeColumnToContents(column)
            self.view.setColumnWidth(column, self.view.columnWidth(column) + _AIR_PX)
        if (lines := self.view.verticalHeader()) is not None:
            lines.setDefaultSectionSize(2 * self.view.fontMetrics().height() + _AIR_PX)

    def _lay_out(self) -> None:
        self.state.setAccessibleName(tr("Only notes in this state"))
        self.state.addItem(tr("every state"), None)
        for state in NoteState:
            self.state.addItem(state_words(state), state)
        self.kind.setAccessibleName(tr("Only notes of this kind"))
        self.kind.addItem(tr("every kind"), None)
        for kind in NoteKind:
            self.kind.addItem(kind.value, kind)
        self.reviewer.setAccessibleName(tr("Only notes of this reviewer"))
        self.reviewer.setMinimumContentsLength(12)
        self._offer_reviewers()
        filters = QHBoxLayout()
        for box in (self.state, self.kind, self.reviewer):
            filters.addWidget(box)
        filters.addStretch(1)
        self._set_up_view()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(filters)
        column.addWidget(self.view, 1)

    def _set_up_view(self) -> None:
        view = self.view
        view.setModel(self.model)
        view.setAccessibleName(tr("Notes"))
        view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        view.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        view.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setWordWrap(True)
        view.setAlternatingRowColors(True)
        view.setShowGrid(False)
        view.setTabKeyNavigation(False)
        if (rows := view.verticalHeader()) is not None:
            rows.hide()
            rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        if (header := view.horizontalHeader()) is not None:
            header.setHighlightSections(False)
            # Looking at all of thousands of notes would take longer than a key press may.
            header.setResizeContentsPrecision(_ROWS_LOOKED_AT)
            header.setStretchLastSection(True)
