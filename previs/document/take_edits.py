"""Edits of takes as a whole: begin one, change what its slate says, its edges or its phrases, or take it out; pure.

Every edit is `Sequence -> Sequence`, leaves a sound document, and raises `UseFault` in one sentence where it cannot be made.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from previs.clock import TapeSpan
from previs.document.mark_edits import moves_of_take
from previs.document.model import Casting, Footage, Framing, Sequence, Size, Take
from previs.faults import UseFault

MOST_RATING = 5


def new_take(sequence: Sequence, reel: str, start: Fraction, end_exclusive: Fraction, note: str = "") -> Take:
    """A take of this stretch of tape as one would begin to fill it in; it is not in the sequence yet.

    Its name is the reel and a number that is free. Phrases, framing, tempo and performers are those of the take before it
    on the tape, for the next try is most often of the same; without one they are the first phrase, a full shot and
    performance tempo. Raises `UseFault` before there is a fight, or for a stretch that is not on the tape.
    """
    tape = sequence.tape(reel)
    _stretch_on(sequence, reel, start, end_exclusive)
    if not sequence.phrases:
        raise UseFault("There is no fight to log yet; write it, or read its table, first.")
    before = max((take for take in sequence.takes if take.reel == reel and take.start <= start), key=lambda take: take.start, default=None)
    name = _free_name(sequence, reel)
    if before is None:
        first = sequence.phrases[0].number
        return Take(name, reel, start, end_exclusive, first, first, (Framing(start, Size.FULL),), camera=tape.camera, note=note)
    framing = replace(before.framings[-1], at=start)
    return Take(
        name=name, reel=reel, start=start, end_exclusive=end_exclusive, first_phrase=before.first_phrase,
        last_phrase=before.last_phrase, framings=(framing,), tempo=before.tempo, camera=before.camera or tape.camera,
        performers=before.performers, note=note,
    )  # fmt: skip


def put_take(sequence: Sequence, take: Take) -> Sequence:
    """The sequence with one take more, after the takes that lie before it on its tape; raises `UseFault` for a name that is taken."""
    if not take.name:
        raise UseFault("A take needs a name.")
    if any(one.name == take.name for one in sequence.takes):
        raise UseFault(f"There is a take {take.name} already; give this one another name.")
    _stretch_on(sequence, take.reel, take.start, take.end_exclusive)
    before = [place for place, one in enumerate(sequence.takes) if one.reel == take.reel and one.start <= take.start]
    place = before[-1] + 1 if before else len(sequence.takes)
    return replace(sequence, takes=(*sequence.takes[:place], take, *sequence.takes[place:]))


def remove_take(sequence: Sequence, name: str) -> Sequence:
    """The sequence without a take that no cut uses; raises `UseFault` when one does."""
    sequence.take(name)
    cuts = [cut.name for cut in sequence.cuts if any(_shows(shot.picture, name) for shot in cut.shots)]
    if cuts:
        raise UseFault(f"Take {name} stays: {'cut' if len(cuts) == 1 else 'cuts'} {', '.join(cuts)} would lose shots of it.")
    return replace(sequence, takes=tuple(one for one in sequence.takes if one.name != name))


def rename_take(sequence: Sequence, name: str, new: str) -> Sequence:
    """The sequence with a take under another name, in its cuts as well; raises `UseFault` for an empty or a taken one."""
    take, wanted = sequence.take(name), new.strip()
    if not wanted:
        raise UseFault("A take needs a name.")
    if wanted != name and any(one.name == wanted for one in sequence.takes):
        raise UseFault(f"There is a take {wanted} already; give this one another name.")
    renamed = replace(sequence, takes=tuple(replace(take, name=wanted) if one is take else one for one in sequence.takes))
    cuts = tuple(
        replace(
            cut,
            shots=tuple(
                replace(shot, picture=replace(shot.picture, take=wanted))
                if isinstance(shot.picture, Footage) and shot.picture.take == name
                else shot
                for shot in cut.shots
            ),
        )
        for cut in sequence.cuts
    )
    return replace(renamed, cuts=cuts)


def set_stretch(sequence: Sequence, name: str, start: Fraction, end_exclusive: Fraction) -> Sequence:
    """The sequence with another beginning and end of a take; the framing that holds at its beginning begins there.

    Raises `UseFault` for a stretch that is not on the tape, or that leaves a hit outside: nothing is lost by a slip of the hand.
    """
    take = sequence.take(name)
    _stretch_on(sequence, take.reel, start, end_exclusive)
    span = TapeSpan(start, end_exclusive)
    outside = next((hit for hit in take.hits if not span.holds(hit.at)), None)
    if outside is not None:
        raise UseFault(
            f"Take {name} cannot last from {float(start):.2f} to {float(end_exclusive):.2f} s: move {outside.move} lands at "
            f"{float(outside.at):.2f} s; move or remove that hit first."
        )
    first = replace(take.framing_at(start), at=start)
    framings = (first, *(framing for framing in take.framings if start < framing.at < end_exclusive))
    return _with(sequence, replace(take, start=start, end_exclusive=end_exclusive, framings=framings))


def set_phrases(sequence: Sequence, name: str, first: int, last: int) -> Sequence:
    """The sequence with other phrases on a take; raises `UseFault` where a hit of a move of no such phrase would be left."""
    take = sequence.take(name)
    known = [phrase.number for phrase in sequence.phrases]
    for number in (first, last):
        if number not in known:
            raise UseFault(f"There is no phrase {number}; the fight has {', '.join(map(str, known[:12])) or 'none yet'}.")
    if last < first:
        raise UseFault(f"Phrases {first} to {last} run backwards; give the first phrase first.")
    changed = replace(take, first_phrase=first, last_phrase=last)
    played = {move.number for move in moves_of_take(sequence, changed)}
    left = next((hit for hit in take.hits if hit.move not in played), None)
    if left is not None:
        raise UseFault(f"Take {name} has a hit of move {left.move}, which those phrases do not hold; remove that hit first.")
    return _with(sequence, changed)


def set_rating(sequence: Sequence, name: str, rating: int) -> Sequence:
    """The sequence with a take rated 0 to 5."""
    if not 0 <= rating <= MOST_RATING:
        raise UseFault(f"A rating of {rating} cannot be; give 0 to {MOST_RATING}.")
    return _with(sequence, replace(sequence.take(name), rating=rating))


def set_tempo(sequence: Sequence, name: str, tempo: Fraction) -> Sequence:
    """The sequence with a take's tempo as a share of performance speed, from 5 % to 400 %."""
    if not Fraction(1, 20) <= tempo <= 4:
        raise UseFault(f"A tempo of {float(tempo):g} cannot be; give a share of performance speed, such as 0.7 or 70 %.")
    return _with(sequence, replace(sequence.take(name), tempo=tempo))


