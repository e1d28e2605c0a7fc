"""A way drawn by hand: which role's, what a click puts, which spot is chosen; each change is one edit, saved at once."""

from __future__ import annotations

from collections.abc import Callable

from previs.desk.floor.told import told_spot
from previs.desk.floor.ways import ways
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.floor import PointMm
from previs.document.model import Sequence
from previs.floor import route_edits as edits

Numbered = tuple[Sequence, int]


class Hand:
    """Draws on one open file. `tell` is called whenever another role is drawn, another spot is chosen, or a click puts something else.

    `puts` is the move whose mark the next click puts, None for a bend of the way.
    """

    def __init__(self, file: OpenFile, tell: Callable[[], None]) -> None:
        self._file, self._tell = file, tell
        self.role = ""
        self.phrase = 0
        self.puts: int | None = None
        self.chosen: int | None = None

    @property
    def drawing(self) -> bool:
        """Whether a way is being drawn."""
        return bool(self.role)

    @property
    def moves(self) -> tuple[int, ...]:
        """The moves of the phrase."""
        return tuple(move.number for one in self._file.sequence.phrases if one.number == self.phrase for move in one.moves)

    def begin(self, role: str, phrase: int) -> None:
        """Draw the way of a role in a phrase; the first click puts the first move that has no mark yet."""
        self.role, self.phrase, self.chosen = role, phrase, None
        self.puts = edits.next_move(self._file.sequence, role, phrase)
        self._tell()

    def end(self) -> None:
        """Draw no more."""
        self.role, self.chosen = "", None
        self._tell()

    def file_changed(self) -> None:
        """Another value is there: what is gone is drawn and chosen no more."""
        if not self.drawing:
            return
        sequence = self._file.sequence
        if self.role not in sequence.roles or not self.moves:
            self.role = ""
        elif self.puts is not None and self.puts not in self.moves:
            self.puts = None
        count = len(edits.way_of(sequence, self.role, self.phrase).points) if self.role else 0
        if self.chosen is not None and self.chosen >= count:
            self.chosen = count - 1 if count else None
        self._tell()

    def put(self, at: PointMm) -> None:
        """Put what a click puts, and go on to the next move that has no mark."""
        if not self.drawing:
            return
        role, phrase, move, after = self.role, self.phrase, self.puts, self.chosen
        guessed = edits.way_of(self._file.sequence, role, phrase).guessed
        after = None if guessed else after
        if move is None:
            done = self._numbered(lambda now: edits.with_spot(now, role, phrase, at, after), tr("a bend in {role}'s way", role=role))
        else:
            what = tr("{role}'s mark of move {move}", role=role, move=move)
            done = self._numbered(lambda now: edits.with_mark(now, role, phrase, move, at, after), what)
        if done and move is not None:
            self.puts = edits.next_move(self._file.sequence, role, phrase)
            self._tell()

    def put_next_to_chosen(self, middle: PointMm) -> None:
        """Put it without a pointer: after the chosen spot, or in the middle of what is seen."""
        points = edits.way_of(self._file.sequence, self.role, self.phrase).points if self.drawing else ()
        if self.chosen is None or self.chosen >= len(points):
            self.put(edits.further_on(points, len(points) - 1) if points else middle)
        else:
            self.put(edits.further_on(points, self.chosen))

    def move(self, number: int, at: PointMm) -> None:
        """Put a spot elsewhere."""
        role, phrase = self.role, self.phrase
        what = tr("move a spot of {role}'s way in phrase {phrase}", role=role, phrase=phrase)
        if self.drawing and self._file.edit(lambda now: edits.moved(now, role, phrase, number, at), what):
            self._choose(number)

    def nudge(self, right_mm: int, up_mm: int) -> None:
        """Push the chosen spot."""
        if (number := self._wanted()) is not None:
            x, y = edits.way_of(self._file.sequence, self.role, self.phrase).points[number].at
            self.move(number, (x + right_mm, y + up_mm))

    def delete(self) -> None:
        """Take the chosen spot away."""
        role, phrase = self.role, self.phrase
        if (number := self._wanted()) is not None:
            what = tr("take a spot out of {role}'s way in phrase {phrase}", role=role, phrase=phrase)
            if self._file.edit(lambda now: edits.without_spot(now, role, phrase, number), what):
                self._choose(number - 1 if number else None)

    def delete_way(self) -> None:
        """Take the whole way away."""
        role, phrase = self.role, self.phrase
        if self.drawing:
            what = tr("take away {role}'s way in phrase {phrase}", role=role, phrase=phrase)
            self._file.edit(lambda now: edits.without_way(now, role, phrase), what)

    def mark(self) -> None:
        """Make the chosen spot what a click puts: the mark of that move, or a bend."""
        role, phrase, move = self.role, self.phrase, self.puts
        if (number := self._wanted()) is None:
            return
        bend = tr("make a spot of {role}'s way a bend", role=role)
        what = bend if move is None else tr("{role}'s mark of move {move}", role=role, move=move)
        if self._file.edit(lambda now: edits.marked(now, role, phrase, number, move), what):
            self.puts = edits.next_move(self._file.sequence, role, phrase)
            self._tell()

    def choose(self, number: int) -> None:
        """Choose a spot."""
        self._choose(number)

    def choose_next(self, by: int) -> None:
        """Choose the spot further on or back."""
        count = len(edits.way_of(self._file.sequence, self.role, self.phrase).points) if self.drawing else 0
        if count:
            here = (-1 if by > 0 else count) if self.chosen is None else self.chosen
            self._choose(min(max(here + by, 0), count - 1))

    def let_put(self, move: int | None) -> None:
        """Let a click put the mark of a move, or a bend."""
        if move is None or move in self.moves:
            self.puts = move
            self._tell()

    def put_other(self, by: int) -> None:
        """Let a click put the next or the last of: a bend, and every move of the phrase."""
        choices = (None, *self.moves)
        at = choices.index(self.puts) if self.puts in choices else 0
        self.let_put(choices[(at + by) % len(choices)])

    def told(self) -> str:
        """The chosen spot in words, empty for none."""
        way = next((one for one in ways(self._file.sequence, self.phrase) if one.role == self.role), None)
        return told_spot(way, self.chosen) if way and self.chosen is not None and self.chosen < len(way.spots) else ""

    def _choose(self, number: int | None) -> None:
        self.chosen = number
        self._tell()

    def _wanted(self) -> int | None:
        """The chosen spot, or a sentence on how to choose one."""
        if self.drawing and self.chosen is None:
            self._file.say(tr("Choose a spot of the way first: click it, or press Up or Down on the plan."))
        return self.chosen if self.drawing else None

    def _numbered(self, change: Callable[[Sequence], Numbered], what: str) -> bool:
        """An edit that gives the number of the spot it put, which is chosen then."""
        put: list[int] = []

        def changed(now: Sequence) -> Sequence:
            after, number = change(now)
            put.append(number)
            return after

        if not self._file.edit(changed, what):
            return False
        self._choose(put[-1])
        return True
