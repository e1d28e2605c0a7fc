"""Edits of the marks on a tape, one at a time: takes, hits, framings, treatments; each a pure function from sequence to sequence.

Moments are exact seconds from the tape's first picture. Every edit keeps hits and framings in order of time and inside
their take, and raises `UseFault` with one sentence where that cannot be.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import count

from msgspec.structs import replace

from previs.document.model import SURE, Casting, Face, Framing, Hit, Kind, Sequence, Shows, Size, Take, Treatment
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
    if new.start != old.start:
        new = replace(new, framings=_from(new.framings, new.start))
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
    """Say where a move lands on a take, in the place of where it was said to; looked at by a person, so sure."""
    take = sequence.take(take_name)
    if move not in {one.number for one in sequence.moves}:
        raise UseFault(f"There is no move {move} in the fight.")
    if not take.span.holds(at):
        raise UseFault(f"Take {take_name} does not play at {float(at):.2f} s of its tape, so no move can land there.")
    others = [hit for hit in take.hits if hit.move != move]
    if beside := next((hit.move for hit in others if hit.at == at), None):
        raise UseFault(f"Move {beside} lands on that very frame of take {take_name} already; two moves cannot.")
    hits = tuple(sorted([*others, Hit(move, at, SURE)], key=lambda hit: hit.at))
    return _with(sequence, take, replace(take, hits=hits))


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
    old = take.framing_at(at)
    if begins and old.at != at:
        new = replace(old, at=at, **parts)
        framings = tuple(sorted([*take.framings, new], key=lambda one: one.at))
    else:
        framings = tuple(replace(one, **parts) if one is old else one for one in take.framings)
    return _with(sequence, take, replace(take, framings=framings))


def show_face(sequence: Sequence, take_name: str, at: Fraction, role: str, shows: Shows) -> Sequence:
    """Say how much of a role's face shows in the framing that holds at a moment."""
    framing = sequence.take(take_name).framing_at(at)
    others = tuple(face for face in framing.faces if face.role != role)
    return frame_as(sequence, take_name, at, faces=(*others, Face(role, shows)))


def perform(sequence: Sequence, take_name: str, role: str, performer: str) -> Sequence:
    """Say who plays a role on a take; nobody when `performer` is empty."""
    take = sequence.take(take_name)
    others = tuple(one for one in take.performers if one.role != role)
    added = (Casting(role, performer.strip()),) if performer.strip() else ()
    return _with(sequence, take, replace(take, performers=(*others, *added)))


def put_treatment(sequence: Sequence, reel: str, start: Fraction, end_exclusive: Fraction, kind: Kind, role: str) -> Sequence:
    """Mark a stretch of a tape for a treatment of a role."""
    tape = sequence.tape(reel)
    if not 0 <= start < end_exclusive <= tape.duration:
        raise UseFault(f"A treatment lies on its tape and ends after it begins; tape {reel} lasts {float(tape.duration):.2f} s.")
    return replace(sequence, treatments=(*sequence.treatments, Treatment(reel, start, end_exclusive, kind, role)))


def remove_treatment(sequence: Sequence, treatment: Treatment) -> Sequence:
    """Take one mark of a treatment away."""
    if treatment not in sequence.treatments:
        raise UseFault("That treatment is not marked any more.")
    index = sequence.treatments.index(treatment)
    return replace(sequence, treatments=sequence.treatments[:index] + sequence.treatments[index + 1 :])


def plain_take(name: str, reel: str, start: Fraction, end_exclusive: Fraction, phrases: tuple[int, int], camera: str = "") -> Take:
    """A take of which no more is known than where it lies and what it plays: framed full until somebody looks."""
    return Take(name, reel, start, end_exclusive, phrases[0], phrases[1], (Framing(start, Size.FULL),), camera=camera)


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


def _from(framings: tuple[Framing, ...], start: Fraction) -> tuple[Framing, ...]:
    """The framings of a take that begins at `start`: the one that holds there begins it."""
    before = [one for one in framings if one.at <= start]
    first = before[-1] if before else framings[0]
    return (replace(first, at=start), *(one for one in framings if one.at > start))


def _refuse_name(sequence: Sequence, name: str) -> None:
    if not name.strip():
        raise UseFault("A take needs a name.")
    if any(one.name == name for one in sequence.takes):
        raise UseFault(f"There is a take named '{name}' already; give it another name.")
