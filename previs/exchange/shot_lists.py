"""The shot list of a cut as a workbook of four sheets, or as two CSV tables; what the rows are is decided in `lists`."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pandas as pd
from openpyxl.workbook import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from previs.document.model import Cut, Sequence
from previs.exchange.lists import OUT_NOTE, Row, Value, against_target, as_csv_text, counted_shots, rows
from previs.exchange.table_files import FIRST_YEAR, LAST_YEAR, check_clock, neutral
from previs.faults import UseFault

SHEETS = ("shots", "treatments", "moves")
NOTES = (
    OUT_NOTE,
    "Under a transition the shot before plays on for as many frames as 'plays on' says; they are not in its tape out.",
    "A treatment is counted to the transition's last frame; a hit is seen up to the transition's middle.",
    "Speed is a share of the tape's own; less than nothing plays backwards.",
    "Handles are frames of the sequence rate that the tape has beyond the treated stretch.",
)
_WIDEST = 60
"""Characters of a column."""
_A4 = 9
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_EARLIEST, _LATEST = datetime(FIRST_YEAR, 1, 1), datetime(LAST_YEAR, 12, 31)


def shot_list_files(sequence: Sequence, cut_name: str | None, path: Path, made: datetime) -> dict[Path, bytes]:
    """The files of a shot list, by where they go: one workbook (.xlsx), or for .csv the shots and `NAME_treatments.csv`.

    The workbook holds shots, treatments, moves and what they are of. Time code stays text, and no cell can run as a formula.
    `made` is the date that it carries; equal input gives equal bytes. Raises `UseFault` for another ending, and for a cut
    that is not there.
    """
    cut = sequence.cut(cut_name)
    ending = path.suffix.lower()
    if ending == ".csv":
        beside = path.with_stem(f"{path.stem}_treatments")
        return {file: as_csv_text(rows(sequence, what, cut.name)).encode() for file, what in ((path, "shots"), (beside, "treatments"))}
    if ending != ".xlsx":
        raise UseFault(f"{path.name or path} ends neither in .xlsx nor in .csv; give the shot list one of these endings.")
    return {path: _workbook(sequence, cut, made)}


def _workbook(sequence: Sequence, cut: Cut, made: datetime) -> bytes:
    check_clock()
    held = io.BytesIO()
    with pd.ExcelWriter(held, engine="openpyxl") as writer:
        book = writer.book
        assert isinstance(book, Workbook)
        book.properties.title, book.properties.creator = _cell(f"{sequence.title}, cut {cut.name}"), "previs"
        for name, found in {**{name: rows(sequence, name, cut.name) for name in SHEETS}, "about": _about(sequence, cut)}.items():
            # As objects, since a column of whole numbers with a blank among them would come out with decimals.
            frame = pd.DataFrame([{column: _cell(value) for column, value in row.items()} for row in found], dtype=object)
            frame.to_excel(writer, sheet_name=name, index=False, freeze_panes=(1, 0))
            sheet = book[name]
            for column, cells in enumerate(frame.items(), start=1):
                longest = max(len(line) for cell in (cells[0], *cells[1]) for line in str(cell).split("\n"))
                sheet.column_dimensions[sheet.cell(1, column).column_letter].width = min(longest, _WIDEST) + 2
            _set_up_page(sheet, _head(sequence, cut, name))
    return dated_workbook(held.getvalue(), made.astimezone(UTC).replace(tzinfo=None, microsecond=0))


def _about(sequence: Sequence, cut: Cut) -> list[Row]:
    facts: Row = {
        "sequence": sequence.title,
        "cut": cut.name,
        "note": cut.note,
        "rate": sequence.rate_name + (" drop-frame" if sequence.drop else ""),
        "shots": counted_shots(cut),
        "length": sequence.timebase.label(cut.frames),
        "target": sequence.timebase.label(cut.target_frames),
        "against target": against_target(sequence, cut),
    }
    facts |= {f"reading it, {number}": note for number, note in enumerate(NOTES, start=1)}
    return [{"about": name, "value": value} for name, value in facts.items()]


def _head(sequence: Sequence, cut: Cut, what: str) -> str:
    length, target = (sequence.timebase.label(frames) for frames in (cut.frames, cut.target_frames))
    # 255 characters are all that a head may have, each & of a name counting twice.
    return f"{sequence.title[:40]}, cut {cut.name[:30]}: {what}. {length}, target {target}. {OUT_NOTE}"


def _set_up_page(sheet: Worksheet, head: str) -> None:
    """A4 lying down, as wide as the page, the column names and the head on every page."""
    sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", _A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = "1:1"
    # In a head & begins a code of the format's own.
    sheet.oddHeader.left.text = _NOT_IN_XML.sub(" ", head).replace("&", "&&")
    sheet.oddFooter.right.text = "&P / &N"


def dated_workbook(book: bytes, made: datetime) -> bytes:
    """The workbook with this date, or the nearest that it can carry, and no other: the library writes the moment of saving into it."""
    made = min(max(made, _EARLIEST), _LATEST)
    held = io.BytesIO()
    stamp = made.strftime("%Y-%m-%dT%H:%M:%SZ")
    with zipfile.ZipFile(io.BytesIO(book)) as given, zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as written:
        for name in given.namelist():
            data = given.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb">[0-9T:.-]+Z?</dcterms:", f">{stamp}</dcterms:".encode(), data)
            entry = zipfile.ZipInfo(name, made.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            written.writestr(entry, data)
    return held.getvalue()


def _cell(value: Value) -> Value:
    return _NOT_IN_XML.sub(" ", neutral(value)) if isinstance(value, str) else value
