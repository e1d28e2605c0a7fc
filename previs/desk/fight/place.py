"""The Fight place: the written fight as a table, the upper hand and the coverage beside it, the chosen move's takes below, the cast."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtCore import QEvent, QPoint, QRect, Qt
from PyQt6.QtGui import QShowEvent
from PyQt6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from previs.desk.fight import pasting, telling
from previs.desk.fight.beside import Beside, WithBar
from previs.desk.fight.first_move import FirstMove
from previs.desk.fight.legend import Legend
from previs.desk.fight.move_edits import MoveEdits
from previs.desk.fight.move_panel import MovePanel
from previs.desk.fight.sheet import FightSheet, sheet_of
from previs.desk.fight.table_model import FightModel
from previs.desk.fight.table_view import FightTable
from previs.desk.fight.written import COLUMNS, Row, choices
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.plain import PlainLabel
from previs.desk.player.stills import Stills
from previs.desk.words import tr
from previs.fight.coverage import Held


class FightPlace(Place):
    """Where the fight is written, and where one sees what the tapes hold of it."""

    ident = "fight"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self.stills = Stills(file)
        self.edits = MoveEdits(file, lambda: [row.move.number for row in self._chosen_rows()], self.choose_move)
        self.model = FightModel(self.edits.write)
        self.table = FightTable(self.model, lambda column: choices(file.sequence, column))
        self.beside, self.legend = Beside(self.table), Legend()
        self.panel = MovePanel(file, self.stills)
        self.sheet: FightSheet | None = None
        self._figures, self._holes = PlainLabel(), PlainLabel()
        self._first_move = FirstMove(file, self.paste, self.read_table, self.came)
        self._stale = True
        self._lay_out()
        self._make_actions()
        self._connect()
        self.refresh()

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Fight")

    def go(self, spot: Spot) -> None:
        """Choose a move, or the first one that a take holds."""
        if spot.move is not None:
            self.choose_move(spot.move)
        elif spot.take is not None and self.sheet:
            row = next((at for at, one in enumerate(self.sheet.covered) if any(held.take.name == spot.take for held in one.held)), None)
            if row is not None:
                self.table.choose(row)

    def came(self) -> None:
        """The table has the keys."""
        if self.sheet and self.sheet.rows:
            self.table.setFocus()
            if self.table.row is None:
                self.table.take_alone(self.model.index(0, COLUMNS.index("label")))
        else:
            self._first_move.take_keys()

    def left(self) -> None:
        """How the place is divided is remembered."""
        self.memory.keep("fight.across", self._across.saveState())
        self.memory.keep("fight.down", self._down.saveState())

    def close_down(self) -> None:
        """End the thread that makes stills."""
        self.stills.close_down()

    def choose_move(self, number: int) -> None:
        """Make a move the chosen one."""
        if (row := self.model.row_of(number)) is not None:
            self.table.choose(row)

    def next_hole(self, by: int = 1) -> None:
        """Go to the next move that lacks something, or the one before; from the last on to the first."""
        holes = self.sheet.holes if self.sheet else ()
        if not holes:
            self.file.say(tr("Every move is held by a take at performance tempo without a double's face."))
            return
        at = self.table.row if self.table.row is not None else -1
        ahead = [row for row in holes if (row > at if by > 0 else row < at)]
        self.table.choose((ahead or list(holes))[0 if by > 0 else -1])

    def paste(self) -> None:
        """What is on the clipboard into the fight."""
        pasting.paste(self.file, self.table.block, self)

    def copy(self) -> None:
        """The chosen cells on the clipboard."""
        pasting.copy_block(self.file.sequence, self.table.block)

    def copy_all(self) -> None:
        """The whole fight on the clipboard, with its header."""
        pasting.copy_block(self.file.sequence, QRect())
        self.file.say(tr("The fight is on the clipboard; paste it into a spreadsheet."))

    def read_table(self) -> None:
        """Ask for a table and read the fight from it."""
        title, kinds = tr("Read the fight from a table"), tr("Tables (*.csv *.xlsx)")
        name, _ = QFileDialog.getOpenFileName(self, title, str(self.file.path.parent), kinds)
        if name:
            pasting.read_table(self.file, Path(name), self.came)

    # Showing

    def refresh(self, *_: object) -> None:
        """Show the fight as it is now; while it is not seen, that waits until it is."""
        if self.sheet is not None and not self.isVisible():
            self._stale = True
            return
        self._stale = False
        move = self._current.move.number if self._current else None
        column = self.table.currentIndex().column()
        sheet = sheet_of(self.file.sequence, self.file.cut)
        first = self.sheet is None or len(self.sheet.rows) != len(sheet.rows)
        self.sheet = sheet
        self.model.show_rows(sheet.rows, frozenset(sheet.rows[row].move.number for row in sheet.holes))
        self.beside.show_sheet(sheet)
        self.legend.show_sheet(sheet)
        self.panel.cast.show_cast()
        self._figures.setText(telling.figures_told(sheet.figures))
        self._holes.setText(telling.holes_told(sheet.figures))
        self._pages.setCurrentIndex(0 if sheet.rows else 1)
        self._top.setVisible(bool(sheet.rows))
        self._first_move.show_roles()
        if first:
            self._fit()
            if sheet.rows and move is not None:
                row = self.model.row_of(move)
                self.table.choose(row if row is not None else 0, max(column, 0))
        self._show_move()

    def showEvent(self, event: QShowEvent | None) -> None:  # noqa: N802
        """What changed meanwhile is shown now."""
        super().showEvent(event)
        if self._stale:
            self.refresh()

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Columns are fitted to another size of words."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange) and hasattr(self, "_down"):
            self._fit()

    def _fit(self) -> None:
        self.table.fit(self.beside.header_px())
        self.beside.update()

    @property
    def _current(self) -> Row | None:
        row = self.table.row
        return self.model.rows[row] if row is not None and row < len(self.model.rows) else None

    def _chosen_rows(self) -> list[Row]:
        """The chosen rows whose moves are still written: while another place is shown, the table is not kept up to date."""
        block = self.table.block
        rows = list(self.model.rows[block.top() : block.bottom() + 1]) if not block.isEmpty() else []
        written = {move.number for move in self.file.sequence.moves}
        return [row for row in rows if row.move.number in written]

    def _show_move(self, *_: object) -> None:
        self.panel.show_move(self.sheet, self.table.row)

    def _go_to(self, held: Held) -> None:
        self.file.go(Spot("log", take=held.take.name, reel=held.take.reel, move=held.move, frame=held.grid_frame))

    def _clear(self) -> None:
        block = self.table.block
        if not block.isEmpty():
            self.edits.clear(block)

    def _insert(self) -> None:
        number = self.edits.insert(tr("new move"))
        if number is not None and (row := self.model.row_of(number)) is not None:
            self.table.write(row, "label")

    def _menu(self, at: QPoint) -> None:
        menu = QMenu(self)
        menu.addActions(self._moves)
        menu.exec(self.table.mapToGlobal(at))
        menu.deleteLater()

    # Making

    def _connect(self) -> None:
        self.file.changed.connect(self.refresh)
        self.file.cut_chosen.connect(self.refresh)
        self.table.row_chosen.connect(self._show_move)
        self.table.copied.connect(self.copy)
        self.table.pasted.connect(self.paste)
        self.table.cleared.connect(self._clear)
        self.table.customContextMenuRequested.connect(self._menu)
        self.beside.chosen.connect(self._point_at)
        self.panel.held.wanted.connect(self._go_to)

    def _point_at(self, row: int) -> None:
        self.table.choose(row)
        self.table.setFocus()

    def _make_actions(self) -> None:
        self._moves = [
            self.act(tr("Insert a move below"), "Ins, Ctrl+Return", self._insert),
            self.act(tr("Remove the move"), "Ctrl+Delete", self.edits.remove),
            self.act(tr("Move earlier"), "Alt+Up", self.edits.earlier),
            self.act(tr("Move later"), "Alt+Down", self.edits.later),
            self.act(tr("Begin a phrase with this move"), "P", self.edits.split),
            self.act(tr("Join the phrase to the one before"), "Shift+P", self.edits.join),
            self.act(tr("Number moves and phrases anew"), "", self.edits.number_anew),
            self.act(tr("Copy the whole fight"), "Ctrl+Shift+C", self.copy_all),
            self.act(tr("Paste"), "", self.paste),
        ]
        self.act(tr("Next move that lacks something"), "H", self.next_hole)
        self.act(tr("The one before that lacks something"), "Shift+H", lambda: self.next_hole(-1))
        self.others += [
            ("Return", tr("Write the chosen cell; on a take, go to it in the log")),
            ("Ctrl+C", tr("Copy the chosen cells")),
            ("Ctrl+V", tr("Paste cells of a spreadsheet from the chosen cell on, or a whole fight with its header")),
            ("Delete", tr("Make the chosen cells blank")),
        ]

    def _lay_out(self) -> None:
        self.table.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self._across = QSplitter(Qt.Orientation.Horizontal)
        self._across.addWidget(self.table)
        self._across.addWidget(WithBar(self.beside, self.table))
        self._across.setStretchFactor(0, 1)
        self._across.setChildrenCollapsible(False)
        top = QWidget()
        column = QVBoxLayout(top)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self._across, 1)
        column.addWidget(self.legend)
        self._down = QSplitter(Qt.Orientation.Vertical)
        self._down.addWidget(top)
        self._down.addWidget(self.panel)
        self._down.setStretchFactor(0, 1)
        self._down.setChildrenCollapsible(False)
        self._pages = QStackedWidget()
        self._pages.addWidget(self._down)
        self._pages.addWidget(self._first_move)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(10, 4, 10, 4)
        whole.setSpacing(4)
        self._top = self._head()
        whole.addWidget(self._top)
        whole.addWidget(self._pages, 1)
        self._across.restoreState(self.memory.state("fight.across"))
        self._down.restoreState(self.memory.state("fight.down"))

    def _head(self) -> QWidget:
        head = QWidget()
        row = QHBoxLayout(head)
        row.setContentsMargins(0, 0, 0, 0)
        self._holes.setProperty("kind", "red")
        for label in (self._figures, self._holes):
            # Larger words go on a second line rather than make the window wider.
            label.setWordWrap(True)
        row.addWidget(self._figures, 1)
        row.addWidget(self._holes, 1)
        for text, do in (
            (tr("Insert a move"), self._insert),
            (tr("Next hole"), self.next_hole),
            (tr("Paste"), self.paste),
            (tr("Read a table ..."), self.read_table),
        ):
            button = QPushButton(text)
            button.clicked.connect(lambda _checked=False, do=do: do())
            row.addWidget(button)
        return head
