"""Edits of marks on the tapes: hits, framings, faces and treatments, one at a time; takes as a whole are in `take_edits`; pure.

Every edit is `Sequence -> Sequence`, leaves a sound document, and raises `UseFault` in one sentence where it cannot be made.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from msgspec.structs import replace

from previs.document.model import SURE, Face, Framing, Hit, Move, Sequence, Shows, Size, Take, Treatment
from previs.document.remembering import remembered
from previs.faults import UseFault


@remembered(newest=256)
def moves_of_take(sequence: Sequence, take: Take) -> tuple[Move, ...]:
    """The moves of the phrases that a take plays, in the order of the fight."""
    return tuple(move for phrase in sequence.phrases if take.first_phrase <= phrase.number <= take.last_phrase for move in phrase.moves)


def hit_of(take: Take, move: int) -> Hit | None:
    """The take's hit of a move, or None."""
    return next((hit for hit in take.hits if hit.move == move), None)


def put_hit(sequence: Sequence, name: str, move: int, at: Fraction, confidence: int = SURE) -> Sequence:
    """The sequence with a move's hit at a moment of a take's tape, in the place of the hit that it had.

    Hits rise in the order of the fight. Hits that nobody has looked at give way to one that a person puts (`SURE`); where
    one that a person made stands in the way, or the moment or the move is not the take's, `UseFault` is raised.
    """
    take = sequence.take(name)
    if not 0 <= confidence <= SURE:
        raise UseFault(f"A confidence of {confidence} % cannot be; give 0 to {SURE}.")
    _move_played(sequence, take, move)
    if not take.span.holds(at):
        raise UseFault(f"Move {move} cannot land at {_seconds(at)}: take {name} lasts from {_seconds(take.start)} to {_end(take)}.")
    others = [hit for hit in take.hits if hit.move != move]
    for hit in contradicted(sequence, name, move, at):
        if hit.confidence == SURE or confidence < SURE:
            raise UseFault(
                f"Move {move} cannot land at {_seconds(at)} on take {name}: move {hit.move} lands at {_seconds(hit.at)}; "
                f"move or remove that hit first, or choose another move."
            )
        others.remove(hit)
    return with_hits(sequence, name, [*others, Hit(move, at, confidence)])


def contradicted(sequence: Sequence, name: str, move: int, at: Fraction) -> tuple[Hit, ...]:
    """The hits of a take that do not fit a move's landing at this moment: earlier moves at or after it, later ones at or before."""
    order = {one.number: place for place, one in enumerate(sequence.moves)}
    here = order.get(move, -1)
    return tuple(
        hit for hit in sequence.take(name).hits if hit.move != move and (hit.at >= at if order.get(hit.move, -1) < here else hit.at <= at)
    )


def remove_hit(sequence: Sequence, name: str, move: int) -> Sequence:
    """The sequence without a move's hit on a take; raises `UseFault` when it has none."""
    take = sequence.take(name)
    if hit_of(take, move) is None:
        raise UseFault(f"Take {name} has no hit of move {move}; nothing was removed.")
    return with_hits(sequence, name, [hit for hit in take.hits if hit.move != move])


def clear_hits(sequence: Sequence, name: str) -> Sequence:
    """The sequence without any hit on a take; raises `UseFault` when it has none."""
    if not sequence.take(name).hits:
        raise UseFault(f"Take {name} has no hits; nothing was removed.")
    return with_hits(sequence, name, [])


def set_framing(
    sequence: Sequence,
    name: str,
    at: Fraction,
    *,
    size: Size | None = None,
    angle: int | str | None = "",
    movement: str | None = None,
    screen_left: str | None = None,
) -> Sequence:
    """The sequence with what is given changed in a take's framing from a moment on, up to its next change.

    `angle` is a bearing of -180 to 180 degrees or None for one that was not noted; what is left out stays. A framing like
    the one before it is no change, and goes. Raises `UseFault` outside the take, or for a role that the fight has not.
    """
    take = sequence.take(name)
    now = _framing_there(take, at)
    if not isinstance(angle, str) and angle is not None and not -180 <= angle <= 180:
        raise UseFault(f"A bearing of {angle} degrees cannot be; give -180 to 180, 0 square on to the line.")
    if screen_left:
        _role_known(sequence, screen_left)
    changed = replace(
        now,
        size=size or now.size,
        angle=now.angle if isinstance(angle, str) else angle,
        movement=now.movement if movement is None else movement.strip(),
        screen_left=now.screen_left if screen_left is None else screen_left,
    )
    return _with_framing(sequence, take, replace(changed, at=at))


