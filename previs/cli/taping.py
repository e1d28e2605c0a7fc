"""Verbs around tapes: a new sequence, ingest, relink, info."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, File, held, look, save_recorded
from previs.cli.showing import answer, reporting, say, show
from previs.document.paths import cache_folder, find_moved, locate, relinked, stands
from previs.document.store import create, open_document
from previs.exchange.beginning import begun_told, sequence_begun
from previs.exchange.written import LENGTH
from previs.faults import UseFault


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs new salt.previs --rate 24 --start 01:00:00:00 --target 00:00:48:00 --title 'The Salt Stair'")(new)
    app.command(epilog="Example: previs ingest salt.previs tapes/SSA01.mp4 tapes/SSA02.mp4 --camera A")(ingest)
    app.command(epilog="Example: previs relink salt.previs /media/backup/tapes")(relink)
    app.command(epilog="Example: previs info salt.previs")(info)


def new(
    file: File,
    title: Annotated[str, typer.Option(help="The sequence's name, as it stands on the edit list.")] = "",
    rate: Annotated[str, typer.Option(help="Frames a second: 23.976, 24, 25, 29.97, 30, 47.952, 48, 50, 59.94 or 60.")] = "24",
    start: Annotated[str, typer.Option(help="Time code of the first frame; a semicolon means drop-frame.")] = "01:00:00:00",
    target: Annotated[str, typer.Option(help=f"How long the sequence may last. {LENGTH}")] = "00:01:00:00",
) -> None:
    """Begin a sequence: its rate, start time code and target length."""
    sequence = sequence_begun(file, title, rate, start, target)
    made = create(file, sequence)
    say(begun_told(file, sequence))
    if made.doubt:
        say(made.doubt)


def ingest(
    file: File,
    tapes: Annotated[list[Path], typer.Argument(metavar="TAPE...", help="Movie files.", show_default=False)],
    camera: Annotated[str, typer.Option(help="Which camera recorded them: A, B, phone ...")] = "",
    reel: Annotated[str, typer.Option(help="Reel name, 8 characters or fewer; from the file name when not given.")] = "",
    start_tc: Annotated[str, typer.Option("--start-tc", metavar="TC", help="Time code of the first picture.")] = "",
    work_copies: Annotated[bool, typer.Option(help="Make the small fast copies that scrubbing and drafts use.")] = True,
    as_json: AsJson = False,
) -> None:
    """Take tapes in: probe them, index every frame, name their reels and make work copies."""
    if len(tapes) > 1 and (reel or start_tc):
        raise UseFault("--reel and --start-tc are for one tape; take several tapes in one by one to give them.")
    from previs.media.from_cut import raster_of, tapes_to_copy
    from previs.media.ingest import left_uncopied, take_in, tape_told, with_tapes
    from previs.media.workcopy import make_work_copies

    with held(file), reporting("Looking at the tapes") as report:
        opened = open_document(file)
        sequence, cache = opened.sequence, cache_folder(opened.path)
        taken = take_in(tapes, sequence, opened.path, report, camera=camera, reel=reel, start_label=start_tc)
        if taken.refused and not work_copies:
            raise taken.refused[0]
        again = left_uncopied(taken, sequence, cache)
        added = taken.tapes
        sequence = with_tapes(sequence, added)
        # Saved before the copies are begun, so that stopping them loses nothing: they are made when next needed.
        save_recorded(opened, sequence, f"ingest {', '.join(tape.reel for tape in added)}")
        if work_copies:
            make_work_copies(tapes_to_copy(sequence, (*added, *again), opened.path), sequence.timebase, raster_of(sequence), cache, report)
    if as_json:
        from previs.exchange.lists import tape_row

        answer([tape_row(tape) for tape in added])
    else:
        for tape in added:
            say(tape_told(tape))
        for tape in again:
            say(f"{tape.reel} was in the file already, without its work copy, which is made now.")


def relink(
    file: File,
    places: Annotated[list[Path], typer.Argument(metavar="FOLDER...", help="Where to look, folders inside them too.", show_default=False)],
    as_json: AsJson = False,
) -> None:
    """Find moved tapes again, by what is in them and never by name alone."""
    from previs.media.fingerprint import fingerprint

    for folder in places:
        if not folder.is_dir():
            raise UseFault(f"{folder} is not a folder; name a folder to look in.")
    with held(file), reporting("Looking for tapes") as report:
        opened = open_document(file)
        search = find_moved(opened.sequence, opened.path, places, fingerprint, report)
        save_recorded(opened, relinked(opened.sequence, search.found, opened.path), "relink tapes")
    if as_json:
        answer({"found": {reel: str(path) for reel, path in search.found.items()}, "missing": list(search.missing)})
    for remark in search.remarks:
        say(remark)
    if search.missing:
        raise UseFault(f"Not found: {', '.join(search.missing)}; look in other folders, or bring the tapes back.")


def info(file: File, as_json: AsJson = False) -> None:
    """Say what is in the file: the sequence, its tapes, marks, cuts and settings, and how long against the target."""
    from previs.document.settings import settings_table
    from previs.exchange.lists import summary

    opened = look(file)
    facts = summary(opened.sequence)
    facts["tapes missing"] = sum(not stands(locate(opened.path, tape)) for tape in opened.sequence.tapes)
    settings = settings_table(opened.sequence)
    if as_json:
        answer({**facts, "settings": settings})
        return
    # What there is not yet is left out, and what stands among the facts is not said again.
    shown = {name: value for name, value in facts.items() if value not in (None, "")}
    shown |= {name: value for name, value in settings.items() if name not in ("title", "start", "target", "counted")}
    width = max(len(name) for name in shown)
    for name, value in shown.items():
        show(f"{name.ljust(width)}  {value}")
