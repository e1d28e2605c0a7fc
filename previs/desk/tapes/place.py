"""The Tapes place: every tape with a still, what it is and whether it is there; taking in, correcting, finding again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtCore import QEvent, QModelIndex, QSize, Qt, QTimer
from PyQt6.QtGui import QDragEnterEvent, QDropEvent
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QFileDialog,
    QHeaderView,
    QInputDialog,
    QPushButton,
    QTableView,
    QVBoxLayout,
)

from previs.desk.asking import went_through
from previs.desk.dropping import files_in
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.plain import PlainLabel
from previs.desk.player.stills import Stills
from previs.desk.tapes.flow import Flow
from previs.desk.tapes.jobs import TapeJobs
from previs.desk.tapes.model import STILL_PX, TapeTable
from previs.desk.tapes.rows import EDITED, Column, correction, tape_rows, told
from previs.desk.tapes.settings import SettingsDialog
from previs.desk.words import tr
from previs.document import tape_edits
from previs.document.model import Sequence
from previs.media.tapes_there import TapeThere, tapes_there
from previs.media.workcopy import forget_work_copies

_AIR_PX = 8


class _Table(QTableView):
    """The table of tapes."""

    def correct(self, index: QModelIndex) -> None:
        """Write in a cell, unless somebody is writing already."""
        if self.state() is not QAbstractItemView.State.EditingState:
            self.edit(index)


class TapesPlace(Place):
    """Where tapes come in."""

    ident = "tapes"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self.stills = Stills(file)
        self.model = TapeTable(self.stills, self)
        self.table, self.told = _Table(), PlainLabel()
        self.jobs = TapeJobs(file, self.look_again)
        self.there: dict[str, TapeThere] = {}
        # When every widget has its new letters, and only once.
        self._refit = QTimer(self)
        self._refit.setSingleShot(True)
        self._refit.timeout.connect(self._fit)
        self.setAcceptDrops(True)
        self._lay_out()
        self._make_actions()
        self.model.written.connect(self._correct)
        self.table.activated.connect(self._go_to_log)
        file.changed.connect(self._changed)
        self._show()
        self.look_again()

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Tapes")

    def go(self, spot: Spot) -> None:
        """Choose a tape."""
        for number, row in enumerate(self.model.rows):
            if row.reel == spot.reel:
                self.table.selectRow(number)

    def came(self) -> None:
        """The table has the keys."""
        self.table.setFocus()

    def close_down(self) -> None:
        """End the stills' thread."""
        self.stills.close_down()

    def chosen(self) -> list[str]:
        """The reels that are chosen, from the top."""
        selection = self.table.selectionModel()
        numbers = sorted({index.row() for index in selection.selectedRows()}) if selection else []
        return [self.model.rows[number].reel for number in numbers]

    def take_in(self) -> None:
        """Ask for movie files and take them in."""
        if paths := self.ask_movies():
            self.take_in_these(paths)

    def take_in_these(self, paths: list[Path]) -> None:
        """Ask which camera recorded them, and take them in."""
        self.memory.keep("tapes.folder", str(paths[0].parent))
        camera = self.ask_camera(len(paths))
        if camera is not None:
            self.jobs.take_in(paths, camera.strip())

    def look_for_tapes(self) -> None:
        """Ask for a folder and look for tapes in it."""
        if folder := self.ask_folder():
            self.jobs.look_in(folder)

    def correct(self) -> None:
        """Write in the chosen cell, or in the reel's where nothing is written in that one."""
        at = self.table.currentIndex()
        if at.isValid():
            wanted = at if Column(at.column()) in EDITED else self.model.index(at.row(), Column.REEL)
            self.table.setCurrentIndex(wanted)
            self.table.correct(wanted)

    def remove(self) -> None:
        """Take the chosen tapes out of the file, where nothing is marked on them."""
        reels = self.chosen()

        def change(sequence: Sequence) -> Sequence:
            for reel in reels:
                sequence = tape_edits.remove(sequence, reel)
            return sequence

        if reels and self.file.edit(change, f"remove tape {', '.join(reels)}"):
            self.file.say(tr("{reels} is out of the file; the movie is left alone, and undo brings it back.", reels=", ".join(reels)))

    def settings(self) -> None:
        """Show and change what the sequence is set to."""
        self.answered(SettingsDialog(self.file, self))

    def answered(self, dialog: QDialog) -> bool:
        """Show a dialog; True when the person went through with it."""
        return went_through(dialog)

    def ask_movies(self) -> list[Path]:
        """The person's choice of movie files."""
        chosen, _ = QFileDialog.getOpenFileNames(self, tr("Take in tapes"), self.memory.text("tapes.folder"), tr("All files (*)"))
        return [Path(one) for one in chosen]

    def ask_folder(self) -> Path | None:
        """The person's choice of a folder to look in."""
        chosen = QFileDialog.getExistingDirectory(self, tr("Look for tapes in"), self.memory.text("tapes.folder"))
        return Path(chosen) if chosen else None

    def ask_camera(self, number: int) -> str | None:
        """Which camera recorded these tapes; empty when it is not known, None to let it be."""
        known = sorted({tape.camera for tape in self.file.sequence.tapes if tape.camera})
        question = tr("Which camera recorded the {number} tapes? A, B, phone ...; it may stay empty.", number=number)
        camera, answered = QInputDialog.getItem(self, tr("Take in tapes"), question, ["", *known], 0, True)
        return camera if answered else None

    def look_again(self) -> None:
        """Look anew which tapes and copies are there."""
        sequence, document = self.file.sequence, self.file.path
        if sequence.tapes:
            self.file.look(tr("Looking which tapes are there"), lambda report: tapes_there(sequence, document, report), self._put_there)

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger or smaller text needs other columns."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._refit.start()

    def dragEnterEvent(self, event: QDragEnterEvent | None) -> None:  # noqa: N802
        """Movie files may be dropped here."""
        if event and files_in(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent | None) -> None:  # noqa: N802
        """Take in what was dropped."""
        if event and (paths := files_in(event)):
            event.acceptProposedAction()
            self.take_in_these(list(paths))

    def _changed(self, before: Sequence) -> None:
        self._show()
        if before.tapes is not self.file.sequence.tapes or before.settings != self.file.sequence.settings:
            self.look_again()

    def _put_there(self, there: dict[str, TapeThere]) -> None:
        back = any(there[reel].file and not was.file for reel, was in self.there.items() if reel in there)
        self.there = there
        if back:
            self.stills.ask_again()
        self._show()

    def _show(self) -> None:
        rows = tape_rows(self.file.sequence, self.there)
        self.model.show_rows(rows)
        self.told.setText(told(self.file.sequence, rows, self.there))
        self._fit()

    def _fit(self) -> None:
        """Columns as wide as their words, lines as high as a still or two lines of words."""
        for column in range(Column.REEL, len(Column) - 1):
            self.table.resizeColumnToContents(column)
            self.table.setColumnWidth(column, self.table.columnWidth(column) + _AIR_PX)
        if (lines := self.table.verticalHeader()) is not None:
            lines.setDefaultSectionSize(max(STILL_PX * 9 // 16, 2 * self.fontMetrics().height()) + _AIR_PX)

    def _correct(self, reel: str, column: Column, text: str) -> None:
        tape = self.file.sequence.tape(reel)
        change, what = correction(column, reel, text)
        if self.file.edit(change, what) and column is not Column.CAMERA:
            # Reel name and time code stand in the work copy too.
            forget_work_copies(tape.fingerprint, self.file.cache)
            self.look_again()

    def _go_to_log(self, index: QModelIndex) -> None:
        if index.isValid() and index.row() < len(self.model.rows):
            self.file.go(Spot("log", reel=self.model.rows[index.row()].reel))

    def _make_actions(self) -> None:
        self.act(tr("Take in tapes ..."), "Ctrl+N", self.take_in)
        self.act(tr("Correct the reel, camera or time code that is chosen"), "F4", self.correct)
        self.act(tr("Remove the chosen tapes"), "Delete", self.remove)
        self.act(tr("Look for tapes in ..."), "Ctrl+F", self.look_for_tapes)
        self.act(tr("Find cameras that ran together"), "Ctrl+T", self.jobs.find_together)
        self.act(tr("Make the missing work copies"), "Ctrl+M", self.jobs.copy)
        self.act(tr("Settings of the sequence ..."), "Ctrl+E", self.settings)
        self.others += [
            (tr("Enter, double click"), tr("opens the chosen tape in the log")),
            (tr("Double click on a reel, a camera or a time code"), tr("corrects it")),
        ]

    def _lay_out(self) -> None:
        ways: tuple[tuple[str, Callable[[], None]], ...] = (
            (tr("Take in tapes ..."), self.take_in),
            (tr("Look for tapes in ..."), self.look_for_tapes),
            (tr("Find cameras that ran together"), self.jobs.find_together),
            (tr("Make work copies"), self.jobs.copy),
            (tr("Remove"), self.remove),
            (tr("Settings of the sequence ..."), self.settings),
        )
        buttons = Flow()
        for text, do in ways:
            button = QPushButton(text)
            button.clicked.connect(lambda _checked=False, do=do: do())
            buttons.addWidget(button)
        self.told.setWordWrap(True)
        self.told.setProperty("kind", "soft")
        self._set_up_table()
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(8)
        column.addLayout(buttons)
        column.addWidget(self.told)
        column.addWidget(self.table, 1)

    def _set_up_table(self) -> None:
        self.table.setModel(self.model)
        self.table.setAccessibleName(tr("Tapes"))
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        # A double click writes where something can be written; elsewhere it opens the tape.
        edit = QAbstractItemView.EditTrigger
        self.table.setEditTriggers(edit.SelectedClicked | edit.DoubleClicked | edit.EditKeyPressed)
        self.table.setIconSize(QSize(STILL_PX, STILL_PX * 9 // 16))
        self.table.setWordWrap(True)
        self.table.setShowGrid(False)
        self.table.setAlternatingRowColors(True)
        self.table.setTabKeyNavigation(False)
        if (rows := self.table.verticalHeader()) is not None:
            rows.hide()
            rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        if (header := self.table.horizontalHeader()) is not None:
            header.setHighlightSections(False)
            header.setStretchLastSection(True)
        self.table.setColumnWidth(Column.STILL, STILL_PX + 10)
        self.table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.table.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
