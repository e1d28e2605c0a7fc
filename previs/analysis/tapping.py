"""From taps while a take plays to hits: which move a tap takes, and the evidence near it that it is meant for; it marks nothing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from msgspec.structs import replace

from previs.analysis.carrying import Evidence
from previs.document.model import Hit, Sequence, Take

REACH_FRAMES = 6
"""How far from a tap the evidence may lie, in frames of the sequence, a quarter of a second at 24; a choice of ours, no source."""
_LEAST_STRENGTH = 0.1


class Found(StrEnum):
    """What a tap was moved to."""

    STRIKE = "a strike"
    LANDING = "a landing"
    STOP = "a sudden stop"


@dataclass(frozen=True, slots=True)
class Snap:
    """A moment in seconds of the tape near a tap, and what happens there."""

    at: float
    found: Found


def snap(evidence: Evidence, moment: float, reach_seconds: float) -> Snap | None:
    """The strike nearest to a tap within reach; where nothing strikes, the landing or the sudden stop; None where nothing is."""
    for found, (times, strengths) in (
        (Found.STRIKE, evidence.strikes),
        (Found.LANDING, evidence.landings),
        (Found.STOP, evidence.stops),
    ):
        near = [
            float(at)
            for at, strength in zip(times, strengths, strict=True)
            if abs(at - moment) <= reach_seconds and strength >= _LEAST_STRENGTH
        ]
        if near:
            return Snap(min(near, key=lambda at: abs(at - moment)), found)
    return None


def moves_of(sequence: Sequence, take: Take) -> list[int]:
    """The moves of the phrases that a take plays, in order."""
    return [move.number for phrase in sequence.phrases if take.first_phrase <= phrase.number <= take.last_phrase for move in phrase.moves]


def hit_of(take: Take, move: int) -> Hit | None:
    """Where a move lands on a take, or None."""
    return next((hit for hit in take.hits if hit.move == move), None)


def next_move(sequence: Sequence, take: Take) -> int | None:
    """The move that the next tap takes: the first after the last one logged, None when all are."""
    logged = {hit.move for hit in take.hits}
    every = moves_of(sequence, take)
    last = max((number for number, move in enumerate(every) if move in logged), default=-1)
    return next((move for move in every[last + 1 :] if move not in logged), next((move for move in every if move not in logged), None))


def stepped_move(sequence: Sequence, take: Take, move: int | None, by: int) -> int | None:
    """The move so many places on (back when negative) from `move` in the take's phrases, held at both ends.

    None stands behind the last move, where a take is when all have been tapped; one step on from the last leads there.
    """
    every = moves_of(sequence, take)
    there = min(max((every.index(move) if move in every else len(every)) + by, 0), len(every))
    return every[there] if there < len(every) else None


def next_doubtful(sequence: Sequence, below: int, after: tuple[str, int] | None = None) -> tuple[Take, Hit] | None:
    """The next hit of a confidence below `below`, take by take and then by time, after (take, move); from the first again at the end.

    The hit at `after` itself comes last; None when there is no such hit at all.
    """
    every = [(take, hit) for take in sequence.takes for hit in take.hits]
    place = next((place for place, (take, hit) in enumerate(every) if (take.name, hit.move) == after), -1)
    turned = every[place + 1 :] + every[: place + 1]
    return next(((take, hit) for take, hit in turned if hit.confidence < below), None)


def carried_onto(now: Sequence, before: Sequence, found: Sequence) -> Sequence:
    """The hits that were found from `before`, laid onto the sequence as it is now; takes that were changed meanwhile keep theirs."""
    was = {take.name: take for take in before.takes}
    new = {take.name: take for take in found.takes}
    takes = tuple(
        replace(take, hits=new[take.name].hits) if was.get(take.name) == take and take.name in new else take for take in now.takes
    )
    return replace(now, takes=takes)
