"""The day's question: what if only the actor may do it, or the actor cannot; which moves, which shots, which takes exist."""

from __future__ import annotations

from dataclasses import dataclass

from previs.document.model import Cut, Sequence, Shows, Size, Take
from previs.faults import UseFault
from previs.fight.doubling import Holds, Part, Way, parts, replacement_holds


@dataclass(frozen=True, slots=True)
class Consequence:
    """What becomes of one move of the role in one shot.

    `ways_out` are sentences, best first; an empty tuple means that nothing has to change. `takes` are the takes that show
    the move as it is wanted now. `impossible` says that no footage does.
    """

    part: Part
    takes: tuple[str, ...]
    ways_out: tuple[str, ...]
    impossible: bool


def ways_out_of_replacement(sequence: Sequence, move: int, role: str) -> tuple[str, ...]:
    """What can be done where a replaced face does not hold for this move of a role, best first, with the takes there are."""
    actor = next((one.actor for one in sequence.cast if one.role == role), "")
    showing = [take for take in sequence.takes if _shows(take, move)]
    wide = tuple(take.name for take in showing if replacement_holds(sequence.settings, _size_at(take, move)) is Holds.GOOD)
    played = tuple(take.name for take in showing if actor and take.performer_of(role) == actor)
    ways = []
    if wide:
        ways.append(f"show move {move} wider, with take {_either(wide)}")
    if played:
        ways.append(f"use take {_either(played)}, where {actor} does it")
    ways.append(f"{actor or 'the actor'} learns move {move}")
    return (*ways, "mark it for a digital double", "stage it another way")


def actor_only(sequence: Sequence, cut: Cut, role: str, tighter_than: Size | None = None) -> tuple[Consequence, ...]:
    """What changes when the role is played by its actor alone, in this shot size and tighter, or in every one.

    Only moves that somebody else does now are told. Raises `UseFault` for a role that nobody is cast for.
    """
    actor = _actor(sequence, role)
    found = []
    for part in _parts_of(sequence, cut, role):
        if part.way is Way.ACTOR or (tighter_than is not None and part.size.closeness < tighter_than.closeness):
            continue
        takes = tuple(take.name for take in sequence.takes if _shows(take, part.move.number) and take.performer_of(role) == actor)
        wider = () if tighter_than is None else _wider(sequence, part, tighter_than)
        ways = []
        if takes:
            ways.append(f"use take {_either(takes)}, where {actor} does it")
        if wider:
            ways.append(f"stay wider with take {_either(wider)}")
        ways.append(f"{actor} learns move {part.move.number} and it is taken again")
        found.append(Consequence(part, takes, tuple(ways), not takes and not wider))
    return tuple(found)


def cannot(sequence: Sequence, cut: Cut, role: str, moves: frozenset[int]) -> tuple[Consequence, ...]:
    """What changes when the role's actor cannot do these moves. Raises `UseFault` for a move that the role has no part in."""
    actor = _actor(sequence, role)
    known = {move.number for move in sequence.moves if role in (move.attacker, move.defender)}
    if strangers := sorted(moves - known):
        raise UseFault(f"{role} has no part in move {strangers[0]}; name moves of the fight that {role} does or takes.")
    found = []
    for part in _parts_of(sequence, cut, role):
        done_by_another = part.way is Way.DIGITAL_DOUBLE or part.performer not in ("", actor)
        if part.move.number not in moves or (done_by_another and not part.must_learn):
            continue
        hidden = tuple(
            take.name
            for take in sequence.takes
            if _shows(take, part.move.number)
            and take.performer_of(role) not in ("", actor)
            and _face_at(take, part.move.number, role) is Shows.HIDDEN
        )
        replaceable = tuple(
            take.name
            for take in sequence.takes
            if _shows(take, part.move.number)
            and take.performer_of(role) not in ("", actor)
            and take.name not in hidden
            and replacement_holds(sequence.settings, _size_at(take, part.move.number)) is not Holds.NOT
        )
        ways = []
        if hidden:
            ways.append(f"use take {_either(hidden)}: a double, face hidden")
        if replaceable:
            ways.append(f"use take {_either(replaceable)}: a double, with the face replaced")
        ways.append("mark it for a digital double")
        ways.append(f"stage move {part.move.number} another way")
        found.append(Consequence(part, (*hidden, *replaceable), tuple(ways), not hidden and not replaceable))
    return tuple(found)


def _parts_of(sequence: Sequence, cut: Cut, role: str) -> list[Part]:
    return [part for part in parts(sequence, cut) if part.role == role]


def _actor(sequence: Sequence, role: str) -> str:
    if role not in sequence.roles:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")
    actor = next((one.actor for one in sequence.cast if one.role == role), "")
    if not actor:
        raise UseFault(f"Nobody is cast as {role}; cast the role first.")
    return actor


def _shows(take: Take, move: int) -> bool:
    return any(hit.move == move for hit in take.hits)


def _size_at(take: Take, move: int) -> Size:
    return take.framing_at(next(hit.at for hit in take.hits if hit.move == move)).size


def _face_at(take: Take, move: int, role: str) -> Shows:
    return take.framing_at(next(hit.at for hit in take.hits if hit.move == move)).face_of(role)


def _wider(sequence: Sequence, part: Part, than: Size) -> tuple[str, ...]:
    """Takes of this move in a wider framing, where a double may stay."""
    return tuple(
        take.name
        for take in sequence.takes
        if _shows(take, part.move.number) and _size_at(take, part.move.number).closeness < than.closeness
    )


def _either(names: tuple[str, ...]) -> str:
    shown = names[:4]
    more = f" (and {len(names) - len(shown)} more)" if len(names) > len(shown) else ""
    return (", ".join(shown[:-1]) + " or " if len(shown) > 1 else "") + shown[-1] + more
