"""The line over the chart: which cut, how long it is against its target, and what can be done with it; it does none of that."""

from __future__ import annotations

from PyQt6.QtGui import QAction
from PyQt6.QtWidgets import QComboBox, QHBoxLayout, QMenu, QPushButton, QSizePolicy, QWidget

from previs.desk.open_file import OpenFile
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.exchange.lists import against_target


class Heading(QWidget):
    """Buttons are made of actions and menus that the place has."""

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._cuts, self._against = QComboBox(), PlainLabel()
        self._cuts.setAccessibleName(tr("The cut that is worked on"))
        self._cuts.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self._cuts.setMinimumWidth(80)
        self._cuts.setMaximumWidth(220)
        self._cuts.activated.connect(lambda _: file.choose_cut(self._cuts.currentText()))
        self._against.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._against.setWordWrap(True)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.addWidget(self._cuts)
        self._row.addWidget(self._against, 1)
        file.changed.connect(self._show)
        file.cut_chosen.connect(self._show)
        self._show()

    @property
    def told(self) -> str:
        """The length against the target, as it is shown."""
        return self._against.text()

    @property
    def chooser(self) -> QComboBox:
        """The list of cuts."""
        return self._cuts

    def add(self, action: QAction, text: str) -> QPushButton:
        """A button for an action, with words of its own where those of the action are long."""
        button = QPushButton(text)
        button.setToolTip(tr("{what}  ({keys})", what=action.text(), keys=action.shortcut().toString()))
        button.clicked.connect(lambda _checked=False: action.trigger())
        self._row.addWidget(button)
        return button

    def add_menu(self, text: str, menu: QMenu) -> QPushButton:
        """A button that opens a menu."""
        button = QPushButton(text)
        button.setMenu(menu)
        self._row.addWidget(button)
        return button

    def tell_length(self, sequence: Sequence | None) -> None:
        """How long the cut would be in this sequence; as it is, with None."""
        cut = self._file.cut
        if cut is None:
            self._against.setText("")
            return
        shown = sequence or self._file.sequence
        now = shown.cut(cut.name)
        told = tr("{length}, {against}", length=shown.timebase.duration(now.frames), against=against_target(shown, now))
        self._against.setText(told)

    def _show(self, *_: object) -> None:
        cut = self._file.cut
        names = [one.name for one in self._file.sequence.cuts]
        if names != [self._cuts.itemText(number) for number in range(self._cuts.count())]:
            self._cuts.clear()
            self._cuts.addItems(names)
        self._cuts.setCurrentIndex(names.index(cut.name) if cut else -1)
        self._cuts.setEnabled(bool(names))
        self.tell_length(None)
