"""What the Floor place says while there is no plan: three steps, and the ways to begin; it reads nothing."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction
from PyQt6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from previs.desk.plain import PlainLabel
from previs.desk.review.card import button_of
from previs.desk.start.steps import StepCard
from previs.desk.tapes.flow import Flow
from previs.desk.words import tr
from previs.floor.tape_out import FOR_TAPING

_WIDEST_PX = 1000


class FirstSteps(QWidget):
    """The three steps as cards, and buttons of the place's actions."""

    def __init__(self, actions: tuple[tuple[QAction, str], ...]) -> None:
        super().__init__()
        title = PlainLabel(tr("The set on the rehearsal floor"))
        title.setProperty("kind", "title")
        cards = QHBoxLayout()
        cards.setSpacing(16)
        for number, (heading, told) in enumerate(_steps(), start=1):
            cards.addWidget(StepCard(number, heading, told), 1)
        buttons = Flow()
        for number, (action, text) in enumerate(actions):
            button = button_of(action, text)
            buttons.addWidget(button)
            if number == 0:
                self.setFocusProxy(button)
        care = PlainLabel(FOR_TAPING)
        care.setWordWrap(True)
        inner = QWidget()
        inner.setMaximumWidth(_WIDEST_PX)
        column = QVBoxLayout(inner)
        column.setSpacing(18)
        column.addWidget(title)
        column.addLayout(cards)
        column.addLayout(buttons)
        column.addWidget(care)
        whole = QVBoxLayout(self)
        whole.addStretch(1)
        whole.addWidget(inner, 0, Qt.AlignmentFlag.AlignHCenter)
        whole.addStretch(2)


def _steps() -> tuple[tuple[str, str], ...]:
    return (
        (
            tr("Read the set's plan"),
            tr("The art department's DXF drawing, or a table of walls, doors, steps and drops. What is odd in it is told with its place."),
        ),
        (
            tr("Give the room, and fit"),
            tr("Length, width, columns and two points to measure from. The plan is turned and shifted into it, or cut into sections."),
        ),
        (
            tr("Draw who goes where, and print"),
            tr("Routes from a table or click by click, in step with the cut: cues, tight places, speeds; sheets for two measuring tapes."),
        ),
    )
