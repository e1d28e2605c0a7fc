"""The truth in time of a tape: clock, claps, hits, pauses, everything that is heard, and how two tapes lie to each other."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from .clutter import strays
from .production import Production
from .session import Tape
from .sound import clap_place, heard_seconds


def _on_tape(made: Production, tape: Tape, hall: float) -> float:
    return round(made.clocks[tape.reel].tape_seconds(hall), 5)


def _heard(made: Production, tape: Tape, hall: float, where: np.ndarray) -> float:
    return round(heard_seconds(made.clocks[tape.reel], hall, where), 5)


def _takes(made: Production, tape: Tape) -> dict[str, object]:
    contacts = {round(c.at, 5): c for c in made.shows[tape.session].contacts}
    takes: dict[str, object] = {}
    for name, p in made.takes(tape):
        hits = []
        for h in p.hits:
            c = contacts[round(h.at, 5)]
            at, heard_at = _on_tape(made, tape, h.at), _heard(made, tape, h.at, c.point)
            hits.append({"move": h.move.number, "at": at, "sound": c.sound, "heard_at": heard_at})
        take = {
            "slate": p.plan.slate,
            "usable": p.plan.usable,
            "tempo": p.tempo,
            "begin": _on_tape(made, tape, p.begin),
            "end": _on_tape(made, tape, p.end),
            "hits": hits,
        }
        for pause in p.pauses:
            span = {"begin": _on_tape(made, tape, pause.begin), "end": _on_tape(made, tape, pause.end)}
            take["pause"] = {"after_move": pause.after, **span}
        takes[name] = take
    return takes


def _claps(made: Production, tape: Tape) -> list[dict[str, object]]:
    show, found = made.shows[tape.session], []
    for _, p in made.takes(tape):
        clap: dict[str, object] = {"slate": p.plan.slate, "at": _on_tape(made, tape, p.clap), "hall": p.clap}
        if made.day.tells_all:
            clap["heard_at"] = _heard(made, tape, p.clap, clap_place(show, p))
        found.append(clap)
    return found


def happened(made: Production, tape: Tape) -> dict[str, object]:
    """Clock, session, claps and takes of a tape, as they go into the truth."""
    return {
        "clock": {
            "hall_at_first_frame": tape.offset,
            "drift_ppm": tape.drift_ppm,
            "rule": "tape = (hall - hall_at_first_frame) * (1 + drift_ppm / 1e6)",
        },
        "session": tape.session,
        "claps": _claps(made, tape),
        "takes": _takes(made, tape),
    }


def _sources(made: Production, tape: Tape) -> list[tuple[str, float, np.ndarray]]:
    show = made.shows[tape.session]
    found = [("clap", p.clap, clap_place(show, p)) for p in show.passes]
    found += [(c.sound, c.at, c.point) for c in show.contacts]
    return found + [("stray", at, where) for at, where, _ in strays(show, made.seed)]


def tape_seconds(made: Production, tape: Tape) -> float:
    """How long a tape runs, to the end of its last frame."""
    clock = made.clocks[tape.reel]
    return float(clock.frame_seconds(len(clock.pts) - 1)) + 1 / float(clock.rate)


def sounds(made: Production, tape: Tape) -> list[dict[str, object]]:
    """Every clap, hit and stray knock that the tape hears, also where it has no take: a late tape hears the end of one."""
    if not tape.sound:
        return []
    end, found = tape_seconds(made, tape), []
    for kind, hall, where in _sources(made, tape):
        at = _heard(made, tape, hall, where)
        if 0 <= at < end - 0.1:
            found.append((at, kind, round(float(np.linalg.norm(where - np.array(tape.position))), 2)))
    return [{"heard_at": at, "kind": kind, "metres": metres} for at, kind, metres in sorted(found)]


def _pair(made: Production, a: Tape, b: Tape) -> dict[str, object]:
    """How two tapes of one session lie to each other.

    Sound alone finds the clocks only up to the difference of the ways that it travelled, so that spread is told too.
    """
    one, two = made.clocks[a.reel], made.clocks[b.reel]
    slope = two.scale / one.scale
    lag = [heard_seconds(two, t, x) - heard_seconds(one, t, x) * slope for _, t, x in _sources(made, a)]
    zero = two.tape_seconds(one.hall_seconds(0.0))
    spread = {"median": round(float(np.median(lag)), 5), "least": round(min(lag), 5), "most": round(max(lag), 5)}
    return {
        "a": a.reel,
        "b": b.reel,
        "b_seconds_at_a_zero": round(zero, 6),
        "drift_ppm": round((slope - 1) * 1e6, 3),
        "rule": "b = b_seconds_at_a_zero + a * (1 + drift_ppm / 1e6)",
        "heard_b_seconds_at_a_zero": spread if a.sound and b.sound else None,
    }


def pairs(made: Production) -> dict[str, object]:
    """Which tapes belong together and how, and which have nothing to do with each other."""
    both = list(combinations(made.day.tapes, 2))
    return {
        "synced": [_pair(made, a, b) for a, b in both if a.session == b.session],
        "strangers": [[a.reel, b.reel] for a, b in both if a.session != b.session],
    }
