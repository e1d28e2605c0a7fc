"""Who has the upper hand when, as the cut shows it and as the fight was written; it does not say who ought to have it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import groupby, pairwise

from previs.clock import Span
from previs.cut.placing import Placed, hits_seen, moves_held, place
from previs.document.model import LEVEL, Card, Cut, Move, Sequence


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of record frames in which one role, or neither (`level`), has the upper hand without a break.

    `move` is the one whose hit began it; None from the cut's first frame, where the two are taken to be level.
    """

    record: Span
    holder: str
    move: int | None


class Shown(StrEnum):
    """What a cut makes of a planned turn."""

    AS_PLANNED = "as planned"
    LATE = "late"
    OUT_OF_ORDER = "out of order"
    ON_A_CARD = "on a card"
    MISSING = "missing"


@dataclass(frozen=True, slots=True)
class Turn:
    """A move that is written to change who has the upper hand, and how the cut shows it.

    `shown_by` is the first move seen of the stretch that begins there and keeps the upper hand the same, at `record_frame`
    of the cut; both are None for a turn that is missing.
    """

    move: int
    holder: str
    shown: Shown
    shown_by: int | None
    record_frame: int | None


@dataclass(frozen=True, slots=True)
class Balance:
    """The upper hand over a cut. Frames are of the sequence rate, from the cut's first; `seconds` are exact.

    `frames` says how long each role, and `level`, has it. `changes_of_side` counts how often it goes from one role to the
    other, whether or not they are level in between. `longest_run` is the longest spell of one role, None when it is level
    all through.
    """

    spells: tuple[Spell, ...]
    frames: dict[str, int]
    changes_of_side: int
    longest_run: Spell | None
    longest_run_seconds: Fraction
    turns: tuple[Turn, ...]

    def share(self, holder: str) -> Fraction:
        """The part of the running time for which a role, or `level`, has it: 0 to 1, and 0 in a cut without frames."""
        return Fraction(self.frames.get(holder, 0), sum(self.frames.values()) or 1)


@dataclass(frozen=True, slots=True)
class _Landing:
    """A move that takes effect on screen, at a hit or at the end of the card that holds its place."""

    record_frame: int
    move: Move
    on_card: bool


def balance(sequence: Sequence, cut: Cut) -> Balance:
    """The upper hand as a step at each hit that is seen, and the planned turns against it.

    A move sets the upper hand from the frame of its first hit on. What a card stands for has happened when the card ends,
    since a card shows no hit. Raises `UseFault` when a shot's take or tape is not in the sequence.
    """
    landings = _landings(sequence, place(sequence, cut))
    spells = tuple(_spells(landings, cut.frames))
    sides = [spell.holder for spell in spells if spell.holder != LEVEL]
    one_sided = [spell for spell in spells if spell.holder != LEVEL]
    longest = max(one_sided, key=lambda spell: spell.record.length, default=None)
    frames = dict.fromkeys((*sequence.roles, LEVEL), 0)
    for spell in spells:
        frames[spell.holder] += spell.record.length
    return Balance(
        spells=spells,
        frames=frames,
        changes_of_side=sum(before != after for before, after in pairwise(sides)),
        longest_run=longest,
        longest_run_seconds=Fraction(longest.record.length if longest else 0) / sequence.timebase.rate.fps,
        turns=tuple(_turns(sequence, landings)),
    )


def spells(sequence: Sequence, cut: Cut) -> tuple[Spell, ...]:
    """The upper hand alone, as `balance` has it: a chart that is redrawn under a drag needs no more."""
    return tuple(_spells(_landings(sequence, place(sequence, cut)), cut.frames))


def _landings(sequence: Sequence, placed: tuple[Placed, ...]) -> list[_Landing]:
    """Each move's first landing, in running order."""
    found = [_Landing(seen.record_frame, seen.move, False) for seen in hits_seen(sequence, placed)]
    moves = {move.number: move for move in sequence.moves}
    held = moves_held(sequence, placed)
    for one in placed:
        if isinstance(one.shot.picture, Card):
            found += [_Landing(one.record.end_exclusive, moves[number], True) for number in held[one.number]]
    first: dict[int, _Landing] = {}
    for landing in sorted(found, key=lambda one: (one.record_frame, one.move.number)):
        first.setdefault(landing.move.number, landing)
    return list(first.values())


def _spells(landings: list[_Landing], frames: int) -> Iterator[Spell]:
    start, holder, move = 0, LEVEL, None
    # Of moves that take effect on one frame the last counts; a spell of no frames would break the one around it in two.
    for landing in {landing.record_frame: landing for landing in landings}.values():
        if landing.move.upper_hand == holder:
            continue
        if start < landing.record_frame:
            yield Spell(Span(start, landing.record_frame), holder, move)
        start, holder, move = landing.record_frame, landing.move.upper_hand, landing.move.number
    if start < frames:
        yield Spell(Span(start, frames), holder, move)


def _turns(sequence: Sequence, landings: list[_Landing]) -> Iterator[Turn]:
    """A turn for each stretch of the written fight that changes the upper hand; a fight begins level."""
    seen = {landing.move.number: landing for landing in landings}
    for number, (holder, moves) in enumerate(groupby(sequence.moves, key=lambda move: move.upper_hand)):
        stretch = [move.number for move in moves]
        if number == 0 and holder == LEVEL:
            continue
        shown = min((seen[move] for move in stretch if move in seen), key=lambda one: (one.record_frame, one.move.number), default=None)
        if shown is None:
            yield Turn(stretch[0], holder, Shown.MISSING, None, None)
            continue
        overtaken = any(one.move.number > stretch[-1] and one.record_frame < shown.record_frame for one in landings)
        if overtaken:
            how = Shown.OUT_OF_ORDER
        elif shown.on_card:
            how = Shown.ON_A_CARD
        else:
            how = Shown.AS_PLANNED if shown.move.number == stretch[0] else Shown.LATE
        yield Turn(stretch[0], holder, how, shown.move.number, shown.record_frame)
