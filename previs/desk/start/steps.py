"""The three steps of the work, each on a card with a strip of floor tape; it knows no file."""

from __future__ import annotations

from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from previs.desk.looks import looks
from previs.desk.plain import PlainLabel
from previs.desk.words import tr

_TAPE_PX = 10


class StepCard(QFrame):
    """One step: its number, what to do, and what comes of it."""

    def __init__(self, number: int, title: str, told: str) -> None:
        super().__init__()
        self._number = number
        heading, sentence = PlainLabel(tr("{number}. {title}", number=number, title=title)), PlainLabel(told)
        heading.setProperty("kind", "heading")
        for label in (heading, sentence):
            label.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, _TAPE_PX + 14, 16, 16)
        column.setSpacing(8)
        column.addWidget(heading)
        column.addWidget(sentence)
        column.addStretch(1)

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """A sheet of paper, held by a strip of tape along its head."""
        one, painter = looks(), QPainter(self)
        painter.setPen(QPen(QColor(one.rule), 1))
        painter.setBrush(QColor(one.sheet))
        painter.drawRect(QRectF(0.5, _TAPE_PX / 2, self.width() - 1, self.height() - _TAPE_PX / 2 - 1))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(one.tape[self._number - 1]))
        painter.drawRect(QRectF(14, 0, 56, _TAPE_PX))


def step_cards() -> QWidget:
    """The cards of the three steps, side by side in the order of the week."""
    steps = (
        (
            tr("Write or paste the fight"),
            tr("Phrases and moves: who attacks, who defends, who has the upper hand afterwards. Type it, or paste it from a spreadsheet."),
        ),
        (
            tr("Take in the tapes and log the hits"),
            tr("Phones and cameras as they are. Say where takes begin, and tap along as each move lands; other takes get theirs from it."),
        ),
        (
            tr("Assemble the cut, show it, hand it off"),
            tr("A timing cut of exactly the target, to change by hand; then movie, edit list and a folder for every department."),
        ),
    )
    cards = QWidget()
    row = QHBoxLayout(cards)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(16)
    for number, (title, told) in enumerate(steps, start=1):
        row.addWidget(StepCard(number, title, told), 1)
    return cards
