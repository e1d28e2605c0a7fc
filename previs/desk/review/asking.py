"""The dialog that asks what goes into a review folder; it writes none."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtWidgets import QCheckBox, QComboBox, QWidget

from previs.desk.asking import Asking, PlaceField
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.faults import UseFault
from previs.review.folder import refuse_impossible


class ReviewDialog(Asking):
    """Asks for the cut, another to show beside it, whether the footage is confidential, and the folder."""

    def __init__(self, sequence: Sequence, cut: Cut, output: Path, parent: QWidget | None) -> None:
        about = tr(
            "One page with its movies, for any browser, without a network. It takes notes, and saves them as a file to send back. "
            "What an earlier review has in the folder is replaced."
        )
        super().__init__(tr("Write the review"), about, tr("Write it"), parent)
        self._sequence = sequence
        self._cut, self._beside = QComboBox(), QComboBox()
        self.confidential = QCheckBox(tr("Say on the page and in the movie that rehearsal footage is not for distribution"))
        self.confidential.setChecked(True)
        self.place = PlaceField(output, tr("The folder of the review"), folder=True)
        for one in sequence.cuts:
            self._cut.addItem(one.name, one)
        self._cut.setCurrentIndex(max(0, self._cut.findText(cut.name)))
        self._cut.currentIndexChanged.connect(lambda _: self._offer_others())
        self._offer_others()
        self.form.addRow(tr("The cut"), self._cut)
        self.form.addRow(tr("Beside it, in step"), self._beside)
        self.form.addRow("", self.confidential)
        self.form.addRow(tr("The folder"), self.place)

    @property
    def cut(self) -> Cut:
        """The cut that is to be reviewed."""
        chosen: Cut = self._cut.currentData()
        return chosen

    @property
    def beside(self) -> Cut | None:
        """The cut that is shown beside it, or None."""
        chosen: Cut | None = self._beside.currentData()
        return chosen

    def choose(self, cut: str, beside: str = "") -> None:
        """Choose the cuts by their names; an empty one for none beside."""
        self._cut.setCurrentIndex(self._cut.findText(cut))
        self._beside.setCurrentIndex(self._beside.findText(beside) if beside else 0)

    def do(self) -> None:
        """Look at what is asked before anything is begun."""
        if not self.place.line.text().strip():
            raise UseFault(tr("Name a folder for the review."))
        refuse_impossible(self.cut, self.place.path, self.beside)

    def _offer_others(self) -> None:
        """Every other cut; the one that was chosen stays so where it can."""
        chosen = self._beside.currentText() if self._beside.currentIndex() > 0 else ""
        self._beside.clear()
        self._beside.addItem(tr("no other cut"), None)
        for one in self._sequence.cuts:
            if one is not self.cut:
                self._beside.addItem(one.name, one)
        self._beside.setCurrentIndex(max(0, self._beside.findText(chosen)) if chosen else 0)
