"""Cells of the fight from the clipboard and to it, and the fight from a table file; the rules are in `exchange`.

The table rooms are loaded when they are first wanted: they take a while, and most sittings do without.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtCore import QRect
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtWidgets import QMessageBox, QWidget

from previs.desk.asking import went_through
from previs.desk.fight.written import COLUMNS
from previs.desk.open_file import OpenFile, Tone
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.progress import Report


def copy_block(sequence: Sequence, block: QRect) -> None:
    """Put a block of cells, or the whole fight with its header for an empty block, on the clipboard."""
    from previs.exchange.fight_cells import fight_cells, text_of

    cells = fight_cells(sequence)
    if block.isEmpty():
        chosen = (COLUMNS, *cells)
    else:
        rows = cells[block.top() : block.bottom() + 1]
        chosen = tuple(row[block.left() : block.right() + 1] for row in rows)
    if clipboard := QGuiApplication.clipboard():
        clipboard.setText(text_of(chosen))


def paste(file: OpenFile, block: QRect, parent: QWidget) -> bool:
    """Write what is on the clipboard over the fight from a block's first cell on, or in the place of the whole fight.

    The whole fight is meant where there is none yet, and where the first row is a header; then it is asked. A single cell
    fills the block. What cannot be is said, and nothing is changed then. True when it was done.
    """
    from previs.exchange.fight_cells import Cells, Pasted, cells_in, has_header, with_block, with_fight

    clipboard = QGuiApplication.clipboard()
    text = clipboard.text() if clipboard else ""

    def whole(one: Sequence, cells: Cells) -> Pasted:
        return with_fight(one, cells)

    def over(one: Sequence, cells: Cells) -> Pasted:
        filled = tuple(cells[0] * block.width() for _ in range(block.height())) if len(cells) == len(cells[0]) == 1 else cells
        return with_block(one, filled, block.top(), block.left())

    try:
        cells = cells_in(text)
        replaces = has_header(cells) or not file.sequence.phrases or block.isEmpty()
        pasted = (whole if replaces else over)(file.sequence, cells)
    except UseFault as fault:
        say_fault(file, fault)
        return False
    if replaces and file.sequence.phrases and not _asked(file.sequence, pasted.sequence, pasted.hits_kept, pasted.hits_lost, parent):
        return False
    what = tr("paste the fight") if replaces else tr("paste cells into the fight")
    done = file.edit(lambda _: pasted.sequence, what)
    if done and replaces:
        after = pasted.sequence
        file.say(tr("The fight has {moves} moves in {phrases} phrases now.", moves=len(after.moves), phrases=len(after.phrases)))
    return done


def clear(sequence: Sequence, block: QRect) -> Sequence:
    """The sequence with blank cells in a block; raises `UseFault` where a cell must not be blank."""
    from previs.exchange.fight_cells import with_block

    return with_block(sequence, (("",) * block.width(),) * block.height(), block.top(), block.left()).sequence


def read_table(file: OpenFile, path: Path, then: Callable[[], None]) -> None:
    """Read the fight from a table file in the background, as `previs fight` does, and write it; `then` is called when it was."""

    def read(_report: Report) -> tuple[Sequence, Sequence, tuple[str, ...]]:
        from previs.exchange.tables import How, read_marks

        before = file.sequence
        found = read_marks([path], before, How(verb="fight"))
        return before, found.sequence, found.remarks

    def write(found: tuple[Sequence, Sequence, tuple[str, ...]]) -> None:
        before, after, remarks = found
        if file.sequence != before:
            file.say(tr("The file was changed while {name} was being read; read it again.", name=path.name), Tone.FAULT)
        elif file.edit(lambda _: after, tr("read {name}", name=path.name)):
            for remark in remarks:
                file.say(remark)
            file.say(tr("{name}: {moves} moves in {phrases} phrases.", name=path.name, moves=len(after.moves), phrases=len(after.phrases)))
            then()

    file.do(tr("Reading {name}", name=path.name), read, write)


def say_fault(file: OpenFile, fault: UseFault) -> None:
    """Say a fault in one sentence; where a table has several, the first and how many more, all of them in what happened."""
    lines = str(fault).splitlines()
    if len(lines) == 1:
        file.say(lines[0], Tone.FAULT)
    else:
        more = len(lines) - 1
        told = tr("{first} There is 1 fault more; F2 shows both.", first=lines[0]) if more == 1 else ""
        told = told or tr("{first} There are {more} faults more; F2 shows them all.", first=lines[0], more=more)
        file.say(told, Tone.FAULT, str(fault))


def _asked(before: Sequence, after: Sequence, kept: int, lost: int, parent: QWidget) -> bool:
    told = tr(
        "Replace the whole fight, {before} moves, by the {after} moves of the clipboard?", before=len(before.moves), after=len(after.moves)
    )
    hits = tr("{kept} hits stay with their moves.", kept=kept) if kept else ""
    gone = tr("{lost} hits of moves that would be gone go with them; undo brings them back.", lost=lost) if lost else ""
    box = QMessageBox(parent)
    box.setWindowTitle(tr("Paste the fight"))
    box.setText(told)
    box.setInformativeText(" ".join(part for part in (hits, gone) if part))
    replace = box.addButton(tr("Replace the fight"), QMessageBox.ButtonRole.AcceptRole)
    box.addButton(tr("Leave it as it is"), QMessageBox.ButtonRole.RejectRole)
    went_through(box)
    return box.clickedButton() is replace
