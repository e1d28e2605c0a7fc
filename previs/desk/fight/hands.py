"""The upper-hand curve down the written fight: where it stands after each move, as written and as the cut shows it; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.document.model import LEVEL, Cut, Sequence
from previs.fight.balance import Shown, Turn, balance


@dataclass(frozen=True, slots=True)
class Hands:
    """`holders` are the roles and `level`, from left to right; `written` has the place of one of them for each move.

    `in_cut` is the same as the cut shows it, None where there is no cut; `turns` are those that it does not show as planned,
    by the number of their move.
    """

    holders: tuple[str, ...]
    written: tuple[int, ...]
    in_cut: tuple[int, ...] | None
    turns: dict[int, Turn]

    @property
    def level(self) -> int:
        """Where neither has it; a fight begins there."""
        return self.holders.index(LEVEL)


def hands_of(sequence: Sequence, cut: Cut | None) -> Hands:
    """The curve of a fight; raises `UseFault` when a shot's take or tape is not in the sequence."""
    roles = sequence.roles
    half = (len(roles) + 1) // 2
    holders = (*roles[:half], LEVEL, *roles[half:])
    written = tuple(holders.index(move.upper_hand) for move in sequence.moves)
    if cut is None or not cut.shots:
        return Hands(holders, written, None, {})
    turns = balance(sequence, cut).turns
    in_cut = _in_cut(sequence, turns, holders)
    return Hands(holders, written, in_cut, {turn.move: turn for turn in turns if turn.shown is not Shown.AS_PLANNED})


def _in_cut(sequence: Sequence, turns: tuple[Turn, ...], holders: tuple[str, ...]) -> tuple[int, ...]:
    """After each move who has the upper hand for those who only see the cut: a turn that is missing does not come about."""
    begun = {turn.move: turn for turn in turns}
    pending: Turn | None = None
    at = holders.index(LEVEL)
    found = []
    for move in sequence.moves:
        if move.number in begun:
            pending = begun[move.number]
        if pending is not None and pending.shown_by is not None and move.number >= pending.shown_by:
            at, pending = holders.index(pending.holder), None
        found.append(at)
    return tuple(found)
