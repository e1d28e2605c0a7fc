"""Routes, speeds and jumps in words and as rows; what they are is found in `routes`, `routes_timed` and `speeds`."""

from __future__ import annotations

from collections.abc import Iterable

from previs.exchange.lists import Row, moves_text
from previs.floor.routes import Walk, metres
from previs.floor.routes_timed import TimedWalk
from previs.floor.speeds import Gait, Leg


def leg_rows(legs: Iterable[Leg]) -> list[Row]:
    """A row for each way between two hits: how far in metres, how long in seconds, how fast, and how that is gone."""
    return [
        {
            "role": leg.role,
            "phrase": leg.phrase,
            "from move": leg.start.move,
            "to move": leg.end.move,
            "metres": round(leg.length_mm / 1000, 2),
            "seconds": round(float(leg.seconds), 2),
            "metres a second": None if leg.metres_a_second is None else round(leg.metres_a_second, 2),
            "gait": leg.gait.value,
            "remark": ", ".join(_remarks(leg)),
        }
        for leg in legs
    ]


def _remarks(leg: Leg) -> list[str]:
    said = ["guessed"] if leg.guessed else []
    return said + (["a part of the way is not drawn"] if leg.jumps else [])


def leg_told(leg: Leg) -> str:
    """One way as a sentence: `Odile from move 11 to 12: 1.80 m in 1.00 s, walks briskly.`"""
    fast = "" if leg.metres_a_second is None else f", {leg.metres_a_second:.1f} m/s"
    told = (
        f"{leg.role} from move {leg.start.move} to move {leg.end.move}: {leg.length_mm / 1000:.2f} m in {float(leg.seconds):.2f} s{fast}, "
        f"{leg.gait.value}"
    )
    return f"{told}; check the two spots, or give it more time." if leg.gait is Gait.TOO_FAST else f"{told}."


def jump_told(walk: Walk) -> list[str]:
    """Where a role's route begins elsewhere than the one before it ended, a sentence for each."""
    return [
        f"{walk.role} jumps: phrase {one.phrase} ends at {metres(one.at)}, and phrase {two.phrase} begins "
        f"{(two.along_mm - one.along_mm) / 1000:.2f} m away, at {metres(two.at)}; draw the way between, or move a spot."
        for one, two in walk.jumps
    ]


def untimed_told(timed: TimedWalk) -> list[str]:
    """What of a walk has no time, a sentence each."""
    role, told = timed.walk.role, []
    if timed.unseen:
        told.append(f"{role}: no shot of the cut shows {_moves(timed.unseen)}, so no time is told there.")
    if timed.out_of_order:
        told.append(f"{role}: the cut shows {_moves(timed.out_of_order)} before what comes earlier on the way; no speed is told there.")
    return told


def _moves(numbers: tuple[int, ...]) -> str:
    return f"{'move' if len(numbers) == 1 else 'moves'} {moves_text(numbers)}"
