"""The column of the Hand-off place from which things are handed on: buttons, care, what changed and what was written; it writes nothing."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPainter, QPaintEvent
from PyQt6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QListWidget, QPushButton, QSizePolicy, QSplitter, QVBoxLayout, QWidget

from previs.desk.handoff.changed import Changed
from previs.desk.plain import PlainLabel
from previs.desk.words import tr

Ways = list[tuple[str, Callable[[], None]]]
"""Buttons: what they say and what they do."""


class PathLabel(PlainLabel):
    """A path of which the end is seen where there is too little room; its tip has all of it."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("kind", "soft")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """The words, shortened in front."""
        painter = QPainter(self)
        painter.setPen(self.palette().windowText().color())
        words = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideLeft, self.width())
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter, words)


class HandingColumn(QWidget):
    """All that hands on. `needs_cut` are the buttons that are of no use without a cut."""

    def __init__(self, departments: Ways, papers: Ways, changed: Changed) -> None:
        super().__init__()
        self.folder, self.choose = PathLabel(), QPushButton(tr("Folder ..."))
        self.care, self.read = PlainLabel(), QPushButton(tr("Read all"))
        self.written, self.open_folder = QListWidget(), QPushButton(tr("Open the folder"))
        self.needs_cut: list[QPushButton] = [self.read]
        self._written_part = QWidget()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(6, 0, 0, 0)
        lines.setSpacing(8)
        lines.addLayout(self._folder_line())
        lines.addLayout(self._buttons(departments))
        lines.addWidget(_heading(tr("One by one")))
        lines.addLayout(self._buttons(papers))
        lines.addLayout(self._care_line())
        below = QSplitter(Qt.Orientation.Vertical)
        below.addWidget(changed)
        below.addWidget(self._written_box())
        below.setChildrenCollapsible(False)
        lines.addWidget(below, 1)

    def show_written(self, sentences: tuple[str, ...]) -> None:
        """Show what was written."""
        self.written.clear()
        self.written.addItems(sentences)
        self._written_part.setVisible(True)

    def _folder_line(self) -> QHBoxLayout:
        self.choose.setToolTip(tr("Choose another folder for the departments' folders."))
        row = QHBoxLayout()
        row.addWidget(_heading(tr("Hand on to")))
        row.addWidget(self.folder, 1)
        row.addWidget(self.choose)
        return row

    def _buttons(self, ways: Ways) -> QGridLayout:
        grid = QGridLayout()
        for number, (text, do) in enumerate(ways):
            button = QPushButton(text)
            button.clicked.connect(lambda _checked=False, do=do: do())
            self.needs_cut.append(button)
            grid.addWidget(button, number // 2, number % 2)
        return grid

    def _care_line(self) -> QHBoxLayout:
        self.care.setWordWrap(True)
        self.read.setAccessibleName(tr("Read all cautions"))
        row = QHBoxLayout()
        row.addWidget(self.care, 1)
        row.addWidget(self.read, 0, Qt.AlignmentFlag.AlignTop)
        return row

    def _written_box(self) -> QWidget:
        self.written.setWordWrap(True)
        self.written.setAccessibleName(tr("What was written"))
        row = QHBoxLayout()
        row.addWidget(_heading(tr("Written")), 1)
        row.addWidget(self.open_folder)
        lines = QVBoxLayout(self._written_part)
        lines.setContentsMargins(0, 4, 0, 0)
        lines.addLayout(row)
        lines.addWidget(self.written, 1)
        self._written_part.setVisible(False)
        return self._written_part


def _heading(text: str) -> QLabel:
    label = PlainLabel(text)
    label.setProperty("kind", "heading")
    return label
