"""Cells of the fight table as they go over the clipboard: tab-separated text to a changed fight and back; it opens no file.

A block of cells is written over the rows that it lies on, each of which stays the move it was. A whole fight takes the place
of what there was; `same_moves` says which of its moves are old ones. Every fault names the row of what was pasted, or the
move, and the column.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from itertools import pairwise

from previs.cut.wording import counted
from previs.document.fight_words import unreadable
from previs.document.following import Rewrite, rewritten
from previs.document.model import Move, Sequence
from previs.exchange.fight_table import COLUMNS, fight_table, read_phrases
from previs.exchange.table_files import MOST_ROWS, Cell, RawTable, TableFault, TableFaults, as_typed, neutral
from previs.exchange.table_rows import Faults, column_name
from previs.faults import UseFault

Cells = tuple[tuple[str, ...], ...]
"""Rows of cells, all as long."""

PASTED = "pasted cells"
_MOST_COLUMNS = 64
# A cell is quoted only where the closing mark ends it: spreadsheets leave marks inside a word as they are.
_CELL = re.compile(r'(?:"(?P<quoted>[^"]*+(?:""[^"]*+)*+)"(?=[\t\r\n]|\Z)|(?P<plain>[^\t\r\n]*))(?P<then>\t|\r\n|\r|\n|\Z)')
_LEAST = COLUMNS.index("upper_hand") + 1


@dataclass(frozen=True, slots=True)
class Pasted:
    """What came of pasting: the sequence with it, how many hits stayed with their moves and how many went with theirs."""

    sequence: Sequence
    hits_kept: int
    hits_lost: int


def cells_in(text: str) -> Cells:
    """The cells of tab-separated text, as every spreadsheet puts it on the clipboard; blank rows at the end fall away.

    Raises `UseFault` for text without any cell, and for more rows than a fight table may have.
    """
    if "\0" in text:
        raise UseFault("The clipboard holds bytes that no text has; copy cells of a spreadsheet and paste again.")
    rows: list[list[str]] = [[]]
    for found in _CELL.finditer(text):
        rows[-1].append(found["quoted"].replace('""', '"') if found["quoted"] is not None else found["plain"])
        if not found["then"]:
            break
        if found["then"] != "\t":
            rows.append([])
        if len(rows) > MOST_ROWS + 1 or len(rows[-1]) > _MOST_COLUMNS:
            raise UseFault(f"The clipboard holds more than {MOST_ROWS:,} rows or {_MOST_COLUMNS} columns, which no fight has; copy fewer.")
    cells = [tuple(as_typed(_bare(cell)) for cell in row) for row in rows]
    while cells and not any(cells[-1]):
        cells.pop()
    if not cells:
        raise UseFault("The clipboard holds no text; copy cells of a spreadsheet and paste again.")
    width = max(map(len, cells))
    return tuple((*row, *[""] * (width - len(row))) for row in cells)


def text_of(cells: Cells) -> str:
    """The cells as tab-separated text for the clipboard; none of them runs as a formula in a spreadsheet."""
    text = io.StringIO(newline="")
    csv.writer(text, csv.excel_tab, lineterminator="\n").writerows([[neutral(cell) for cell in row] for row in cells])
    return text.getvalue()


def fight_cells(sequence: Sequence) -> Cells:
    """The fight as cells: a row for each move, in `COLUMNS`, without the header."""
    return tuple(tuple(str(cell) for cell in row) for row in fight_table(sequence).itertuples(index=False, name=None))


def has_header(cells: Cells) -> bool:
    """True when the first row is a header: at least two of its cells name columns of the fight table, and half of them or more."""
    named = [column_name(cell) in COLUMNS for cell in cells[0] if cell]
    return sum(named) >= 2 and 2 * sum(named) >= len(named)


def with_fight(sequence: Sequence, cells: Cells) -> Pasted:
    """The sequence with a whole fight of cells in the place of its own, with or without a header; see `same_moves`.

    Raises `TableFaults` for what is no fight, and `UseFault` where marks that stay would lose their phrase or their role.
    """
    body, header, first = (cells[1:], cells[0], 2) if has_header(cells) else (cells, COLUMNS[: len(cells[0])], 1)
    if header is not cells[0] and not _LEAST <= len(cells[0]) <= len(COLUMNS):
        raise UseFault(
            f"The clipboard has {counted(len(cells[0]), 'column')}, and a fight without a header needs {_LEAST} to {len(COLUMNS)}: "
            f"{', '.join(COLUMNS)}."
        )
    there = [column_name(cell) for cell in header]
    absent = tuple(name for name in COLUMNS[_LEAST:] if name not in there)
    rows = tuple((at, (*row, *[""] * len(absent))) for at, row in enumerate(body, start=first) if any(row))
    faults = Faults(PASTED)
    phrases = read_phrases(_raw((*header, *absent), rows, faults), sequence.timebase, faults)
    if faults.found:
        raise TableFaults(tuple(faults.in_order()))
    moves = tuple(move for phrase in phrases for move in phrase.moves)
    return _pasted(sequence, Rewrite(phrases, same_moves(sequence.moves, moves)))


def with_block(sequence: Sequence, cells: Cells, row: int, column: int) -> Pasted:
    """The sequence with cells written over its fight table from a row and a column on, both counted from 0.

    Rows beyond the last are new moves, numbered on in the last phrase where the block does not say otherwise. Raises as
    `with_fight`, and `UseFault` for a block that is too wide for the place.
    """
    if column + len(cells[0]) > len(COLUMNS):
        room = counted(len(COLUMNS) - column, "column")
        raise UseFault(
            f"The clipboard has {counted(len(cells[0]), 'column')}, but from {_said(COLUMNS[column])} on there "
            f"{'is' if len(COLUMNS) - column == 1 else 'are'} {room}; choose a cell further left."
        )
    grid = [list(each) for each in fight_cells(sequence)]
    there = len(grid)
    _add_rows(grid, row + len(cells), frozenset(COLUMNS[column : column + len(cells[0])]))
    for at, each in enumerate(cells, start=row):
        grid[at][column : column + len(each)] = each
    faults = Faults(PASTED)
    raw = _raw(COLUMNS, tuple(enumerate((tuple(each) for each in grid), start=1)), faults)
    phrases = read_phrases(raw, sequence.timebase, faults)
    if faults.found:
        raise TableFaults(tuple(_placed(fault, row, len(cells), sequence.moves) for fault in faults.in_order()))
    moves = [move for phrase in phrases for move in phrase.moves]
    came = {moves[at].number: sequence.moves[at].number for at in range(there)}
    return _pasted(sequence, Rewrite(phrases, came))


def same_moves(before: tuple[Move, ...], after: tuple[Move, ...]) -> dict[int, int]:
    """Which moves of a new fight are moves of the old one, as numbers from new to old.

    The same move is one with the same label, attacker, defender, line and weapon that is in both only once. Between two
    of these, as many in both are the same in order; else those of the same number are.
    """
    once = [{key: move for key, move in _by_key(those).items() if move is not None} for those in (before, after)]
    found = {once[1][key].number: once[0][key].number for key in once[0].keys() & once[1].keys()}
    taken = set(found.values())
    at_old = {move.number: at for at, move in enumerate(before)}
    # Anchors that lie in the same order in both; a move that was carried elsewhere is none.
    anchors = [(-1, -1)]
    for at, move in enumerate(after):
        if move.number in found and at_old[found[move.number]] > anchors[-1][0]:
            anchors.append((at_old[found[move.number]], at))
    for (old, new), (old_end, new_end) in pairwise([*anchors, (len(before), len(after))]):
        left = [move.number for move in before[old + 1 : old_end] if move.number not in taken]
        come = [move.number for move in after[new + 1 : new_end] if move.number not in found]
        if len(left) == len(come):
            found |= dict(zip(come, left, strict=True))
        else:
            found |= {number: number for number in come if number in left}
    return found


def _by_key(moves: tuple[Move, ...]) -> dict[tuple[str, ...], Move | None]:
    """Each move by what it is; None for what is there more than once."""
    found: dict[tuple[str, ...], Move | None] = {}
    for move in moves:
        key = (move.label.casefold(), move.attacker, move.defender, move.line.casefold(), move.weapon.casefold())
        found[key] = None if key in found else move
    return found


def _pasted(sequence: Sequence, rewrite: Rewrite) -> Pasted:
    after = rewritten(sequence, rewrite)
    kept, had = (sum(len(take.hits) for take in one.takes) for one in (after, sequence))
    return Pasted(after, kept, had - kept)


def _add_rows(grid: list[list[str]], wanted: int, given: frozenset[str]) -> None:
    """Rows below the last, in its phrase, whose breath goes down with them, unless the block brings these columns itself."""
    phrase, move, breath = (COLUMNS.index(name) for name in ("phrase", "move", "breath"))
    last_breath = ""
    while len(grid) < wanted:
        row = [""] * len(COLUMNS)
        if grid and "phrase" not in given:
            row[phrase] = grid[-1][phrase]
            last_breath, grid[-1][breath] = grid[-1][breath] or last_breath, ""
        elif not grid:
            row[phrase] = "1"
        row[move] = str(int(grid[-1][move]) + 1) if grid else "1"
        grid.append(row)
    if last_breath:
        grid[-1][breath] = last_breath


def _raw(header: tuple[str, ...], rows: tuple[tuple[int, tuple[str, ...]], ...], faults: Faults) -> RawTable:
    """The table to be read, its cells looked at for signs that no table may hold."""
    for number, row in rows:
        for name, cell in zip(header, row, strict=True):
            if sentence := unreadable(cell, line_ends=column_name(name) == "note"):
                faults.add(number, name, f"{sentence}; delete it and copy the cell again.")
    if faults.found:
        raise TableFaults(tuple(faults.in_order()))
    return RawTable(PASTED, header, tuple((number, tuple(map(Cell, row))) for number, row in rows))


def _placed(fault: TableFault, first: int, count: int, moves: tuple[Move, ...]) -> TableFault:
    """A fault by the row of what was pasted, or by the move where it lies in another row."""
    if fault.row is None:
        return fault
    at = fault.row - 1
    if first <= at < first + count:
        return TableFault(PASTED, at - first + 1, fault.column, fault.sentence)
    return TableFault(f"move {moves[at].number}" if at < len(moves) else PASTED, None, fault.column, fault.sentence)


def _bare(cell: str) -> str:
    return cell.replace("\r\n", "\n").replace("\r", "\n").strip(" \n\u00a0")


def _said(column: str) -> str:
    return f"'{column.replace('_', ' ')}'"
