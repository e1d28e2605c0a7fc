"""A plan drawn as DXF, read into the plan's lines and places in whole millimetres, with a report of what was left out and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ezdxf.document import Drawing

from previs.document.floor import LineKind, NamedPlace, PlanLine, PointMm
from previs.document.floor_faults import FARTHEST_MM
from previs.faults import UseFault
from previs.floor.drawing_curves import Spot
from previs.floor.drawing_doors import Door, DoorsTold, doors_told
from previs.floor.drawing_file import open_drawing
from previs.floor.drawing_layers import Layers, layers_given
from previs.floor.drawing_names import DrawnLine, Named, named
from previs.floor.drawing_pieces import Piece, Pieces, pieces_of
from previs.floor.drawing_told import layers_told, left_out_told, listed, size_told, spot_told
from previs.floor.drawing_units import MM_PER_CODE, UNIT_NAMES, sizes_told, unit_given, unit_name

NEAR_MM = 100_000
"""A plan whose lowest corner lies further than this from its drawing's origin is brought near. A limit of ours."""
_SMALL_MM, _LARGE_MM = 1000, 300_000
"""A set smaller or larger than this is asked about; ours, no source."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a drawing holds: see `Floor` for `origin`; `remarks` are sentences on how it was read and what was left out."""

    lines: tuple[PlanLine, ...]
    places: tuple[NamedPlace, ...]
    origin: PointMm
    unit: str
    remarks: tuple[str, ...]


def read_drawing(path: Path, unit: str = "", layers: str = "") -> Drawn:
    """The plan in a DXF file; `unit` and `layers` as a person writes them (`mm`; `A-WALL=wall,DOORS=door`), empty for by itself.

    Raises `UseFault` for a file that cannot be read, a drawing without a unit when none is given, layers that are not there or
    whose names tell nothing, and a plan that is too large.
    """
    given = layers_given(layers) if layers.strip() else None
    asked = unit_given(unit) if unit.strip() else None
    opened = open_drawing(path)
    code = asked or own_unit(opened.drawing)
    chosen = Layers(given)
    pieces = pieces_of(opened.drawing, chosen, float(MM_PER_CODE[code]) if code else 1.0)
    _check_layers(path, chosen, pieces)
    if code is None:
        raise _unit_wanted(path, pieces, opened.drawing)
    told = doors_told(pieces.lines)
    drawn = named(_lines(pieces.lines, told), pieces.texts)
    remarks = [opened.mended] if opened.mended else []
    whole = _whole(path, drawn, unit_name(code), given_unit=asked is not None)
    remarks += [*layers_told(pieces, unit_name(code)), *whole.remarks, *left_out_told(pieces)]
    if spots := list(dict.fromkeys(told.unsure.values())):
        remarks.append(
            f"Drawn on a layer of doors, without telling where hinge and latch are, at {listed(map(spot_told, spots))}: "
            "kept as other lines; draw the leaf from the hinge, or write the door in a table."
        )
    return Drawn(whole.lines, whole.places, whole.origin, unit_name(code), tuple(remarks))


def own_unit(drawing: Drawing) -> int | None:
    """The code of the unit that a drawing says it has; None when it says none, or one that no DXF has."""
    code = drawing.header.get("$INSUNITS", 0)
    return code if isinstance(code, int) and code in MM_PER_CODE else None


def _check_layers(path: Path, chosen: Layers, pieces: Pieces) -> None:
    """Refuse layers that are not there, and a drawing none of whose lines is taken."""
    there = {name: count for (name, _), count in pieces.taken.items()} | dict(pieces.other_layers) | dict(pieces.hidden_layers)
    names = listed([f"{name} ({count})" for name, count in sorted(there.items())]) if there else "none"
    if missing := chosen.missing():
        raise UseFault(f"Nothing is drawn on a layer '{missing[0]}' in {path.name}; the layers with something on them are: {names}.")
    if pieces.lines:
        return
    if not there:
        raise UseFault(f"{path.name} holds no lines that a plan could be made of; draw walls and doors as lines, arcs or blocks.")
    example = max(there, key=lambda name: there[name])
    raise UseFault(
        f"No layer of {path.name} has a name that tells what it holds; say which are walls, doors, steps, drops or columns, "
        f"such as --layers '{example}=wall'. The layers with something on them are: {names}."
    )


