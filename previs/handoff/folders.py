"""A cut handed on to every department, a folder each; each paper is made by its own part of this room."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from previs.cut.changes import change_text, changes
from previs.document.model import Cut, Sequence
from previs.exchange.captions import write_captions
from previs.exchange.edit_list_files import edit_list_files
from previs.exchange.otio import write_timeline
from previs.exchange.reels import tapes_seen_from
from previs.exchange.shot_lists import shot_list_files
from previs.faults import UseFault
from previs.handoff.call_sheets import Department
from previs.handoff.cautions import DEFER
from previs.handoff.folder_names import Folder, place_of
from previs.handoff.played import in_a_file_name
from previs.handoff.practice_folder import PracticeWanted, write_practice
from previs.handoff.pull_files import Wanted, coded_for_pulls, told
from previs.handoff.pull_folder import write_pulls
from previs.handoff.sheet_files import Paper
from previs.handoff.sheet_folder import Tell, write_set_ups, write_sheets
from previs.media.cards import LEADER_SECONDS
from previs.media.cut_movies import publish_cut
from previs.progress import Report
from previs.replacing import write_whole


@dataclass(frozen=True, slots=True)
class HandOff:
    """What is handed on: a cut of a sequence, whose file is `document`, and where to; what changed since the cut `since`.

    `made` is the day that stands on the papers.
    """

    sequence: Sequence
    document: Path
    cut: Cut
    output: Path
    made: date
    since: Cut | None = None
    paper: Paper = Paper.A4

    def place(self, folder: Folder) -> Path:
        """Where a department's folder is."""
        return place_of(folder, self.output)


def prepared(sequence: Sequence, cut_name: str, folder: Folder) -> Sequence:
    """The sequence as this folder needs it, to be saved before: visual effects calls every shot of the cut by its code.

    Raises `UseFault` when there is nothing to pull for them.
    """
    if folder is not Folder.EFFECTS:
        return sequence
    return coded_for_pulls(sequence, cut_name, Wanted())


def hand_on(what: HandOff, folder: Folder, report: Report, tell: Tell) -> None:
    """Write one department's folder from a sequence that is `prepared` for it; a stop leaves the files finished before, whole.

    The director's is made by `review.handing.hand_on`, which is this for every other. Raises `UseFault` where there is nothing to
    hand on or a tape is away, `Fault` where the folder cannot be written.
    """
    refuse_a_file(what.output)
    _MAKERS[folder](what, what.place(folder), report, tell)


def refuse_a_file(folder: Path) -> None:
    """Raise `UseFault` where the folder to hand on in, or the nearest above it that is there, is a file."""
    # The system's question, which answers also for a path that is too long or may not be looked at.
    there = next((place for place in (folder, *folder.parents) if os.path.lexists(place)), None)
    if there is not None and not there.is_dir():
        raise UseFault(f"{there} is a file; name a folder for the hand-off.")


def _editorial(what: HandOff, there: Path, report: Report, tell: Tell) -> None:
    sequence, cut = what.sequence, what.cut
    # With the sequence's name, since they leave the folder for a bin in which there are other sequences.
    named = f"{what.document.stem}_{in_a_file_name(cut.name)}"
    movie, timeline = there / f"{named}.mp4", there / f"{named}.otio"
    publish_cut(sequence, cut, what.document, movie, quality="final", report=report, leader=True, beep=True)
    tell(f"{movie} is written.")
    leader_frames = LEADER_SECONDS * sequence.timebase.rate.nominal
    edit_lists = edit_list_files(sequence, cut.name, what.document, there / f"{named}.edl")
    files = {place: one.text.encode("ascii") for place, one in edit_lists.items()}
    files[timeline] = write_timeline(tapes_seen_from(sequence, what.document, timeline), cut).encode()
    files[there / f"{named}.vtt"] = write_captions(sequence, cut, leader_frames).encode()
    # Dated as the sequence file is, so that the same file gives the same bytes.
    dated = datetime.fromtimestamp(what.document.stat().st_mtime, UTC)
    files |= shot_list_files(sequence, cut.name, there / f"{named}_shots.xlsx", dated)
    # Only here: the library that draws it takes long to come.
    from previs.exchange.step_chart import Format, step_chart_bytes

    files[there / f"{named}_pace.pdf"] = step_chart_bytes(sequence, cut, Format.PDF)
    if what.since is not None:
        text = change_text(sequence, what.since, cut, changes(sequence, what.since, cut))
        files[there / f"{named}_changes_since_{in_a_file_name(what.since.name)}.txt"] = text.encode()
    for place, content in files.items():
        tell(f"{write_whole(place, content)} is written.")


def _effects(what: HandOff, there: Path, report: Report, tell: Tell) -> None:
    handed, papers = write_pulls(what.sequence, what.cut, what.document, there, Wanted(), what.paper, what.made, report)
    for sentence in told(handed, what.cut.name, there, len(papers)):
        tell(sentence)


def _sheets(*departments: Department) -> Callable[[HandOff, Path, Report, Tell], None]:
    def write(what: HandOff, there: Path, _report: Report, tell: Tell) -> None:
        write_sheets(what.sequence, what.cut, departments, there, what.paper, what.made, tell)
        tell(f"{DEFER} The sheets of cut {what.cut.name} are in {there}.")

    return write


def _floor(what: HandOff, there: Path, report: Report, tell: Tell) -> None:
    _sheets(Department.MATS, Department.LOAD)(what, there, report, tell)
    output = there / f"{in_a_file_name(what.cut.name)}_setups.pdf"
    write_set_ups(what.sequence, what.cut, what.document, output, what.paper, what.made, report, tell)


def _performers(what: HandOff, there: Path, report: Report, tell: Tell) -> None:
    if not what.sequence.cast:
        tell("Nobody is cast yet, so nobody is told what to learn; say who plays whom in the cast.")
        return
    wanted = PracticeWanted(paper=what.paper)
    write_practice(what.sequence, what.cut, what.document, there, wanted, made=what.made, report=report, tell=tell, before=what.since)


_MAKERS: dict[Folder, Callable[[HandOff, Path, Report, Tell], None]] = {
    Folder.EDITORIAL: _editorial,
    Folder.EFFECTS: _effects,
    Folder.RIGGING: _sheets(Department.RIGGING),
    Folder.PROPS: _sheets(Department.PROPS, Department.WARDROBE),
    Folder.FLOOR: _floor,
    Folder.PERFORMERS: _performers,
}
