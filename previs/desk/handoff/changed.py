"""What changed since an earlier cut, in the words of `previs changes`; choosing a step goes there."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QComboBox, QHBoxLayout, QListWidget, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from previs.cut.changes import Change, Labels, changes
from previs.desk.open_file import OpenFile, Spot
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.document.model import Cut, Sequence


class Changed(QWidget):
    """Compares the cut that is worked on with one chosen here. `export_wanted` when the list is to be written."""

    export_wanted = pyqtSignal()

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._steps: tuple[Change, ...] = ()
        self.since, self.steps, self.export = QComboBox(), QListWidget(), QPushButton(tr("Write it ..."))
        self.since.setAccessibleName(tr("What changed since this cut"))
        self.since.setMinimumContentsLength(6)
        self.steps.setAccessibleName(tr("What changed"))
        self.steps.setWordWrap(True)
        self.export.setToolTip(tr("As a .txt to follow by hand, or as a .csv."))
        self.export.clicked.connect(lambda: self.export_wanted.emit())
        self.steps.itemActivated.connect(self._go)
        self.since.activated.connect(lambda _: self._show())
        heading = PlainLabel(tr("What changed since"))
        heading.setProperty("kind", "heading")
        row = QHBoxLayout()
        row.addWidget(heading)
        row.addWidget(self.since)
        row.addStretch(1)
        row.addWidget(self.export)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        column.addWidget(self.steps, 1)
        self.show_cuts()

    @property
    def before(self) -> Cut | None:
        """The cut that is compared with, or None for none."""
        return next((cut for cut in self._file.sequence.cuts if cut.name == self.since.currentText()), None)

    def show_cuts(self) -> None:
        """Offer the other cuts, the one before first, and keep the one that was chosen where it is still there."""
        cut, chosen = self._file.cut, self.since.currentText()
        others = [one.name for one in self._file.sequence.cuts if cut and one.name != cut.name]
        self.since.clear()
        self.since.addItems(others)
        names = [one.name for one in self._file.sequence.cuts]
        earlier = [name for name in others if cut and names.index(name) < names.index(cut.name)]
        self.since.setCurrentText(chosen if chosen in others else (earlier or others or [""])[-1])
        self.since.setEnabled(bool(others))
        self._show()

    def _show(self) -> None:
        sequence, after, before = self._file.sequence, self._file.cut, self.before
        if after is None or before is None:
            self._put(sequence, after, before, ())
            return
        # Two cuts of hundreds of shots take longer to compare than a key press may.
        self._file.look(
            tr("Comparing {after} with {before}", after=after.name, before=before.name),
            lambda _: changes(sequence, before, after),
            lambda found: self._put(sequence, after, before, found),
        )

    def _put(self, sequence: Sequence, after: Cut | None, before: Cut | None, found: tuple[Change, ...]) -> None:
        if sequence is not self._file.sequence or after is not self._file.cut or before is not self.before:
            return  # of cuts that are gone already; they are being compared anew
        self._steps = found
        self.steps.clear()
        self.export.setEnabled(before is not None)
        label = Labels(sequence)
        for number, one in enumerate(found, start=1):
            self.steps.addItem(tr("{number}. At {time}: {sentence}", number=number, time=label.record(one.at_frame), sentence=one.sentence))
        if not found:
            told = tr("There is no other cut to compare with.") if before is None else tr("The two show and sound the same.")
            item = QListWidgetItem(told)
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            self.steps.addItem(item)

    def _go(self, item: QListWidgetItem) -> None:
        row, cut = self.steps.row(item), self._file.cut
        if cut and 0 <= row < len(self._steps):
            step = self._steps[row]
            shot = step.after.number if step.after else None
            self._file.go(Spot("cut", shot=shot, frame=min(step.at_frame, max(cut.frames - 1, 0))))
