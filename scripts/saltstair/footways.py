"""Where the two of the Salt Stair stand on the set's plan at each move, and what follows from that; it reads nothing from the product.

The routes are the story in metres: Reeve drives Odile along the corridor to the first door, she stands in its frame and drives him
back, they go through it into the narrow stretch, she vaults over the salt cart, through the second door, to the stair and the quay's
edge. What the truth says of them was reasoned with a pencil on the plan; its distances are plain trigonometry, done here anew.
"""

from __future__ import annotations

import csv
import io
import json
from itertools import pairwise
from math import hypot
from pathlib import Path

Spot = tuple[float, float]
ODILE: dict[int, dict[int | None, Spot]] = {
    1: {1: (2.4, 1.3), 2: (2.9, 1.3), 3: (3.3, 1.3), 4: (3.2, 1.3), 5: (3.8, 1.3), 6: (4.6, 1.3)},
    2: {7: (5.0, 1.3), 8: (4.8, 1.3), 9: (4.4, 1.3), 10: (4.2, 1.3), 11: (3.8, 1.3)},
    3: {None: (3.8, 1.3), 12: (5.6, 1.3), 13: (6.3, 1.3), 14: (6.3, 1.75), 15: (8.1, 1.75), 16: (8.5, 1.3)},
    4: {17: (8.6, 1.3), 18: (8.5, 1.3), 19: (8.7, 1.3), 20: (8.9, 1.3), 21: (9.0, 1.3), 22: (9.2, 1.3)},
    5: {23: (9.2, 1.3), 24: (9.3, 1.3), 25: (9.7, 1.3), 26: (9.9, 1.3), 27: (10.1, 1.3)},
    6: {None: (10.1, 1.3), 28: (11.3, 1.3), 29: (11.2, 1.3), 30: (12.3, 1.3), 31: (12.3, 1.3), 32: (12.2, 1.3), 33: (12.2, 1.3)},
}
REEVE: dict[int, dict[int | None, Spot]] = {
    1: {1: (1.2, 1.3), 2: (1.7, 1.3), 3: (2.1, 1.3), 4: (2.0, 1.3), 5: (2.6, 1.3), 6: (3.4, 1.3)},
    2: {7: (3.8, 1.3), 8: (3.6, 1.3), 9: (3.2, 1.3), 10: (3.0, 1.3), 11: (2.4, 1.3)},
    3: {None: (2.4, 1.3), 12: (4.4, 1.3), 13: (5.2, 1.3), 14: (5.5, 1.3), 15: (5.9, 1.1), 16: (6.9, 1.0)},
    4: {17: (7.5, 1.0), 18: (7.4, 1.0), 19: (7.6, 1.0), 20: (7.8, 1.05), 21: (8.0, 1.1), 22: (8.2, 1.2)},
    5: {23: (8.4, 1.3), 24: (8.5, 1.3), 25: (8.7, 1.3), 26: (8.9, 1.3), 27: (9.1, 1.3)},
    6: {None: (9.1, 1.3), 28: (10.2, 1.3), 29: (10.4, 1.3), 30: (10.8, 1.3), 31: (11.2, 1.3), 32: (11.3, 0.9), 33: (11.3, 0.3)},
}
"""Where each stands when a move lands, by phrase and move, metres; None is a spot on the way."""

STAFF_REACH_METRES = 1.2
"""An estimate: a staff of about six feet (rokushakubo, 1.82 m) held at a third of its length has two thirds before the hands."""


def routes_table() -> str:
    """`routes.csv`."""
    rows: list[list[object]] = []
    for phrase in ODILE:
        for role, route in (("Odile", ODILE), ("Reeve", REEVE)):
            rows += [[role, phrase, x, y, "" if move is None else move] for move, (x, y) in route[phrase].items()]
    return _csv(["role", "phrase", "x", "y", "move"], rows)


