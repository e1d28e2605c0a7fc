"""What the plan's sheet is to show at once, as one value; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.desk.floor.scene import RoomAround, room_around
from previs.desk.floor.ways import Way, ways
from previs.document.floor import Floor, Laid
from previs.document.model import Sequence
from previs.floor.clearance import Pinch


@dataclass(frozen=True, slots=True)
class Shown:
    """The floor, how it is laid, the ways of a phrase, tight places and whether they matter; `drawn_role` is whose way is being drawn."""

    floor: Floor
    laid: Laid | None
    ways: tuple[Way, ...]
    pinches: tuple[tuple[Pinch, bool], ...]
    drawn_role: str = ""

    @property
    def around(self) -> RoomAround | None:
        """The room, where the plan is laid in it."""
        return room_around(self.floor.room, self.laid) if self.floor.room is not None and self.laid is not None else None

    @property
    def drawn_way(self) -> Way | None:
        """The way that is being drawn, where it has spots."""
        return next((way for way in self.ways if way.role == self.drawn_role), None) if self.drawn_role else None


def shown_of(sequence: Sequence, section: int, phrase: int | None, role: str, pinches: tuple[Pinch, ...], drawn_role: str = "") -> Shown:
    """What is shown of a sequence: its `section` counts from 0; tight places matter where a move of the phrase is done in them."""
    floor = sequence.floor or Floor()
    laid = floor.laid[min(section, len(floor.laid) - 1)] if floor.laid else None
    seen = tuple(way for way in ways(sequence, phrase) if not role or way.role == role or way.role == drawn_role)
    moves = {move.number for one in sequence.phrases if one.number == phrase for move in one.moves}
    marked = tuple((pinch, _matters(pinch, moves, role)) for pinch in pinches)
    return Shown(floor, laid, seen, marked, drawn_role)


def _matters(pinch: Pinch, moves: set[int], role: str) -> bool:
    return any(moves & set(numbers) for name, numbers in pinch.moves.items() if not role or name == role)
