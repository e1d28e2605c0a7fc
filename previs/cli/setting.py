"""Verbs that correct what is there: set, for the sequence's own settings, and tape, for one tape of it."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, File, edit, look
from previs.cli.showing import answer, say
from previs.document.model import Sequence
from previs.document.paths import cache_folder
from previs.exchange import written
from previs.faults import UseFault

_Length = "TIME"


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command("set", epilog="Example: previs set salt.previs --target 48s --retiming 10%")(set_)
    app.command(epilog="Example: previs tape salt.previs SSA01 --camera A --start 10:00:00:00")(tape)


def set_(
    file: File,
    target: Annotated[str | None, typer.Option(metavar=_Length, help=f"How long the sequence may last. {written.LENGTH}")] = None,
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="Its name, as it stands on the edit list.")] = None,
    start: Annotated[str | None, typer.Option(metavar="TC", help="Time code of the first frame; a semicolon means drop-frame.")] = None,
    retiming: Annotated[str | None, typer.Option(metavar="SHARE", help="How far a shot may be stretched or squeezed: 8%.")] = None,
    breath: Annotated[str | None, typer.Option(metavar="SHARE", help="How much of a breath must stay at least: 33%.")] = None,
    lead: Annotated[str | None, typer.Option(metavar=_Length, help="How long before a hit the cut comes: 4.")] = None,
    wanted_shot: Annotated[str | None, typer.Option(metavar=_Length, help="The length that shots are steered towards: 2s.")] = None,
    least_shot: Annotated[str | None, typer.Option(metavar=_Length, help="A shot shorter than this cannot be read: 8.")] = None,
    handles: Annotated[str | None, typer.Option(metavar=_Length, help="What effects want beyond the cut on each side: 8.")] = None,
    raster: Annotated[str | None, typer.Option(metavar="WxH", help="The picture that is published, in pixels: 1920x1080.")] = None,
    as_json: AsJson = False,
) -> None:
    """Change the target, the title, the limits of an assembly or the picture; 'previs info' shows what is set.

    Cuts that are there stay as they are, each with its own target; assemble again for a new one.
    """
    from previs.document.settings import set_to, settings_changed, settings_table
    from previs.exchange.settings_written import WrittenSettings, read_settings

    given = WrittenSettings(target, title, start, retiming, breath, lead, wanted_shot, least_shot, handles, raster)
    names = [name.replace("_", " ") for name, value in asdict(given).items() if value is not None]
    if not names:
        raise UseFault("Say what to set, such as --target 48s or --retiming 10%; 'previs info' shows what is set.")
    said: list[str] = []

    def change(sequence: Sequence) -> Sequence:
        after = set_to(sequence, read_settings(given, sequence.timebase))
        said.append(settings_changed(sequence, after))
        return after

    sequence = edit(file, change, what=f"set {', '.join(names)}").sequence
    if as_json:
        answer(settings_table(sequence))
    else:
        say(said[0])


def tape(
    file: File,
    reel: Annotated[str, typer.Argument(metavar="REEL", help="The tape's reel name, as 'previs list FILE tapes' shows it.")],
    camera: Annotated[str | None, typer.Option(help="Which camera recorded it; '' for none.")] = None,
    rename: Annotated[str, typer.Option(metavar="REEL", help="Another reel name; its takes and treatments go along.")] = "",
    start: Annotated[str, typer.Option(metavar="TC", help="Time code of the first picture; marks stay where they are on the tape.")] = "",
    remove: Annotated[bool, typer.Option("--remove", help="Take it out, when no take and no treatment needs it.")] = False,
    as_json: AsJson = False,
) -> None:
    """Correct a tape: its camera, reel name or time code; or take it out of the file. The movie file is left alone."""
    if remove and (camera is not None or rename or start):
        raise UseFault("--remove takes the tape out; give it alone.")
    if not remove and camera is None and not rename and not start:
        raise UseFault("Say what to correct: --camera, --rename, --start or --remove.")
    from previs.document import tape_edits
    from previs.exchange.lists import tape_row
    from previs.media.workcopy import forget_work_copies

    def change(sequence: Sequence) -> Sequence:
        if remove:
            return tape_edits.remove(sequence, reel)
        if camera is not None:
            sequence = tape_edits.set_camera(sequence, reel, camera)
        if start:
            sequence = tape_edits.set_start(sequence, reel, start)
        return tape_edits.rename(sequence, reel, rename) if rename else sequence

    before = look(file).sequence.tape(reel)
    opened = edit(file, change, what=f"{'remove' if remove else 'correct'} tape {reel}")
    if rename or start:
        # Reel name and time code stand in the work copy too.
        forget_work_copies(before.fingerprint, cache_folder(opened.path))
    if remove:
        answer({"removed": reel}) if as_json else say(f"Tape {reel} is out of the file; 'previs undo' brings it back.")
        return
    row = tape_row(opened.sequence.tape(rename.strip().upper() or reel))
    if as_json:
        answer(row)
    else:
        say(f"Tape {row['reel']}: camera {row['camera'] or 'not said'}, from {row['start']} (time code from {row['time code from']}).")
