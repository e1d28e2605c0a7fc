"""What each performer has done on tape and does in a cut, in counts; no verdict, and nothing of what was not marked."""

from __future__ import annotations

from fractions import Fraction

from previs.document.model import Cut, Move, Sequence, Take
from previs.fight.hazards import on_wire, who_comes_down
from previs.handoff.played import Played, flight_of, played
from previs.handoff.sheets import Table, Value

FULL_SPEED = Fraction(95, 100)
"""From which tempo on a take counts as a full-speed pass; a choice of this program, no source."""


def load_tables(sequence: Sequence, cut: Cut) -> tuple[Table, ...]:
    """A row for each performer that a take or the cast names, in order of first naming."""
    shown = played(sequence, cut)
    named = [one.performer for take in sequence.takes for one in take.performers]
    people = dict.fromkeys([*(one.actor for one in sequence.cast), *named, *(name for one in sequence.cast for name in one.doubles)])
    return (
        Table(
            "load",
            "Fight load, in counts",
            (
                "performer", "roles", "takes", "full-speed takes", "passes of a phrase at full speed", "falls and landings on tape",
                "wire moves on tape", "moves in the cut", "falls and landings in the cut", "wire moves in the cut",
            ),
            tuple(_row(sequence, name, shown) for name in people if name),
            "No performer is noted on any take, and nobody is cast.",
            "Full speed is a tempo of 95 % and more. Moves on tape are the hits logged. A fall or landing counts for the role whose "
            "flight is marked; without one, a throw counts for the defender, a vault or leap for the attacker, any other for both. "
            "Moves on cards are not shot yet and count for nobody.",
        ),
    )  # fmt: skip


def _row(sequence: Sequence, name: str, shown: tuple[Played, ...]) -> tuple[Value, ...]:
    takes = [take for take in sequence.takes if any(one.performer == name for one in take.performers)]
    full = [take for take in takes if take.tempo >= FULL_SPEED]
    moves = {move.number: move for move in sequence.moves}
    on_tape = [(take, moves[hit.move]) for take in takes for hit in take.hits]
    in_cut = [(one.take, one.move) for one in shown if one.take is not None and any(cast.performer == name for cast in one.take.performers)]
    roles = dict.fromkeys(one.role for take in takes for one in take.performers if one.performer == name)
    phrases = {phrase.number for phrase in sequence.phrases}
    passes = sum(take.first_phrase <= number <= take.last_phrase for take in full for number in phrases)
    counts = [
        sum(does(sequence, take, move, name) for take, move in pairs) for pairs in (on_tape, in_cut) for does in (_comes_down, _on_wire)
    ]
    taking_part = sum(_plays_in(take, move, name) for take, move in in_cut)
    return (name, ", ".join(roles) or "none on tape", len(takes), len(full), passes, *counts[:2], taking_part, *counts[2:])


def _plays_in(take: Take, move: Move, name: str) -> bool:
    return name in (take.performer_of(move.attacker), take.performer_of(move.defender))


def _comes_down(sequence: Sequence, take: Take, move: Move, name: str) -> bool:
    flight = flight_of(sequence, take, move.number)
    roles = (flight.role,) if flight else who_comes_down(move)
    return any(take.performer_of(role) == name for role in roles)


def _on_wire(sequence: Sequence, take: Take, move: Move, name: str) -> bool:
    flight = flight_of(sequence, take, move.number)
    roles = (flight.role,) if flight else who_comes_down(move) or (move.attacker,)
    return on_wire(move) and any(take.performer_of(role) == name for role in roles)
