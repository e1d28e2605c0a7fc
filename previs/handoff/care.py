"""Where a cut holds work that can hurt, as far as the words of its moves tell; it judges nothing, and what is not named may hurt too."""

from __future__ import annotations

from dataclasses import dataclass

from previs.document.model import Cut, Sequence
from previs.fight.hazards import WIRE, landing_words, on_wire
from previs.handoff import cautions
from previs.handoff.played import flight_of, played


@dataclass(frozen=True, slots=True)
class Care:
    """The numbers of the moves of a cut that hang on a wire, in which a body may come down, and that name a weapon or a prop."""

    wires: tuple[int, ...]
    landings: tuple[int, ...]
    weapons: tuple[int, ...]

    def __bool__(self) -> bool:
        return bool(self.wires or self.landings or self.weapons)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What stands on the sheets of the departments that these moves concern, the guidance to read, and who decides."""
        own = [
            *([cautions.RIGGING, cautions.FLIGHTS] if self.wires else []),
            *([cautions.MATS] if self.landings else []),
            *([cautions.PROPS] if self.weapons else []),
        ]
        return (*own, *cautions.cautions(cautions.SET_UPS))


def care_needed(sequence: Sequence, cut: Cut) -> Care:
    """What the moves of a cut ask care for; those on cards too."""
    moves = {one.move.number: one.move for one in played(sequence, cut)}
    flown = {hit.move for take in sequence.takes for hit in take.hits if flight_of(sequence, take, hit.move) is not None}
    ordered = [moves[number] for number in sorted(moves)]
    return Care(
        wires=tuple(move.number for move in ordered if on_wire(move)),
        landings=tuple(move.number for move in ordered if landing_words(move) or move.number in flown),
        weapons=tuple(move.number for move in ordered if move.weapon and move.weapon.strip().casefold() != WIRE),
    )
