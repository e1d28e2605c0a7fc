"""The Cut place: a picture, the step chart as the working surface, and beside it the shot, its stand-ins and the checks."""

from __future__ import annotations

from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QInputDialog,
    QLabel,
    QLineEdit,
    QMenu,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from previs.cut.stand_ins import StandIn
from previs.cut.versions import copy_cut, delete_cut, rename_cut
from previs.desk.chart.view import StepChart
from previs.desk.cut.about_shot import about_shot, reasons_of
from previs.desk.cut.assembling import AssembleDialog, assemble_in_background
from previs.desk.cut.checks import Checks
from previs.desk.cut.instead import Instead
from previs.desk.cut.shot_edits import Chosen, ShotEdits, fill
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.player.stills import Stills
from previs.desk.player.strips import CutStrip, TapeStrip
from previs.desk.player.view import Player
from previs.desk.words import tr
from previs.document.model import Footage, Sequence
from previs.exchange.lists import against_target
from previs.fight.findings import Finding


class CutPlace(Place):
    """Where a cut is made to last what it may last."""

    ident = "cut"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self.player, self.chart, self.stills = Player(file), StepChart(file), Stills(file)
        self.instead, self.checks = Instead(file, self.stills), Checks(file)
        self._edits = ShotEdits(file, self, self._chosen)
        self._cuts, self._against = QComboBox(), QLabel()
        self._about, self._reasons = QGridLayout(), QLabel()
        self._onion = False
        self._lay_out()
        self._make_actions()
        self.chart.frame_wanted.connect(self.player.seek)
        self.chart.shot_chosen.connect(self._shot_chosen)
        self.chart.previewed.connect(self._previewed)
        self.player.moved.connect(self._moved)
        self.checks.found.connect(self._mark_checks)
        self.checks.chosen.connect(self._go_to_finding)
        self.instead.replaced.connect(self._replace)
        self._cuts.activated.connect(lambda _: file.choose_cut(self._cuts.currentText()))
        file.changed.connect(self._show_cut)
        file.cut_chosen.connect(self._show_cut)
        self._show_cut()

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Cut")

    def go(self, spot: Spot) -> None:
        """Show a shot or a frame of the cut."""
        if spot.shot:
            self.chart.choose(spot.shot)
        if spot.frame is not None:
            self.player.seek(spot.frame)

    def came(self) -> None:
        """The chart has the keys."""
        self.chart.setFocus()

    def left(self) -> None:
        """Nothing plays on elsewhere."""
        self.player.pause()
        self.memory.keep("cut.column", self._split.saveState())
        self.memory.keep("cut.picture", self._stack.saveState())

    def close_down(self) -> None:
        """End the threads."""
        self.player.close_down()
        self.stills.close_down()

    def assemble(self) -> None:
        """Ask for a target and assemble."""
        dialog = AssembleDialog(self.file, self)
        if dialog.exec():
            assemble_in_background(self.file, dialog.name.text().strip(), dialog.target_frames, dialog.keep.isChecked())

    def copy(self) -> None:
        """Another version to change, this one kept."""
        if (cut := self.file.cut) and (name := self._ask_name(tr("Copy cut {cut}", cut=cut.name))):
            self.file.edit(lambda one: copy_cut(one, cut.name, name), f"copy cut {cut.name} to {name}")

    def rename(self) -> None:
        """Another name."""
        if (cut := self.file.cut) and (name := self._ask_name(tr("Another name for cut {cut}", cut=cut.name))):
            self.file.edit(lambda one: rename_cut(one, cut.name, name), f"name cut {cut.name} {name}")
            self.file.choose_cut(name)

    def delete(self) -> None:
        """Away with it; undo brings it back."""
        if cut := self.file.cut:
            self.file.edit(lambda one: delete_cut(one, cut.name), f"delete cut {cut.name}")
            self.file.say(tr("Cut {cut} is deleted; undo brings it back.", cut=cut.name))

    def _ask_name(self, title: str) -> str:
        name, answered = QInputDialog.getText(self, title, tr("Its name:"), QLineEdit.EchoMode.Normal, "")
        return name.strip() if answered else ""

    def _chosen(self) -> Chosen | None:
        cut = self.file.cut
        return Chosen(cut.name, self.chart.chosen, self.player.frame) if cut and self.chart.chosen else None

    def _show_cut(self, *_: object) -> None:
        cut = self.file.cut
        names = [one.name for one in self.file.sequence.cuts]
        if names != [self._cuts.itemText(number) for number in range(self._cuts.count())]:
            self._cuts.clear()
            self._cuts.addItems(names)
        self._cuts.setCurrentText(cut.name if cut else "")
        self._cuts.setEnabled(bool(names))
        self._tell_length(self.file.sequence)
        strip = CutStrip(cut.name) if cut else None
        self.player.look_at(strip, min(self.player.frame, max(cut.frames - 1, 0)) if cut else 0)
        self._show_shot()

    def _tell_length(self, sequence: Sequence) -> None:
        cut = self.file.cut
        if cut is None:
            self._against.setText(tr("There is no cut yet. Log some hits, then assemble one."))
            return
        now = sequence.cut(cut.name)
        told = tr("{length}, {against}", length=sequence.timebase.duration(now.frames), against=against_target(sequence, now))
        self._against.setText(told)

    def _previewed(self, sequence: Sequence | None) -> None:
        self._tell_length(sequence or self.file.sequence)

    def _shot_chosen(self, _number: int) -> None:
        self._show_shot()

    def _show_shot(self) -> None:
        cut, number = self.file.cut, self.chart.chosen
        while (item := self._about.takeAt(0)) is not None:
            if widget := item.widget():
                widget.deleteLater()
        if cut is None or not number or number > len(cut.shots):
            self._reasons.setText(tr("Choose a shot on the chart: click it, or press Down."))
            self.instead.put(None)
            return
        for row, (what, value) in enumerate(about_shot(self.file.sequence, cut, number)):
            name, told = QLabel(what), QLabel(value)
            name.setProperty("kind", "soft")
            told.setWordWrap(True)
            told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            self._about.addWidget(name, row, 0, Qt.AlignmentFlag.AlignTop)
            self._about.addWidget(told, row, 1)
        self._reasons.setText("\n".join(reasons_of(cut, number)))
        self.instead.put(number)

    def _moved(self, frame: int) -> None:
        self.chart.set_frame(frame)
        if self._onion:
            self._lay_next_over(frame)

    def _toggle_onion(self) -> None:
        self._onion = not self._onion
        if not self._onion:
            self.player.onion(None)
        self.file.say(tr("The next shot lies over a shot's last frame.") if self._onion else tr("Nothing lies over the picture."))
        self._moved(self.player.frame)

    def _lay_next_over(self, frame: int) -> None:
        """On a shot's last frame the next shot's first one is laid over it."""
        cut = self.file.cut
        ends, at = {}, 0
        for number, shot in enumerate(cut.shots if cut else (), start=1):
            at += shot.frames
            ends[at - 1] = number
        following = ends.get(frame)
        if cut and following and following < len(cut.shots) and isinstance(cut.shots[following].picture, Footage):
            self.player.onion(CutStrip(cut.name), frame + 1)
        else:
            self.player.onion(None)

    def _loop_shot(self) -> None:
        cut, number = self.file.cut, self.chart.chosen
        if self.player.looping or not (cut and number):
            self.player.unloop()
            return
        start = sum(shot.frames for shot in cut.shots[: number - 1])
        self.player.loop(start, start + cut.shots[number - 1].frames)
        self.player.play()

    def _mark_checks(self, found: tuple[Finding, ...]) -> None:
        told: dict[int, str] = {}
        for one in found:
            if one.shot:
                told[one.shot] = "\n".join(filter(None, (told.get(one.shot), one.sentence)))
        self.chart.marks(told)

    def _go_to_finding(self, one: Finding) -> None:
        if one.shot:
            self.chart.choose(one.shot)
        if one.record_frame is not None:
            self.player.seek(one.record_frame)
        elif one.shot and (cut := self.file.cut):
            self.player.seek(sum(shot.frames for shot in cut.shots[: one.shot - 1]))

    def _replace(self, one: StandIn) -> None:
        chosen, made = self._chosen(), one.sequence
        if chosen and made is not None:
            self._edits.make(f"replace the take of shot {chosen.shot} by {one.take.name}", lambda _: made)

    def _go_to_tape(self) -> None:
        cut, number = self.file.cut, self.chart.chosen
        picture = cut.shots[number - 1].picture if cut and number else None
        if isinstance(picture, Footage):
            take = self.file.sequence.take(picture.take)
            self.file.go(Spot("log", take=take.name, reel=take.reel, frame=max(0, picture.first_frame)))

    def _beside_tape(self) -> None:
        """The chosen stand-in's tape beside the cut, in step, or nothing."""
        row = self.instead.currentRow()
        found = self.instead.found
        if self.player.has_beside or not 0 <= row < len(found) or not self.chart.chosen or not self.file.cut:
            self.player.beside(None)
            return
        start = sum(shot.frames for shot in self.file.cut.shots[: self.chart.chosen - 1])
        self.player.beside(TapeStrip(found[row].take.reel), found[row].first_frame - start)

    def _menu_at(self, at: QPoint) -> None:
        menu = QMenu(self)
        fill(menu, self)
        menu.exec(self.chart.mapToGlobal(at))

    def _make_actions(self) -> None:
        self.act(tr("Assemble a cut ..."), "A", self.assemble)
        self.act(tr("Copy this cut ..."), "C", self.copy)
        self.act(tr("The next shot over a shot's last frame, or not"), "O", self._toggle_onion)
        self.act(tr("Play the chosen shot again and again, or no more"), "L", self._loop_shot)
        self.act(tr("The chosen stand-in beside the cut, or not"), "B", self._beside_tape)
        self.act(tr("To the shot's tape in the log"), "G", self._go_to_tape)
        for text, keys, do in self._edits.table():
            self.act(text, keys, do).setProperty("edit", True)
        self.addActions([*self.player.actions(), *self.chart.actions()])
        self.others += [
            (tr("drag an edge"), tr("trims the shot; with Shift it rolls the cut point")),
            (tr("drag a step with Alt"), tr("slips its picture")),
            (tr("wheel"), tr("shifts the chart; with Ctrl it zooms")),
        ]
        self.chart.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.chart.customContextMenuRequested.connect(self._menu_at)

    def _lay_out(self) -> None:
        self._cuts.setAccessibleName(tr("The cut that is worked on"))
        self._cuts.setMinimumWidth(90)
        menu = QMenu(self)
        menu.aboutToShow.connect(lambda: fill(menu, self))
        edit = QPushButton(tr("Edit this shot"))
        edit.setMenu(menu)
        head = QHBoxLayout()
        head.addWidget(self._cuts)
        head.addWidget(self._against, 1)
        for text, do in (
            (tr("Assemble ..."), self.assemble),
            (tr("Copy ..."), self.copy),
            (tr("Name ..."), self.rename),
            (tr("Delete"), self.delete),
        ):
            button = QPushButton(text)
            button.clicked.connect(lambda _checked=False, do=do: do())
            head.addWidget(button)
        head.addWidget(edit)
        self._stack = QSplitter(Qt.Orientation.Vertical)
        self._stack.addWidget(self.player)
        self._stack.addWidget(self.chart)
        self._stack.setSizes([300, 360])
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.addWidget(self._stack)
        self._split.addWidget(self._column())
        self._split.setStretchFactor(0, 1)
        self._split.setSizes([820, 320])
        self._split.restoreState(self.memory.state("cut.column"))
        self._stack.restoreState(self.memory.state("cut.picture"))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(10, 4, 8, 4)
        whole.addLayout(head)
        whole.addWidget(self._split, 1)

    def _column(self) -> QWidget:
        self._reasons.setWordWrap(True)
        self._reasons.setProperty("kind", "soft")
        self._about.setColumnStretch(1, 1)
        shot = QWidget()
        inside = QVBoxLayout(shot)
        inside.setContentsMargins(4, 4, 4, 4)
        inside.addLayout(self._about)
        inside.addWidget(self._reasons)
        inside.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(shot)
        column = QSplitter(Qt.Orientation.Vertical)
        for title, widget in ((tr("This shot"), scroll), (tr("Instead"), self.instead), (tr("Checks"), self.checks)):
            part = QWidget()
            lines = QVBoxLayout(part)
            lines.setContentsMargins(0, 0, 0, 4)
            heading = QLabel(title)
            heading.setProperty("kind", "heading")
            lines.addWidget(heading)
            lines.addWidget(widget, 1)
            column.addWidget(part)
        column.setSizes([220, 200, 200])
        return column