def reaches_table() -> str:
    """`reaches.csv`; the vault's cart and the leap's wire are no weapons that are swung, so they have no reach."""
    return _csv(["weapon", "reach"], [["staff", STAFF_REACH_METRES]])


def truth() -> dict[str, object]:
    """What the routes make of the set."""
    return {
        "cues": [dict(zip(("role", "after", "kind", "name", "way", "x", "y"), cue, strict=True)) for cue in _cues()],
        "pinches": _pinches(),
        "narrowing": {"from": 2.0, "to": 1.3, "over": 4.5, "x": [5.0, 9.5]},
        "length_metres": {"Odile": round(_length(ODILE), 6), "Reeve": round(_length(REEVE), 6)},
    }


def _cues() -> list[tuple[str, int, str, str, str, float, float]]:
    """By pencil: role, the move after which, what, which, which way, and where."""
    edge = 0.8  # a metre from the quay's edge at y = -0.2
    return [
        ("Odile", 7, "turn", "", "back", 5.0, 1.3),
        ("Odile", 11, "turn", "", "back", 3.8, 1.3),
        ("Odile", 11, "door", "first door", "right", 5.0, 1.3),
        ("Odile", 13, "turn", "", "left", 6.3, 1.3),
        ("Odile", 14, "turn", "", "right", 6.3, 1.75),
        ("Odile", 14, "over", "salt cart", "", 6.6, 1.75),
        ("Odile", 15, "turn", "", "right", 8.1, 1.75),
        ("Odile", 16, "turn", "", "left", 8.5, 1.3),
        ("Odile", 24, "door", "second door", "right", 9.5, 1.3),
        ("Odile", 27, "steps", "", "", 10.5, 1.3),
        ("Reeve", 7, "turn", "", "back", 3.8, 1.3),
        ("Reeve", 11, "turn", "", "back", 2.4, 1.3),
        ("Reeve", 12, "door", "first door", "right", 5.0, 1.3),
        ("Reeve", 27, "door", "second door", "right", 9.5, 1.3),
        ("Reeve", 29, "steps", "", "", 10.5, 1.3),
        ("Reeve", 31, "turn", "", "right", 11.2, 1.3),
        ("Reeve", 32, "drop", "quay", "", 11.3, edge),
    ]


def _pinches() -> list[dict[str, object]]:
    """How near things come to the middle of a body at the worst spot, and what a staff lacks there.

    The two doors are passed in their middle. Before the vault she stands 0.3 m from the cart's west end (x = 6.6, from y = 1.575 up), and
    lands below the north wall, which runs from (5, 2.3) to (9.5, 1.95).
    """
    over_her_head = 2.3 + (1.95 - 2.3) * (8.1 - 5.0) / 4.5 - 1.75
    to_the_wall = over_her_head * 4.5 / hypot(4.5, 0.35)
    found = [
        ("first door", 5.0, 1.3, 1.3, 0.9 / 2),
        ("salt cart", 6.3, 1.575, 1.75, 0.3),
        ("walls", 8.1, 1.75, 1.75, to_the_wall),
        ("second door", 9.5, 1.3, 1.3, 0.8 / 2),
    ]
    return [
        {"what": what, "x": x, "y_from": low, "y_to": high, "clearance": round(free, 4), "missing": round(STAFF_REACH_METRES - free, 4)}
        for what, x, low, high, free in found
    ]


def _length(route: dict[int, dict[int | None, Spot]]) -> float:
    spots = [spot for phrase in route.values() for spot in phrase.values()]
    return sum(hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in pairwise(spots))


def _csv(columns: list[str], rows: list[list[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def write_footways(folder: Path) -> None:
    """Routes, reaches and their truth, as files."""
    written = {
        "floor/routes.csv": routes_table(),
        "floor/reaches.csv": reaches_table(),
        "truth/floor.json": json.dumps(truth(), indent=1) + "\n",
    }
    for name, text in written.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="")
