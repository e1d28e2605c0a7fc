"""What of a floor is looked at: the cut, the phrase or whichever is on screen, the role, the section as it is laid; it draws nothing."""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QComboBox, QWidget

from previs.desk.open_file import OpenFile
from previs.desk.tapes.flow import Flow
from previs.desk.words import tr

_FOLLOWS = -1


class Choices(QWidget):
    """`changed` when something else is looked at. The phrase that is on screen is told to it with `put_phrase_now`."""

    changed = pyqtSignal()

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._phrase_now: int | None = None
        self.cuts, self.phrases, self.roles, self.sections = QComboBox(), QComboBox(), QComboBox(), QComboBox()
        for box, name in (
            (self.cuts, tr("The cut that plays")),
            (self.phrases, tr("The phrase whose ways are shown")),
            (self.roles, tr("The role whose way is shown")),
            (self.sections, tr("The section of the plan as it is laid")),
        ):
            box.setAccessibleName(name)
            box.setToolTip(name)
        self.cuts.activated.connect(lambda _: file.choose_cut(self.cuts.currentText()))
        for box in (self.phrases, self.roles, self.sections):
            box.activated.connect(lambda _: self.changed.emit())
        self.flow = Flow()
        for box in (self.cuts, self.phrases, self.roles, self.sections):
            self.flow.addWidget(box)
        self.setLayout(self.flow)
        self.show_file()

    @property
    def phrase(self) -> int | None:
        """The phrase that is looked at, None while there is none."""
        chosen: int | None = self.phrases.currentData()
        return self._phrase_now if chosen == _FOLLOWS else chosen

    @property
    def follows(self) -> bool:
        """Whether the phrase is whichever is on screen."""
        return bool(self.phrases.currentData() == _FOLLOWS)

    @property
    def role(self) -> str:
        """The role that is looked at, empty for all of them."""
        return self.roles.currentData() or ""

    @property
    def section(self) -> int:
        """The number of the section, from 0."""
        return max(self.sections.currentIndex(), 0)

    def put_phrase_now(self, phrase: int | None) -> None:
        """Tell which phrase is on screen."""
        if phrase != self._phrase_now:
            self._phrase_now = phrase
            self.phrases.setItemText(0, self._following())
            if self.follows:
                self.changed.emit()

    def follow(self) -> None:
        """Look at the phrase that is on screen."""
        self.phrases.setCurrentIndex(0)
        self.changed.emit()

    def look_at(self, phrase: int, role: str = "") -> None:
        """Look at a phrase, and at a role where one is named."""
        self.phrases.setCurrentIndex(max(self.phrases.findData(phrase), 0))
        if role and self.role:
            self.roles.setCurrentIndex(max(self.roles.findData(role), 0))
        self.changed.emit()

    def other_phrase(self, by: int) -> None:
        """The phrase before or after the one that is looked at."""
        numbers = [phrase.number for phrase in self._file.sequence.phrases]
        if numbers:
            here = numbers.index(self.phrase) if self.phrase in numbers else 0
            self.look_at(numbers[min(max(here + by, 0), len(numbers) - 1)])

    def next_of(self, box: QComboBox) -> None:
        """The next entry of a box, the first after the last."""
        if box.count() > 1:
            box.setCurrentIndex((box.currentIndex() + 1) % box.count())
            self.changed.emit()

    def show_file(self) -> None:
        """Offer what the file has now; what was chosen stays so where it can."""
        sequence, cut = self._file.sequence, self._file.cut
        names = [one.name for one in sequence.cuts]
        _offer(self.cuts, [(name, name) for name in names] or [(tr("no cut yet"), "")])
        self.cuts.setCurrentIndex(max(self.cuts.findData(cut.name if cut else ""), 0))
        self.cuts.setEnabled(bool(names))
        phrases = [(tr("phrase {number}", number=phrase.number), phrase.number) for phrase in sequence.phrases]
        _offer(self.phrases, [(self._following(), _FOLLOWS), *phrases])
        _offer(self.roles, [(tr("every role"), ""), *((role, role) for role in sequence.roles)])
        laid = sequence.floor.laid if sequence.floor else ()
        _offer(self.sections, [(one.name or tr("all of the plan"), number) for number, one in enumerate(laid)])
        self.sections.setVisible(len(laid) > 1)

    def _following(self) -> str:
        if self._phrase_now is None:
            return tr("the phrase on screen")
        return tr("on screen: phrase {number}", number=self._phrase_now)


def _offer(box: QComboBox, entries: list[tuple[str, object]]) -> None:
    if entries == [(box.itemText(at), box.itemData(at)) for at in range(box.count())]:
        return
    chosen = box.currentData()
    box.clear()
    for text, data in entries:
        box.addItem(text, data)
    box.setCurrentIndex(max(box.findData(chosen), 0) if entries else -1)
