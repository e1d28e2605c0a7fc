"""Below the fight table: the chosen move in a sentence, what it lacks, and the takes that hold it; the cast beside them."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from previs.desk.fight import telling
from previs.desk.fight.cast_table import CastTable
from previs.desk.fight.held_list import HeldList
from previs.desk.fight.sheet import FightSheet
from previs.desk.fight.written import about
from previs.desk.open_file import OpenFile
from previs.desk.plain import PlainLabel
from previs.desk.player.stills import Stills
from previs.desk.words import tr


class MovePanel(QWidget):
    """One move, and the cast."""

    def __init__(self, file: OpenFile, stills: Stills) -> None:
        super().__init__()
        self.held, self.cast = HeldList(stills), CastTable(file)
        self._about, self._missing = PlainLabel(), PlainLabel()
        self._missing.setProperty("kind", "red")
        # It keeps its place while there is nothing to say, so that the stills do not jump.
        policy = self._missing.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self._missing.setSizePolicy(policy)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 0)
        column.setSpacing(2)
        for label in (self._about, self._missing):
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            column.addWidget(label)
        self.cast.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Expanding)
        row = QHBoxLayout()
        row.addWidget(self.held, 1)
        row.addWidget(self.cast)
        column.addLayout(row, 1)

    def show_move(self, sheet: FightSheet | None, row: int | None) -> None:
        """Show the move of this row; nothing where it is None."""
        covered = sheet.covered[row] if sheet and row is not None and row < len(sheet.covered) else None
        self.held.show_move(covered)
        if covered is None or sheet is None or row is None:
            self._about.setText(tr("Choose a move to see the takes that hold it."))
            self._missing.hide()
            return
        turn = sheet.hands.turns.get(covered.move.number)
        tight = telling.tightest_told(covered)
        self._about.setText(" ".join(part for part in (about(sheet.rows[row]), tight) if part))
        missing = (telling.hole_told(covered), telling.turn_told(turn, sheet.cut) if turn else "")
        self._missing.setText(" ".join(part for part in missing if part))
        self._missing.setVisible(any(missing))
