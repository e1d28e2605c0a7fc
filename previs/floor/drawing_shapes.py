"""The entities of one block or of the model space as shapes of the plane; what they mean on the plan is decided elsewhere."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from ezdxf.entities.dxfentity import DXFEntity

from previs.floor.drawing_curves import Arc, Placing, Spot, bulged

_UPRIGHT = 0.999
_MOST_UNITS = 1e12
_UNREADABLE = "with numbers that cannot be"
_STANDING = "drawn upright, not on the floor"
_INVISIBLE = "hidden"


@dataclass(frozen=True, slots=True)
class Shape:
    """A line as it is drawn, in units of the drawing: straight pieces and arcs, end to end. `thickness` is its height."""

    layer: str
    parts: tuple[tuple[Spot, Spot] | Arc, ...]
    closed: bool = False
    thickness: float = 0.0
    spots: tuple[Spot, ...] = ()
    """For a free curve, spots on it in place of parts."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """A text and the spot it is anchored at."""

    layer: str
    text: str
    at: Spot


@dataclass(frozen=True, slots=True)
class BlockPut:
    """A block put into the drawing, once or in rows and columns; `name` is what it is called there, from its attributes."""

    layer: str
    block: str
    placing: Placing
    name: str = ""
    columns: int = 1
    rows: int = 1
    column_step: Spot = (0.0, 0.0)
    row_step: Spot = (0.0, 0.0)

    def placings(self) -> Iterator[Placing]:
        """Where it lies each time, row by row."""
        for row in range(self.rows):
            for column in range(self.columns):
                x = column * self.column_step[0] + row * self.row_step[0]
                y = column * self.column_step[1] + row * self.row_step[1]
                yield replace(self.placing, e=self.placing.e + x, f=self.placing.f + y)


@dataclass(slots=True)
class Contents:
    """What a block or the model space holds, in its order; `left_out` counts by a reason what is no line and no text."""

    items: list[Shape | Lettering | BlockPut] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)


_NAME_TAGS = ("NAME", "TITLE", "MARK", "NUMBER", "NO", "ID")


def contents_of(entities: Iterable[DXFEntity], within: float) -> Contents:
    """The shapes, texts and blocks among entities; `within` is how far a free curve's chords may lie from it."""
    found = Contents()
    for entity in entities:
        kind = entity.dxftype()
        read = _READERS.get(kind)
        if read is None:
            # A block's pattern for attributes draws nothing; the attributes themselves come with the block's uses.
            found.left_out[kind] += kind != "ATTDEF"
            continue
        if entity.dxf.get("invisible", 0):
            found.left_out[_INVISIBLE] += 1
            continue
        try:
            item = read(entity, within)
        except Exception:  # A damaged entity can fail anywhere in the library.
            item = _UNREADABLE
        if isinstance(item, str):
            found.left_out[item] += 1
        else:
            found.items.append(item)
    return found


Item = Shape | Lettering | BlockPut | str
"""What an entity is; a text for why it is left out."""


def _line(entity: Any, _within: float) -> Item:
    dxf = entity.dxf
    return _shape(entity, [(_flat(dxf.start), _flat(dxf.end))])


def _arc(entity: Any, _within: float) -> Item:
    dxf = entity.dxf
    sweep = math.radians((dxf.end_angle - dxf.start_angle) % 360) or math.tau
    return _circular(entity, math.radians(dxf.start_angle), sweep, closed=False)


def _circle(entity: Any, _within: float) -> Item:
    return _circular(entity, 0.0, math.tau, closed=True)


def _circular(entity: Any, start: float, sweep: float, *, closed: bool) -> Item:
    side = _side(entity)
    if side is None:
        return _STANDING
    centre, radius = _flat(entity.dxf.center), float(entity.dxf.radius)
    first = (centre[0] + radius * math.cos(start), centre[1] + radius * math.sin(start))
    if not radius > 0:
        return _UNREADABLE
    return _shape(entity, [_sided(Arc(centre, first, sweep), side)], closed=closed)


def _light_polyline(entity: Any, _within: float) -> Item:
    side = _side(entity)
    if side is None:
        return _STANDING
    points = [((float(x), float(y)), float(bulge)) for x, y, bulge in entity.get_points("xyb")]
    return _of_vertices(entity, points, bool(entity.closed), side)


def _polyline(entity: Any, _within: float) -> Item:
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        return "POLYLINE that is a mesh"
    side = 1 if entity.is_3d_polyline else _side(entity)
    if side is None:
        return _STANDING
    # Vertices that only steer a spline's frame (flag 16) are not on the line.
    vertices = [vertex for vertex in entity.vertices if not vertex.dxf.get("flags", 0) & 16]
    points = [(_flat(vertex.dxf.location), float(vertex.dxf.get("bulge", 0.0))) for vertex in vertices]
    return _of_vertices(entity, points, bool(entity.is_closed), side)


def _of_vertices(entity: Any, points: list[tuple[Spot, float]], closed: bool, side: int) -> Item:
    if len(points) < 2:
        return "polylines of one point"
    if not all(map(_sensible, (number for at, bulge in points for number in (*at, bulge)))):
        return _UNREADABLE
    pairs = list(pairwise([*points, points[0]] if closed else points))
    parts = [bulged(start, end, bulge) or (start, end) for (start, bulge), (end, _) in pairs]
    return _shape(entity, [_sided(part, side) for part in parts], closed=closed)