def set_words(sequence: Sequence, name: str, *, slate: str | None = None, note: str | None = None) -> Sequence:
    """The sequence with another slate or note of a take; None leaves it."""
    take = sequence.take(name)
    changed = replace(take, slate=take.slate if slate is None else slate.strip(), note=take.note if note is None else note.strip())
    return _with(sequence, changed)


def cast_take(sequence: Sequence, name: str, role: str, performer: str) -> Sequence:
    """The sequence with a performer in a role on a take; without a name nobody is noted. Raises `UseFault` for an unknown role."""
    take = sequence.take(name)
    known = {*sequence.roles, *(one.role for one in sequence.cast)}
    if role not in known:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")
    kept = tuple(one for one in take.performers if one.role != role)
    who = performer.strip()
    order = {one: place for place, one in enumerate(sequence.roles)}
    every = (*kept, Casting(role, who)) if who else kept
    return _with(sequence, replace(take, performers=tuple(sorted(every, key=lambda one: order.get(one.role, len(order))))))


def _with(sequence: Sequence, take: Take) -> Sequence:
    return replace(sequence, takes=tuple(take if one.name == take.name else one for one in sequence.takes))


def _shows(picture: object, name: str) -> bool:
    return isinstance(picture, Footage) and picture.take == name


def _free_name(sequence: Sequence, reel: str) -> str:
    taken = {take.name for take in sequence.takes}
    number = sum(take.reel == reel for take in sequence.takes) + 1
    while f"{reel}-{number}" in taken:
        number += 1
    return f"{reel}-{number}"


def _stretch_on(sequence: Sequence, reel: str, start: Fraction, end_exclusive: Fraction) -> None:
    tape = sequence.tape(reel)
    if not 0 <= start < end_exclusive <= tape.duration:
        raise UseFault(
            f"From {float(start):.2f} to {float(end_exclusive):.2f} s is no stretch of tape {reel}, which lasts "
            f"{float(tape.duration):.2f} s."
        )
