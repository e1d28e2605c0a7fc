"""The dialog that asks how a movie of the cut is wanted; it makes none."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtWidgets import QCheckBox, QComboBox, QWidget

from previs.desk.asking import Asking, PlaceField
from previs.desk.words import tr
from previs.faults import UseFault
from previs.media.publish import Quality
from previs.replacing import named_with


class MovieDialog(Asking):
    """Asks for the quality, the leader and its beep, and where the movie goes."""

    def __init__(self, cut: str, output: Path, parent: QWidget | None) -> None:
        about = tr("H.264 and AAC, with exactly the cut's number of frames.")
        super().__init__(tr("Publish cut {cut}", cut=cut), about, tr("Publish"), parent)
        self._quality = QComboBox()
        qualities: tuple[tuple[Quality, str], ...] = (
            ("draft", tr("draft: from the work copies, in seconds, large")),
            ("final", tr("final: small, for sending")),
            ("originals", tr("originals: from the tapes themselves, slowest")),
        )
        for quality, told in qualities:
            self._quality.addItem(told, quality)
        self._quality.setCurrentIndex(1)
        self.leader, self.beep = QCheckBox(tr("Begin with a countdown of eight seconds")), QCheckBox(tr("With two frames of tone at two"))
        self.beep.setEnabled(False)
        self.leader.toggled.connect(self.beep.setEnabled)
        self.leader.toggled.connect(lambda on: None if on else self.beep.setChecked(False))
        self.place = PlaceField(output, tr("Where the movie goes"), folder=False, kinds=tr("Movies (*.mp4 *.mov)"))
        self.form.addRow(tr("Quality"), self._quality)
        self.form.addRow("", self.leader)
        self.form.addRow("", self.beep)
        self.form.addRow(tr("Where the movie goes"), self.place)

    @property
    def quality(self) -> Quality:
        """The quality that is chosen."""
        chosen: Quality = self._quality.currentData()
        return chosen

    def choose(self, quality: Quality) -> None:
        """Choose a quality."""
        self._quality.setCurrentIndex(self._quality.findData(quality))

    def do(self) -> None:
        """Look at the name before anything is begun."""
        path = self.place.path
        if path.suffix.lower() not in (".mp4", ".mov"):
            raise UseFault(tr("A movie is an .mp4 or a .mov; name it {name}.", name=named_with(path, ".mp4")))
