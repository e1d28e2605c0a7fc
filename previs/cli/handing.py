"""Verbs that hand the cut on to a department: pulls."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.calling import PaperSize
from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, reporting, say
from previs.cut.codes import with_codes
from previs.cut.placing import place
from previs.document.model import Cut, Kind, Sequence
from previs.document.paths import cache_folder
from previs.document.store import Opened
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper
from previs.progress import Report


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
    every: Annotated[bool, typer.Option("--all", help="Every shot with footage, treated or not.")] = False,
    stills: Annotated[bool, typer.Option("--stills", help="Also numbered stills, PNG.")] = False,
    movies: Annotated[bool, typer.Option("--movies/--no-movies", help="Movies, H.264 without sound.")] = True,
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
    from previs.handoff.pull_files import Wanted, counts, make_pulls, pulls_wanted
    from previs.handoff.pull_papers import write_papers

    wanted = Wanted(only, every, stills, movies, f".{movie.value}")
    opened = _coded(file, cut, lambda coded: pulls_wanted(coded, coded.cut(cut), wanted))
    sequence, cache = opened.sequence, cache_folder(opened.path)
    chosen = sequence.cut(cut)
    with reporting("Pulling") as report:
        handed = make_pulls(sequence, chosen, opened.path, output, wanted, cache, report)
        papers = write_papers(
            sequence,
            chosen,
            handed.planned,
            opened.path,
            output,
            cache,
            made_on=datetime.date.today(),
            wanted=wanted,
            paper=paper,
            heads=_heads(sequence, chosen, opened, cache, report),
            report=report,
        )
    if as_json:
        answer(
            {
                "cut": chosen.name,
                "pulls": [
                    {"name": one.entry.name, "code": one.entry.code, "version": one.entry.version, "is": one.state.value}
                    for one in handed.planned
                ],
                "made": [str(path) for path in handed.made],
                "fell_out": [entry.name for entry in handed.fell_out],
                "papers": [str(path) for path in papers],
            }
        )
        return
    for one in handed.planned:
        print("  ".join((one.state.value.ljust(7), one.entry.name, *one.pull.remarks)))
    for entry in handed.fell_out:
        say(f"{entry.name} is not wanted by cut {chosen.name} any more; its files stay in {output}.")
    said = ", ".join(f"{number} {state}" for state, number in counts(handed).items())
    say(f"{len(handed.planned)} pulls of cut {chosen.name}: {said}; in {output}.")


def _heads(sequence: Sequence, cut: Cut, opened: Opened, cache: Path, report: Report) -> dict[tuple[str, str], float]:
    """The largest head of each role in each shot, where one was marked: by shot code and role."""
    from previs.media.head_tracks import heads_followed, largest_in

    if not sequence.heads:
        return {}
    followed = heads_followed(sequence, opened.path, cache, report)
    found = {}
    for one in place(sequence, cut):
        if one.source is None:
            continue
        shown = one.source.seen
        for role in sequence.roles:
            largest = largest_in(followed, one.source.take.name, role, shown.start, shown.end_exclusive)
            if largest is not None:
                found[one.shot.code, role] = round(largest, 1)
    return found


def _coded(file: Path, cut: str | None, check: Callable[[Sequence], object]) -> Opened:
    """The file with a code on every shot of the cut; saved as a step that can be undone where codes were missing.

    `check` is given the coded sequence before it is saved, and raises when it is not to be.
    """
    opened = look(file)
    name = opened.sequence.cut(cut).name

    def change(sequence: Sequence) -> Sequence:
        coded = with_codes(sequence, name)
        check(coded)
        return coded

    if change(opened.sequence) == opened.sequence:
        return opened
    saved = edit(file, change, what=f"give the shots of {name} their codes")
    say(f"The shots of cut {name} have codes now.")
    return saved
