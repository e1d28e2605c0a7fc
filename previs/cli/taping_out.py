"""The verb that writes the tape-out sheets of the floor; what stands on them is decided in `floor/tape_out`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import File, look
from previs.cli.showing import say
from previs.floor.measuring_units import Units
from previs.floor.sheet_scale import SheetPaper


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs tapeout salt.previs -o tapeout --units imperial --paper letter")(tapeout)


def tapeout(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder for the sheets.", show_default=False)],
    units: Annotated[Units, typer.Option(case_sensitive=False, help="What your tapes are marked in.")] = Units.METRIC,
    paper: Annotated[SheetPaper, typer.Option(case_sensitive=False, help="Paper of the PDF.")] = SheetPaper.A4,
    scale: Annotated[str, typer.Option(metavar="1:N", help="Scale of the plan; the largest usual one that fits when not given.")] = "",
    full_size: Annotated[bool, typer.Option("--full-size", help="Also the plan at full size, on many pages to join.")] = False,
) -> None:
    """Write tape-out sheets, to lay the set's plan on the rehearsal floor with two tapes: PDF, DXF and CSV."""
    from previs.floor.sheet_folder import SheetsWanted, write_tape_outs
    from previs.floor.sheet_scale import parsed_scale

    wanted = SheetsWanted(units, paper, parsed_scale(scale) if scale else None, full_size)
    opened = look(file)
    write_tape_outs(opened.sequence, opened.path, output, wanted, date.today(), say)
