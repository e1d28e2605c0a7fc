"""Verbs that take the floor in: plan, the set as drawn or written, and room, where it is rehearsed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, File, edit, look
from previs.cli.showing import answer, say
from previs.document.model import Sequence
from previs.faults import UseFault

_Metres = "METRES"
_Point = "'X Y'"


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs plan salt.previs salt_stair.dxf --layers 'A-WALL=wall,DOORS=door'")(plan)
    app.command(epilog="Example: previs room salt.previs --length 16 --width 9 --column '4 3 0.4 0.4'")(room)


def plan(
    file: File,
    drawing: Annotated[
        Path,
        typer.Argument(metavar="DRAWING", help="The set's plan: a .dxf drawing, or a table in metres.", show_default=False),
    ],
    unit: Annotated[str, typer.Option(metavar="UNIT", help="Its unit, when it says none or a wrong one: mm, cm, m, in, ft.")] = "",
    layers: Annotated[
        str,
        typer.Option(metavar="NAME=KIND,...", help="Take these layers alone; KIND is wall, door, step, drop, column, other or place."),
    ] = "",
    snap: Annotated[int | None, typer.Option(metavar="MM", help="Join ends that lie this near: 20 at first; 0 leaves them apart.")] = None,
    as_json: AsJson = False,
) -> None:
    """Take the set's plan in, cleaned, to tape it on a floor and rehearse there; never to build or rig from.

    It takes the place of the plan that was there.
    """
    from previs.floor.cleaning import SNAP_MM
    from previs.floor.cleaning_told import finding_rows
    from previs.floor.drawing_plan import plan_facts, plan_told, read_plan, with_read_plan

    read = read_plan(drawing, unit, layers, SNAP_MM if snap is None else snap)
    told: list[str] = []

    def change(sequence: Sequence) -> Sequence:
        told.extend(plan_told(read, sequence))
        return with_read_plan(sequence, read)

    edit(file, change, what=f"plan from {drawing.name}")
    if as_json:
        answer({**plan_facts(read), "remarks": told, "found": finding_rows(read.clean)})
        return
    for sentence in told:
        say(sentence)


def room(
    file: File,
    table: Annotated[Path | None, typer.Argument(metavar="TABLE", help="The room as a .csv or .xlsx table in metres.")] = None,
    length: Annotated[str | None, typer.Option(metavar=_Metres, help="From wall to wall, along x.")] = None,
    width: Annotated[str | None, typer.Option(metavar=_Metres, help="From wall to wall, along y.")] = None,
    margin: Annotated[str | None, typer.Option(metavar=_Metres, help="Nothing is laid nearer to walls and columns; 0.5 at first.")] = None,
    datum_a: Annotated[str | None, typer.Option(metavar=_Point, help="The first point that tapes are held to; the corner '0 0'.")] = None,
    datum_b: Annotated[str | None, typer.Option(metavar=_Point, help="The second one; the other corner of that wall.")] = None,
    column: Annotated[
        list[str] | None, typer.Option(metavar="'X Y LENGTH WIDTH'", help="A column, all of them; can be given again.")
    ] = None,
    remove: Annotated[bool, typer.Option("--remove", help="Take the room out of the file.")] = False,
    as_json: AsJson = False,
) -> None:
    """Say what the rehearsal room is like: size, margin, columns, and the two points to measure from; or show it."""
    from previs.document.floor_edits import with_room
    from previs.floor.room_table import WrittenRoom, read_room_table, room_facts, room_told, room_written

    written = WrittenRoom(length, width, margin, datum_a, datum_b, tuple(column or ()))
    said = written != WrittenRoom()
    if said + remove + (table is not None) > 1:
        raise UseFault("Give the room as a table, or with options such as --length, or --remove: one of the three.")
    if said or table is not None or remove:
        given = read_room_table(table) if table is not None else None
        was_laid = False

        def change(sequence: Sequence) -> Sequence:
            nonlocal was_laid
            before = sequence.floor.room if sequence.floor else None
            was_laid = before is not None and sequence.floor is not None and bool(sequence.floor.laid)
            return with_room(sequence, None if remove else given or room_written(written, before))

        floor = edit(file, change, what="remove the room" if remove else "set the room").sequence.floor
        if was_laid:
            say("How the plan was laid in the old room is gone; fit it again.")
    else:
        floor = look(file).sequence.floor
    there = floor.room if floor else None
    if as_json:
        answer(room_facts(there) if there else None)
    else:
        say(room_told(there) if there else "There is no room in the file; give it with --length and --width, or as a table.")
