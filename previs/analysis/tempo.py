"""How fast each take was played, phrase by phrase, against the best performance take of that phrase; pure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median

from msgspec.structs import replace as changed

from previs.cut.choices import PERFORMED
from previs.document.model import Hit, Phrase, Sequence, Take


@dataclass(frozen=True, slots=True)
class Tempo:
    """A take's tempo in one phrase: the share of performance speed that was noted, and the one that its hits show."""

    take: str
    phrase: int
    reference: str
    noted: Fraction
    found: Fraction


def tempi(sequence: Sequence) -> tuple[Tempo, ...]:
    """The tempo of every take in every phrase of which it and a performance take hold at least two moves.

    The reference is the take noted as performed (95 % and up) that holds most of the phrase, then the best rated, and
    counts with the tempo noted for it. The middle of all steps from hit to hit is taken, so one stumble does not count.
    """
    found = []
    for phrase in sequence.phrases:
        reference = _reference(sequence, phrase)
        if reference is None:
            continue
        for take in sequence.takes:
            if take is not reference and (share := _share(phrase, take, reference)) is not None:
                found.append(Tempo(take.name, phrase.number, reference.name, take.tempo, share * reference.tempo))
    return tuple(found)


def with_tempi(sequence: Sequence) -> Sequence:
    """The sequence with each take's tempo as found: the middle of its phrases, to a thousandth; others keep the noted one."""
    found: dict[str, list[Fraction]] = {}
    for one in tempi(sequence):
        found.setdefault(one.take, []).append(one.found)
    takes = tuple(
        changed(take, tempo=Fraction(round(median(found[take.name]) * 1000), 1000)) if take.name in found else take
        for take in sequence.takes
    )
    return changed(sequence, takes=takes)


def _hits_of(phrase: Phrase, take: Take) -> dict[int, Hit]:
    moves = {move.number for move in phrase.moves}
    return {hit.move: hit for hit in take.hits if hit.move in moves}


def _reference(sequence: Sequence, phrase: Phrase) -> Take | None:
    performed = [take for take in sequence.takes if take.tempo >= PERFORMED and len(_hits_of(phrase, take)) > 1]
    return max(performed, key=lambda take: (len(_hits_of(phrase, take)), take.rating, -sequence.takes.index(take)), default=None)


def _share(phrase: Phrase, take: Take, reference: Take) -> Fraction | None:
    mine, its = _hits_of(phrase, take), _hits_of(phrase, reference)
    both = [move for move in mine if move in its]
    steps = [
        (its[after].at - its[before].at) / (mine[after].at - mine[before].at)
        for before, after in pairwise(both)
        if mine[after].at > mine[before].at and its[after].at > its[before].at
    ]
    return median(steps) if steps else None
