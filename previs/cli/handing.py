"""Verbs that hand the cut on to a department: pulls."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from collections.abc import Sequence as Several
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from previs.cli.calling import PaperSize
from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, reporting, say, show
from previs.cut.codes import with_codes
from previs.document.model import Kind, Sequence
from previs.document.store import Opened
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper

if TYPE_CHECKING:
    from previs.handoff.pull_files import Handed


class MovieEnding(StrEnum):
    """The file that a pull's movie is."""

    MOV = "mov"
    MP4 = "mp4"


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog='Example: previs pulls salt.previs --only "digital double" --stills -o pulls')(pulls)


def pulls(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder of pulls.", show_default=False)],
    cut: CutName = None,
    only: Annotated[Kind | None, typer.Option(help="Only shots with this kind of treatment on screen.")] = None,
    shot: Annotated[
        list[int] | None, typer.Option("--shot", help="Only this shot of the cut, by number, treated or not; may be given again.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every shot with footage, treated or not.")] = False,
    stills: Annotated[bool, typer.Option("--stills", help="Also numbered stills, PNG.")] = False,
    movies: Annotated[bool, typer.Option("--movies/--no-movies", help="Movies, H.264 without sound.")] = True,
    look_only: Annotated[bool, typer.Option("--look", help="Say which pulls in DIR are as the cut shows them; make nothing.")] = False,
    movie: Annotated[MovieEnding, typer.Option("--movie", help="The file that a movie is.")] = MovieEnding.MOV,
    paper: PaperSize = Paper.A4,
    as_json: AsJson = False,
) -> None:
    """Pull the treated shots with handles for visual effects, with slates, contact sheets, a count sheet and an edit list.

    Shots get their codes here, and keep them from version to version. Pulls that have not changed are not made again, and
    no file of an earlier version is removed.
    """
    if only and every:
        raise UseFault("--all pulls every shot and --only some of them; give one of the two.")
    if output.exists() and not output.is_dir():
        raise UseFault(f"{output} is a file; give the name of a folder.")
    from previs.handoff.pull_files import Wanted, coded_for_pulls, pulls_due
    from previs.handoff.pull_folder import write_pulls

    sequence = look(file).sequence
    name = sequence.cut(cut).name
    wanted = Wanted(only, every, stills, movies, f".{movie.value}", frozenset(shot or ()))
    if look_only:
        as_coded = with_codes(sequence, name)
        _tell(pulls_due(as_coded, as_coded.cut(name), output, wanted), (), name, output, as_json=as_json)
        say("Nothing was made or changed.")
        return

    opened = coded(file, partial(coded_for_pulls, cut_name=name, wanted=wanted), name)
    chosen = opened.sequence.cut(name)
    with reporting("Pulling") as report:
        handed, papers = write_pulls(opened.sequence, chosen, opened.path, output, wanted, paper, datetime.date.today(), report)
    _tell(handed, papers, name, output, as_json=as_json)


def _tell(handed: Handed, papers: Several[Path], cut: str, output: Path, *, as_json: bool) -> None:
    """Say what was made, or what would be: every pull by name, then what the cut no longer wants."""
    from previs.handoff.pull_files import counts

    if as_json:
        answer(
            {
                "cut": cut,
                "pulls": [
                    {
                        "name": one.entry.name,
                        "code": one.entry.code,
                        "version": one.entry.version,
                        "is": one.state.value,
                        "takes the place of": one.before,
                    }
                    for one in handed.planned
                ],
                "made": [str(path) for path in handed.made],
                "fell_out": [entry.name for entry in handed.fell_out],
                "papers": [str(path) for path in papers],
            }
        )
        return
    for one in handed.planned:
        show("  ".join((one.state.value.ljust(7), one.entry.name, *one.remarks)))
    for entry in handed.fell_out:
        say(f"{entry.name} is not wanted by cut {cut} any more; its files stay in {output}.")
    said = ", ".join(f"{number} {state}" for state, number in counts(handed).items())
    say(f"{len(handed.planned)} pulls of cut {cut}: {said}; in {output}.")


def coded(file: Path, change: Callable[[Sequence], Sequence], cut: str) -> Opened:
    """The file as `change` gives the shots of a cut their codes; saved, as a step that can be undone, where codes were missing."""
    opened = look(file)
    if change(opened.sequence) == opened.sequence:
        return opened
    saved = edit(file, change, what=f"give the shots of {cut} their codes")
    say(f"The shots of cut {cut} have codes now.")
    return saved
