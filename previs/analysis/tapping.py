"""From a tap to a hit: which move of the phrase it takes, and the strike, landing or stop that it snaps to; pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor

from msgspec.structs import replace

from previs.analysis.carrying import Evidence
from previs.document.mark_edits import hit_of, moves_of_take
from previs.document.model import Hit, Move, Sequence, Take

REACH_FRAMES = 6
"""How far a tap looks for evidence either way, in frames of the sequence: a quarter of a second at 24."""

# A blow's strength is its confidence squared, so a likely one (0.4) has 0.16; a stop's is its confidence.
_LEAST_STRENGTH = {"strike": 0.16, "landing": 0.3, "stop": 0.4}
# Sound tells the moment to a millisecond, a stop in the picture to a frame or two; so a stop must be nearer to be taken.
_BEHIND_FRAMES = {"strike": 0.0, "landing": 1.0, "stop": 2.5}


class Sign(StrEnum):
    """What a tap can snap to."""

    STRIKE = "strike"
    LANDING = "landing"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a tap is put: the frame of the tape's grid, what is there (None: nothing was near, or nobody asked), how far off."""

    frame: int
    sign: Sign | None
    moved_frames: int


def placed(frame: int, fps: Fraction, evidence: Evidence | None, *, snap: bool = True, reach_frames: int = REACH_FRAMES) -> Placed:
    """A tap at a frame of the tape's grid, put on the nearest likely evidence within `reach_frames`.

    The frame of a sign is the one on show at its moment. Without `snap`, or with nothing near, the tap stays where it is.
    """
    if not snap or evidence is None:
        return Placed(frame, None, 0)
    kinds = ((Sign.STRIKE, evidence.strikes), (Sign.LANDING, evidence.landings), (Sign.STOP, evidence.stops))
    best: tuple[float, int, Sign] | None = None
    for sign, (moments, strengths) in kinds:
        for moment, strength in zip(moments.tolist(), strengths.tolist(), strict=True):
            shown = floor(Fraction(moment) * fps)
            if strength >= _LEAST_STRENGTH[sign] and abs(shown - frame) <= reach_frames:
                cost = abs(shown - frame) + _BEHIND_FRAMES[sign]
                if best is None or cost < best[0]:
                    best = cost, shown, sign
    return Placed(best[1], best[2], best[1] - frame) if best else Placed(frame, None, 0)


def first_open_move(sequence: Sequence, take: Take) -> Move | None:
    """The move that a first tap takes: the first one without a hit, or None when every move of the take has one."""
    return next((move for move in moves_of_take(sequence, take) if hit_of(take, move.number) is None), None)


def stepped_move(sequence: Sequence, take: Take, move: int | None, by: int) -> Move | None:
    """The move so many places on (back when negative) from `move` in the take's phrases, held at both ends.

    None stands behind the last move, where a take is when all have been tapped; one step on from the last leads there.
    """
    moves = moves_of_take(sequence, take)
    numbers = [one.number for one in moves]
    here = numbers.index(move) if move in numbers else len(moves)
    there = min(max(here + by, 0), len(moves))
    return moves[there] if there < len(moves) else None


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
