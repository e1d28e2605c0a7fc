"""The cue sheet: what each role passes on the taped floor and after which move, as PDF, workbook, CSV or text; it finds nothing itself."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from previs.document.model import Cut, Sequence
from previs.faults import UseFault
from previs.floor.cues import Cue
from previs.floor.cues_words import CAUTION, WAY_NOTE, Call, call_lines, calls, cue_rows, fault_said
from previs.floor.routes_guessed import GUESS_NOTE
from previs.handoff import cautions
from previs.handoff.sheet_files import Paper, csv_bytes, workbook_bytes
from previs.handoff.sheet_pages import pdf_bytes
from previs.handoff.sheets import DERIVED, Sheet, Table, Value, head
from previs.printable import printable
from previs.replacing import write_whole

_COLUMNS = ("when", "phrase", "count", "what comes", "x m", "y m", "near")
ENDINGS = (".pdf", ".xlsx", ".csv", ".txt")


def cue_sheet(sequence: Sequence, cut: Cut | None, found: Iterable[Cue], made: date) -> Sheet:
    """The cues of these roles, a table for each; `made` is the date that stands on it. Without a cut it tells no times."""
    cues = tuple(found)
    roles = dict.fromkeys(cue.role for cue in cues)
    tables = tuple(_table(role, number, [cue for cue in cues if cue.role == role]) for number, role in enumerate(roles, start=1))
    faults = [fault_said(cue) for cue in cues if cue.faulty]
    own = (CAUTION, *([GUESS_NOTE] if any(cue.guessed for cue in cues) else []), *faults)
    return Sheet("cues", "Cues on the floor", _head(sequence, cut, made), tables, (*own, *cautions.cautions(WAY_NOTE)))


def write_cues(sequence: Sequence, cut: Cut | None, found: Iterable[Cue], output: Path, paper: Paper, made: date) -> None:
    """Write the cues as a .pdf or .xlsx with a row for each call, a .csv with a row for each cue, or a .txt to be read out.

    Raises `UseFault` for another ending.
    """
    checked(output)
    cues = tuple(found)
    kind = output.suffix.lower()
    if kind == ".csv":
        content = csv_bytes(_cue_table(sequence, cues))
    elif kind == ".txt":
        content = printable("\n".join([*call_lines(cues), "", WAY_NOTE, CAUTION]) + "\n").encode("utf-8")
    else:
        sheet = cue_sheet(sequence, cut, cues, made)
        content = pdf_bytes(sheet, paper, {}) if kind == ".pdf" else workbook_bytes(sheet)
    write_whole(output, content)


def checked(output: Path) -> None:
    """Raises `UseFault` for a file that is no list of cues by its ending."""
    if output.suffix.lower() not in ENDINGS:
        raise UseFault(f"{output} is no list of cues: end its name in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}.")


def _head(sequence: Sequence, cut: Cut | None, made: date) -> tuple[tuple[str, str], ...]:
    if cut is not None:
        return head(sequence, cut, made)
    return (("Sequence", sequence.title), ("Cut", "none yet, so no times"), ("Date", made.isoformat()), ("Note", DERIVED))


def _table(role: str, number: int, cues: list[Cue]) -> Table:
    rows = tuple(_row(call) for call in calls(cues))
    return Table(f"role {number}", role, _COLUMNS, rows, "Nothing is met on this way.")


def _row(call: Call) -> tuple[Value, ...]:
    first = call.first
    x, y = (round(each / 1000, 2) for each in first.at)
    return (call.when, first.phrase, first.count or None, call.said, x, y, first.near)


def _cue_table(sequence: Sequence, cues: tuple[Cue, ...]) -> Table:
    rows = cue_rows(sequence, cues)
    columns = tuple(rows[0]) if rows else ("role", "phrase", "when", "cue")
    return Table("cues", "Cues", columns, tuple(tuple(row.values()) for row in rows), "")
