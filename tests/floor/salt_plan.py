"""The set of the sample scenario as values, in millimetres, for tests that need no drawing: the file of the sample says the same."""

from __future__ import annotations

from previs.document.floor import Floor, LineKind, NamedPlace, PlanLine, Room

_WALLS = (
    ((0, 0), (5000, 0), (5000, 850)),
    ((0, 2600), (5000, 2600), (5000, 1750)),
    ((5000, 850), (5000, 300), (9500, 650), (9500, 900)),
    ((5000, 1750), (5000, 2300), (9500, 1950), (9500, 1700)),
    ((9500, 650), (9500, -200)),
    ((9500, 1950), (9500, 2800), (13_300, 2800)),
)
LINES = (
    *(PlanLine(LineKind.WALL, points) for points in _WALLS),
    PlanLine(LineKind.DOOR, ((5000, 850), (5000, 1750)), name="first door", opens_left=True),
    PlanLine(LineKind.DOOR, ((9500, 900), (9500, 1700)), name="second door", opens_left=False),
    PlanLine(LineKind.COLUMN, ((6600, 2175), (7800, 2080), (7800, 1480), (6600, 1575)), closed=True, name="salt cart"),
    *(PlanLine(LineKind.STEP, ((x, -200), (x, 2800)), height_mm=170) for x in range(11_500, 13_301, 300)),
    PlanLine(LineKind.DROP, ((9500, -200), (13_300, -200)), name="quay", height_mm=2400),
)
PLACES = (
    NamedPlace("corridor", (2500, 1300)),
    NamedPlace("first door", (5000, 1300)),
    NamedPlace("narrow stretch", (8200, 1300)),
    NamedPlace("second door", (9500, 1300)),
    NamedPlace("stair", (11_800, 1300)),
)
ROOM = Room(16_000, 9000, (0, 0), (16_000, 0))


def salt_floor() -> Floor:
    """The whole set with its room, not laid yet, without routes."""
    return Floor(LINES, PLACES, ROOM, drawn_in="salt_stair.dxf")
