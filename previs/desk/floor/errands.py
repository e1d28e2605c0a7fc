"""What a person fetches for the floor and takes away from it: asks for files and measures, and has them read and written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtWidgets import QDialog, QFileDialog, QWidget

from previs.desk.asking import went_through
from previs.desk.floor.layers_dialog import LayersDialog
from previs.desk.floor.laying_out import LayingOut
from previs.desk.floor.printing import Printing, SheetsDialog
from previs.desk.floor.reading import Reading
from previs.desk.floor.room_dialog import RoomDialog
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Tone
from previs.desk.words import tr
from previs.document.floor import Floor
from previs.faults import Fault
from previs.floor.drawing_survey import Survey
from previs.handoff.played import in_a_file_name


class Errands:
    """For one open file; `told` is given the sentences that the list of the plan is to show."""

    def __init__(self, file: OpenFile, memory: Memory, over: QWidget, told: Callable[[tuple[str, ...]], None]) -> None:
        self._file, self._memory, self._over = file, memory, over
        self.reading = Reading(file, self._ask_layers, told)
        self.laying = LayingOut(file, told)
        self.printing = Printing(file, told)

    def read_plan(self, *, asking: bool = False) -> None:
        """Ask for a drawing or a table, and read it."""
        kinds = tr("Plans (*.dxf *.csv *.xlsx);;All files (*)")
        if chosen := self.ask_files(tr("Read a plan"), kinds, several=False):
            self.reading.plan(chosen[0], asking=asking)

    def write_room(self) -> None:
        """Ask for the room's measures."""
        floor = self._file.sequence.floor or Floor()
        dialog = RoomDialog(floor.room, self._over)
        if self.answered(dialog):
            self.reading.take_room(dialog.room)

    def read_room(self) -> None:
        """Ask for a table, and read the room from it."""
        if chosen := self.ask_files(tr("Read the room"), _tables(), several=False):
            self.reading.room(chosen[0])

    def read_ways(self) -> None:
        """Ask for tables of routes and reaches, and read them."""
        if chosen := self.ask_files(tr("Read routes and reaches"), _tables(), several=True):
            self._try(lambda: self.reading.ways(chosen))

    def write_sheets(self) -> None:
        """Ask how the tape-out sheets are wanted, and write them."""
        floor = self._file.sequence.floor or Floor()
        if not floor.lines or floor.room is None or not floor.laid:
            missing = (
                tr("Read a plan") if not floor.lines else tr("Give the room") if floor.room is None else tr("Fit the plan into the room")
            )
            self._file.say(tr("There is nothing to tape out yet. {missing} first.", missing=missing), Tone.FAULT)
            return
        given = self._memory.text(f"tapeout {self._file.path}") or str(self._file.path.parent / f"{self._file.path.stem}_tapeout")
        dialog = SheetsDialog(Path(given), self._over)
        if self.answered(dialog):
            self._memory.keep(f"tapeout {self._file.path}", str(dialog.place.path))
            self.printing.sheets(dialog.place.path, dialog.wanted)

    def write_cues(self, role: str) -> None:
        """Ask for a name, and write the cues of a role, or of all for an empty one."""
        cut = self._file.cut
        parts = [self._file.path.stem, in_a_file_name(cut.name) if cut else "", in_a_file_name(role) if role else "", "cues.pdf"]
        given = self._file.path.parent / "_".join(filter(None, parts))
        kinds = tr("Sheets (*.pdf);;Workbooks (*.xlsx);;Tables (*.csv);;Text (*.txt)")
        if output := self.ask_name(tr("Write the cues"), given, kinds):
            self._try(lambda: self.printing.cues(cut, role, output))

    def answered(self, dialog: QDialog) -> bool:
        """Show a dialog; True when the person went through with it."""
        return went_through(dialog)

    def ask_files(self, title: str, kinds: str, *, several: bool) -> tuple[Path, ...]:
        """The person's choice of files to read."""
        folder = self._memory.text("floor.folder") or str(self._file.path.parent)
        if several:
            names, _ = QFileDialog.getOpenFileNames(self._over, title, folder, kinds)
        else:
            name, _ = QFileDialog.getOpenFileName(self._over, title, folder, kinds)
            names = [name] if name else []
        if names:
            self._memory.keep("floor.folder", str(Path(names[0]).parent))
        return tuple(map(Path, names))

    def ask_name(self, title: str, given: Path, kinds: str) -> Path | None:
        """The person's choice of a file to write."""
        chosen, _ = QFileDialog.getSaveFileName(self._over, title, str(given), kinds)
        # Systems' dialogs may leave the ending to the program.
        return None if not chosen else Path(chosen) if Path(chosen).suffix else Path(chosen + given.suffix)

    def _ask_layers(self, found: Survey, path: Path) -> LayersDialog | None:
        dialog = LayersDialog(found, path.name, self._over)
        return dialog if self.answered(dialog) else None

    def _try(self, do: Callable[[], None]) -> None:
        try:
            do()
        except Fault as fault:
            self._file.say(str(fault), Tone.FAULT)


def _tables() -> str:
    return tr("Tables (*.csv *.xlsx);;All files (*)")