def set_face(sequence: Sequence, name: str, at: Fraction, role: str, shows: Shows) -> Sequence:
    """The sequence with this much of a role's face shown on a take, from a moment on, up to its next change of framing."""
    take = sequence.take(name)
    now = _framing_there(take, at)
    _role_known(sequence, role)
    faces = tuple(face for face in now.faces if face.role != role)
    order = {one: place for place, one in enumerate(sequence.roles)}
    rising = sorted((*faces, Face(role, shows)), key=lambda face: order.get(face.role, len(order)))
    return _with_framing(sequence, take, replace(now, at=at, faces=tuple(rising)))


def remove_framing(sequence: Sequence, name: str, at: Fraction) -> Sequence:
    """The sequence without a take's change of framing at exactly this moment; the first framing stays, or `UseFault`."""
    take = sequence.take(name)
    if all(framing.at != at for framing in take.framings):
        raise UseFault(f"The framing of take {name} does not change at {_seconds(at)}; nothing was removed.")
    if take.framings[0].at == at:
        raise UseFault(f"Take {name} needs the framing that it begins with; change it instead.")
    return _with(sequence, replace(take, framings=tuple(framing for framing in take.framings if framing.at != at)))


def put_treatment(sequence: Sequence, treatment: Treatment) -> Sequence:
    """The sequence with one treatment more; one of the same kind and role that it meets becomes one with it.

    Raises `UseFault` for a stretch that is not on the tape, or a role that the fight has not.
    """
    tape = sequence.tape(treatment.reel)
    _role_known(sequence, treatment.role)
    if not 0 <= treatment.start < treatment.end_exclusive <= tape.duration:
        raise UseFault(
            f"A {treatment.kind.value} from {_seconds(treatment.start)} to {_seconds(treatment.end_exclusive)} is no stretch "
            f"of tape {treatment.reel}, which lasts {_seconds(tape.duration)}."
        )
    met = [one for one in sequence.treatments if _meet(one, treatment)]
    whole = replace(
        treatment,
        start=min(one.start for one in (*met, treatment)),
        end_exclusive=max(one.end_exclusive for one in (*met, treatment)),
        note="; ".join(dict.fromkeys(one.note for one in (*met, treatment) if one.note)),
    )
    place = sequence.treatments.index(met[0]) if met else len(sequence.treatments)
    kept = [(None if one in met else one) for one in sequence.treatments]
    kept.insert(place, whole)
    return replace(sequence, treatments=tuple(one for one in kept if one is not None))


def remove_treatment(sequence: Sequence, treatment: Treatment) -> Sequence:
    """The sequence without this treatment; raises `UseFault` when it is not there."""
    if treatment not in sequence.treatments:
        raise UseFault(f"That {treatment.kind.value} of {treatment.role} is not marked on tape {treatment.reel}; nothing was removed.")
    return replace(sequence, treatments=tuple(one for one in sequence.treatments if one != treatment))


def with_hits(sequence: Sequence, name: str, hits: Iterable[Hit]) -> Sequence:
    """The sequence with these hits on a take and no others, put in order of time."""
    order = {one.number: place for place, one in enumerate(sequence.moves)}
    rising = tuple(sorted(hits, key=lambda hit: (hit.at, order.get(hit.move, -1))))
    return _with(sequence, replace(sequence.take(name), hits=rising))


def _with(sequence: Sequence, take: Take) -> Sequence:
    return replace(sequence, takes=tuple(take if one.name == take.name else one for one in sequence.takes))


def _meet(one: Treatment, other: Treatment) -> bool:
    same = (one.reel, one.kind, one.role) == (other.reel, other.kind, other.role)
    return same and one.start <= other.end_exclusive and other.start <= one.end_exclusive


def _move_played(sequence: Sequence, take: Take, move: int) -> None:
    played = moves_of_take(sequence, take)
    if all(one.number != move for one in played):
        numbers = ", ".join(str(one.number) for one in played[:12]) or "none"
        raise UseFault(f"Take {take.name} does not play move {move}; its moves are {numbers}. Change its phrases first.")


def _role_known(sequence: Sequence, role: str) -> None:
    if role not in {*sequence.roles, *(one.role for one in sequence.cast)}:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")


def _framing_there(take: Take, at: Fraction) -> Framing:
    if not take.span.holds(at):
        raise UseFault(f"{_seconds(at)} is not in take {take.name}, which lasts from {_seconds(take.start)} to {_end(take)}.")
    return take.framing_at(at)


def _with_framing(sequence: Sequence, take: Take, framing: Framing) -> Sequence:
    rising = sorted((*(one for one in take.framings if one.at != framing.at), framing), key=lambda one: one.at)
    kept = [rising[0]]
    for one in rising[1:]:
        if replace(one, at=kept[-1].at) != kept[-1]:
            kept.append(one)
    return _with(sequence, replace(take, framings=tuple(kept)))


def _seconds(moment: Fraction) -> str:
    return f"{float(moment):.2f} s"


def _end(take: Take) -> str:
    return _seconds(take.end_exclusive)
