"""Who plays a role and who doubles it, against who is seen on the takes; pure, no files."""

from __future__ import annotations

from collections.abc import Iterator

from previs.document.model import Role, Sequence
from previs.faults import UseFault


def with_casting(sequence: Sequence, role: str, actor: str, doubles: tuple[str, ...]) -> Sequence:
    """The sequence with a role cast so; raises `UseFault` without an actor, and for one who would double their own role."""
    actor, doubles = actor.strip(), tuple(dict.fromkeys(double.strip() for double in doubles if double.strip()))
    if not actor:
        raise UseFault(f"Say who plays {role}: the actor first, then the doubles.")
    if actor in doubles:
        raise UseFault(f"{actor} cannot play {role} and double {role} too; name another double, or another actor.")
    return sequence.with_role(Role(role, actor, doubles))


def cast_rows(sequence: Sequence) -> list[dict[str, str | int | float | bool | None]]:
    """A row for each role of the fight: who plays it, who doubles it, and on how many takes someone plays it."""
    cast = {one.role: one for one in sequence.cast}
    seen = {role: sum(any(one.role == role for one in take.performers) for take in sequence.takes) for role in sequence.roles}
    return [
        {
            "role": role,
            "actor": cast[role].actor if role in cast else "",
            "doubles": ", ".join(cast[role].doubles) if role in cast else "",
            "takes": seen[role],
        }
        for role in sequence.roles
    ]


def unknown_performers(sequence: Sequence) -> Iterator[str]:
    """A sentence for each performer whom takes name in a role that is cast, and who is neither its actor nor a double."""
    cast = {one.role: {one.actor, *one.doubles} for one in sequence.cast}
    found: dict[tuple[str, str], list[str]] = {}
    for take in sequence.takes:
        for one in take.performers:
            if one.role in cast and one.performer not in cast[one.role]:
                found.setdefault((one.role, one.performer), []).append(take.name)
    for (role, performer), takes in found.items():
        named = ", ".join(takes[:6]) + (" ..." if len(takes) > 6 else "")
        yield f"{performer} plays {role} on {named}, and is neither its actor nor a double in the cast; correct one of them."
