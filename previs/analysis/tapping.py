"""From taps while a take plays to hits: which move a tap takes, and the evidence near it that it is meant for; it marks nothing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from previs.analysis.carrying import Evidence
from previs.document.model import Sequence, Take

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


def next_move(sequence: Sequence, take: Take) -> int | None:
    """The move that the next tap takes: the first after the last one logged, None when all are."""
    logged = {hit.move for hit in take.hits}
    every = moves_of(sequence, take)
    last = max((number for number, move in enumerate(every) if move in logged), default=-1)
    return next((move for move in every[last + 1 :] if move not in logged), next((move for move in every if move not in logged), None))
