"""Edits of the marks on a tape, one at a time: takes, hits, framings, treatments; each a pure function from sequence to sequence.

Moments are exact seconds from the tape's first picture. Every edit keeps hits and framings in order of time and inside
their take, and raises `UseFault` with one sentence where that cannot be.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import count

from msgspec.structs import replace

from previs.document.model import SURE, Casting, Face, Framing, Hit, Kind, Move, Sequence, Shows, Size, Take, Treatment
from previs.faults import UseFault


def new_take_name(sequence: Sequence, reel: str) -> str:
    """A name for the next take of a tape that no take has: the reel and a number."""
    taken = {take.name for take in sequence.takes}
    return next(name for number in count(1) if (name := f"{reel}-{number}") not in taken)


def put_take(sequence: Sequence, take: Take) -> Sequence:
    """The sequence with a take more, after those of its tape; raises `UseFault` when its name is taken."""
    if not take.name.strip() or any(one.name == take.name for one in sequence.takes):
        raise UseFault(
            f"There is a take named '{take.name}' already; give it another name." if take.name.strip() else "A take needs a name."
        )
    _within_tape(sequence, take)
    return replace(sequence, takes=(*sequence.takes, take))


def change_take(sequence: Sequence, take_name: str, **parts: object) -> Sequence:
    """The sequence with these fields of a take changed; hits that no longer lie in it are refused, and named.

    A take with another name keeps its shots in every cut. Raises `UseFault` for what a take cannot be.
    """
    old = sequence.take(take_name)
    new = replace(old, **parts)
    if new.name != old.name:
        return _renamed(sequence, old, new)
    _within_tape(sequence, new)
    if outside := [hit.move for hit in new.hits if not new.span.holds(hit.at)]:
        raise UseFault(
            f"Take {take_name} would no longer hold its hit of move {outside[0]}; remove that hit first, or leave the take longer."
        )
    if (new.start, new.end_exclusive) != (old.start, old.end_exclusive):
        new = replace(new, framings=_from(new.framings, new.start, new.end_exclusive))
    if (new.first_phrase, new.last_phrase) != (old.first_phrase, old.last_phrase):
        played = {move.number for move in _moves_played(sequence, new)}
        if left := [hit.move for hit in new.hits if hit.move not in played]:
            raise UseFault(f"Take {take_name} has a hit of move {left[0]}, which those phrases do not hold; remove that hit first.")
    return _with(sequence, old, new)


def remove_take(sequence: Sequence, name: str) -> Sequence:
    """The sequence without a take; raises `UseFault` while a cut plays it."""
    take = sequence.take(name)
    for cut in sequence.cuts:
        for number, shot in enumerate(cut.shots, start=1):
            if getattr(shot.picture, "take", None) == name:
                raise UseFault(f"Shot {number} of cut {cut.name} plays take {name}; replace its take first, or delete that cut.")
    return replace(sequence, takes=tuple(one for one in sequence.takes if one is not take))


def put_hit(sequence: Sequence, take_name: str, move: int, at: Fraction) -> Sequence:
    """Say where a move lands on a take, in the place of where it was said to; looked at by a person, so sure.

    Moves land in the order of the fight: hits that nobody has looked at and that no longer fit it go (`contradicted` names
    them); one that a person marked stays, and `UseFault` says which.
    """
    take = sequence.take(take_name)
    if move not in {one.number for one in sequence.moves}:
        raise UseFault(f"There is no move {move} in the fight.")
    if all(one.number != move for one in _moves_played(sequence, take)):
        raise UseFault(f"Take {take_name} does not play move {move}; change its phrases first.")
    if not take.span.holds(at):
        raise UseFault(f"Take {take_name} does not play at {float(at):.2f} s of its tape, so no move can land there.")
    against = contradicted(sequence, take_name, move, at)
    if stays := next((hit for hit in against if hit.confidence >= SURE), None):
        if stays.at == at:
            raise UseFault(f"Move {stays.move} lands on that very frame of take {take_name} already; two moves cannot.")
        first, then = (stays.move, move) if stays.at > at else (move, stays.move)
        raise UseFault(
            f"Move {move} cannot land at {float(at):.2f} s on take {take_name}: move {stays.move} lands at {float(stays.at):.2f} s, and "
            f"{first} comes before {then} in the fight; move or remove that hit first."
        )
    others = [hit for hit in take.hits if hit.move != move and hit not in against]
    hits = tuple(sorted([*others, Hit(move, at, SURE)], key=lambda hit: hit.at))
    return _with(sequence, take, replace(take, hits=hits))


def contradicted(sequence: Sequence, take_name: str, move: int, at: Fraction) -> tuple[Hit, ...]:
    """The hits of a take that cannot stay when a move lands at this moment: earlier moves not before it, later ones not after."""
    order = {one.number: place for place, one in enumerate(sequence.moves)}
    here = order.get(move, -1)
    return tuple(
        hit
        for hit in sequence.take(take_name).hits
        if hit.move != move and (hit.at >= at if order.get(hit.move, -1) < here else hit.at <= at)
    )


def remove_hit(sequence: Sequence, take_name: str, move: int) -> Sequence:
    """Forget where a move lands on a take."""
    take = sequence.take(take_name)
    hits = tuple(hit for hit in take.hits if hit.move != move)
    if len(hits) == len(take.hits):
        raise UseFault(f"Take {take_name} has no hit of move {move}.")
    return _with(sequence, take, replace(take, hits=hits))


def frame_as(sequence: Sequence, take_name: str, at: Fraction, *, begins: bool = False, **parts: object) -> Sequence:
    """Change fields of the framing that holds at a moment of a take; with `begins` of a new one that holds from then on."""
    take = sequence.take(take_name)
    if not take.span.holds(at):
        raise UseFault(f"Take {take_name} does not play at {float(at):.2f} s of its tape.")
    angle, left = parts.get("angle"), parts.get("screen_left")
    if isinstance(angle, int) and not -180 <= angle <= 180:
        raise UseFault(f"A camera cannot stand at {angle} degrees; give -180 to 180, 0 square on to the line.")
    if left:
        _known_role(sequence, str(left))
    old = take.framing_at(at)
    if begins and old.at != at:
        new = replace(old, at=at, **parts)
        framings = tuple(sorted([*take.framings, new], key=lambda one: one.at))
    else:
        framings = tuple(replace(one, **parts) if one is old else one for one in take.framings)
    return _with(sequence, take, replace(take, framings=framings))


def remove_framing(sequence: Sequence, take_name: str, at: Fraction) -> Sequence:
    """Let the framing before it hold on where a take's framing changed at exactly this moment; the first one stays."""
    take = sequence.take(take_name)
    kept = tuple(one for number, one in enumerate(take.framings) if number == 0 or one.at != at)
    if kept == take.framings:
        raise UseFault(f"The framing of take {take_name} does not change at {float(at):.2f} s, and the one that it begins with stays.")
    return _with(sequence, take, replace(take, framings=kept))


