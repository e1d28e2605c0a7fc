"""The logger's tables and the ground truth, worked out from the same geometry that draws the pictures."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np

from .heard import happened, pairs, sounds
from .optics import Framed, face_name
from .production import Production
from .session import Tape
from .story import PERFORMERS, PHRASES, ROLES
from .timeline import PlayedPass
from .wire import wire_seen

_FACE_PX = 16.0
FIGHT_COLUMNS = ["phrase", "move", "label", "attacker", "defender", "line", "weapon", "upper_hand", "optional", "breath", "place", "note"]
TAKE_COLUMNS = [
    "take",
    "tape",
    "in",
    "out",
    "slate",
    "rating",
    "tempo",
    "phrases",
    "camera",
    "size",
    "angle",
    "movement",
    "screen_left",
    "faces",
    "performers",
    "note",
]
HIT_COLUMNS = ["take", "move", "at"]
TREATMENT_COLUMNS = ["tape", "in", "out", "kind", "role", "note"]
FLIGHT_COLUMNS = ["tape", "role", "take_off", "landing", "height", "distance", "rise", "note"]


def _csv(columns: list[str], rows: list[list[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def fight_table() -> str:
    """The written fight."""
    rows = []
    for p in PHRASES:
        for m in p.moves:
            breath = f"{p.breath:.1f}s" if m is p.moves[-1] else ""
            rows.append(
                [
                    p.number,
                    m.number,
                    m.label,
                    m.attacker,
                    m.defender,
                    m.line,
                    m.weapon,
                    m.upper_hand,
                    "yes" if m.optional else "",
                    breath,
                    m.place,
                    m.note,
                ]
            )
    return _csv(FIGHT_COLUMNS, rows)


def _phrases(p: PlayedPass) -> str:
    ns = p.plan.phrases
    return str(ns[0]) if len(ns) == 1 else f"{ns[0]}-{ns[-1]}"


def take_row(made: Production, tape: Tape, name: str, p: PlayedPass) -> list[object]:
    """One line of the take log, framing measured every fifth of a second."""
    clock, framing = made.clocks[tape.reel], tape.framings[p.index]
    first, last = clock.frame_at(clock.tape_seconds(p.begin)), clock.frame_at(clock.tape_seconds(p.end))
    seen = Framed(made.operators[tape.reel], np.arange(p.begin, p.end, 0.2))
    held = ROLES if framing.aim == "both" else (framing.aim,)
    faces = ";".join(
        f"{r}={face_name(float(np.median(seen.face_degrees(r)))) if np.mean(seen.in_frame(r)) > 0.3 else 'hidden'}" for r in ROLES
    )
    cast = ";".join(f"{r}={made.shows[tape.session].session.cast[r]}" for r in ROLES)
    return [
        name,
        tape.reel,
        clock.mark(first),
        clock.mark(last),
        p.plan.slate,
        p.plan.rating,
        f"{p.tempo:.2f}",
        _phrases(p),
        tape.camera,
        seen.size(held),
        seen.angle(),
        framing.movement,
        seen.screen_left(),
        faces,
        cast,
        p.plan.note,
    ]


def _spans(flags: np.ndarray, least: int, bridge: int) -> list[tuple[int, int]]:
    """Runs of true, joined over short gaps, short runs left out; half-open."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    runs: list[tuple[int, int]] = []
    for a, b in edges.reshape(-1, 2).tolist():
        if runs and a - runs[-1][1] <= bridge:
            runs[-1] = (runs[-1][0], b)
        else:
            runs.append((a, b))
    return [r for r in runs if r[1] - r[0] >= least]


def treatment_rows(made: Production, tape: Tape) -> list[list[object]]:
    """Digital double, face replacement and rig removal as they show on this tape."""
    show, clock, operator = made.shows[tape.session], made.clocks[tape.reel], made.operators[tape.reel]
    found: list[tuple[int, int, str, str, str]] = []
    for _, p in made.takes(tape):
        a, b = clock.frame_at(clock.tape_seconds(p.begin)), clock.frame_at(clock.tape_seconds(p.end))
        halls = np.array([clock.hall_seconds(float(clock.frame_seconds(n))) for n in range(a, b)])
        seen = Framed(operator, halls)
        for role in ROLES:
            who = PERFORMERS[show.session.cast[role]]
            if not who.double:
                continue
            bare = (seen.face_degrees(role) <= 65.0) & seen.in_frame(role) & (seen.head_px(role) >= _FACE_PX)
            found += [
                (a + x, a + y, "face replacement", role, f"{who.name} shows the face")
                for x, y in _spans(bare, int(0.4 * tape.rate[0] / tape.rate[1]), int(0.35 * tape.rate[0] / tape.rate[1]))
            ]
        wired = wire_seen(operator, halls)
        found += [(a + x, a + y, "rig removal", "Odile", "pick line over the stair") for x, y in _spans(wired, 3, 4)]
        for hit, flight in show.flights():
            inside = p.begin < flight.landing < p.end
            if hit.move.kind == "vault" and inside and not PERFORMERS[show.session.cast["Odile"]].double:
                x = clock.frame_at(clock.tape_seconds(flight.take_off))
                y = clock.frame_at(clock.tape_seconds(flight.landing))
                found.append((x, y, "digital double", "Odile", "vault over the salt cart, take-off to landing"))
    return [[tape.reel, clock.mark(x), clock.mark(y), kind, role, note] for x, y, kind, role, note in sorted(found)]


