"""What the Hand-off place writes: a department's folder, an edit list, a movie, a shot list, a chart, a change list; in the background."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path

from previs.cut.changes import change_rows, change_text, changes
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.exchange.edit_list_files import edit_list_files
from previs.exchange.lists import as_csv_text
from previs.exchange.shot_lists import shot_list_files
from previs.faults import UseFault
from previs.handoff.folder_names import Folder
from previs.handoff.folders import HandOff, prepared
from previs.handoff.pull_files import Wanted, coded_for_pulls, told
from previs.handoff.pull_folder import write_pulls
from previs.handoff.sheet_files import Paper
from previs.media.cut_movies import publish_cut
from previs.media.publish import Quality
from previs.progress import Report
from previs.replacing import named_with, write_whole


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: where it is, and what there is to say of it."""

    folder: Path
    sentences: tuple[str, ...]


class Handing:
    """Hands on the cuts of one open file; `written` is given what was written, when it was."""

    def __init__(self, file: OpenFile, written: Callable[[Written], None]) -> None:
        self._file, self._written = file, written

    def department(self, folder: Folder, cut: str, output: Path, since: str | None) -> None:
        """Write a department's folder."""
        if not self._prepare(partial(prepared, cut_name=cut, folder=folder), cut):
            return
        sequence = self._file.sequence
        before = None if since is None else sequence.cut(since)
        what = HandOff(sequence, self._file.path, sequence.cut(cut), output, date.today(), before)

        def write(report: Report) -> Written:
            # Only here: the review's templates would keep the window waiting when it opens.
            from previs.review.handing import hand_on

            said: list[str] = []
            hand_on(what, folder, report, said.append)
            return Written(what.place(folder), tuple(said))

        self._file.do(tr("Handing cut {cut} on to {folder}", cut=cut, folder=folder.value), write, self._told)

    def pulls(self, cut: str, output: Path, wanted: Wanted) -> None:
        """Pull what is wanted of a cut into a folder."""
        if not self._prepare(partial(coded_for_pulls, cut_name=cut, wanted=wanted), cut):
            return
        sequence, document = self._file.sequence, self._file.path

        def write(report: Report) -> Written:
            handed, papers = write_pulls(sequence, sequence.cut(cut), document, output, wanted, Paper.A4, date.today(), report)
            return Written(output, tuple(told(handed, cut, output, len(papers))))

        self._file.do(tr("Pulling from cut {cut}", cut=cut), write, self._told)

    def edit_list(self, cut: str, output: Path) -> None:
        """Write the edit list, or several of a very long cut."""
        sequence, document = self._file.sequence, self._file.path

        def write(_report: Report) -> Written:
            lists = edit_list_files(sequence, cut, document, output)
            return _files({place: one.text.encode("ascii") for place, one in lists.items()})

        self._file.do(tr("Writing the edit list of cut {cut}", cut=cut), write, self._told)

    def movie(self, cut: str, output: Path, quality: Quality, *, leader: bool, beep: bool) -> None:
        """Make the cut a movie."""
        sequence, document = self._file.sequence, self._file.path

        def write(report: Report) -> Written:
            made = publish_cut(sequence, sequence.cut(cut), document, output, quality=quality, report=report, leader=leader, beep=beep)
            length = sequence.timebase.duration(made.frames)
            return Written(output.parent, (tr("{file} is written: {length}, {quality}.", file=output, length=length, quality=quality),))

        self._file.do(tr("Publishing cut {cut}", cut=cut), write, self._told)

    def shot_list(self, cut: str, output: Path) -> None:
        """Write the shot list as a workbook, or as CSV with the treatments beside it."""
        sequence, document = self._file.sequence, self._file.path

        def write(_report: Report) -> Written:
            dated = datetime.fromtimestamp(document.stat().st_mtime, UTC)
            return _files(shot_list_files(sequence, cut, output, dated))

        self._file.do(tr("Writing the shot list of cut {cut}", cut=cut), write, self._told)

    def step_chart(self, cut: str, output: Path) -> None:
        """Draw the step chart for the wall."""
        sequence = self._file.sequence
        self._file.do(
            tr("Drawing the step chart of cut {cut}", cut=cut),
            lambda _: _files({output: _chart(sequence, sequence.cut(cut), output)}),
            self._told,
        )

    def change_list(self, before: Cut, after: Cut, output: Path) -> None:
        """Write what changed from one cut to another, as text to follow or as a table."""
        sequence = self._file.sequence

        def write(_report: Report) -> Written:
            found = changes(sequence, before, after)
            if output.suffix.lower() == ".csv":
                return _files({output: as_csv_text(change_rows(sequence, found)).encode()})
            if output.suffix.lower() != ".txt":
                named = named_with(output, ".txt")
                raise UseFault(f"A change list is a .txt or a .csv, and {output.name or output} is neither; name it {named}.")
            return _files({output: change_text(sequence, before, after, found).encode()})

        self._file.do(tr("Writing what changed since {cut}", cut=before.name), write, self._told)

    def _prepare(self, change: Callable[[Sequence], Sequence], cut: str) -> bool:
        """Give the shots codes where a department calls them by codes; True when it can be written for."""
        try:
            ready = change(self._file.sequence)
        except UseFault:
            # Told by the edit, which makes the same fault.
            ready = None
        if ready == self._file.sequence:
            return True
        made = self._file.edit(change, f"give the shots of {cut} their codes")
        if made:
            self._file.say(tr("The shots of cut {cut} have codes now.", cut=cut))
        return made

    def _told(self, written: Written) -> None:
        self._file.say(written.sentences[-1])
        self._written(written)


def _files(contents: dict[Path, bytes]) -> Written:
    places = [write_whole(place, content) for place, content in contents.items()]
    return Written(places[0].parent, tuple(tr("{file} is written.", file=place) for place in places))


def _chart(sequence: Sequence, cut: Cut, output: Path) -> bytes:
    # Only here: the library that draws it would keep the window waiting when it opens.
    from previs.exchange.step_chart import Format, step_chart_bytes

    try:
        kind = Format(output.suffix.lower().removeprefix("."))
    except ValueError:
        raise UseFault(
            f"A step chart is a .pdf, .svg or .png, and {output.name or output} is none; name it {named_with(output, '.pdf')}."
        ) from None
    return step_chart_bytes(sequence, cut, kind)
