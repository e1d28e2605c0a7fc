"""The bar over the plan while a way is being drawn: what a click puts, the chosen spot, and what can be done with it."""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtGui import QAction
from PyQt6.QtWidgets import QComboBox, QFrame, QVBoxLayout

from previs.desk.floor.hand import Hand
from previs.desk.plain import PlainLabel
from previs.desk.review.card import button_of
from previs.desk.tapes.flow import Flow
from previs.desk.words import tr
from previs.document.model import Sequence


class DrawingBar(QFrame):
    """Tells of a hand. `put_wanted` has the move whose mark a click is to put, None for a bend."""

    put_wanted = pyqtSignal(object)

    def __init__(self, actions: tuple[tuple[QAction, str], ...]) -> None:
        super().__init__()
        self.told, self.puts, self.chosen = PlainLabel(), QComboBox(), PlainLabel()
        self.told.setProperty("kind", "heading")
        for label in (self.told, self.chosen):
            label.setWordWrap(True)
        self.puts.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.puts.setMinimumContentsLength(22)
        self.puts.setAccessibleName(tr("What a click puts"))
        self.puts.activated.connect(lambda _: self.put_wanted.emit(self.puts.currentData()))
        asked = PlainLabel(tr("A click puts:"))
        asked.setBuddy(self.puts)
        row = Flow()
        row.addWidget(asked)
        row.addWidget(self.puts)
        for action, text in actions:
            row.addWidget(button_of(action, text))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 4)
        column.setSpacing(4)
        column.addWidget(self.told)
        column.addLayout(row)
        column.addWidget(self.chosen)

    def put(self, hand: Hand, sequence: Sequence, guessed: bool) -> None:
        """Tell what is being drawn."""
        told = hand.told()
        self.told.setText(tr("Drawing {role}'s way in phrase {phrase}", role=hand.role, phrase=hand.phrase))
        labels = {move.number: move.label for move in sequence.moves}
        choices: list[tuple[str, int | None]] = [(tr("a bend of the way"), None)]
        choices += [(tr("the mark of move {move}: {label}", move=move, label=labels.get(move, "")), move) for move in hand.moves]
        if choices != [(self.puts.itemText(at), self.puts.itemData(at)) for at in range(self.puts.count())]:
            self.puts.clear()
            for text, move in choices:
                self.puts.addItem(text, move)
        self.puts.setCurrentIndex(max((at for at, (_, move) in enumerate(choices) if move == hand.puts), default=0))
        hint = tr("Click along the way. Spots can be dragged; Up and Down choose one, Ctrl with arrows pushes it, Delete takes it away.")
        if guessed:
            hint = tr("Nobody drew this way: the first click begins one, or drag a guessed mark to take the guess over.")
        self.chosen.setText(tr("Chosen: {spot}", spot=told) if told else hint)
