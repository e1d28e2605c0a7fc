"""Call sheets and set-ups as files in a folder; what stands on a sheet and how a file of it looks is decided elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder
from previs.faults import UseFault
from previs.handoff.call_sheets import Department, call_sheet
from previs.handoff.played import in_a_file_name
from previs.handoff.set_ups import set_ups_sheet
from previs.handoff.sheet_files import Paper, csv_bytes, workbook_bytes
from previs.handoff.sheet_pages import pdf_bytes
from previs.handoff.stills import stills_of, taken
from previs.progress import Report
from previs.replacing import write_whole

Tell = Callable[[str], None]
"""Is given a sentence on what was written or found, for the person."""


def write_sheets(
    sequence: Sequence, cut: Cut, departments: Iterable[Department], folder: Path, paper: Paper, made: date, tell: Tell
) -> None:
    """Write the sheets of these departments into a folder, each as PDF, workbook and a CSV of every table.

    `made` is the date that stands on them. Raises `UseFault` when `folder` is a file.
    """
    if folder.exists() and not folder.is_dir():
        raise UseFault(f"{folder} is a file; name a folder for the sheets.")
    for one in departments:
        sheet = call_sheet(sequence, cut, one, made)
        written = {f"{one}.pdf": pdf_bytes(sheet, paper, {}), f"{one}.xlsx": workbook_bytes(sheet)}
        written |= {f"{one}_{table.name}.csv": csv_bytes(table) for table in sheet.tables}
        for name, content in written.items():
            write_whole(folder / f"{in_a_file_name(cut.name)}_{name}", content)
        for table in sheet.tables:
            tell(f"{sheet.title}, {table.title}: {len(table.rows)} row{'' if len(table.rows) == 1 else 's'}.")
        tell(f"Caution: {sheet.cautions[0]}")


def write_set_ups(sequence: Sequence, cut: Cut, document: Path, output: Path, paper: Paper, made: date, report: Report, tell: Tell) -> None:
    """Write the camera set-ups of a cut as a .pdf with stills, an .xlsx or a .csv; raises `UseFault` for another ending.

    `document` is the file that the sequence is from. A tape that is away leaves its rows without a still, which is told.
    """
    kind = output.suffix.lower()
    if kind not in (".pdf", ".xlsx", ".csv"):
        raise UseFault(f"{output} is no sheet: end its name in .pdf, .xlsx or .csv.")
    sheet = set_ups_sheet(sequence, cut, made)
    table = sheet.tables[0]
    if kind == ".pdf":
        pictures, away = taken(sequence, stills_of(sheet), document, cache_folder(document), report)
        for sentence in away:
            tell(sentence)
        content = pdf_bytes(sheet, paper, pictures)
    else:
        content = csv_bytes(table) if kind == ".csv" else workbook_bytes(sheet)
    write_whole(output, content)
    tell(f"{table.title}. {output} is written.")
