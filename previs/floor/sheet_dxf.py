"""A tape-out sheet as a DXF drawing of the room in millimetres: a layer for each kind of line, the numbers, A and B."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager

# The library hands these out at its top, though its annotations do not say so.
from ezdxf import new, options  # type: ignore[attr-defined]
from ezdxf.document import Drawing
from ezdxf.layouts.layout import Modelspace

from previs.document.floor import LineKind
from previs.floor.tape_out import FOR_TAPING, NO_FALL, TAPE_COLOUR, TapeOut

_COLOURS = {
    LineKind.WALL: 7, LineKind.DOOR: 5, LineKind.STEP: 2, LineKind.DROP: 1, LineKind.COLUMN: 3, LineKind.OTHER: 8
}  # fmt: skip
"""The index colours of the format: 1 red, 2 yellow, 3 green, 5 blue, 7 white or black, 8 grey."""
_OTHERS = {"ROOM": 8, "ROOM_COLUMNS": 8, "SWINGS": 5, "POINTS": 7, "NUMBERS": 7, "WORDS": 7}
_TEXT_MM = 120.0
_MARK_MM = 30.0
_MILLIMETRES = 4
"""$INSUNITS 4 is millimetres (DXF reference)."""


def sheet_dxf(sheet: TapeOut) -> bytes:
    """The sheet as DXF (R2010); the same sheet gives the same bytes."""
    with _held_still():
        return _bytes(_drawn(sheet))


def _drawn(sheet: TapeOut) -> Drawing:
    drawing = new("R2010", units=_MILLIMETRES)
    for kind, colour in _COLOURS.items():
        drawing.layers.add(layer_of(kind), color=colour)
    for name, colour in _OTHERS.items():
        drawing.layers.add(name, color=colour)
    space = drawing.modelspace()
    _room(space, sheet)
    for one in sheet.joined:
        points = [sheet.points[point].at for point in one.points]
        closed = len(points) > 2 and one.points[0] == one.points[-1]
        space.add_lwpolyline(points[:-1] if closed else points, close=closed, dxfattribs={"layer": layer_of(one.kind)})
        if one.kind is LineKind.DOOR and len(points) == 2 and one.opens_left is not None:
            _swing(space, points[0], points[1], left=one.opens_left)
        if one.kind is LineKind.DROP:
            (ax, ay), (bx, by) = points[0], points[-1]
            space.add_text(NO_FALL, height=_TEXT_MM, dxfattribs={"layer": "WORDS"}).set_placement(((ax + bx) / 2, (ay + by) / 2))
    for point in sheet.points:
        space.add_circle(point.at, _MARK_MM, dxfattribs={"layer": "POINTS"})
        space.add_text(point.label, height=_TEXT_MM, dxfattribs={"layer": "NUMBERS"}).set_placement(
            (point.at[0] + _MARK_MM, point.at[1] + _MARK_MM)
        )
    for place in sheet.places:
        space.add_text(_plain(place.name), height=_TEXT_MM, dxfattribs={"layer": "WORDS"}).set_placement(place.at)
    said = _plain(f"{sheet.title}, {sheet.made.isoformat()}. {FOR_TAPING}")
    space.add_text(said, height=_TEXT_MM, dxfattribs={"layer": "WORDS"}).set_placement((0, -4 * _TEXT_MM))
    return drawing


def layer_of(kind: LineKind) -> str:
    """The layer of a kind of line, with its tape: `WALL_WHITE`."""
    return f"{kind.value}_{TAPE_COLOUR[kind]}".upper()


def _room(space: Modelspace, sheet: TapeOut) -> None:
    room = sheet.room
    corners = [(0, 0), (room.length_mm, 0), (room.length_mm, room.width_mm), (0, room.width_mm)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "ROOM"})
    for column in room.columns:
        space.add_lwpolyline(column.points, close=column.closed, dxfattribs={"layer": "ROOM_COLUMNS"})
    for name, at in (("A", room.datum_a), ("B", room.datum_b)):
        space.add_circle(at, 2 * _MARK_MM, dxfattribs={"layer": "POINTS"})
        space.add_text(name, height=2 * _TEXT_MM, dxfattribs={"layer": "NUMBERS"}).set_placement((at[0] + _MARK_MM, at[1] + _MARK_MM))


def _swing(space: Modelspace, hinge: tuple[float, float], latch: tuple[float, float], *, left: bool) -> None:
    across, up = latch[0] - hinge[0], latch[1] - hinge[1]
    leaf = (hinge[0] - up, hinge[1] + across) if left else (hinge[0] + up, hinge[1] - across)
    space.add_line(hinge, leaf, dxfattribs={"layer": "SWINGS"})
    # A quarter circle bulges by tan(90 / 4 degrees), positive counter-clockwise (DXF reference, LWPOLYLINE).
    bulge = (2**0.5 - 1) * (1 if left else -1)
    space.add_lwpolyline([(*latch, bulge), (*leaf, 0.0)], format="xyb", dxfattribs={"layer": "SWINGS"})


def _plain(text: str) -> str:
    """The text on one line: a line's end would end the value in the file."""
    return " ".join(text.split())


def _bytes(drawing: Drawing) -> bytes:
    written = io.StringIO()
    drawing.write(written)
    return drawing.encode(written.getvalue())


@contextmanager
def _held_still() -> Iterator[None]:
    """The library's own fixed dates and ids while a drawing is begun and written, so that bytes do not change with the clock."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
