"""The page that is shown while no file is open: three steps, and the ways to a file."""

from __future__ import annotations

from datetime import datetime

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLabel, QVBoxLayout, QWidget

from previs.desk.open_file import Said, Tone
from previs.desk.words import tr


class StartPage(QWidget):
    """`asked_to_open` has the path of a sequence file; `said` and `running` are for the foot of the window."""

    asked_to_open = pyqtSignal(object)
    said = pyqtSignal(object)
    running = pyqtSignal(object)

    def __init__(self) -> None:
        super().__init__()
        self.log: list[Said] = []
        column = QVBoxLayout(self)
        column.addWidget(QLabel(tr("No file is open.")))

    def say_fault(self, sentence: str) -> None:
        """Say why a file was not opened."""
        line = Said(datetime.now().astimezone(), sentence, Tone.FAULT)
        self.log.append(line)
        self.said.emit(line)

    def stop(self) -> None:
        """Stop what this page is doing."""

    def close_down(self) -> None:
        """The window closes."""
