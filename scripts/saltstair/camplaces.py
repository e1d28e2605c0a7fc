"""Where the cameras of the shooting day stand on the set's plan, and what follows from that; it reads nothing from the product.

The hall and the plan are not one drawing: in the hall the fight travels towards -x and its doors lie further apart. So each camera is
turned half round with the fight and shifted along it by the mean of what the moves of its phrases are shifted by; distances across the
corridor stay as they were, bearings are a few degrees off. A camera is in one place for each phrase: the mornings' for A and B as far
as they go, and C where it crossed the line in the afternoon for the last two phrases. Phone B counts as held level throughout, though
it lay on its side for SSB02. Truth is plain trigonometry on the plan, done here anew.
"""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass
from itertools import pairwise
from math import atan, atan2, degrees, hypot
from pathlib import Path

from .floorplan import CART, WALLS
from .footways import ODILE, REEVE
from .session import TAPES, Framing, Tape
from .story import PHRASES

Spot = tuple[float, float]
STATURE = 1.75
ASPECT = 9 / 16
AXIS_Y = 1.3
"""The middle of the corridor on the plan, where the hall has y = 0."""

USED = (
    ("SSA01", 0, (1, 2, 3)),
    ("SSA02", 0, (4,)),
    ("SSA02", 1, (5,)),
    ("SSA02", 2, (6,)),
    ("SSB01", 1, (1, 2)),
    ("SSB01", 4, (3,)),
    ("SSB02", 2, (4,)),
    ("SSB03", 1, (5, 6)),
    ("SSC02", 0, (1, 2)),
    ("SSC02", 1, (3,)),
    ("SSC01", 0, (4,)),
    ("SSC03", 1, (5, 6)),
)
"""Reel, number of the pass on it from 0, and the phrases that the camera is there for on the plan."""
# The least of a body that a frame of that size holds, in statures from the crown: midway between the usual cuts.
_SIZES = (
    (3.5, "extreme wide"),
    (1.5, "wide"),
    (0.861, "full"),
    (0.56, "medium wide"),
    (0.3315, "medium"),
    (0.2225, "medium close"),
    (0.125, "close"),
)


@dataclass(frozen=True)
class Placed:
    """A camera on the plan, metres and millimetres of lens; `high_mm` is how high its picture is by 16:9."""

    letter: str
    at: Spot
    aim: Spot
    height: float
    lens: float
    wide_mm: float
    phrases: tuple[int, ...]

    @property
    def high_mm(self) -> float:
        return self.wide_mm * ASPECT


def placed() -> list[Placed]:
    """Every camera, by letter and phrase."""
    tapes = {tape.reel: tape for tape in TAPES}
    return [_placed(tapes[reel], tapes[reel].framings[number], phrases) for reel, number, phrases in USED]


def _placed(tape: Tape, framing: Framing, phrases: tuple[int, ...]) -> Placed:
    shift = _shift(tuple(phrase for reel, _, numbers in USED if reel == tape.reel for phrase in numbers))
    at = (round(shift - tape.position[0], 2), round(AXIS_Y - tape.position[1], 2))
    spots = [spot for role, ways in (("Odile", ODILE), ("Reeve", REEVE)) for spot in _spots(ways, phrases) if framing.aim in (role, "both")]
    middle = (sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots))
    aim = middle if framing.fixed_x is None else (shift - framing.fixed_x, AXIS_Y)
    aim = (round(aim[0], 2), round(aim[1], 2))
    return Placed(tape.camera, at, aim, tape.position[2], framing.focal_mm, tape.sensor_mm[0], phrases)


def _shift(phrases: tuple[int, ...]) -> float:
    """What plan x and hall x of the pair's middle add up to, as the mean over the moves of these phrases."""
    hall = {move.number: move.x for phrase in PHRASES for move in phrase.moves}
    sums = [
        (ODILE[phrase][move][0] + REEVE[phrase][move][0]) / 2 + hall[move]
        for phrase in phrases
        for move in ODILE[phrase]
        if move is not None
    ]
    return sum(sums) / len(sums)


def _spots(ways: dict[int, dict[int | None, Spot]], phrases: tuple[int, ...]) -> list[Spot]:
    return [spot for phrase in phrases for move, spot in ways[phrase].items() if move is not None]


def cameras_table() -> str:
    """`cameras.csv`."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["camera", "x", "y", "height", "aim_x", "aim_y", "lens", "sensor_width", "phrases"])
    for one in placed():
        phrases = str(one.phrases[0]) if len(one.phrases) == 1 else f"{one.phrases[0]}-{one.phrases[-1]}"
        writer.writerow([one.letter, *one.at, one.height, *one.aim, one.lens, one.wide_mm, phrases])
    return out.getvalue()


def truth() -> dict[str, object]:
    """For each camera its field of view, and for each of its moves who is left and how both are seen."""
    return {"stature": STATURE, "cameras": [_truth(one) for one in placed()]}


def _truth(one: Placed) -> dict[str, object]:
    half = degrees(atan(one.wide_mm / 2 / one.lens))
    moves = [
        {"move": move, "left": _left(one, ODILE[phrase][move], REEVE[phrase][move])}
        | {role: _seen(one, half, ways[phrase][move]) for role, ways in (("Odile", ODILE), ("Reeve", REEVE))}
        for phrase in one.phrases
        for move in ODILE[phrase]
        if move is not None
    ]
    return {"camera": one.letter, "phrases": list(one.phrases), "degrees": round(2 * half, 6), "moves": moves}


def _left(one: Placed, odile: Spot, reeve: Spot) -> str:
    """By which of the two lies counter-clockwise of the other, seen from the lens; the camera is never within 5 degrees of the line."""
    (ax, ay), (bx, by) = ((x - one.at[0], y - one.at[1]) for x, y in (odile, reeve))
    return "Odile" if bx * ay - by * ax > 0 else "Reeve"


def _seen(one: Placed, half: float, spot: Spot) -> dict[str, object]:
    to = (spot[0] - one.at[0], spot[1] - one.at[1])
    axis = (one.aim[0] - one.at[0], one.aim[1] - one.at[1])
    off = degrees(atan2(axis[0] * to[1] - axis[1] * to[0], axis[0] * to[0] + axis[1] * to[1]))
    held = hypot(*to, one.height - STATURE / 2) * one.high_mm / one.lens / STATURE
    size = next((name for least, name in _SIZES if held > least), "extreme close")
    return {
        "distance": round(hypot(*to), 6),
        "in_frame": abs(off) < half,
        "persons_high": round(held, 6),
        "size": size,
        "hidden": any(_cut(one.at, spot, a, b) for a, b in _edges()),
    }


def _edges() -> list[tuple[Spot, Spot]]:
    """The straight pieces of walls and cart in metres; between the jambs of a door there is none."""
    chains = [*WALLS, (*CART, CART[0])]
    return [((a[0] / 1000, a[1] / 1000), (b[0] / 1000, b[1] / 1000)) for chain in chains for a, b in pairwise(chain)]


def _cut(one: Spot, two: Spot, a: Spot, b: Spot) -> bool:
    """Whether two straight pieces cross, by the sides on which each other's ends lie."""

    def side(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(one, two, a) * side(one, two, b) <= 0 and side(a, b, one) * side(a, b, two) <= 0


def write_cameras(folder: Path) -> None:
    """Cameras and their truth, as files."""
    for name, text in (("floor/cameras.csv", cameras_table()), ("truth/cameras.json", json.dumps(truth(), indent=1) + "\n")):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="")
