"""Who does what, and what a recasting means, in rows and sentences for one screen; what they say is found in `fight/`."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Sequence as Several

from previs.cut.placing import hits_seen, place
from previs.document.model import Cut, Sequence
from previs.exchange.lists import Row, moves_text, record_label
from previs.fight.doubling import Part
from previs.fight.recasting import Consequence
from previs.handoff.played import shot_names


def part_row(sequence: Sequence, part: Part) -> Row:
    """One role's part of one move on screen."""
    return {
        "shot": part.shot,
        "at": record_label(sequence, part.record_frame),
        "move": part.move.number,
        "label": part.move.label,
        "role": part.role,
        "take": part.take,
        "performer": part.performer,
        "done by": part.way.value,
        "size": part.size.value,
        "face": part.face.value,
        "replaced face": part.holds.value if part.holds else "",
        "actor learns": "yes" if part.must_learn else "",
        "why": part.why,
    }


def consequence_row(sequence: Sequence, one: Consequence) -> Row:
    """What becomes of one move."""
    return {
        "shot": one.part.shot,
        "at": record_label(sequence, one.part.record_frame),
        "move": one.part.move.number,
        "label": one.part.move.label,
        "now": f"{one.part.performer or 'nobody noted'}, {one.part.way.value}",
        "size": one.part.size.value,
        "takes": ", ".join(one.takes) or "none",
        "ways out": "; ".join(one.ways_out),
        "impossible": "yes" if one.impossible else "",
    }


def answer_lines(sequence: Sequence, cut: Cut, role: str, found: Several[Consequence], cannot: frozenset[int] | None) -> tuple[str, ...]:
    """The answer in a few lines; `cannot` are the moves that the actor cannot do, None for the question of the actor alone."""
    actor = next(one.actor for one in sequence.cast if one.role == role)
    asked = (
        f"{role} by {actor} alone in cut {cut.name}:"
        if cannot is None
        else f"{role} in cut {cut.name}, when {actor} cannot do {_moves(cannot)}:"
    )
    lines = [asked]
    if not found:
        lines.append("Nothing has to change in the shots of this cut.")
    else:
        shots = {one.part.shot for one in found}
        named = shot_names(one for one in place(sequence, cut) if one.number in shots)
        lines.append(f"Shots that change ({len(shots)}): {named}.")
        if cannot is None:
            lines.append(_sentence(f"Moves that {actor} must now do", (one.part.move.number for one in found)))
        lines.append(_sentence("Moves that takes exist for", (one.part.move.number for one in found if not one.impossible)))
        lines.append(_sentence("Impossible with the footage there is", (one.part.move.number for one in found if one.impossible)))
    if away := sorted((cannot or frozenset()) - _shown(sequence, cut)):
        lines.append(f"Not landing in footage of this cut, so not judged: {_moves(away)}.")
    return tuple(lines)


def _sentence(what: str, moves: Iterable[int]) -> str:
    numbers = sorted(set(moves))
    return f"{what}: {moves_text(tuple(numbers)) if numbers else 'none'}."


def _moves(numbers: Iterable[int]) -> str:
    listed = sorted(numbers)
    return f"move{'' if len(listed) == 1 else 's'} {moves_text(tuple(listed))}"


def _shown(sequence: Sequence, cut: Cut) -> frozenset[int]:
    return frozenset(seen.move.number for seen in hits_seen(sequence, place(sequence, cut)))
