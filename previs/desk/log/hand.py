"""What the person has at hand in the log: tape, frame, take, the move that is next, snapping; it makes no edit."""

from __future__ import annotations

from fractions import Fraction

from PyQt6.QtCore import QObject, pyqtSignal

from previs.analysis.tapping import hit_of, moves_of, next_move, stepped_move
from previs.clock import first_grid_frame
from previs.desk.log.hearing import Hearing
from previs.desk.open_file import OpenFile
from previs.desk.player.strips import TapeStrip
from previs.desk.player.view import Player
from previs.document.model import Move, Sequence, Take, Tape


class Hand(QObject):
    """`changed` when the tape, the take, the next move, the snapping or what was last told is another."""

    changed = pyqtSignal()

    def __init__(self, file: OpenFile, player: Player, hearing: Hearing, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.file, self.player, self.hearing = file, player, hearing
        self.reel = ""
        self.snap = True
        self.told = ""
        self._take = ""
        self._next: dict[str, int | None] = {}
        player.moved.connect(lambda _frame: self._follow())
        file.changed.connect(self._file_changed)

    @property
    def sequence(self) -> Sequence:
        """The document now."""
        return self.file.sequence

    @property
    def fps(self) -> Fraction:
        """Frames a second of the sequence, and of the tape's grid."""
        return self.sequence.timebase.rate.fps

    @property
    def frame(self) -> int:
        """The frame of the tape's grid that the player wants now."""
        return self.player.frame

    @property
    def moment(self) -> Fraction:
        """The moment at which that frame begins."""
        return self.frame / self.fps

    @property
    def tape(self) -> Tape | None:
        """The tape, or None while there is none."""
        return next((tape for tape in self.sequence.tapes if tape.reel == self.reel), None)

    @property
    def take(self) -> Take | None:
        """The chosen take: the one at the frame, else the last one that was."""
        return next((take for take in self.sequence.takes if take.name == self._take), None)

    @property
    def take_here(self) -> Take | None:
        """The take at the frame, the chosen one where two are; None between takes."""
        return self._take_at(self.moment)

    @property
    def next_move(self) -> Move | None:
        """The move that the next tap takes; None when all of the chosen take have been tapped, or there is no take."""
        take = self.take
        if take is None:
            return None
        number = self._next[take.name] if take.name in self._next else next_move(self.sequence, take)
        return self.move(number)

    def look_at(self, reel: str, frame: int = 0) -> None:
        """Show a tape from a frame of its grid."""
        if all(tape.reel != reel for tape in self.sequence.tapes):
            return
        another = reel != self.reel
        self.reel = reel
        self.player.look_at(TapeStrip(reel), frame)
        self.hearing.want(reel)
        if another:
            self._follow()
            self.changed.emit()

    def choose(self, name: str, *, seek: bool = True) -> None:
        """Choose a take, and go to its first frame."""
        take = next((take for take in self.sequence.takes if take.name == name), None)
        if take is None:
            return
        self._take = name
        if seek or take.reel != self.reel:
            self.look_at(take.reel, first_grid_frame(take.start, self.fps))
        self.changed.emit()

    def move(self, number: int | None) -> Move | None:
        """The move of this number, or None."""
        return next((move for move in self.sequence.moves if move.number == number), None)

    def step_move(self, by: int) -> None:
        """Let another move be the next one."""
        take = self.take
        if take is not None:
            here = self.next_move
            self.want_move(take.name, stepped_move(self.sequence, take, here.number if here else None, by))

    def want_move(self, take: str, move: int | None) -> None:
        """Let this move be the next one of a take; None when all have been tapped."""
        self._next[take] = move
        self.changed.emit()

    def toggle_snap(self) -> None:
        """Let taps snap to evidence, or not."""
        self.snap = not self.snap
        self.tell("")

    def tell(self, sentence: str) -> None:
        """Show this beside the next move."""
        self.told = sentence
        self.changed.emit()

    def _follow(self) -> None:
        here = self.take_here
        wanted = here.name if here else self._take
        known = self.take
        if here is None and (known is None or known.reel != self.reel):
            wanted = next((take.name for take in self.sequence.takes if take.reel == self.reel), "")
        if wanted != self._take:
            self._take = wanted
            self.changed.emit()

    def _take_at(self, moment: Fraction) -> Take | None:
        here = [take for take in self.sequence.takes if take.reel == self.reel and take.span.holds(moment)]
        return next((take for take in here if take.name == self._take), here[-1] if here else None)

    def _file_changed(self, before: Sequence) -> None:
        if all(tape.reel != self.reel for tape in self.sequence.tapes):
            self.reel = ""
        take = self.take
        was = next((one for one in before.takes if take and one.name == take.name), None)
        if take and was and take.hits != was.hits:
            # An undone tap is the next one again.
            gone = [move for move in moves_of(self.sequence, take) if hit_of(was, move) and not hit_of(take, move)]
            if gone:
                self._next[take.name] = gone[0]
        if take and was and (take.first_phrase, take.last_phrase) != (was.first_phrase, was.last_phrase):
            # Other moves are its own now: the first that is not tapped is next.
            self._next.pop(take.name, None)
        self._follow()
        self.changed.emit()
