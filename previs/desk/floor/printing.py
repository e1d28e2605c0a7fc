"""What is printed of the floor: tape-out sheets in a folder, and the list of cues; written in the background."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from PyQt6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QWidget

from previs.desk.asking import Asking, PlaceField
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Cut
from previs.faults import UseFault
from previs.floor.cues import cues
from previs.floor.measuring_units import Units
from previs.floor.sheet_folder import SheetsWanted, write_tape_outs
from previs.floor.sheet_scale import SheetPaper, parsed_scale
from previs.floor.tape_out import FOR_TAPING
from previs.handoff.cue_sheets import checked, write_cues
from previs.handoff.sheet_files import Paper
from previs.progress import Report


class SheetsDialog(Asking):
    """Asks how tape-out sheets are wanted, and for their folder."""

    def __init__(self, output: Path, parent: QWidget | None) -> None:
        about = tr("Numbered points, each with its lengths from two others, as PDF, DXF and CSV. {only}", only=FOR_TAPING)
        super().__init__(tr("Tape-out sheets"), about, tr("Write them"), parent)
        self.units, self.paper, self.scale = QComboBox(), QComboBox(), QLineEdit()
        for unit in Units:
            self.units.addItem(unit.words, unit)
        for paper in SheetPaper:
            self.paper.addItem(paper.value.upper() if len(paper.value) == 2 else paper.value.capitalize(), paper)
        self.scale.setPlaceholderText(tr("the largest usual one that fits; or such as 1:75"))
        self.full_size = QCheckBox(tr("Also at full size, on many pages to join"))
        self.place = PlaceField(output, tr("The folder of the sheets"), folder=True)
        for words, field in (
            (tr("Measuring tapes in"), self.units),
            (tr("Paper"), self.paper),
            (tr("Scale"), self.scale),
            ("", self.full_size),
            (tr("The folder"), self.place),
        ):
            field.setAccessibleName(words or self.full_size.text())
            self.form.addRow(words, field)

    @property
    def wanted(self) -> SheetsWanted:
        """How they are wanted; raises `UseFault` for a scale that is none."""
        scale = parsed_scale(self.scale.text()) if self.scale.text().strip() else None
        return SheetsWanted(self.units.currentData(), self.paper.currentData(), scale, self.full_size.isChecked())

    def do(self) -> None:
        """Look at what is asked before anything is begun."""
        if not self.place.line.text().strip():
            raise UseFault(tr("Name a folder for the sheets."))
        if self.place.path.exists() and not self.place.path.is_dir():
            raise UseFault(tr("{path} is a file; name a folder for the sheets.", path=self.place.path))
        _ = self.wanted


class Printing:
    """Writes of one open file; `told` is given the sentences on sheets that were written."""

    def __init__(self, file: OpenFile, told: Callable[[tuple[str, ...]], None]) -> None:
        self._file, self._told = file, told

    def sheets(self, folder: Path, wanted: SheetsWanted) -> None:
        """Write the tape-out sheets of the plan as it is laid."""
        sequence, document = self._file.sequence, self._file.path

        def write(report: Report) -> tuple[str, ...]:
            said: list[str] = []
            write_tape_outs(sequence, document, folder, wanted, date.today(), said.append, report)
            return tuple(said)

        def then(said: tuple[str, ...]) -> None:
            self._file.say(said[-1])
            self._told(said)

        self._file.do(tr("Writing tape-out sheets"), write, then)

    def cues(self, cut: Cut | None, role: str, output: Path) -> None:
        """Write the cues of a role, or of all of them; raises `UseFault` for a name that no list has."""
        checked(output)
        sequence = self._file.sequence

        def write(_report: Report) -> Path:
            found = [cue for cue in cues(sequence, cut) if not role or cue.role == role]
            write_cues(sequence, cut, found, output, Paper.A4, date.today())
            return output

        self._file.do(tr("Writing the cues"), write, lambda path: self._file.say(tr("{file} is written.", file=path)))
