"""The dialog with the settings of the sequence, read and refused as by the verb `set`."""

from __future__ import annotations

from PyQt6.QtWidgets import QLineEdit, QWidget

from previs.desk.asking import Asking
from previs.desk.open_file import OpenFile
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.document.settings import set_to, settings_changed, settings_table
from previs.exchange.settings_written import WrittenSettings, read_settings
from previs.faults import Fault

_FIELDS = (
    ("title", "title"),
    ("target", "target"),
    ("start", "start"),
    ("retiming", "most retiming"),
    ("breath", "least breath"),
    ("lead", "lead before a hit"),
    ("wanted_shot", "wanted shot"),
    ("least_shot", "least shot"),
    ("handles", "handles"),
    ("raster", "raster"),
)
"""The fields by the names that they are read by, and by those of the table of settings."""


class SettingsDialog(Asking):
    """Shows what the sequence is set to; what is written otherwise is changed as one step."""

    def __init__(self, file: OpenFile, parent: QWidget | None) -> None:
        told = tr(
            "Lengths are frames (36), seconds (1.5s) or time code. Cuts that are there keep their own target; assemble again for a new one."
        )
        super().__init__(tr("Settings of the sequence"), told, tr("Set"), parent)
        self._file = file
        table = settings_table(file.sequence)
        self.fields: dict[str, QLineEdit] = {}
        self._before: dict[str, str] = {}
        labels = _labels()
        for name, kept in _FIELDS:
            text = table[kept].removesuffix(" frames").removesuffix(" frame").replace(" s", "s") if kept != "title" else table[kept]
            self.fields[name], self._before[name] = QLineEdit(text), text
            self.form.addRow(labels[name], self.fields[name])
        counted = PlainLabel(table["counted"])
        counted.setWordWrap(True)
        counted.setToolTip(tr("The rate is chosen when a fight is begun: every mark and cut counts by it."))
        self.form.addRow(tr("Counted at"), counted)

    def do(self) -> None:
        """Set what was written otherwise."""
        changed = {name: field.text() for name, field in self.fields.items() if field.text() != self._before[name]}
        if not changed:
            return
        wanted = read_settings(WrittenSettings(**changed), self._file.sequence.timebase)
        said: list[str] = []

        def change(sequence: Sequence) -> Sequence:
            after = set_to(sequence, wanted)
            said.append(settings_changed(sequence, after))
            return after

        change(self._file.sequence)  # a fault is shown here, beside the fields
        names = ", ".join(name.replace("_", " ") for name in changed)
        if not self._file.edit(change, f"set {names}"):
            raise Fault(self._file.log[-1].sentence)
        self._file.say(said[-1])


def _labels() -> dict[str, str]:
    return {
        "title": tr("Title"),
        "target": tr("Target length"),
        "start": tr("Time code of the first frame"),
        "retiming": tr("A shot may be stretched or squeezed by"),
        "breath": tr("Of a breath must stay at least"),
        "lead": tr("A cut comes before a hit by"),
        "wanted_shot": tr("Shots are steered towards"),
        "least_shot": tr("No shot is shorter than"),
        "handles": tr("Handles of a pull, on each side"),
        "raster": tr("Picture that is published"),
    }
