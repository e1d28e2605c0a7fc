"""What a person sends from the Review place: asks for names, has it written, and opens what was written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtCore import QUrl
from PyQt6.QtGui import QDesktopServices
from PyQt6.QtWidgets import QDialog, QFileDialog

from previs.desk.asking import went_through
from previs.desk.open_file import Tone
from previs.desk.place import Place
from previs.desk.review.asking import ReviewDialog
from previs.desk.review.sending import Sending
from previs.desk.words import tr
from previs.document.model import Cut
from previs.faults import Fault
from previs.handoff.played import in_a_file_name
from previs.review.files import refuse_no_report, refuse_no_sheet
from previs.review.folder import PAGE, Review
from previs.review.note_lists import Standing


class Outgoing:
    """`listed` gives the notes that the list shows; `written` is called when there is a page to open."""

    def __init__(self, place: Place, listed: Callable[[], tuple[Standing, ...]], written: Callable[[], None]) -> None:
        self._place, self._file, self._memory = place, place.file, place.memory
        self._listed, self._written = listed, written
        self.sending = Sending(place.file, self._keep)

    @property
    def page(self) -> Path | None:
        """The page that was written last of this file, None before one was; it may have gone since."""
        kept = self._memory.text(f"review {self._file.path}")
        return Path(kept) / PAGE if kept else None

    def write_review(self) -> None:
        """Ask what goes into the folder, and write it."""
        if (cut := self._cut()) is None:
            return
        given = self.page.parent if self.page else self._file.path.parent / f"{self._file.path.stem}_{in_a_file_name(cut.name)}_review"
        dialog = ReviewDialog(self._file.sequence, cut, given, self._place)
        if self.answered(dialog):
            self.sending.review(dialog.cut, dialog.beside, dialog.place.path, confidential=dialog.confidential.isChecked())

    def write_report(self) -> None:
        """Ask for a name, and write the report."""
        if (cut := self._cut()) and (output := self._ask(tr("Report"), cut, "_report.pdf", tr("Reports (*.pdf)"), refuse_no_report)):
            self.sending.report(cut, output)

    def write_notes(self) -> None:
        """Ask for a name, and write the notes that are listed."""
        kinds = tr("Sheets (*.pdf);;Workbooks (*.xlsx);;Tables (*.csv)")
        if (cut := self._cut()) and (output := self._ask(tr("List of notes"), cut, "_notes.pdf", kinds, refuse_no_sheet)):
            self.sending.notes(cut, self._listed(), output)

    def open_page(self) -> None:
        """Open the page in the system's browser."""
        self._open(self.page)

    def open_folder(self) -> None:
        """Open the review's folder in the system's own window."""
        self._open(self.page.parent if self.page else None)

    def answered(self, dialog: QDialog) -> bool:
        """Show a dialog; True when the person went through with it."""
        return went_through(dialog)

    def ask_name(self, title: str, given: Path, kinds: str) -> Path | None:
        """The person's choice of a file to write."""
        chosen, _ = QFileDialog.getSaveFileName(self._place, title, str(given), kinds)
        # Systems' dialogs may leave the ending to the program.
        return None if not chosen else Path(chosen) if Path(chosen).suffix else Path(chosen + given.suffix)

    def open_url(self, url: QUrl) -> bool:
        """Let the system open something; False when it has nothing that would."""
        return QDesktopServices.openUrl(url)

    def _keep(self, written: Review) -> None:
        self._memory.keep(f"review {self._file.path}", str(written.folder.absolute()))
        self._written()

    def _open(self, path: Path | None) -> None:
        if path is None:
            self._file.say(tr("There is no review of this file yet; write one first."), Tone.FAULT)
        elif not path.exists():
            self._file.say(tr("{path} is not there any more; write the review again.", path=path), Tone.FAULT)
        elif not self.open_url(QUrl.fromLocalFile(str(path))):
            self._file.say(tr("This system opens no such thing by itself; open {path} by hand.", path=path), Tone.FAULT)

    def _cut(self) -> Cut | None:
        if self._file.cut is None:
            self._file.say(tr("There is no cut yet to show; assemble one in the Cut place."), Tone.FAULT)
        return self._file.cut

    def _ask(self, title: str, cut: Cut, ending: str, kinds: str, refuse: Callable[[Path], None]) -> Path | None:
        given = self._file.path.parent / f"{self._file.path.stem}_{in_a_file_name(cut.name)}{ending}"
        chosen = self.ask_name(title, given, kinds)
        if chosen is None:
            return None
        try:
            refuse(chosen)
        except Fault as fault:
            self._file.say(str(fault), Tone.FAULT)
            return None
        return chosen
