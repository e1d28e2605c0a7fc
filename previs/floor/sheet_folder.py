"""Tape-out sheets as files in a folder: PDF, DXF and CSV for each section; what stands on them and how they look is decided elsewhere."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from previs.cut.wording import counted
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.floor.measuring_units import Units, error_said, read_off
from previs.floor.sheet_csv import others_csv, points_csv
from previs.floor.sheet_dxf import sheet_dxf
from previs.floor.sheet_full_size import full_size_pdf
from previs.floor.sheet_pdf import sheet_pdf
from previs.floor.sheet_scale import SheetPaper
from previs.floor.tape_out import TapeOut, tape_outs
from previs.progress import Report, Step, silent
from previs.replacing import write_whole

Tell = Callable[[str], None]
"""Is given a sentence on what was written or found, for the person."""
_OURS = re.compile(r"tapeout(_\d+)?(_full_size)?\.pdf|tapeout(_\d+)?\.dxf|tapeout(_\d+)?_(points|others)\.csv")


@dataclass(frozen=True, slots=True)
class SheetsWanted:
    """How the sheets are wanted; `scale` is 75 for 1:75, None for the largest usual one that fits."""

    units: Units = Units.METRIC
    paper: SheetPaper = SheetPaper.A4
    scale: int | None = None
    full_size: bool = False


def write_tape_outs(
    sequence: Sequence, document: Path, folder: Path, wanted: SheetsWanted, made: date, tell: Tell, report: Report = silent
) -> None:
    """Write the sheets of the floor into a folder, and tell what is on them; `made` is the day that stands on them.

    Files have names of ours, whatever sections are called; what has the same names is replaced. Raises `UseFault` for what is missing
    in the floor, a folder that is a file, or a scale that does not fit; then, and when it is stopped, nothing is written.
    """
    if folder.exists() and not folder.is_dir():
        raise UseFault(f"{folder} is a file; name a folder for the sheets.")
    sheets = tape_outs(sequence.floor, sequence.title, document.name, made, wanted.units)
    files: dict[str, bytes] = {}
    for number, sheet in enumerate(sheets):
        report(Step(number, len(sheets), f"Drawing sheet {number + 1} of {len(sheets)}"))
        files |= _files(sheet, wanted)
    report(Step(len(sheets), len(sheets), "Writing the sheets"))
    for name, content in files.items():
        write_whole(folder / name, content)
    for sheet in sheets:
        for sentence in _told(sheet):
            tell(sentence)
    left = sorted(one.name for one in folder.iterdir() if _OURS.fullmatch(one.name) and one.name not in files)
    if left:
        tell(f"Of an earlier call there is still {', '.join(left)} in {folder}; lay nothing by that.")
    tell(f"Caution: {' '.join(dict.fromkeys(caution for sheet in sheets for caution in sheet.cautions))}")
    tell(f"{counted(len(sheets), 'sheet')} in {folder}: {', '.join(files)}.")


def _files(sheet: TapeOut, wanted: SheetsWanted) -> dict[str, bytes]:
    stem = f"tapeout_{sheet.sheet}" if sheet.sheets > 1 else "tapeout"
    files = {
        f"{stem}.pdf": sheet_pdf(sheet, wanted.paper, wanted.scale),
        f"{stem}.dxf": sheet_dxf(sheet),
        f"{stem}_points.csv": points_csv(sheet),
        f"{stem}_others.csv": others_csv(sheet),
    }
    if wanted.full_size:
        files[f"{stem}_full_size.pdf"] = full_size_pdf(sheet, wanted.paper)
    return files


def _told(sheet: TapeOut) -> list[str]:
    which = f"Section {sheet.sheet} of {sheet.sheets}: " if sheet.sheets > 1 else ""
    worst = max((point.error_mm for point in sheet.points), default=0.0)
    said = (
        f"{which}{counted(len(sheet.points), 'point')} to lay, {read_off(sheet.walked_mm, sheet.units)} to walk from A; "
        f"a tape misread by 10 mm puts no point off by more than {error_said(worst, sheet.units)}."
    )
    return [said, *(f"{which}{remark}" for remark in sheet.remarks)]
