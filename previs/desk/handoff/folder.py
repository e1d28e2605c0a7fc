"""The dialog that asks for the folder to hand on in, one that is there or a new one; it makes none."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtWidgets import QWidget

from previs.desk.asking import Asking, PlaceField
from previs.desk.words import tr
from previs.handoff.folders import refuse_a_file


class FolderDialog(Asking):
    """Asks for a folder, by a name to write or in the system's own dialog; the name of a new one is taken too."""

    def __init__(self, given: Path, parent: QWidget | None) -> None:
        about = tr("Each department gets a folder of its own in it. A folder that is not there yet is made when something is written.")
        super().__init__(tr("Hand on in this folder"), about, tr("Hand on here"), parent)
        self.place = PlaceField(given, tr("Hand on in this folder"), folder=True)
        self.form.addRow(tr("Folder"), self.place)

    def do(self) -> None:
        """Refuse what cannot be a folder."""
        refuse_a_file(self.place.path)