def _unit_wanted(path: Path, pieces: Pieces, drawing: Drawing) -> UseFault:
    low, high = _corners([spot for piece in pieces.lines for spot in piece.points])
    code = drawing.header.get("$INSUNITS", 0)
    says = f"gives a unit that no DXF has (code {code})" if code else "does not say its unit"
    return UseFault(
        f"{path.name} {says}; the set would be {sizes_told(high[0] - low[0], high[1] - low[1])}: "
        f"say which with --unit ({', '.join(UNIT_NAMES)})."
    )


def _lines(pieces: Sequence[Piece], told: DoorsTold) -> list[DrawnLine]:
    """The pieces in their order, doors as openings; what tells no door on a layer of doors is another line."""
    lines: list[DrawnLine] = []
    for number, piece in enumerate(pieces):
        lines += [_door_line(door) for door in told.doors.get(number, ())]
        if number in told.used or not piece.points:
            continue
        kind = LineKind.OTHER if number in told.unsure else piece.kind
        lines.append(DrawnLine(kind, piece.points, piece.closed, piece.name, piece.thickness_mm))
    return lines


def _door_line(door: Door) -> DrawnLine:
    return DrawnLine(LineKind.DOOR, (door.hinge, door.latch), name=door.name, opens_left=door.opens_left)


@dataclass(frozen=True, slots=True)
class _Whole:
    lines: tuple[PlanLine, ...]
    places: tuple[NamedPlace, ...]
    origin: PointMm
    remarks: tuple[str, ...]


def _whole(path: Path, drawn: Named, unit: str, *, given_unit: bool) -> _Whole:
    """Everything in whole millimetres, near the origin."""
    low, high = _corners([spot for line in drawn.lines for spot in line.points])
    width, depth = high[0] - low[0], high[1] - low[1]
    if max(width, depth) > FARTHEST_MM:
        far = max((spot for line in drawn.lines for spot in line.points), key=lambda spot: math.dist(spot, drawn.lines[0].points[0]))
        raise UseFault(
            f"The set in {path.name} would be {size_told(width, depth)} in {unit}, and none is; give another --unit, "
            f"or take away what is drawn far from the rest, at {spot_told(far)}."
        )
    remarks: list[str] = []
    origin = (0, 0)
    if max(map(abs, low)) > NEAR_MM:
        origin = (math.floor(low[0]), math.floor(low[1]))
        remarks.append(f"The drawing lies far from its own origin: the plan's origin is its spot {spot_told(low)}.")
    if not _SMALL_MM <= max(width, depth) <= _LARGE_MM:
        whose = "as given" if given_unit else "as the drawing says"
        remarks.append(f"The set is {size_told(width, depth)} in {unit}, {whose}; look whether that is the right unit, else give --unit.")
    lines = [line for line in (_plan_line(line, origin) for line in drawn.lines) if line is not None]
    if len(lines) < len(drawn.lines):
        remarks.append(f"Shorter than a millimetre and left out: {len(drawn.lines) - len(lines)} of the lines.")
    near = [NamedPlace(name, _near(at, origin)) for name, at in drawn.places]
    places = [place for place in near if max(map(abs, place.at)) <= FARTHEST_MM]
    if len(places) < len(near):
        remarks.append(f"Further than {FARTHEST_MM // 1_000_000} km from the plan and left out: {len(near) - len(places)} of the names.")
    if drawn.too_long:
        remarks.append(f"Too long for a name and left out: {drawn.too_long} of the texts.")
    if not lines:
        raise UseFault(f"All lines in {path.name} are shorter than a millimetre in {unit}; give another --unit.")
    return _Whole(tuple(lines), tuple(places), origin, tuple(remarks))


def _plan_line(line: DrawnLine, origin: PointMm) -> PlanLine | None:
    """One line in whole millimetres; None when nothing is left of it."""
    points: list[PointMm] = []
    for spot in line.points:
        at = _near(spot, origin)
        if not points or points[-1] != at:
            points.append(at)
    closed = line.closed
    while len(points) > 2 and points[0] == points[-1]:
        points.pop()
        closed = True
    if len(points) < 2:
        return None
    has_height = line.kind in (LineKind.STEP, LineKind.DROP) and line.thickness_mm >= 1
    height = min(round(line.thickness_mm), FARTHEST_MM) if has_height else None
    return PlanLine(line.kind, tuple(points), closed and len(points) > 2, line.name, height, line.opens_left)


def _near(spot: Spot, origin: PointMm) -> PointMm:
    return round(spot[0] - origin[0]), round(spot[1] - origin[1])


def _corners(spots: Sequence[Spot]) -> tuple[Spot, Spot]:
    xs, ys = [spot[0] for spot in spots], [spot[1] for spot in spots]
    return (min(xs), min(ys)), (max(xs), max(ys))
