"""The verb that fits the set's plan into the rehearsal room; how it lies best is found in `floor/fitting` and `floor/sections`."""

from __future__ import annotations

from typing import Annotated

import typer

from previs.cli.sessions import AsJson, File, held, save_recorded
from previs.cli.showing import answer, reporting, say, show
from previs.document.floor import Floor
from previs.document.floor_edits import with_laid
from previs.document.store import open_document


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs fit salt.previs --sections")(fit)


def fit(
    file: File,
    sections: Annotated[
        bool, typer.Option("--sections", help="Cut a plan that does not fit into sections that overlap; else the largest part is laid.")
    ] = False,
    keep_turn: Annotated[
        float | None,
        typer.Option(metavar="DEGREES", help="Lay it by this turn alone, counter-clockwise; the best turn is searched when not given."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Lay the set's plan in the rehearsal room, with the margin kept to walls and columns: does it fit, and what is missing."""
    from previs.floor.fitting import fitted, millidegrees, room_of
    from previs.floor.fitting_words import fitting_facts, fitting_told
    from previs.floor.sections import in_sections

    turn = None if keep_turn is None else millidegrees(keep_turn)
    with held(file), reporting("Fitting the plan into the room") as report:
        opened = open_document(file)
        plan = opened.sequence.floor or Floor()
        found = in_sections(plan, report, turn) if sections else fitted(plan, report, turn)
        save_recorded(opened, with_laid(opened.sequence, found.laid), "fit the plan into the room")
    if as_json:
        answer(fitting_facts(found))
        return
    for sentence in fitting_told(found, room_of(plan).margin_mm):
        show(sentence)
    if not found.fits and not sections:
        say(f"'previs fit {file} --sections' cuts it into sections that overlap instead.")
