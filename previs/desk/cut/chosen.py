"""What an edit by hand works on: the shot that is chosen, and the frame that is shown; no Qt."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from previs.clock import parse_length
from previs.cut.placing import moves_held, place
from previs.document.model import Sequence, Shot


@dataclass(frozen=True, slots=True)
class Chosen:
    """What an edit works on: the cut, the shot by its number, the record frame that is shown, and the file, for drawings."""

    sequence: Sequence
    cut: str
    shot: int
    frame: int
    path: Path

    @property
    def shot_itself(self) -> Shot:
        """The shot itself."""
        return self.sequence.cut(self.cut).shots[self.shot - 1]

    @property
    def own_frame(self) -> int:
        """The shown frame as the shot counts it, from 0; it may lie outside the shot."""
        return self.frame - sum(shot.frames for shot in self.sequence.cut(self.cut).shots[: self.shot - 1])

    @property
    def last(self) -> int:
        """The number of the cut's last shot."""
        return len(self.sequence.cut(self.cut).shots)

    @property
    def moves(self) -> tuple[int, ...]:
        """The moves that the shot shows or stands for."""
        return moves_held(self.sequence, place(self.sequence, self.sequence.cut(self.cut)))[self.shot]

    def frames(self, text: str) -> int:
        """A length or a distance as people write it, in frames; raises `UseFault` for what is none."""
        return parse_length(text, self.sequence.timebase)
