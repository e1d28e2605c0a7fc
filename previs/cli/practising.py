"""The verb that makes practice reels and move lists for performers; what they practise is found in `handoff/practice`."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from previs.cli.calling import PaperSize
from previs.cli.sessions import CutName, File, look
from previs.cli.showing import reporting, say
from previs.cut.wording import counted
from previs.document.paths import cache_folder
from previs.document.store import Opened
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper

if TYPE_CHECKING:
    from previs.document.model import Cut
    from previs.progress import Report


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
    from previs.handoff.practice import learners

    if output.exists() and not output.is_dir():
        raise UseFault(f"{output} is a file; name a folder for the reels.")
    shares = _shares(speeds)
    opened = look(file)
    sequence = opened.sequence
    chosen, before = sequence.cut(cut), sequence.cut(since) if since else None
    known = list(learners(sequence, chosen))
    wanted = [performer] if performer else known
    if not wanted:
        raise UseFault(f"Nobody has anything to learn in cut {chosen.name}; say who plays whom with 'previs cast'.")
    with reporting("Making practice reels") as report:
        for name in wanted:
            _one(opened, chosen, before, name, shares, output, report, mirror=mirror, movies=movies, paper=paper)
    say("Rehearsal reference only: learn with the fight coordinator, at the speed they set.")


def _shares(text: str) -> tuple[Fraction, ...]:
    try:
        shares = tuple(Fraction(part.strip()) for part in text.split(","))
    except (ValueError, ZeroDivisionError):
        raise UseFault(f"'{text}' are no speeds; give shares of performance speed such as 1/2,3/4,1.") from None
    if not shares or not all(Fraction(1, 10) <= share <= 1 for share in shares):
        raise UseFault(f"'{text}' are no speeds to practise at; give shares from 1/10 to 1.")
    return shares


def _one(
    opened: Opened,
    cut: Cut,
    before: Cut | None,
    name: str,
    shares: tuple[Fraction, ...],
    output: Path,
    report: Report,
    *,
    mirror: bool,
    movies: bool,
    paper: Paper,
) -> None:
    from previs.handoff.played import in_a_file_name
    from previs.handoff.practice import CAUTION, lessons, move_list, played
    from previs.handoff.sheet_files import workbook_bytes
    from previs.handoff.sheet_pages import pdf_bytes
    from previs.handoff.stills import stills_of, taken
    from previs.media.from_cut import raster_of, tapes_to_copy
    from previs.media.practice_movies import Called, ReelPart, write_reel
    from previs.media.workcopy import make_work_copies
    from previs.replacing import replacing

    sequence, cache = opened.sequence, cache_folder(opened.path)
    found = lessons(sequence, cut, name)
    sheet = move_list(sequence, cut, name, date.today(), before)
    stills, remarks = taken(sequence, stills_of(sheet), opened.path, cache, report)
    stem = f"{in_a_file_name(cut.name)}_{in_a_file_name(name)}"
    for ending, content in (("moves.pdf", pdf_bytes(sheet, paper, stills)), ("moves.xlsx", workbook_bytes(sheet))):
        with replacing(output / f"{stem}_{ending}") as temporary:
            temporary.write_bytes(content)
    for remark in remarks:
        say(remark)
    moves = {move for lesson in found for move in lesson.moves}
    told = f"{name}: {counted(len(moves), 'move')} to learn in {counted(len(found), 'phrase')}"
    if movies:
        reels = list(dict.fromkeys(lesson.take.reel for lesson in found))
        tapes = tapes_to_copy(sequence, [sequence.tape(reel) for reel in reels], opened.path)
        copies = dict(zip(reels, make_work_copies(tapes, sequence.timebase, raster_of(sequence), cache, report), strict=True))
        parts = []
        for lesson in found:
            for share in shares:
                one = played(sequence, lesson, share)
                calls = zip(one.landings, lesson.counts, strict=True)
                parts.append(
                    ReelPart(
                        (
                            f"Phrase {lesson.phrase} as {lesson.role}, {float(share):.0%} speed",
                            name,
                            f"take {lesson.take.name}, cut {cut.name}",
                        ),
                        copies[lesson.take.reel],
                        one.first_frame,
                        one.speed,
                        one.frames,
                        tuple(Called(frame, count.words + (" (you)" if count.learns else ""), count.attacks) for frame, count in calls),
                    )
                )
        frames = write_reel(
            parts, sequence.timebase, raster_of(sequence), output / f"{stem}_practice.mp4", report, mirrored=mirror, foot=CAUTION[0]
        )
        told += f", a reel of {sequence.timebase.duration(frames)}"
    say(f"{told}; in {output}.")
