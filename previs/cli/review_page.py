"""The verb that makes the director's page."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, look
from previs.cli.showing import answer, reporting, say


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs review salt.previs --cut v2 --against v1 -o salt_v2_review")(review)


def review(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder of the page.", show_default=False)],
    cut: CutName = None,
    against: Annotated[str | None, typer.Option(metavar="CUT", help="Show this earlier cut beside it, in step.")] = None,
    confidential: Annotated[
        bool, typer.Option(help="Put 'rehearsal footage: not for distribution' on the page and into the movie.")
    ] = True,
    as_json: AsJson = False,
) -> None:
    """Make a folder for the director: the movie, the step chart and the pace on a page that any browser opens, and that takes notes.

    The page needs no network and nothing installed. It saves its notes as a file; 'previs notes' takes that in.
    """
    from previs.review.folder import write_review

    opened = look(file)
    sequence = opened.sequence
    chosen, beside = sequence.cut(cut), None if against is None else sequence.cut(against)
    say(f"Making the review of cut {chosen.name} in {output} ...")
    with reporting("Making the review") as report:
        written = write_review(
            sequence, opened.path, chosen, output, beside=beside, made=date.today(), confidential=confidential, report=report
        )
    if as_json:
        answer({"folder": str(written.folder), "files": [str(path) for path in written.files], "cut": chosen.name, "against": against})
    else:
        say(f"{written.page} is written; send the whole folder, and open that page in any browser.")
