"""When things happen in the hall: passes, claps and hits in hall seconds with human variation; no bodies, no cameras."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .session import Pass, Session
from .story import PHRASES, Move

_RESET, _CLAP_AFTER, _LEAD_AFTER_CLAP, _HOLD = 1.7, 0.9, 1.25, 0.55
# Nobody moves for a hit earlier than this before it, in seconds of performance tempo.
_GATHER = 0.52


@dataclass(frozen=True)
class Hit:
    """A move as it was played: hall time of the hit and the tempo it was played at."""

    move: Move
    at: float
    tempo: float


@dataclass(frozen=True)
class Pause:
    """Both stand still from `begin` to `end`, after the hit of move `after`."""

    after: int
    begin: float
    end: float


@dataclass(frozen=True)
class PlayedPass:
    """A pass laid into hall time. `begin` to `end` is what a logger would call the take."""

    index: int
    plan: Pass
    tempo: float
    reset_from: float
    clap: float
    begin: float
    end: float
    hits: tuple[Hit, ...]
    breaths: tuple[tuple[float, float], ...]
    pauses: tuple[Pause, ...] = ()


def rng_for(seed: int, *names: object) -> np.random.Generator:
    """One stream of chance per purpose, so that adding a tape does not change the others."""
    text = "|".join(str(n) for n in names).encode()
    return np.random.default_rng([seed, *text])


def _wait(move: Move, tempo: float, rng: np.random.Generator) -> float:
    """Seconds since the hit before; a flight takes its own time, and no pair can hit faster than they can swing."""
    wait = move.wait if move.kind in ("vault", "leap") else move.wait / tempo
    if move.kind in ("vault", "leap"):
        wait += (1 / tempo - 1) * 1.2
    return max(0.82, wait + float(rng.normal(0, 0.045)))


def _pause(plan: Pass, next_hit: float, tempo: float) -> Pause:
    """The still stretch before a hit that had to wait."""
    end = next_hit - _GATHER / tempo
    return Pause(plan.pause_after or 0, round(end - plan.pause_seconds, 5), round(end, 5))


def play(session: Session, seed: int) -> tuple[tuple[PlayedPass, ...], float]:
    """Lay the passes of a session one after the other; returns them and the hall time at which the session ends."""
    now, played = 0.6, []
    for index, plan in enumerate(session.passes):
        rng = rng_for(seed, session.name, index, "tempo")
        tempo = round(float(plan.tempo * rng.uniform(0.985, 1.015)), 3)
        clap = now + _RESET + _CLAP_AFTER
        begin = clap + _LEAD_AFTER_CLAP
        cursor, hits, breaths, pauses = begin, [], [], []
        for phrase in (p for p in PHRASES if p.number in plan.phrases):
            cursor += phrase.lead / tempo
            for place, move in enumerate(phrase.moves):
                if place:
                    cursor += _wait(move, tempo, rng)
                if place and plan.pause_after == phrase.moves[place - 1].number:
                    cursor += plan.pause_seconds
                    pauses.append(_pause(plan, cursor, tempo))
                hits.append(Hit(move, round(cursor, 5), tempo))
                if plan.stop_after == move.number:
                    break
            if plan.stop_after is None:
                length = phrase.breath / max(tempo, 0.9) * float(rng.uniform(0.94, 1.10))
                breaths.append((round(cursor + 0.25, 5), round(cursor + length, 5)))
                cursor += length
            else:
                cursor += 0.9
                break
        if plan.false_start:
            hits, breaths, cursor = [], [], begin + 1.1
        end = cursor + (_HOLD if plan.usable else 0.2)
        marks = (round(clap, 5), round(begin, 5), round(end, 5))
        played.append(PlayedPass(index, plan, tempo, now, *marks, tuple(hits), tuple(breaths), tuple(pauses)))
        now = end
    return tuple(played), now + 0.5
