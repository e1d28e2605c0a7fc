"""The Hand-off place: the lists of the cut, what changed since another, and a button for each department and each paper."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt, QUrl
from PyQt6.QtGui import QDesktopServices
from PyQt6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from previs.desk.asking import went_through
from previs.desk.handoff.changed import Changed
from previs.desk.handoff.column import HandingColumn, Ways
from previs.desk.handoff.folder import FolderDialog
from previs.desk.handoff.handing import Handing, Written
from previs.desk.handoff.lists import CutLists
from previs.desk.handoff.movie import MovieDialog
from previs.desk.handoff.pulls import PullsDialog
from previs.desk.handoff.rows import Wanted
from previs.desk.handoff.words import care_page, care_told, department_titles
from previs.desk.lists import Page
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.place import Place
from previs.desk.plain import PlainLabel, tip
from previs.desk.player.stills import Stills
from previs.desk.words import tr
from previs.document.model import Cut
from previs.exchange.lists import against_target, counted_shots
from previs.faults import Fault
from previs.handoff.care import care_needed
from previs.handoff.folder_names import Folder, place_of
from previs.handoff.played import in_a_file_name
from previs.handoff.pull_standing import Standing, standing
from previs.progress import Report


class HandoffPlace(Place):
    """Where a cut leaves for the departments."""

    ident = "handoff"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self.stills = Stills(file)
        self.lists, self.changed = CutLists(file, self.stills), Changed(file)
        self.handing = Handing(file, self._show_written)
        self.cuts, self.about = QComboBox(), PlainLabel()
        self._written: Written | None = None
        departments: Ways = [(title, partial(self.hand_on, folder)) for folder, title in department_titles().items()]
        departments.append((tr("All of these"), self.hand_on_to_all))
        papers: Ways = [
            (tr("Edit list ..."), self.write_edit_list),
            (tr("Movie ..."), self.publish),
            (tr("Shot list ..."), self.write_shot_list),
            (tr("Step chart ..."), self.write_step_chart),
            (tr("Pulls ..."), self.pull),
        ]
        self.column = HandingColumn(departments, papers, self.changed)
        self._lay_out()
        self._make_actions()
        self.cuts.activated.connect(lambda _: file.choose_cut(self.cuts.currentText()))
        self.changed.export_wanted.connect(self.write_changes)
        self.column.open_folder.clicked.connect(lambda: self.show_folder())
        self.column.choose.clicked.connect(lambda: self.choose_output())
        self.column.read.clicked.connect(lambda: self.read_cautions())
        file.changed.connect(self._show)
        file.cut_chosen.connect(self._show)
        self._show_output()
        self._show()

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Hand-off")

    def go(self, spot: Spot) -> None:
        """Choose a shot in the list."""
        for number, row in enumerate(self.lists.shots.rows):
            if row.shot == spot.shot:
                self.lists.shot_table.selectRow(number)

    def came(self) -> None:
        """The shot list has the keys, and the pulls are looked at, which may have changed on the disk."""
        self.lists.shot_table.setFocus()
        self._look_at_pulls()

    def left(self) -> None:
        """Remember how wide the lists are."""
        self.memory.keep("handoff.column", self._split.saveState())

    def close_down(self) -> None:
        """End the stills' thread."""
        self.stills.close_down()

    @property
    def output(self) -> Path | None:
        """The folder of all departments' folders, None before one was chosen."""
        kept = self.memory.text(f"handoff {self.file.path}")
        return Path(kept) if kept else None

    def hand_on(self, folder: Folder) -> None:
        """Write a department's folder; where to is asked once."""
        if (cut := self._cut()) is None or (output := self.output or self.choose_output()) is None:
            return
        before = self.changed.before
        self.handing.department(folder, cut.name, output, before.name if before else None)

    def choose_output(self) -> Path | None:
        """Ask for the folder of all folders, and remember it."""
        chosen = self.ask_folder(self.output or self.file.path.parent)
        if chosen is None:
            return None
        self.memory.keep(f"handoff {self.file.path}", str(chosen))
        self._show_output()
        self._look_at_pulls()
        return chosen

    def hand_on_to_all(self) -> None:
        """Write every folder, one after the other."""
        for folder in Folder:
            if self._cut() is None or (self.output or self.choose_output()) is None:
                return
            self.hand_on(folder)

    def pull(self) -> None:
        """Ask which pulls are wanted, and make them."""
        if (cut := self._cut()) is None:
            return
        listed = [row.shot for row in self.lists.shots.rows]
        row = self.lists.shot_table.currentIndex().row()
        chosen = listed[row] if 0 <= row < len(listed) else None
        narrowed = self.lists.wanted != Wanted()
        dialog = PullsDialog(self.file.sequence, cut, self._pulls_folder(), listed, chosen, self, narrowed=narrowed)
        if self.answered(dialog):
            self.handing.pulls(cut.name, dialog.place.path, dialog.wanted)

    def write_edit_list(self) -> None:
        """Ask for a name and write the edit list."""
        if (cut := self._cut()) and (output := self.ask_name(tr("Edit list"), self._named(cut, ".edl"), tr("Edit lists (*.edl)"))):
            self.handing.edit_list(cut.name, output)

    def write_shot_list(self) -> None:
        """Ask for a name and write the shot list."""
        kinds = tr("Workbooks (*.xlsx);;Tables (*.csv)")
        if (cut := self._cut()) and (output := self.ask_name(tr("Shot list"), self._named(cut, "_shots.xlsx"), kinds)):
            self.handing.shot_list(cut.name, output)

    def write_step_chart(self) -> None:
        """Ask for a name and draw the step chart."""
        kinds = tr("Charts (*.pdf *.svg *.png)")
        if (cut := self._cut()) and (output := self.ask_name(tr("Step chart"), self._named(cut, "_pace.pdf"), kinds)):
            self.handing.step_chart(cut.name, output)

    def write_changes(self) -> None:
        """Ask for a name and write what changed."""
        cut, before = self._cut(), self.changed.before
        if cut is None:
            return
        if before is None:
            self.file.say(tr("There is no other cut to compare with; copy or assemble one first."), Tone.FAULT)
            return
        named = self._named(cut, f"_changes_since_{in_a_file_name(before.name)}.txt")
        if output := self.ask_name(tr("What changed"), named, tr("Text (*.txt);;Tables (*.csv)")):
            self.handing.change_list(before, cut, output)

    def publish(self) -> None:
        """Ask how, and make the cut a movie."""
        if cut := self._cut():
            dialog = MovieDialog(cut.name, self._named(cut, ".mp4"), self)
            if self.answered(dialog):
                leader, beep = dialog.leader.isChecked(), dialog.beep.isChecked()
                self.handing.movie(cut.name, dialog.place.path, dialog.quality, leader=leader, beep=beep)

    def read_cautions(self) -> None:
        """All cautions that stand on the sheets."""
        if cut := self._cut():
            self.answered(Page(tr("Care"), care_page(care_needed(self.file.sequence, cut)), self))

    def show_folder(self) -> None:
        """Open the folder of what was written last, in the system's own window."""
        if self._written:
            self.open_url(QUrl.fromLocalFile(str(self._written.folder)))

    def answered(self, dialog: QDialog) -> bool:
        """Show a dialog; True when the person went through with it."""
        return went_through(dialog)

    def ask_name(self, title: str, given: Path, kinds: str) -> Path | None:
        """The person's choice of a file to write."""
        chosen, _ = QFileDialog.getSaveFileName(self, title, str(given), kinds)
        # Systems' dialogs may leave the ending to the program.
        return None if not chosen else Path(chosen) if Path(chosen).suffix else Path(chosen + given.suffix)

    def ask_folder(self, given: Path) -> Path | None:
        """The person's choice of a folder to hand on in."""
        dialog = FolderDialog(given, self)
        return dialog.place.path if self.answered(dialog) else None

    def open_url(self, url: QUrl) -> None:
        """Let the system open something."""
        QDesktopServices.openUrl(url)

    def _cut(self) -> Cut | None:
        if self.file.cut is None:
            self.file.say(tr("There is no cut yet to hand on; assemble one in the Cut place."), Tone.FAULT)
        return self.file.cut

    def _pulls_folder(self) -> Path:
        folder = self.output or self.file.path.parent
        return place_of(Folder.EFFECTS, folder)

    def _look_at_pulls(self) -> None:
        """Find out, in the background, how the pulls that were made stand to the cut."""
        sequence, cut, folder = self.file.sequence, self.file.cut, self._pulls_folder()
        if cut is None or not self.isVisible():
            return

        def look(_report: Report) -> Standing | None:
            try:
                return standing(sequence, cut, folder)
            except Fault:
                return None  # told when something is to be pulled there

        def show(found: Standing | None) -> None:
            if sequence is self.file.sequence and cut is self.file.cut:
                self.lists.show_standing(found)

        self.file.look(tr("Looking at the pulls of cut {cut}", cut=cut.name), look, show)

    def _named(self, cut: Cut, ending: str) -> Path:
        folder = self.output or self.file.path.parent
        return folder / f"{self.file.path.stem}_{in_a_file_name(cut.name)}{ending}"

    def _show(self, *_: object) -> None:
        sequence, cut = self.file.sequence, self.file.cut
        names = [one.name for one in sequence.cuts]
        if names != [self.cuts.itemText(number) for number in range(self.cuts.count())]:
            self.cuts.clear()
            self.cuts.addItems(names)
        self.cuts.setCurrentText(cut.name if cut else "")
        self.cuts.setEnabled(bool(names))
        for widget in self.column.needs_cut:
            widget.setEnabled(cut is not None)
        self.lists.show_standing(None)
        self.changed.show_cuts()
        self._look_at_pulls()
        if cut is None:
            self.about.setText(tr("There is no cut yet. Assemble one, then hand it on from here."))
            self.column.care.setText("")
            return
        length, against = sequence.timebase.duration(cut.frames), against_target(sequence, cut)
        self.about.setText(tr("{shots}, {length}, {against}", shots=counted_shots(cut), length=length, against=against))
        self.column.care.setText(care_told(care_needed(sequence, cut)))

    def _show_output(self) -> None:
        output = self.output
        self.column.folder.setText(str(output) if output else tr("not chosen yet"))
        self.column.folder.setToolTip(tip(str(output or "")))

    def _show_written(self, written: Written) -> None:
        self._written = written
        self.column.show_written(written.sentences)
        self._look_at_pulls()

    def _make_actions(self) -> None:
        for number, (folder, title) in enumerate(department_titles().items(), start=1):
            self.act(tr("Hand on to {department}", department=title), f"Alt+{number}", partial(self.hand_on, folder))
        self.act(tr("Hand on to all of them"), "Alt+0", self.hand_on_to_all)
        self.act(tr("Pulls ..."), "Ctrl+U", self.pull)
        self.act(tr("Edit list ..."), "Ctrl+E", self.write_edit_list)
        self.act(tr("Publish the movie ..."), "Ctrl+P", self.publish)
        self.act(tr("Shot list ..."), "Ctrl+S", self.write_shot_list)
        self.act(tr("Step chart ..."), "Ctrl+G", self.write_step_chart)
        self.act(tr("Write what changed ..."), "Ctrl+D", self.write_changes)
        self.act(tr("Filter the lists by a text"), "Ctrl+F", self.lists.search.setFocus)
        self.act(tr("Show every shot again"), "Ctrl+R", self.lists.show_all)
        self.act(tr("Read all cautions"), "Ctrl+I", self.read_cautions)
        self.act(tr("Open the folder of what was written last"), "Ctrl+Shift+O", self.show_folder)
        self.others.append((tr("Enter, double click"), tr("goes to the shot in the cut")))

    def _lay_out(self) -> None:
        self.cuts.setAccessibleName(tr("The cut that is handed on"))
        self.cuts.setMinimumContentsLength(6)
        head = QHBoxLayout()
        head.addWidget(self.cuts)
        head.addWidget(self.about, 1)
        left = QWidget()
        lines = QVBoxLayout(left)
        lines.setContentsMargins(0, 0, 6, 0)
        lines.addLayout(head)
        lines.addWidget(self.lists, 1)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.addWidget(left)
        self._split.addWidget(self.column)
        self._split.setStretchFactor(0, 1)
        self._split.setChildrenCollapsible(False)
        self._split.setSizes([835, 305])
        self._split.restoreState(self.memory.state("handoff.column"))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(10, 4, 10, 4)
        whole.addWidget(self._split)
