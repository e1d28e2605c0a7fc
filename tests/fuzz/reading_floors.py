"""Plans as drawings and as tables, rooms, and ways on the floor."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

from fuzz import seeds
from fuzz.mutations import ODD_NUMBERS, ODD_TEXTS
from fuzz.mutations import worse as worse_bytes
from fuzz.readers import Reader, put, sound
from fuzz.reading_tables import table

from previs.document.floor_edits import with_cameras, with_room
from previs.faults import UseFault
from previs.floor.cameras_table import read_cameras
from previs.floor.drawing_plan import plan_facts, plan_told, read_plan, with_read_plan
from previs.floor.room_table import read_room_table, room_told
from previs.floor.routes_table import read_ways

GROUPS = (
    "  0\nLINE\n", "  0\nARC\n", "  0\nINSERT\n", "  0\nLWPOLYLINE\n", "  0\nPOLYLINE\n", "  0\nVERTEX\n", "  0\nSEQEND\n",
    "  0\nSPLINE\n", "  0\nELLIPSE\n",
    "  0\nTEXT\n", "  0\nMTEXT\n", "  0\nENDSEC\n", "  0\nEOF\n", "  0\nSECTION\n  2\nENTITIES\n", "  0\nBLOCK\n", "  0\nENDBLK\n",
    "  0\nCIRCLE\n",
    " 70\n1\n", " 70\n32000\n", " 71\n32000\n", " 44\n1e-9\n", " 41\n0\n", " 42\n1e300\n", " 50\n1e308\n", " 40\nnan\n", " 10\n1e308\n",
    " 10\ninf\n", "  2\nDOOR\n",
    "  8\nWALLS\n", "  8\nDOORS\n", "  8\n0\n", " 90\n999999999\n", "  5\nFFFFFFFFFFFFFFFF\n", "  1\n\\P\\P{\\fArial;x}\n",
    "  1\n%%d\\U+D800\n", "  9\n$INSUNITS\n 70\n4\n",
)  # fmt: skip


def _drawing(data: bytes, folder: Path) -> object:
    path = put(data, folder / "set.dxf")
    try:
        plan = read_plan(path)
    except UseFault as fault:
        # What a person would do next: say what was missing. The layers of the seeds are named.
        if "--layers" not in str(fault) and "--unit" not in str(fault):
            raise
        plan = read_plan(path, "mm", "WALLS=wall,DOORS=door,0=other")
    return _taken(plan)


def _taken(plan: object) -> object:
    sequence = seeds.full_sequence()
    plan_told(plan, sequence)  # type: ignore[arg-type]
    plan_facts(plan)  # type: ignore[arg-type]
    return sound(with_read_plan(sequence, plan))  # type: ignore[arg-type]


@cache
def drawings() -> tuple[bytes, ...]:
    from floor import raw_dxf as raw

    small = raw.text_of(
        raw.line("WALLS", 0, 0, 5000, 0),
        raw.polyline("WALLS", [(0, 0, 0.0), (0, 2600, 1.0), (5000, 2600, -0.4)], closed=True),
        raw.light_polyline("WALLS", [(5000, 850, 0.0), (9500, 650, 0.5), (9500, 900, 0)]),
        raw.entity("INSERT", "DOORS", (2, "DOOR"), (10, 5000), (20, 850), (41, -1), (50, 30), (70, 2), (71, 3), (44, 900), (45, 900)),
        raw.entity("ARC", "DOORS", (10, 0), (20, 0), (40, 900), (50, 0), (51, 90)),
        raw.entity("ELLIPSE", "WALLS", (10, 0), (20, 0), (11, 500), (21, 0), (40, 0.5), (41, 0), (42, 6.28)),
        raw.entity("SPLINE", "WALLS", (70, 8), (71, 3), (72, 8), (73, 4), *((40, n) for n in (0, 0, 0, 0, 1, 1, 1, 1)), *_controls()),
        raw.entity("TEXT", "PLACES", (10, 100), (20, 100), (40, 200), (1, "corridor")),
        raw.entity("MTEXT", "PLACES", (10, 100), (20, 900), (40, 200), (1, "{\\fArial;first\\P door}")),
        blocks=[raw.block("DOOR", raw.line("0", 0, 0, 900, 0), raw.entity("ARC", "0", (10, 0), (20, 0), (40, 900), (50, 0), (51, 90)))],
        release="AC1015",
    ).encode()
    sample = (seeds.SAMPLE / "floor" / "salt_stair.dxf").read_bytes()
    nested = [raw.block(f"B{n}", *[raw.entity("INSERT", "0", (2, f"B{n + 1}"), (10, n), (20, k)) for k in range(10)]) for n in range(9)]
    bomb = raw.text_of(
        raw.entity("INSERT", "WALLS", (2, "B0"), (10, 0), (20, 0)), blocks=[*nested, raw.block("B9", raw.line("0", 0, 0, 9, 9))]
    ).encode()
    return (*[small] * 12, *[_as_binary()] * 4, *[sample] * 2, bomb)


def _controls() -> list[tuple[int, object]]:
    return [group for x, y in ((0, 0), (100, 900), (800, 900), (900, 0)) for group in ((10, x), (20, y), (30, 0))]


def _as_binary() -> bytes:
    import io

    import ezdxf

    drawing = ezdxf.new("R2000", units=4)
    space = drawing.modelspace()
    space.add_line((0, 0), (5000, 0), dxfattribs={"layer": "WALLS"})
    space.add_arc((0, 0), 900, 0, 90, dxfattribs={"layer": "DOORS"})
    held = io.BytesIO()
    drawing.write(held, fmt="bin")
    return held.getvalue()


def worse_drawing(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """Group by group: values of another kind, groups away, twice, in another order."""
    if b"\0" in data:
        return worse_bytes(data, tokens, chance)
    lines = data.split(b"\n")
    groups = [lines[at : at + 2] for at in range(0, len(lines) - 1, 2)]
    for _ in range(chance.choice((1, 1, 2, 6))):
        at, how = chance.randrange(len(groups)), chance.random()
        if how < 0.55 and len(groups[at]) == 2:
            groups[at] = [groups[at][0], chance.choice((*ODD_NUMBERS, *ODD_TEXTS)).encode("utf-8", "surrogatepass")]
        elif how < 0.65:
            groups[at] = [str(chance.choice((0, 1, 5, 10, 40, 70, 90, 100, 210, 330, 1001, 1071, 9999, -5))).encode(), *groups[at][1:]]
        elif how < 0.75:
            groups.pop(at)
        elif how < 0.85:
            groups[at:at] = groups[at : at + chance.choice((1, 5, 40))] * chance.choice((1, 2, 100))
        else:
            groups[at:at] = [chance.choice(tokens).encode().rstrip(b"\n").split(b"\n")]
        if not groups:
            return b""
    return b"\n".join(line for group in groups for line in group) + b"\n"


def _plan(data: bytes, folder: Path) -> object:
    return _taken(read_plan(put(data, folder / "plan.csv")))


def _room(data: bytes, folder: Path) -> object:
    room = read_room_table(put(data, folder / "room.csv"))
    room_told(room)
    return sound(with_room(seeds.full_sequence(), room))


def _ways(data: bytes, folder: Path) -> object:
    return sound(read_ways([put(data, folder / "ways.csv")], seeds.full_sequence()).sequence)


def _cameras(data: bytes, folder: Path) -> object:
    sequence = seeds.full_sequence()
    return sound(with_cameras(sequence, read_cameras(put(data, folder / "cameras.csv"), sequence)))


_WAYS = table("routes", _ways)
READERS = {
    "drawing": Reader("drawing", _drawing, drawings, GROUPS, worse_drawing, pure=False),
    "plan": table("plan", _plan),
    "room": table("room", _room),
    "cameras": table("cameras", _cameras),
    "ways": Reader("ways", _ways, lambda: tuple(seeds.TABLES[kind].encode() for kind in ("routes", "reaches")), _WAYS.tokens, _WAYS.worse),
}
