"""The verb that hands a cut on to everybody at once, a folder each; what goes into a folder is decided in `review/handing`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from previs.cli import calling, handing
from previs.cli.sessions import CutName, File, look
from previs.cli.showing import reporting, say
from previs.handoff.folder_names import Folder
from previs.handoff.sheet_files import Paper


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs handoff salt.previs --since v1 -o salt_v2_handoff")(handoff)


def handoff(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder of all folders.", show_default=False)],
    cut: CutName = None,
    since: Annotated[str | None, typer.Option(metavar="CUT", help="Also tell what changed since this cut.")] = None,
    to: Annotated[list[Folder] | None, typer.Option("--to", help="Only this folder; may be given again.")] = None,
    confidential: Annotated[
        bool, typer.Option(help="Put 'rehearsal footage: not for distribution' on the director's page and into its movie.")
    ] = True,
    paper: calling.PaperSize = Paper.A4,
) -> None:
    """Write a folder for each department from one cut: editorial, visual effects, rigging, props and wardrobe, floor, performers,
    and the director's page.

    Everything is derived from cut x marks, so nothing in it is typed twice, and a new version is a new folder.
    """
    from dataclasses import replace
    from functools import partial

    from previs.handoff.folders import HandOff, prepared, refuse_a_file
    from previs.review.handing import hand_on

    opened = look(file)
    chosen = opened.sequence.cut(cut)
    if since is not None:
        opened.sequence.cut(since)
    what = HandOff(opened.sequence, opened.path, chosen, output, date.today(), paper=paper)
    refuse_a_file(output)
    for folder in to or list(Folder):
        say(f"{folder.value}:")
        ready = handing.coded(file, partial(prepared, cut_name=chosen.name, folder=folder), chosen.name).sequence
        what = replace(what, sequence=ready, cut=ready.cut(chosen.name), since=None if since is None else ready.cut(since))
        with reporting(folder.value) as report:
            hand_on(what, folder, report, say, confidential=confidential)
    say(f"Cut {chosen.name} is handed on in {output}.")
