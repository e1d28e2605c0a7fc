"""One note in full, where it can be followed to, and the answer to it; it answers nothing itself."""

from __future__ import annotations

from PyQt6.QtCore import QSize, Qt, pyqtSignal
from PyQt6.QtGui import QAction
from PyQt6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from previs.desk.plain import PlainLabel
from previs.desk.review.card_words import card_words
from previs.desk.review.rows import state_words
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.review.note_lists import Standing, has_safety_worry


class _Field(QPlainTextEdit):
    """A field for words that asks for room for so many lines, and takes more where there is some."""

    def __init__(self, lines: int) -> None:
        super().__init__()
        self._lines = lines
        self.setTabChangesFocus(True)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Room for its lines."""
        return QSize(160, self.fontMetrics().height() * self._lines + 14)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """It never has less."""
        return self.sizeHint()


class NoteCard(QWidget):
    """A note and the words of an answer. What is written and not given yet is kept for each note until it is answered.

    Buttons are made of the place's actions, so that each tells its key. `answer_wanted` when the answer's field is to be seen,
    `answer_given` when it has done its work.
    """

    answer_wanted = pyqtSignal()
    answer_given = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.heading, self.written, self.given, self.now, self.state = (_plain() for _ in range(5))
        self.text, self.answer = _Field(3), _Field(2)
        self._follow, self._answers = QGridLayout(), QHBoxLayout()
        self._ident, self._given_answer = "", ""
        self._begun: dict[str, str] = {}
        self._lay_out()
        self.put(None, None, None)

    @property
    def words(self) -> str:
        """The answer as it stands in the field."""
        return self.answer.toPlainText().strip()

    def put(self, sequence: Sequence | None, cut: Cut | None, one: Standing | None) -> None:
        """Show a note, or that none is chosen."""
        self._keep_begun()
        self.answer.setEnabled(one is not None)
        if sequence is None or one is None:
            self._ident = ""
            for label in (self.written, self.given, self.now, self.state):
                label.setText("")
            self.heading.setText(tr("No note is chosen."))
            self._fill("", "")
            return
        said = card_words(sequence, cut, one)
        self._ident = one.note.ident
        for label, words in ((self.heading, said.heading), (self.written, said.written), (self.given, said.given), (self.now, said.now)):
            label.setText(words)
        self.state.setText(state_words(one.note.state))
        self.heading.setProperty("kind", "red" if has_safety_worry((one,)) else "heading")
        if style := self.heading.style():
            style.polish(self.heading)
        self._fill(one.note.text or tr("(no words)"), one.note.answer)

    def forget(self, ident: str) -> None:
        """The note was answered: what was begun for it has become its answer."""
        self._begun.pop(ident, None)
        if ident == self._ident:
            self._given_answer = self.answer.toPlainText()
        self.answer_given.emit()

    def ask_why(self) -> None:
        """Put the keys where an answer is written."""
        self.answer.setFocus()
        self.answer_wanted.emit()

    def add_follow(self, action: QAction, text: str) -> None:
        """A button that leads somewhere."""
        at = self._follow.count()
        self._follow.addWidget(button_of(action, text), at // 2, at % 2)

    def add_answer(self, action: QAction, text: str) -> None:
        """A button that answers."""
        self._answers.addWidget(button_of(action, text))

    def _keep_begun(self) -> None:
        if self._ident and self.answer.toPlainText() != self._given_answer:
            self._begun[self._ident] = self.answer.toPlainText()
        else:
            self._begun.pop(self._ident, None)

    def _fill(self, text: str, answer: str) -> None:
        if text != self.text.toPlainText():
            self.text.setPlainText(text)
        self._given_answer = answer
        begun = self._begun.get(self._ident, answer)
        if begun != self.answer.toPlainText():
            self.answer.setPlainText(begun)

    def _lay_out(self) -> None:
        self.heading.setProperty("kind", "heading")
        for label in (self.written, self.state):
            label.setProperty("kind", "soft")
        self.text.setReadOnly(True)
        self.text.setAccessibleName(tr("The note"))
        # A notes file that is dropped here is taken in, not written into the answer.
        self.answer.setAcceptDrops(False)
        self.answer.setAccessibleName(tr("The answer"))
        self.answer.setPlaceholderText(tr("The answer: the reviewer reads it on the next page."))
        head = QHBoxLayout()
        head.addWidget(self.heading, 1)
        head.addWidget(self.state, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(5)
        column.addLayout(head)
        column.addWidget(self.written)
        column.addWidget(self.text, 2)
        column.addWidget(self.given)
        column.addWidget(self.now)
        column.addLayout(self._follow)
        column.addWidget(self.answer, 1)
        column.addLayout(self._answers)


def _plain() -> QLabel:
    """A label whose words, which others wrote, are never taken for markup."""
    label = PlainLabel()
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def button_of(action: QAction, text: str) -> QPushButton:
    """A button for an action, that can be pressed when the action can be done."""
    button = QPushButton(text)
    button.setToolTip(tr("{what}  ({keys})", what=action.text(), keys=", ".join(key.toString() for key in action.shortcuts())))
    button.clicked.connect(lambda _checked=False: action.trigger())
    button.setEnabled(action.isEnabled())
    button.setCheckable(action.isCheckable())
    action.toggled.connect(button.setChecked)
    action.enabledChanged.connect(button.setEnabled)
    return button
