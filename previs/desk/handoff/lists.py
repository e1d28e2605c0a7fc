"""The shot list and the treatments beneath it, with what filters both; choosing a line goes to the cut."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QModelIndex, QSize, Qt, QTimer
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLineEdit,
    QSplitter,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from previs.cut.wording import counted
from previs.desk.handoff.model import STILL_PX, ListTable, Treated
from previs.desk.handoff.rows import (
    TREATED_IN_SHOTS,
    TREATED_IN_TREATMENTS,
    Wanted,
    filtered,
    shot_headings,
    shot_rows,
    treatment_headings,
    treatment_rows,
)
from previs.desk.open_file import OpenFile, Spot
from previs.desk.plain import PlainLabel
from previs.desk.player.stills import Stills
from previs.desk.words import tr
from previs.document.model import Kind
from previs.handoff.pull_standing import Standing

_AIR_PX, _LITTLE_AIR_PX, _SHOT_FIGURES, _TREATMENT_FIGURES = 10, 2, frozenset({2}), frozenset({3, 4})


class CutLists(QWidget):
    """Both lists of the cut that is worked on."""

    def __init__(self, file: OpenFile, stills: Stills) -> None:
        super().__init__()
        self._file = file
        self.kind, self.role, self.search = QComboBox(), QComboBox(), QLineEdit()
        self.shots = ListTable(shot_headings(), stills, _SHOT_FIGURES, self)
        self.treatments = ListTable(treatment_headings(), stills, _TREATMENT_FIGURES, self)
        self.shot_table, self.treatment_table = QTableView(), QTableView()
        self.treatments_told = PlainLabel()
        self.treatments_told.setWordWrap(True)
        self._standing: Standing | None = None
        self._treated = Treated(self)
        # When every widget has its new letters, and only once.
        self._refit = QTimer(self)
        self._refit.setSingleShot(True)
        self._refit.timeout.connect(self._fit)
        self._lay_out()
        self.kind.activated.connect(lambda _: self.show_cut())
        self.role.activated.connect(lambda _: self.show_cut())
        self.search.textChanged.connect(lambda _: self.show_cut())

    @property
    def wanted(self) -> Wanted:
        """What the person wants to see."""
        return Wanted(self.kind.currentData(), self.role.currentData(), self.search.text())

    def show_standing(self, found: Standing | None) -> None:
        """How the pulls that were made stand to the cut, None while that is not known."""
        self._standing = found
        self.show_cut()

    def show_cut(self) -> None:
        """The lists of the cut as it is now."""
        sequence, cut = self._file.sequence, self._file.cut
        roles = [self.role.itemData(number) for number in range(1, self.role.count())]
        if roles != list(sequence.roles):
            self._offer_roles(sequence.roles)
        shots = shot_rows(sequence, cut) if cut else ()
        standing = self._standing or Standing({}, ())
        treatments = treatment_rows(sequence, cut, standing.pulls) if cut else ()
        seen = filtered(shots, self.wanted)
        self.shots.show_rows(seen)
        self.treatments.show_rows(filtered(treatments, self.wanted))
        told = counted(len(self.treatments.rows), tr("treatment"))
        all_shown = len(seen) == len(shots)
        heading = tr("{treatments} on screen", treatments=told)
        if not all_shown:
            heading = tr("{heading}; {seen} of {all} shots are listed", heading=heading, seen=len(seen), all=len(shots))
        if standing.fell_out:
            heading = tr("{heading}; pulled, not wanted now: {pulls}", heading=heading, pulls=", ".join(standing.fell_out))
        self.treatments_told.setText(heading)
        self._fit()

    def _fit(self) -> None:
        _fit(self.shot_table, 2, _AIR_PX)
        # Eight columns in the width of a small screen.
        _fit(self.treatment_table, 4, _LITTLE_AIR_PX)

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger or smaller text needs other columns."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._refit.start()

    def show_all(self) -> None:
        """Take the filters away."""
        self.kind.setCurrentIndex(0)
        self.role.setCurrentIndex(0)
        self.search.clear()
        self.show_cut()

    def _offer_roles(self, roles: tuple[str, ...]) -> None:
        chosen = self.role.currentData()
        self.role.clear()
        self.role.addItem(tr("every role"), None)
        for role in roles:
            self.role.addItem(role, role)
        self.role.setCurrentIndex(max(0, self.role.findData(chosen)) if chosen else 0)

    def _go(self, table: ListTable, index: QModelIndex) -> None:
        if index.isValid() and index.row() < len(table.rows):
            row = table.rows[index.row()]
            self._file.go(Spot("cut", shot=row.shot, frame=row.frame))

    def _lay_out(self) -> None:
        self.kind.setAccessibleName(tr("Only this kind of treatment"))
        self.kind.addItem(tr("every shot"), None)
        for kind in Kind:
            self.kind.addItem(tr("with {kind}", kind=kind.value), kind)
        self.role.setAccessibleName(tr("Only this role"))
        self._offer_roles(())
        self.search.setPlaceholderText(tr("a text in the list: stair, close, SSA01 ..."))
        self.search.setAccessibleName(tr("Only lines with this text"))
        self.search.setClearButtonEnabled(True)
        filters = QHBoxLayout()
        filters.addWidget(self.kind)
        filters.addWidget(self.role)
        filters.addWidget(self.search, 1)
        below = QWidget()
        lines = QVBoxLayout(below)
        lines.setContentsMargins(0, 4, 0, 0)
        self.treatments_told.setProperty("kind", "heading")
        lines.addWidget(self.treatments_told)
        lines.addWidget(self.treatment_table, 1)
        # The still stands before the cells.
        self.shot_table.setItemDelegateForColumn(1 + TREATED_IN_SHOTS, self._treated)
        self.treatment_table.setItemDelegateForColumn(1 + TREATED_IN_TREATMENTS, self._treated)
        self._set_up(self.shot_table, self.shots, tr("Shots"))
        self._set_up(self.treatment_table, self.treatments, tr("Treatments"))
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.addWidget(self.shot_table)
        self.split.addWidget(below)
        self.split.setSizes([330, 300])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(filters)
        column.addWidget(self.split, 1)

    def _set_up(self, view: QTableView, table: ListTable, name: str) -> None:
        view.setModel(table)
        view.setAccessibleName(name)
        view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        view.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        view.setIconSize(QSize(STILL_PX, STILL_PX * 9 // 16))
        view.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setAlternatingRowColors(True)
        view.setShowGrid(False)
        view.setTabKeyNavigation(False)
        if (rows := view.verticalHeader()) is not None:
            rows.hide()
            rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        if (header := view.horizontalHeader()) is not None:
            header.setHighlightSections(False)
            header.setStretchLastSection(True)
        view.activated.connect(lambda index: self._go(table, index))


def _fit(view: QTableView, lines_high: int, air_px: int) -> None:
    """Columns as wide as their words, the still's as wide as stills, the last one as wide as is left; rows as high as so many lines."""
    model = view.model()
    if model is None:
        return
    view.setColumnWidth(0, STILL_PX + air_px)
    for column in range(1, model.columnCount() - 1):
        view.resizeColumnToContents(column)
        view.setColumnWidth(column, view.columnWidth(column) + air_px)
    if (lines := view.verticalHeader()) is not None:
        lines.setDefaultSectionSize(max(STILL_PX * 9 // 16, lines_high * view.fontMetrics().height()) + _AIR_PX)
