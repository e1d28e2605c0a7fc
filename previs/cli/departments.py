"""The verb that hands a cut on to every department at once, a folder each; it calls the verbs of the single papers."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from previs.cli import calling, cutting, exchanging, handing, practising, versions
from previs.cli.sessions import CutName, File, look
from previs.cli.showing import say
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.handoff.call_sheets import Department
from previs.handoff.sheet_files import Paper


class Folder(StrEnum):
    """Whose folder."""

    EDITORIAL = "editorial"
    EFFECTS = "visual effects"
    RIGGING = "rigging"
    PROPS = "props and wardrobe"
    FLOOR = "stunt floor"
    PERFORMERS = "performers"


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs handoff salt.previs --since v1 -o salt_v2_handoff")(handoff)


def handoff(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder of all folders.", show_default=False)],
    cut: CutName = None,
    since: Annotated[str | None, typer.Option(metavar="CUT", help="Also tell what changed since this cut.")] = None,
    to: Annotated[list[Folder] | None, typer.Option("--to", help="Only this department; may be given again.")] = None,
    paper: calling.PaperSize = Paper.A4,
) -> None:
    """Write a folder for each department from one cut: editorial, visual effects, rigging, props and wardrobe, floor, performers.

    Everything is derived from cut x marks, so nothing in it is typed twice, and a new version is a new folder.
    """
    if output.exists() and not output.is_dir():
        raise UseFault(f"{output} is a file; name a folder for the hand-off.")
    sequence = look(file).sequence
    name = sequence.cut(cut).name
    if since is not None:
        sequence.cut(since)
    makers = _makers(file, sequence, name, since, output, paper)
    for folder in to or list(Folder):
        say(f"{folder.value}:")
        makers[folder]()
    say(f"Cut {name} is handed on in {output}.")


def _makers(file: File, sequence: Sequence, cut: str, since: str | None, output: Path, paper: Paper) -> dict[Folder, Callable[[], None]]:
    from previs.exchange.step_chart import Format, step_chart_bytes
    from previs.replacing import replacing

    def place(folder: Folder) -> Path:
        return output / folder.value.replace(" ", "_")

    def editorial() -> None:
        there = place(Folder.EDITORIAL)
        cutting.publish(file, there / f"{cut}.mp4", cut, leader=True, beep=True)
        cutting.edl(file, there / f"{cut}.edl", cut)
        exchanging.otio(file, there / f"{cut}.otio", cut)
        exchanging.captions(file, there / f"{cut}.vtt", cut, leader=True)
        exchanging.shots(file, there / f"{cut}_shots.xlsx", cut)
        with replacing(there / f"{cut}_pace.pdf") as temporary:
            temporary.write_bytes(step_chart_bytes(sequence, sequence.cut(cut), Format.PDF))
        if since is not None:
            versions.changes(file, since, cut, output=there / f"changes_{since}_{cut}.txt")

    def effects() -> None:
        handing.pulls(file, place(Folder.EFFECTS), cut, paper=paper)

    def sheet(folder: Folder, *departments: Department) -> Callable[[], None]:
        def write() -> None:
            for department in departments:
                calling.sheets(file, place(folder), cut, department, paper)

        return write

    def floor() -> None:
        sheet(Folder.FLOOR, Department.MATS, Department.LOAD)()
        calling.setups(file, cut, output=place(Folder.FLOOR) / f"{cut}_setups.pdf", paper=paper)

    def performers() -> None:
        if sequence.cast:
            practising.practice(file, place(Folder.PERFORMERS), cut, since=since, paper=paper)
        else:
            say("Nobody is cast yet, so nobody is told what to learn; say who plays whom with 'previs cast'.")

    return {
        Folder.EDITORIAL: editorial,
        Folder.EFFECTS: effects,
        Folder.RIGGING: sheet(Folder.RIGGING, Department.RIGGING),
        Folder.PROPS: sheet(Folder.PROPS, Department.PROPS, Department.WARDROBE),
        Folder.FLOOR: floor,
        Folder.PERFORMERS: performers,
    }
