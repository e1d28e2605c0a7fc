"""A short form of questions; what is wrong with an answer is told in the form, which stays open until it is right or let be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PyQt6.QtWidgets import QComboBox, QFileDialog, QHBoxLayout, QLineEdit, QPushButton, QWidget

from previs.desk.asking import Asking, went_through
from previs.desk.cut.questions import Answers, Question
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.faults import UseFault


class Form(Asking):
    """Asks `questions`; on the button `do` it calls `carry_out(answers)`, and closes when that has no fault to tell."""

    def __init__(self, parent: QWidget, title: str, questions: Sequence[Question], carry_out: Callable[[Answers], str], do: str) -> None:
        super().__init__(title, "", do, parent)
        self._carry_out = carry_out
        self._fields: dict[str, QLineEdit | QComboBox] = {}
        for question in questions:
            self._ask(question)

    def field(self, name: str) -> QLineEdit | QComboBox:
        """The field of a question."""
        return self._fields[name]

    @property
    def answers(self) -> Answers:
        """What stands in the fields now, by the questions' names."""
        return {
            name: field.text().strip() if isinstance(field, QLineEdit) else str(field.currentData()) for name, field in self._fields.items()
        }

    def do(self) -> None:
        """Carry it out."""
        if fault := self._carry_out(self.answers):
            raise UseFault(fault)

    def _ask(self, question: Question) -> None:
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
        label = PlainLabel(question.asked)
        label.setBuddy(field)
        self.form.addRow(label, self._with_button(field, question) if question.is_file and isinstance(field, QLineEdit) else field)
        if question.hint:
            hint = PlainLabel(question.hint)
            hint.setProperty("kind", "soft")
            hint.setWordWrap(True)
            self.form.addRow("", hint)

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


def ask(parent: QWidget, title: str, questions: Sequence[Question], carry_out: Callable[[Answers], str], do: str) -> None:
    """Show a form until it is carried out or let be."""
    form = Form(parent, title, questions, carry_out, do)
    went_through(form)
