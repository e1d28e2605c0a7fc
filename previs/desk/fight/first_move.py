"""What is shown while no fight is written: how to bring one, and fields for the first move."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QComboBox, QFormLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from previs.desk.fight.written import COLUMNS, heading
from previs.desk.open_file import OpenFile
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.document.fight_edits import insert_move
from previs.document.model import LEVEL, Move

_Do = Callable[[], None]


class FirstMove(QWidget):
    """Writes the first move of a fight; `pasted` and `asked_for_table` are called by its buttons, `written` when it is there."""

    def __init__(
        self, file: OpenFile, pasted: Callable[[], None], asked_for_table: Callable[[], None], written: Callable[[], None]
    ) -> None:
        super().__init__()
        self._file = file
        self._written = written
        self._label, self._attacker, self._defender = QLineEdit(), QComboBox(), QComboBox()
        for field in (self._attacker, self._defender):
            field.setEditable(True)
            field.setMinimumContentsLength(18)
        self._label.setPlaceholderText(tr("high cut, caught on the bar"))
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 24, 24, 24)
        column.setSpacing(10)
        title = PlainLabel(tr("No fight is written yet."))
        title.setProperty("kind", "title")
        column.addWidget(title)
        column.addWidget(
            self._words(tr("Copy it in a spreadsheet and paste it here, or read it from a .csv or .xlsx table. Its columns are:"))
        )
        columns = self._words(", ".join(COLUMNS))
        columns.setProperty("kind", "figures")
        column.addWidget(columns)
        column.addLayout(self._buttons(pasted, asked_for_table))
        column.addSpacing(16)
        column.addWidget(self._words(tr("Or write the first move; the others follow in the table.")))
        column.addLayout(self._form())
        column.addStretch(1)

    def take_keys(self) -> None:
        """The keys go to the first field."""
        self._label.setFocus()

    def show_roles(self) -> None:
        """Offer the roles that are cast already."""
        roles = [one.role for one in self._file.sequence.cast]
        for field in (self._attacker, self._defender):
            if [field.itemText(at) for at in range(field.count())] != roles:
                field.clear()
                field.addItems(roles)
                field.setCurrentText("")

    def write(self) -> None:
        """Write the move that the fields say."""
        move = Move(0, self._label.text(), self._attacker.currentText(), self._defender.currentText(), LEVEL)
        if self._file.edit(lambda one: insert_move(one, None, move), tr("write the first move")):
            self._written()

    def _form(self) -> QFormLayout:
        form = QFormLayout()
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.FieldsStayAtSizeHint)
        self._label.setMinimumWidth(self.fontMetrics().horizontalAdvance("x") * 40)
        for name, field in (("label", self._label), ("attacker", self._attacker), ("defender", self._defender)):
            field.setAccessibleName(heading(name))
            form.addRow(heading(name), field)
        write = QPushButton(tr("Write the move"))
        write.clicked.connect(lambda _=False: self.write())
        self._label.returnPressed.connect(self.write)
        form.addRow("", write)
        return form

    @staticmethod
    def _buttons(pasted: _Do, asked_for_table: _Do) -> QHBoxLayout:
        row = QHBoxLayout()
        for text, do in ((tr("Paste the fight"), pasted), (tr("Read a table ..."), asked_for_table)):
            button = QPushButton(text)
            button.clicked.connect(lambda _=False, do=do: do())
            row.addWidget(button)
        row.addStretch(1)
        return row

    @staticmethod
    def _words(text: str) -> QLabel:
        words = PlainLabel(text)
        words.setWordWrap(True)
        words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        return words
