"""A short form of questions; what is wrong with an answer is told in the form, which stays open until it is right or let be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PyQt6.QtGui import QIcon
from PyQt6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from previs.desk.cut.questions import Answers, Question
from previs.desk.words import tr

_WIDE_PX = 420


class Form(QDialog):
    """Asks `questions`; on the button `do` it calls `carry_out(answers)`, and closes when that has no fault to tell."""

    def __init__(self, parent: QWidget, title: str, questions: Sequence[Question], carry_out: Callable[[Answers], str], do: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self._carry_out = carry_out
        self._fields: dict[str, QLineEdit | QComboBox] = {}
        self._fault = QLabel()
        self._fault.setProperty("kind", "red")
        self._fault.setWordWrap(True)
        self._fault.hide()
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for question in questions:
            self._ask(form, question)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        for which, words in ((QDialogButtonBox.StandardButton.Ok, do), (QDialogButtonBox.StandardButton.Cancel, tr("Let it be"))):
            if button := buttons.button(which):
                button.setText(words)
                button.setIcon(QIcon())
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(form)
        column.addWidget(self._fault)
        column.addWidget(buttons)
        self.setMinimumWidth(_WIDE_PX)

    def field(self, name: str) -> QLineEdit | QComboBox:
        """The field of a question."""
        return self._fields[name]

    @property
    def answers(self) -> Answers:
        """What stands in the fields now, by the questions' names."""
        return {
            name: field.text().strip() if isinstance(field, QLineEdit) else str(field.currentData()) for name, field in self._fields.items()
        }

    @property
    def fault(self) -> str:
        """What was wrong with the answers, if anything."""
        return self._fault.text()

    def accept(self) -> None:
        """Carry it out, and close when that went well."""
        fault = self._carry_out(self.answers)
        self._fault.setText(fault)
        self._fault.setVisible(bool(fault))
        if not fault:
            super().accept()
            return
        # A label that wraps asks for no room by itself.
        if layout := self.layout():
            layout.activate()
            self.resize(self.width(), max(self.height(), layout.totalHeightForWidth(self.width())))

    def _ask(self, form: QFormLayout, question: Question) -> None:
        field: QLineEdit | QComboBox
        if question.choices:
            field = QComboBox()
            for answer, shown in question.choices:
                field.addItem(shown, answer)
            field.setCurrentIndex(max(0, field.findData(question.given)))
        else:
            field = QLineEdit(question.given)
            field.selectAll()
        field.setAccessibleName(question.asked)
        self._fields[question.name] = field
        label = QLabel(question.asked)
        label.setBuddy(field)
        form.addRow(label, self._with_button(field, question) if question.is_file and isinstance(field, QLineEdit) else field)
        if question.hint:
            hint = QLabel(question.hint)
            hint.setProperty("kind", "soft")
            hint.setWordWrap(True)
            form.addRow("", hint)

    def _with_button(self, field: QLineEdit, question: Question) -> QWidget:
        def look() -> None:
            kinds = tr("Pictures (*.png *.jpg *.jpeg)")
            chosen, _ = QFileDialog.getOpenFileName(self, question.asked, str(Path(field.text()).parent), kinds)
            if chosen:
                field.setText(chosen)

        button = QPushButton(tr("Look ..."))
        button.setAutoDefault(False)
        button.clicked.connect(lambda _checked=False: look())
        both = QWidget()
        row = QHBoxLayout(both)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(field, 1)
        row.addWidget(button)
        return both
