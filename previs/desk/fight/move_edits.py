"""The edits of the written fight as a person asks for them at the table: each one step that can be undone, with its words."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QRect

from previs.desk.fight import pasting
from previs.desk.fight.written import heading
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document import fight_edits
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.fight.coverage import out_of_order


class MoveEdits:
    """Edits of the chosen moves, whose numbers `chosen` gives; `choose` is called with the number of the one to go on with."""

    def __init__(self, file: OpenFile, chosen: Callable[[], list[int]], choose: Callable[[int], None]) -> None:
        self._file = file
        self._chosen = chosen
        self._choose = choose

    def write(self, number: int, column: str, text: str) -> bool:
        """Write a cell of a move. True when that could be."""
        what = tr("change {column} of move {number}", column=heading(column), number=number)
        return self._file.edit(lambda one: fight_edits.change_cell(one, number, column, text), what)

    def insert(self, label: str) -> int | None:
        """A new move below the last chosen one, or at the end; gives its number, or None where that could not be."""
        sequence = self._file.sequence
        if not sequence.moves:
            return None
        after = (self._chosen() or [sequence.moves[-1].number])[-1]
        move = fight_edits.move_like(sequence, after, label)
        done = self._file.edit(lambda one: fight_edits.insert_move(one, after, move), tr("insert a move after move {number}", number=after))
        if not done:
            return None
        self._choose(after + 1)
        return after + 1

    def remove(self) -> None:
        """The chosen moves are gone, and their hits with them; undo brings them back."""
        numbers = self._chosen()
        if not numbers:
            return
        before = self._file.sequence
        hits = fight_edits.hits_of(before, numbers)
        numbered = ", ".join(map(str, numbers))
        rest = [move.number for move in before.moves if move.number not in numbers]
        if not self._file.edit(lambda one: fight_edits.remove_moves(one, numbers), tr("remove move {number}", number=numbered)):
            return
        if hits:
            self._file.say(tr("Move {number} is gone, and {hits} logged hits with it; undo brings them back.", number=numbered, hits=hits))
        if rest:
            self._choose(next((number for number in rest if number > numbers[-1]), rest[-1]))

    def earlier(self) -> None:
        """The chosen move one place earlier."""
        self._shift(fight_edits.move_earlier, -1, tr("move earlier: move {number}"))

    def later(self) -> None:
        """The chosen move one place later."""
        self._shift(fight_edits.move_later, 1, tr("move later: move {number}"))

    def split(self) -> None:
        """The chosen move begins a phrase."""
        self._do(fight_edits.split_phrase, tr("begin a phrase with move {number}"))

    def join(self) -> None:
        """The phrase of the chosen move goes on from the one before."""
        self._do(fight_edits.join_phrase, tr("join the phrase of move {number} to the one before"))

    def number_anew(self) -> None:
        """Moves and phrases counted from 1."""
        chosen = [at for at, move in enumerate(self._file.sequence.moves, start=1) if move.number in self._chosen()]
        if self._file.edit(fight_edits.number_anew, tr("number the moves anew")) and chosen:
            self._choose(chosen[0])

    def clear(self, block: QRect) -> None:
        """Blank cells."""
        try:
            after = pasting.clear(self._file.sequence, block)
        except UseFault as fault:
            pasting.say_fault(self._file, fault)
            return
        self._file.edit(lambda _: after, tr("make cells blank"))

    def _do(self, edit: Callable[[Sequence, int], Sequence], what: str) -> bool:
        numbers = self._chosen()
        if not numbers:
            return False
        return self._file.edit(lambda one: edit(one, numbers[0]), what.format(number=numbers[0]))

    def _shift(self, edit: Callable[[Sequence, int], Sequence], by: int, what: str) -> None:
        before, numbers = self._file.sequence, self._chosen()
        if not self._do(edit, what):
            return
        after = self._file.sequence
        at = [move.number for move in before.moves].index(numbers[0])
        # Across a breath the move keeps place and number; otherwise it has those of its neighbour.
        here = after.moves[at if after.moves == before.moves else at + by].number
        self._choose(here)
        if takes := out_of_order(after, frozenset({here})):
            told = tr("On {takes} move {number} lands in another order than it is written now.", takes=", ".join(takes), number=here)
            self._file.say(told)
