"""What the Review place writes, in the background: the folder for the director, the report and the list of notes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from previs.cut.wording import counted
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Cut
from previs.handoff.sheet_files import Paper
from previs.progress import Report
from previs.review.files import ReportWritten, write_notes, write_report
from previs.review.folder import Review, write_review
from previs.review.note_lists import SAFETY, Standing


class Sending:
    """Writes what is sent of one open file; `reviewed` is given the review that was written, when it was."""

    def __init__(self, file: OpenFile, reviewed: Callable[[Review], None]) -> None:
        self._file, self._reviewed = file, reviewed

    def review(self, cut: Cut, beside: Cut | None, folder: Path, *, confidential: bool) -> None:
        """Write the review folder of a cut."""
        sequence, document = self._file.sequence, self._file.path

        def write(report: Report) -> Review:
            return write_review(sequence, document, cut, folder, beside=beside, made=date.today(), confidential=confidential, report=report)

        def told(written: Review) -> None:
            self._file.say(tr("{page} is written; send the whole folder, and open that page in any browser.", page=written.page))
            self._reviewed(written)

        self._file.do(tr("Making the review of cut {cut}", cut=cut.name), write, told)

    def report(self, cut: Cut, output: Path) -> None:
        """Write the two pages on a cut."""
        sequence, document = self._file.sequence, self._file.path

        def write(progress: Report) -> ReportWritten:
            return write_report(sequence, document, cut, output, made=date.today(), paper=Paper.A4, progress=progress)

        def told(written: ReportWritten) -> None:
            for sentence in written.away:
                self._file.say(sentence)
            if written.worries:
                self._file.say(SAFETY)
            still = counted(written.open_notes, "open note")
            self._file.say(tr("{file} is written: two pages on cut {cut}, with {notes}.", file=written.path, cut=cut.name, notes=still))

        self._file.do(tr("Making the report on cut {cut}", cut=cut.name), write, told)

    def notes(self, cut: Cut, listed: tuple[Standing, ...], output: Path) -> None:
        """Write the notes that are listed as a sheet."""
        sequence = self._file.sequence
        self._file.do(
            tr("Writing the notes"),
            lambda _: write_notes(sequence, cut, listed, output, made=date.today(), paper=Paper.A4),
            lambda path: self._file.say(tr("{file} is written.", file=path)),
        )
