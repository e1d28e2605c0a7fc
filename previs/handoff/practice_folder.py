"""Practice reels and move lists as files in a folder; what a performer practises is decided in `practice`."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path

from previs.cut.wording import counted
from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder
from previs.faults import UseFault
from previs.handoff.played import in_a_file_name, in_file_names
from previs.handoff.practice import CAUTION, SPEEDS, Lesson, learners, lessons, move_list, played
from previs.handoff.sheet_files import Paper, workbook_bytes
from previs.handoff.sheet_pages import pdf_bytes
from previs.handoff.stills import stills_of, taken
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.practice_movies import Called, ReelPart, write_reel
from previs.media.workcopy import WorkCopy, make_work_copies
from previs.progress import Report
from previs.replacing import write_whole

REFERENCE_ONLY = "Rehearsal reference only: learn with the fight coordinator, at the speed they set."


@dataclass(frozen=True, slots=True)
class PracticeWanted:
    """How practice is wanted: shares of performance speed in the order shown, mirrored or not, with reels or lists alone."""

    speeds: tuple[Fraction, ...] = SPEEDS
    mirrored: bool = False
    movies: bool = True
    paper: Paper = Paper.A4


def write_practice(
    sequence: Sequence,
    cut: Cut,
    document: Path,
    folder: Path,
    wanted: PracticeWanted,
    *,
    made: date,
    report: Report,
    tell: Callable[[str], None],
    before: Cut | None = None,
    performers: Iterable[str] | None = None,
) -> None:
    """Write a move list and a practice reel for each of these performers, or for all who have something to learn.

    What is new since the cut `before` is told on the lists. Raises `UseFault` when nobody has anything to learn, or a tape is
    away; a stop leaves the files finished before.
    """
    if folder.exists() and not folder.is_dir():
        raise UseFault(f"{folder} is a file; name a folder for the reels.")
    names = tuple(performers) if performers is not None else tuple(learners(sequence, cut))
    if not names:
        raise UseFault(f"Nobody has anything to learn in cut {cut.name}; say who plays whom with 'previs cast'.")
    for name, in_files in in_file_names(names).items():
        stem = f"{in_a_file_name(cut.name)}_{in_files}"
        found = lessons(sequence, cut, name)
        _write_list(sequence, cut, document, folder / stem, name, wanted.paper, made, report, tell, before)
        moves = {move for lesson in found for move in lesson.moves}
        told = f"{name}: {counted(len(moves), 'move')} to learn in {counted(len(found), 'phrase')}"
        if wanted.movies:
            frames = _write_reel(sequence, cut, document, folder / f"{stem}_practice.mp4", name, found, wanted, report)
            told += f", a reel of {sequence.timebase.duration(frames)}"
        tell(f"{told}; in {folder}.")
    tell(REFERENCE_ONLY)


def _write_list(
    sequence: Sequence,
    cut: Cut,
    document: Path,
    stem: Path,
    name: str,
    paper: Paper,
    made: date,
    report: Report,
    tell: Callable[[str], None],
    before: Cut | None,
) -> None:
    sheet = move_list(sequence, cut, name, made, before)
    stills, remarks = taken(sequence, stills_of(sheet), document, cache_folder(document), report)
    write_whole(stem.with_name(f"{stem.name}_moves.pdf"), pdf_bytes(sheet, paper, stills))
    write_whole(stem.with_name(f"{stem.name}_moves.xlsx"), workbook_bytes(sheet))
    for remark in remarks:
        tell(remark)


def _write_reel(
    sequence: Sequence, cut: Cut, document: Path, output: Path, name: str, found: tuple[Lesson, ...], wanted: PracticeWanted, report: Report
) -> int:
    """The reel's length in frames."""
    reels = list(dict.fromkeys(lesson.take.reel for lesson in found))
    tapes = tapes_to_copy(sequence, [sequence.tape(reel) for reel in reels], document)
    made = make_work_copies(tapes, sequence.timebase, raster_of(sequence), cache_folder(document), report)
    copies = dict(zip(reels, made, strict=True))
    parts = [_part(sequence, cut, name, lesson, share, copies) for lesson in found for share in wanted.speeds]
    return write_reel(parts, sequence.timebase, raster_of(sequence), output, report, mirrored=wanted.mirrored, foot=CAUTION[0])


def _part(sequence: Sequence, cut: Cut, name: str, lesson: Lesson, share: Fraction, copies: dict[str, WorkCopy]) -> ReelPart:
    one = played(sequence, lesson, share)
    return ReelPart(
        (f"Phrase {lesson.phrase} as {lesson.role}, {float(share):.0%} speed", name, f"take {lesson.take.name}, cut {cut.name}"),
        copies[lesson.take.reel],
        one.first_frame,
        one.speed,
        one.frames,
        tuple(
            Called(frame, count.words + (" (you)" if count.learns else ""), count.attacks)
            for frame, count in zip(one.landings, lesson.counts, strict=True)
        ),
    )