def show_face(sequence: Sequence, take_name: str, at: Fraction, role: str, shows: Shows, *, begins: bool = False) -> Sequence:
    """Say how much of a role's face shows in the framing that holds at a moment; with `begins` in a new one from then on."""
    _known_role(sequence, role)
    framing = sequence.take(take_name).framing_at(at)
    others = tuple(face for face in framing.faces if face.role != role)
    return frame_as(sequence, take_name, at, begins=begins, faces=(*others, Face(role, shows)))


def perform(sequence: Sequence, take_name: str, role: str, performer: str) -> Sequence:
    """Say who plays a role on a take; nobody when `performer` is empty."""
    take = sequence.take(take_name)
    _known_role(sequence, role)
    others = tuple(one for one in take.performers if one.role != role)
    added = (Casting(role, performer.strip()),) if performer.strip() else ()
    return _with(sequence, take, replace(take, performers=(*others, *added)))


def put_treatment(sequence: Sequence, reel: str, start: Fraction, end_exclusive: Fraction, kind: Kind, role: str) -> Sequence:
    """Mark a stretch of a tape for a treatment of a role; what it meets of the same kind and role becomes one with it."""
    tape = sequence.tape(reel)
    _known_role(sequence, role)
    if not 0 <= start < end_exclusive <= tape.duration:
        raise UseFault(f"A treatment lies on its tape and ends after it begins; tape {reel} lasts {float(tape.duration):.2f} s.")
    met = [
        one
        for one in sequence.treatments
        if (one.reel, one.kind, one.role) == (reel, kind, role) and one.start <= end_exclusive and start <= one.end_exclusive
    ]
    whole = Treatment(
        reel=reel,
        start=min([start, *(one.start for one in met)]),
        end_exclusive=max([end_exclusive, *(one.end_exclusive for one in met)]),
        kind=kind,
        role=role,
        note="; ".join(dict.fromkeys(one.note for one in met if one.note)),
    )
    return replace(sequence, treatments=(*(one for one in sequence.treatments if one not in met), whole))


