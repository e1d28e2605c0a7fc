"""The verb that makes practice reels and move lists for performers; what they practise is found in `handoff/practice`."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.calling import PaperSize
from previs.cli.sessions import CutName, File, look
from previs.cli.showing import reporting, say
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs practice salt.previs --performer 'Juno Vale' --since v1 -o practice")(practice)


def practice(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder for reels and lists.", show_default=False)],
    cut: CutName = None,
    performer: Annotated[str | None, typer.Option(help="Only for this performer; for all when not given.")] = None,
    speeds: Annotated[str, typer.Option(help="Shares of performance speed, in the order shown.")] = "1/2,3/4,1",
    mirror: Annotated[bool, typer.Option("--mirror", help="Mirror the pictures, to be followed as in a mirror.")] = False,
    since: Annotated[str | None, typer.Option(metavar="CUT", help="Tell what is new since this cut.")] = None,
    movies: Annotated[bool, typer.Option(help="Make the reels, or the move lists alone.")] = True,
    paper: PaperSize = Paper.A4,
) -> None:
    """Make a practice reel and a move list with stills for each performer: what this cut asks them to learn."""
    from previs.handoff.practice_folder import PracticeWanted, write_practice

    wanted = PracticeWanted(_shares(speeds), mirror, movies, paper)
    opened = look(file)
    sequence = opened.sequence
    chosen, before = sequence.cut(cut), sequence.cut(since) if since else None
    with reporting("Making practice reels") as report:
        write_practice(
            sequence,
            chosen,
            opened.path,
            output,
            wanted,
            made=date.today(),
            report=report,
            tell=say,
            before=before,
            performers=[performer] if performer else None,
        )


def _shares(text: str) -> tuple[Fraction, ...]:
    try:
        shares = tuple(Fraction(part.strip()) for part in text.split(","))
    except (ValueError, ZeroDivisionError):
        raise UseFault(f"'{text}' are no speeds; give shares of performance speed such as 1/2,3/4,1.") from None
    if not shares or not all(Fraction(1, 10) <= share <= 1 for share in shares):
        raise UseFault(f"'{text}' are no speeds to practise at; give shares from 1/10 to 1.")
    return shares