def flight_rows(made: Production, tape: Tape) -> list[list[object]]:
    """Odile in the air on this tape, to the frame as a logger marks it; nobody measured how far she goes."""
    clock = made.clocks[tape.reel]
    rows: list[list[object]] = []
    for hit, flight in made.shows[tape.session].flights():
        moments = [clock.mark(clock.frame_at(clock.tape_seconds(at))) for at in (flight.take_off, flight.landing)]
        rise = f"{flight.rise:.3f}" if flight.rise else ""
        rows.append([tape.reel, "Odile", *moments, f"{flight.apex:.3f}", "", rise, hit.move.label])
    return rows


def truth_of(made: Production, tape: Tape) -> dict[str, object]:
    """What really happened on a tape, to the sample."""
    show, clock = made.shows[tape.session], made.clocks[tape.reel]
    seconds = [float(clock.frame_seconds(n)) for n in range(len(clock.pts))]
    sixth = np.array([clock.hall_seconds(s) for s in seconds[::6]])
    seen = Framed(made.operators[tape.reel], sixth)
    heads = {}
    for r in ROLES:
        here = seen.in_frame(r)
        heads[r] = [round(float(h), 1) if ok else None for h, ok in zip(seen.head_px(r), here, strict=True)]
    air = [
        {
            "move": h.move.number,
            "kind": h.move.kind,
            "role": "Odile",
            "take_off": round(clock.tape_seconds(f.take_off), 5),
            "landing": round(clock.tape_seconds(f.landing), 5),
            "apex_metres": round(f.apex, 3),
            "rise_metres": round(f.rise, 3),
        }
        for h, f in show.flights()
    ]
    return {
        "file": f"tapes/{tape.reel}.{tape.suffix}",
        "rate": f"{tape.rate[0]}/{tape.rate[1]}",
        "start": tape.start,
        "rotation": tape.rotation,
        "stored_px": list(tape.stored_px),
        "upright_px": list(tape.upright_px),
        "variable": tape.variable,
        "sound": tape.sound,
        "frames": len(seconds),
        "frame_seconds": [round(s, 6) for s in seconds],
        **happened(made, tape),
        "head_px_every_6th_frame": heads,
        "air": air,
        **({"sounds": sounds(made, tape)} if made.day.tells_all else {}),
    }


def write_tables(made: Production, folder: Path) -> None:
    """All five tables and the truth, as files."""
    takes, hits, treatments, flights, truth = [], [], [], [], {}
    for tape in made.day.tapes:
        clock = made.clocks[tape.reel]
        for name, p in made.takes(tape):
            takes.append(take_row(made, tape, name, p))
            hits += [[name, h.move.number, clock.mark(clock.frame_at(clock.tape_seconds(h.at)))] for h in p.hits]
        treatments += treatment_rows(made, tape)
        flights += flight_rows(made, tape)
        truth[tape.reel] = truth_of(made, tape)
    (folder / "marks").mkdir(parents=True, exist_ok=True)
    (folder / "truth").mkdir(parents=True, exist_ok=True)
    for name, text in (
        ("fight", fight_table()),
        ("takes", _csv(TAKE_COLUMNS, takes)),
        ("hits", _csv(HIT_COLUMNS, hits)),
        ("treatments", _csv(TREATMENT_COLUMNS, treatments)),
        ("flights", _csv(FLIGHT_COLUMNS, flights)),
    ):
        (folder / "marks" / f"{name}.csv").write_text(text, encoding="utf-8", newline="")
    more = {"pairs": pairs(made)} if made.day.tells_all else {}
    body = json.dumps({"seed": made.seed, "tapes": truth, **more}, separators=(",", ":"))
    # One tape a line: small, and a change of one tape shows as one line.
    (folder / "truth" / "truth.json").write_text(body.replace('"SS', '\n"SS').replace(',"takes"', ',\n "takes"') + "\n", encoding="utf-8")