def remove_treatment(sequence: Sequence, treatment: Treatment) -> Sequence:
    """Take one mark of a treatment away."""
    if treatment not in sequence.treatments:
        raise UseFault("That treatment is not marked any more.")
    index = sequence.treatments.index(treatment)
    return replace(sequence, treatments=sequence.treatments[:index] + sequence.treatments[index + 1 :])


def plain_take(name: str, reel: str, start: Fraction, end_exclusive: Fraction, phrases: tuple[int, int], camera: str = "") -> Take:
    """A take of which no more is known than where it lies and what it plays: framed full until somebody looks."""
    return Take(name, reel, start, end_exclusive, phrases[0], phrases[1], (Framing(start, Size.FULL),), camera=camera)


def take_like_the_last(sequence: Sequence, reel: str, start: Fraction, end_exclusive: Fraction) -> Take:
    """A take of this stretch as one would begin to fill it in, under a name that is free; it is not in the sequence yet.

    It plays and is framed, performed and paced as the take before it on the tape, for the next try is most often of the
    same; the first of a tape plays the first phrase. Raises `UseFault` while there is no fight.
    """
    if not sequence.phrases:
        raise UseFault("There is no fight to log yet; write it, or read its table, first.")
    name, tape = new_take_name(sequence, reel), sequence.tape(reel)
    earlier = [take for take in sequence.takes if take.reel == reel and take.start <= start]
    if not earlier:
        first = sequence.phrases[0].number
        return plain_take(name, reel, start, end_exclusive, (first, first), tape.camera)
    last = max(earlier, key=lambda take: take.start)
    new = plain_take(name, reel, start, end_exclusive, (last.first_phrase, last.last_phrase), last.camera)
    return replace(new, framings=(replace(last.framings[-1], at=start),), tempo=last.tempo, performers=last.performers)


def _with(sequence: Sequence, old: Take, new: Take) -> Sequence:
    return replace(sequence, takes=tuple(new if one is old else one for one in sequence.takes))


def _renamed(sequence: Sequence, old: Take, new: Take) -> Sequence:
    _refuse_name(sequence, new.name)
    cuts = tuple(
        replace(
            cut,
            shots=tuple(
                replace(shot, picture=replace(shot.picture, take=new.name)) if getattr(shot.picture, "take", None) == old.name else shot
                for shot in cut.shots
            ),
        )
        for cut in sequence.cuts
    )
    return replace(_with(sequence, old, new), cuts=cuts)


def _within_tape(sequence: Sequence, take: Take) -> None:
    tape = sequence.tape(take.reel)
    if not 0 <= take.start < take.end_exclusive <= tape.duration:
        lasts = f"which lasts {float(tape.duration):.2f} s"
        raise UseFault(f"Take {take.name} would not lie on tape {take.reel}, {lasts}, with its end after its beginning.")
    numbers = {phrase.number for phrase in sequence.phrases}
    if take.first_phrase > take.last_phrase or not {take.first_phrase, take.last_phrase} <= numbers:
        known = f"{min(numbers)} to {max(numbers)}" if numbers else "none yet"
        raise UseFault(f"Take {take.name} cannot play phrases {take.first_phrase} to {take.last_phrase}; the fight has {known}.")


def _from(framings: tuple[Framing, ...], start: Fraction, end_exclusive: Fraction) -> tuple[Framing, ...]:
    """The framings of a take between these moments: the one that holds at `start` begins it."""
    before = [one for one in framings if one.at <= start]
    first = before[-1] if before else framings[0]
    return (replace(first, at=start), *(one for one in framings if start < one.at < end_exclusive and one is not first))


def _moves_played(sequence: Sequence, take: Take) -> tuple[Move, ...]:
    return tuple(move for phrase in sequence.phrases if take.first_phrase <= phrase.number <= take.last_phrase for move in phrase.moves)


def _known_role(sequence: Sequence, role: str) -> None:
    if role not in {*sequence.roles, *(one.role for one in sequence.cast)}:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")


def _refuse_name(sequence: Sequence, name: str) -> None:
    if not name.strip():
        raise UseFault("A take needs a name.")
    if any(one.name == name for one in sequence.takes):
        raise UseFault(f"There is a take named '{name}' already; give it another name.")
