"""The report and the list of notes as files: worked out, drawn and written whole; what stands in them is decided elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder
from previs.exchange.lists import as_csv_text
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper, workbook_bytes
from previs.handoff.sheet_pages import pdf_bytes
from previs.handoff.stills import taken
from previs.progress import Report
from previs.replacing import named_with, write_whole
from previs.review.note_lists import Standing, move_rows, note_row, notes_sheet
from previs.review.report import report, stills_of
from previs.review.report_pages import report_pdf

SHEETS = (".pdf", ".xlsx", ".csv")
"""What a list of notes may be written as."""


@dataclass(frozen=True, slots=True)
class ReportWritten:
    """A report that was written: how many open notes it tells, whether one worries about safety, and the tapes without stills, told."""

    path: Path
    open_notes: int
    worries: bool
    away: tuple[str, ...]


def refuse_no_report(output: Path) -> None:
    """Raises `UseFault` for a name that is no report's."""
    if output.suffix.lower() != ".pdf":
        raise UseFault(f"A report is a .pdf, and {output.name or output} is not; name it {named_with(output, '.pdf')}.")


def write_report(
    sequence: Sequence, document: Path, cut: Cut, output: Path, *, made: date, paper: Paper, progress: Report
) -> ReportWritten:
    """Write the two pages on a cut; `made` is the day on them. Raises `UseFault` for another ending and as `report` does."""
    # Only here: the library that draws it takes long to come, and would keep the window waiting when it opens.
    from previs.exchange.step_chart import STRIP, Format, step_chart_bytes

    refuse_no_report(output)
    told = report(sequence, cut, made)
    pictures, away = taken(sequence, stills_of(told), document, cache_folder(document), progress)
    write_whole(output, report_pdf(told, step_chart_bytes(sequence, cut, Format.PNG, STRIP), pictures, paper))
    return ReportWritten(output, len(told.notes), told.worries, away)


def refuse_no_sheet(output: Path) -> None:
    """Raises `UseFault` for a name that is no list's."""
    if output.suffix.lower() not in SHEETS:
        raise UseFault(f"{output} is no sheet: end its name in .pdf, .xlsx or .csv.")


def write_notes(
    sequence: Sequence, cut: Cut, listed: Iterable[Standing], output: Path, *, made: date, paper: Paper, on_moves: bool = False
) -> Path:
    """Write a list of notes as a sheet or a table; `on_moves` lists those about hits by move. Raises `UseFault` for another ending."""
    refuse_no_sheet(output)
    if output.suffix.lower() == ".csv":
        rows = move_rows(sequence, listed) if on_moves else [note_row(sequence, one) for one in listed]
        return write_whole(output, as_csv_text(rows).encode())
    sheet = notes_sheet(sequence, cut, made, listed)
    return write_whole(output, pdf_bytes(sheet, paper, {}) if output.suffix.lower() == ".pdf" else workbook_bytes(sheet))