def _free_curve(entity: Any, within: float) -> Item:
    if entity.dxftype() == "ELLIPSE" and not entity.dxf.major_axis.magnitude < _MOST_UNITS:
        return _UNREADABLE
    spots = tuple(_flat(point) for point in entity.flattening(min(within, 1e9)))
    if len(spots) < 2 or not all(map(_sensible, (number for spot in spots for number in spot))):
        return _UNREADABLE
    return Shape(entity.dxf.layer, (), thickness=0.0, spots=spots)


def _lettering(entity: Any, _within: float) -> Item:
    dxf = entity.dxf
    if entity.dxftype() == "MTEXT":
        at, text = _flat(dxf.insert), entity.plain_text()
        side: int | None = 1
    else:
        aligned = bool(dxf.get("halign", 0) or dxf.get("valign", 0)) and dxf.hasattr("align_point")
        at, text, side = _flat(dxf.align_point if aligned else dxf.insert), entity.plain_text(), _side(entity)
    if side is None:
        return _STANDING
    if not all(map(_sensible, at)):
        return _UNREADABLE
    return Lettering(dxf.layer, tidied(text), (side * at[0], at[1]))


def _block_put(entity: Any, _within: float) -> Item:
    dxf = entity.dxf
    side = _side(entity)
    if side is None:
        return _STANDING
    columns, rows = max(1, int(dxf.get("column_count", 1))), max(1, int(dxf.get("row_count", 1)))
    block = entity.block()
    base = _flat(block.block.dxf.base_point) if block is not None else (0.0, 0.0)
    turn = math.radians(dxf.get("rotation", 0.0))
    cos, sin = math.cos(turn), math.sin(turn)
    wide, high = float(dxf.get("xscale", 1.0)), float(dxf.get("yscale", 1.0))
    at = _flat(dxf.insert)
    e = at[0] - wide * cos * base[0] + high * sin * base[1]
    f = at[1] - wide * sin * base[0] - high * cos * base[1]
    placing = Placing(side * wide * cos, wide * sin, -side * high * sin, high * cos, side * e, f)
    right, up = (float(dxf.get(name, 0.0)) for name in ("column_spacing", "row_spacing"))
    # Rows and columns turn with the block; its scale does not touch them.
    column_step, row_step = (side * right * cos, right * sin), (-side * up * sin, up * cos)
    last = (columns * max(map(abs, column_step)), rows * max(map(abs, row_step)))
    if not all(map(_sensible, (placing.a, placing.b, placing.c, placing.d, placing.e, placing.f, *last))):
        return _UNREADABLE
    return BlockPut(dxf.layer, str(dxf.name), placing, _attribute_name(entity), columns, rows, column_step, row_step)


def _attribute_name(entity: Any) -> str:
    """What a block is called where it is put: its attribute NAME, or one that numbers it."""
    told = {attribute.dxf.tag.upper(): tidied(attribute.dxf.text) for attribute in entity.attribs}
    return next((told[tag] for tag in _NAME_TAGS if told.get(tag)), "")


_READERS: dict[str, Callable[[Any, float], Item]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline,
    "ELLIPSE": _free_curve,
    "SPLINE": _free_curve,
    "TEXT": _lettering,
    "MTEXT": _lettering,
    "INSERT": _block_put,
}


def tidied(text: str) -> str:
    """A text as a name: one line, blanks joined, without characters that cannot be seen or turn the direction of reading."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _shape(entity: Any, parts: list[tuple[Spot, Spot] | Arc], *, closed: bool = False) -> Item:
    numbers = [
        number for part in parts for number in ((*part.centre, *part.start, part.sweep) if isinstance(part, Arc) else (*part[0], *part[1]))
    ]
    thickness = float(entity.dxf.get("thickness", 0.0))
    if not all(map(_sensible, numbers)):
        return _UNREADABLE
    return Shape(entity.dxf.layer, tuple(parts), closed, thickness if _sensible(thickness) else 0.0)


def _side(entity: Any) -> int | None:
    """1 for what is drawn on the floor seen from above, -1 seen from below, x mirrored (arbitrary axis algorithm); None upright."""
    if not entity.dxf.hasattr("extrusion"):
        return 1
    up = entity.dxf.extrusion
    share = up.z / up.magnitude if up.magnitude else 1.0
    return None if not abs(share) >= _UPRIGHT else 1 if share > 0 else -1


def _sided(part: tuple[Spot, Spot] | Arc, side: int) -> tuple[Spot, Spot] | Arc:
    if side == 1:
        return part
    if isinstance(part, Arc):
        return Arc((-part.centre[0], part.centre[1]), (-part.start[0], part.start[1]), -part.sweep)
    return (-part[0][0], part[0][1]), (-part[1][0], part[1][1])


def _flat(point: Any) -> Spot:
    return float(point[0]), float(point[1])


def _sensible(number: float) -> bool:
    return math.isfinite(number) and abs(number) <= _MOST_UNITS
