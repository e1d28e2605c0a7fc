"""The dialogs of the start page: what a new fight is to be, and where the sample is to be kept; the rules are those of `beginning`."""

from __future__ import annotations

import re
from pathlib import Path

from PyQt6.QtWidgets import QComboBox, QLineEdit, QWidget

from previs.clock import RATES, Rate, Timebase
from previs.desk.asking import Asking, PlaceField
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.document.store import create
from previs.exchange.beginning import ENDING, begun_told, sequence_begun
from previs.exchange.written import length_in_frames
from previs.faults import UseFault


def length_read(text: str, rate: str, start: str) -> str:
    """How a length that is being written is understood, or how one is written where it is not; a bare number is frames."""
    try:
        timebase = Timebase(Rate.parse(rate), ";" in start)
        frames = length_in_frames(text.strip(), timebase)
    except UseFault:
        return tr("Time code (00:00:48:00), seconds (48s) or frames (1152).")
    seconds = f"{float(frames / timebase.rate.fps):.3f}".rstrip("0").rstrip(".")
    if text.strip().isdigit():
        return tr("{frames} frames, which is {seconds} s; for seconds write {text}s.", frames=frames, seconds=seconds, text=text.strip())
    return tr("{frames} frames, which is {seconds} s.", frames=frames, seconds=seconds)


class BeginDialog(Asking):
    """Asks what a new fight is to be, and begins its file; `path` and `told` say what was begun."""

    def __init__(self, folder: Path, parent: QWidget | None) -> None:
        super().__init__(tr("Begin a fight"), tr("What the sequence may last, and how it is counted."), tr("Begin"), parent)
        self._folder = folder
        self.path, self.told = Path(), ""
        self.title, self.start, self.target = QLineEdit(), QLineEdit("01:00:00:00"), QLineEdit("00:01:00:00")
        self.rate, self._lasts = QComboBox(), PlainLabel()
        self._lasts.setProperty("kind", "soft")
        self._lasts.setWordWrap(True)
        self.rate.addItems([one.name for one in RATES])
        self.rate.setCurrentText("24")
        self.place = PlaceField(folder / f"fight{ENDING}", tr("Where to keep it"), folder=False, kinds=tr("Sequences (*.previs)"))
        self.title.setPlaceholderText(tr("as it stands on the edit list"))
        self.form.addRow(tr("Title"), self.title)
        self.form.addRow(tr("Frames a second"), self.rate)
        self.form.addRow(tr("Time code of the first frame"), self.start)
        self.form.addRow(tr("Target length"), self.target)
        self.form.addRow("", self._lasts)
        self.form.addRow(tr("Where to keep it"), self.place)
        self.start.setToolTip(tr("A semicolon means drop-frame, at 29.97 and 59.94."))
        self.title.textEdited.connect(self._name_after)
        for changed in (self.target.textChanged, self.start.textChanged, self.rate.currentTextChanged):
            changed.connect(self._tell_length)
        self._tell_length()

    def do(self) -> None:
        """Begin the file."""
        path = self.place.path
        if path.name and not path.suffix:
            path = path.with_name(path.name + ENDING)
        made = sequence_begun(path, self.title.text(), self.rate.currentText(), self.start.text().strip(), self.target.text().strip())
        begun = create(path, made)
        self.path, self.told = begun.path, f"{begun_told(path, made)} {begun.doubt}".rstrip()

    def _tell_length(self, *_: str) -> None:
        self._lasts.setText(length_read(self.target.text(), self.rate.currentText(), self.start.text()))

    def _name_after(self, title: str) -> None:
        """Keep the file's name after the title, until the person gives it another."""
        name = re.sub(r"[^\w]+", "_", title.lower()).strip("_")[:60] or "fight"
        if not self.place.line.isModified():
            self.place.line.setText(str(self._folder / f"{name}{ENDING}"))


class SampleDialog(Asking):
    """Asks for the folder of the sample."""

    def __init__(self, folder: Path, parent: QWidget | None) -> None:
        told = tr(
            "The Salt Stair: nine invented rehearsal tapes, the written fight, all marks and a first cut. Its file is put into a folder of "
            "its own; a sample that is there already is opened as it is."
        )
        super().__init__(tr("Open the sample"), told, tr("Open the sample"), parent)
        self.place = PlaceField(folder, tr("Folder"), folder=True)
        self.form.addRow(tr("Folder"), self.place)
