"""The set of "The Salt Stair" as its art department would send it: a DXF drawing, the same as a table, and the rehearsal room."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

WALLS = (
    ((0, 0), (5000, 0), (5000, 850)),
    ((0, 2600), (5000, 2600), (5000, 1750)),
    ((5000, 850), (5000, 300), (9500, 650), (9500, 900)),
    ((5000, 1750), (5000, 2300), (9500, 1950), (9500, 1700)),
    ((9500, 650), (9500, -200)),
    ((9500, 1950), (9500, 2800), (13_300, 2800)),
)
"""The jambs of the doors stand in two walls, as two people drew them."""
DOORS = (("first door", (5000, 850), 900, True), ("second door", (9500, 900), 800, False))
"""Name, hinge, width, and whether the leaf swings to the left, seen from the hinge to the latch; both lie along y."""
CART = ((6600, 2175), (7800, 2080), (7800, 1480), (6600, 1575))
STEPS_X = tuple(range(11_500, 13_301, 300))
STAIR_Y = (-200, 2800)
RISER = 170
EDGE = ((9500, -200), (13_300, -200))
FALL = 2400
PLACES = (
    ("corridor", (2500, 1300)),
    ("first door", (5000, 1300)),
    ("narrow stretch", (8200, 1300)),
    ("second door", (9500, 1300)),
    ("stair", (11_800, 1300)),
)
ROOM = (16_000, 9000, 500)
_LAYERS = {"A-WALL": 7, "A-DOOR": 3, "A-CART": 30, "A-STEP": 5, "A-DROP": 1, "A-PLACE": 8, "A-TITLE": 9, "A-SALT": 254}
_LETTERS_MM = 150


def drawing() -> Drawing:
    """The drawing in millimetres, model space alone."""
    made = ezdxf.new("R2010", setup=False, units=ezdxf.units.MM)
    for name, colour in _LAYERS.items():
        made.layers.add(name, color=colour)
    _blocks(made)
    space = made.modelspace()
    for points in WALLS:
        space.add_lwpolyline(points, dxfattribs={"layer": "A-WALL"})
    for name, hinge, width, left in DOORS:
        put = space.add_blockref("DOOR", hinge, {"layer": "A-DOOR", "rotation": 90, "xscale": width, "yscale": width if left else -width})
        put.add_attrib("NAME", name, hinge, {"layer": "A-DOOR", "height": _LETTERS_MM})
    space.add_lwpolyline(CART, close=True, dxfattribs={"layer": "A-CART"})
    _text(made, "salt cart", (7200, 1830), "A-CART")
    space.add_blockref("STEP", (STEPS_X[0], STAIR_Y[0]), {"layer": "A-STEP", "column_count": len(STEPS_X), "column_spacing": 300})
    # Thickness is DXF's word for how high a line stands; the fall goes down.
    space.add_line(*EDGE, dxfattribs={"layer": "A-DROP", "thickness": -FALL})
    _text(made, "quay", (11_400, -450), "A-DROP")
    for name, at in PLACES:
        _text(made, name, at, "A-PLACE")
    _text(made, "THE SALT STAIR, set, 1:50", (0, 4000), "A-TITLE")
    salt = space.add_hatch(color=254, dxfattribs={"layer": "A-SALT"})
    salt.paths.add_polyline_path([(100, 100), (1400, 100), (100, 900)], is_closed=True)
    # The library lists the kinds of object in the order of a set, another one in every run, unless they are listed already.
    for kind in sorted({entity.dxftype() for entity in made.entitydb.values()}):
        made.classes.add_class(kind)
    return made


def _blocks(made: Drawing) -> None:
    """A door a unit wide: its leaf, open, and the arc of its swing; and a step."""
    door = made.blocks.new("DOOR")
    door.add_line((0, 0), (0, 1), dxfattribs={"layer": "0"})
    door.add_arc((0, 0), 1, 0, 90, dxfattribs={"layer": "0"})
    door.add_attdef("NAME", (0, 0), dxfattribs={"layer": "0", "height": 0.15, "prompt": "Name"})
    step = made.blocks.new("STEP")
    step.add_line((0, 0), (0, STAIR_Y[1] - STAIR_Y[0]), dxfattribs={"layer": "0", "thickness": RISER})


def _text(made: Drawing, text: str, at: tuple[int, int], layer: str) -> None:
    lettering = made.modelspace().add_text(text, height=_LETTERS_MM, dxfattribs={"layer": layer})
    lettering.set_placement(at, align=TextEntityAlignment.MIDDLE_CENTER)


def drawing_text() -> str:
    """The drawing as DXF, the same at every call: its dates and ids are fixed."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        out = io.StringIO()
        drawing().write(out)
        return out.getvalue()
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def plan_table() -> str:
    """The same set as a table, in metres."""
    rows: list[list[str]] = [["kind", "x1", "y1", "x2", "y2", "points", "name", "height", "hinge", "opens"]]
    for wall in WALLS:
        rows.append(["wall", "", "", "", "", _points(wall), "", "", "", ""])
    for name, (x, y), width, left in DOORS:
        rows.append(["door", _m(x), _m(y), _m(x), _m(y + width), "", name, "", "first", "left" if left else "right"])
    rows.append(["column", "", "", "", "", _points(CART), "salt cart", "", "", ""])
    for x in STEPS_X:
        rows.append(["step", _m(x), _m(STAIR_Y[0]), _m(x), _m(STAIR_Y[1]), "", "", _m(RISER), "", ""])
    rows.append(["drop", *(_m(number) for point in EDGE for number in point), "", "quay", _m(FALL), "", ""])
    for name, (x, y) in PLACES:
        rows.append(["place", _m(x), _m(y), "", "", "", name, "", "", ""])
    return _csv(rows)


def room_table() -> str:
    """The rehearsal room as a table, in metres."""
    length, width, margin = ROOM
    return _csv(
        [
            ["kind", "x", "y", "length", "width", "points", "margin", "name"],
            ["room", "", "", _m(length), _m(width), "", _m(margin), ""],
            ["datum", "0", "0", "", "", "", "", ""],
            ["datum", _m(length), "0", "", "", "", "", ""],
        ]
    )


def write_floor(folder: Path) -> None:
    """The drawing and both tables, as files."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in (("salt_stair.dxf", drawing_text()), ("plan.csv", plan_table()), ("room.csv", room_table())):
        (folder / name).write_text(text, encoding="utf-8", newline="")


def _csv(rows: list[list[str]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def _points(points: tuple[tuple[int, int], ...]) -> str:
    return "; ".join(f"{_m(x)} {_m(y)}" for x, y in points)


def _m(mm: int) -> str:
    return f"{mm / 1000:.3f}".rstrip("0").rstrip(".")
