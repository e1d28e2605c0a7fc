"""The Cut place: a picture, the step chart as the working surface, and beside it the shot, its stand-ins and the checks."""

from __future__ import annotations

from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtWidgets import QMenu, QPushButton, QSplitter, QStackedLayout, QVBoxLayout, QWidget

from previs.cut.placing import hits_seen, place
from previs.cut.stand_ins import StandIn
from previs.desk.cut.assembling import ask_and_assemble
from previs.desk.cut.checks import Checks
from previs.desk.cut.hand_edits import Planned
from previs.desk.cut.heading import Heading
from previs.desk.cut.instead import Instead
from previs.desk.cut.note import Note
from previs.desk.cut.shot_card import ShotCard
from previs.desk.cut.shot_edits import ShotEdits
from previs.desk.cut.shown import shot_at, shot_span
from previs.desk.cut.stage import Stage
from previs.desk.cut.versions import Versions
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.place import Place
from previs.desk.plain import PlainLabel
from previs.desk.player.stills import Stills
from previs.desk.player.strips import TapeStrip
from previs.desk.words import tr
from previs.desk.work import Work
from previs.document.model import Footage, Sequence
from previs.fight.findings import Finding, Severity


class CutPlace(Place):
    """Where a cut is made to last what it may last."""

    ident = "cut"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        # What is found after every edit waits for no long work, and is not worth a line in the foot.
        self._quiet = Work(self, at_once=1)
        self._quiet.failed.connect(lambda sentence, details: file.say(sentence, Tone.FAULT, details))
        self.stage, self.stills = Stage(file), Stills(file)
        self.player, self.chart = self.stage.player, self.stage.chart
        self.heading, self.note, self.card = Heading(file), Note(), ShotCard()
        self.instead, self.checks = Instead(file, self.stills, self._quiet), Checks(file, self._quiet)
        self._versions, self._nothing = Versions(self), PlainLabel()
        self._make_actions()
        self.edits = ShotEdits(self, lambda: self.stage.chosen, self.stage.choose)
        self.addActions([*self.player.actions(), *self.chart.actions()])
        self._lay_out()
        self.chart.shot_chosen.connect(lambda _: self._show_shot())
        self.chart.previewed.connect(self.heading.tell_length)
        self.checks.found.connect(self._mark_checks)
        self.checks.chosen.connect(self._go_to_finding)
        self.instead.wanted.connect(self.stage.try_on)
        self.instead.replaced.connect(self._replace)
        # What an assembly said of its cut holds until the next edit.
        file.made.connect(lambda _what: self.note.hide())
        file.changed.connect(self._show_cut)
        file.cut_chosen.connect(self._show_cut)
        self._show_cut()

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Cut")

    def go(self, spot: Spot) -> None:
        """Show a shot, a frame, or where a move is seen, of the cut."""
        cut = self.file.cut
        if cut is None:
            return
        shot, frame = spot.shot, spot.frame
        if spot.move is not None and frame is None:
            seen = hits_seen(self.file.sequence, place(self.file.sequence, cut))
            found = next((hit for hit in seen if hit.move.number == spot.move), None)
            shot, frame = (found.placed.number, found.record_frame) if found else (shot, frame)
        if shot is None and frame is not None:
            shot = shot_at(cut, frame)
        span = shot_span(cut, shot) if shot else None
        if span:
            self.chart.choose(shot)
            self.stage.show_frame(span.start if frame is None else frame)

    def came(self) -> None:
        """The chart has the keys."""
        self.chart.setFocus()

    def left(self) -> None:
        """Nothing plays on elsewhere."""
        self.stage.try_on(None)
        self.player.pause()
        for name, splitter in (("cut.across", self._across), ("cut.picture", self.stage), ("cut.sections", self._column)):
            self.memory.keep(name, splitter.saveState())

    def close_down(self) -> None:
        """End the threads."""
        self._quiet.close()
        self.player.close_down()
        self.stills.close_down()

    def assemble(self) -> None:
        """Ask for a target and assemble."""
        ask_and_assemble(self, self._tell_assembled)

    def _tell_assembled(self, sentences: tuple[str, ...]) -> None:
        for sentence in reversed(sentences):
            self.file.say(sentence)
        cut = self.file.cut
        # Where all that there is to say is that it lasts its target, the foot has said it.
        if cut and cut.frames == cut.target_frames and len(sentences) == 2:
            self.note.hide()
        else:
            self.note.tell(sentences)

    def _show_cut(self, *_: object) -> None:
        cut, sequence = self.file.cut, self.file.sequence
        self._pages.setCurrentIndex(1 if cut else 0)
        if cut is None:
            self.note.hide()
            self._nothing.setText(_why_no_cut(sequence))
        self._show_shot()

    def _show_shot(self) -> None:
        cut, number = self.file.cut, self.chart.chosen
        there = cut is not None and number is not None and number <= len(cut.shots)
        self.card.put((self.file.sequence, cut, number) if cut and number and there else None)
        self.instead.put(number if there else None)

    def _mark_checks(self, found: tuple[Finding, ...]) -> None:
        told: dict[int, str] = {}
        for one in found:
            if one.shot and one.severity is not Severity.NOTE:
                told[one.shot] = "\n".join(filter(None, (told.get(one.shot), one.sentence)))
        self.chart.marks(told)

    def _go_to_finding(self, one: Finding) -> None:
        cut = self.file.cut
        span = shot_span(cut, one.shot) if cut and one.shot else None
        if span:
            self.chart.choose(one.shot)
            self.stage.show_frame(span.start if one.record_frame is None else one.record_frame)
        self.file.say(one.mend)

    def _replace(self, one: StandIn) -> None:
        chosen, made = self.stage.chosen, one.sequence
        if chosen and made is not None:
            what = f"replace the take of shot {chosen.shot} by {one.take.name}"
            self.edits.make(chosen, Planned(what, lambda _: made))

    def _go_to_tape(self) -> None:
        chosen = self.stage.chosen
        picture = chosen.shot_itself.picture if chosen else None
        if isinstance(picture, Footage):
            take = self.file.sequence.take(picture.take)
            self.file.go(Spot("log", take=take.name, reel=take.reel, frame=max(0, picture.first_frame)))
        else:
            self.file.say(tr("Choose a shot from a take first."))

    def _beside_tape(self) -> None:
        """The chosen stand-in's tape beside the cut, in step, or nothing."""
        cut, one = self.file.cut, self.instead.current
        span = shot_span(cut, self.chart.chosen or 0) if cut else None
        if self.player.has_beside:
            self.player.beside(None)
        elif one is None or span is None:
            self.file.say(tr("Choose a shot, and one of the takes under Instead, first."))
        else:
            self.player.beside(TapeStrip(one.take.reel), one.first_frame - span.start)

    def _menu_at(self, at: QPoint) -> None:
        number = self.chart.shot_under(at.x())
        if number:
            self.chart.choose(number)
        menu = QMenu(self)
        self.edits.fill(menu)
        menu.exec(self.chart.mapToGlobal(at))
        menu.deleteLater()

    def _make_actions(self) -> None:
        versions = self._versions
        self._assemble = self.act(tr("Assemble a cut ..."), "A", self.assemble)
        self._of_the_cut = [
            self.act(tr("Go on in a new version, keep this one ..."), "C", versions.copy),
            self.act(tr("Another name for this cut ..."), "", versions.rename),
            self.act(tr("Delete this cut"), "", versions.delete),
        ]
        self._of_the_view = [
            self.act(tr("Play the chosen shot again and again, or no more"), "L", self.stage.toggle_loop),
            self.act(tr("The next shot over a shot's last frame, or not"), "O", self.stage.toggle_onion),
            self.act(tr("The chosen stand-in beside the cut, or not"), "B", self._beside_tape),
            self.act(tr("To the shot's tape in the log"), "G", self._go_to_tape),
            self.act(tr("To the next check"), "N", lambda: self.checks.step(1)),
            self.act(tr("To the check before"), "Shift+N", lambda: self.checks.step(-1)),
        ]
        self.others += [
            (tr("drag an edge"), tr("trims the shot; with Shift it rolls the cut point")),
            (tr("drag a step with Ctrl or Alt"), tr("slips its picture")),
            (tr("wheel"), tr("shifts the chart; with Ctrl it zooms")),
        ]
        self.chart.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.chart.customContextMenuRequested.connect(self._menu_at)

    def _lay_out(self) -> None:
        menus = []
        for number in range(3):
            menus.append(QMenu(self))
            (self.edits.fill(menus[0]) if number == 0 else menus[number].addActions(self._of_the_cut if number == 1 else self._of_the_view))
        self.heading.add(self._assemble, tr("Assemble ..."))
        for text, menu in ((tr("This cut"), menus[1]), (tr("Look"), menus[2]), (tr("Edit this shot"), menus[0])):
            self.heading.add_menu(text, menu)
        self._column = self._sections()
        self._across = QSplitter(Qt.Orientation.Horizontal)
        self._across.addWidget(self.stage)
        self._across.addWidget(self._column)
        self._across.setStretchFactor(0, 1)
        self._across.setChildrenCollapsible(False)
        self._across.setSizes([840, 310])
        for name, splitter in (("cut.across", self._across), ("cut.picture", self.stage), ("cut.sections", self._column)):
            splitter.restoreState(self.memory.state(name))
        work = QWidget()
        column = QVBoxLayout(work)
        column.setContentsMargins(10, 4, 8, 4)
        for widget, stretch in ((self.heading, 0), (self.note, 0), (self._across, 1)):
            column.addWidget(widget, stretch)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(self._page_without_cut())
        self._pages.addWidget(work)

    def _page_without_cut(self) -> QWidget:
        page = QWidget()
        self._nothing.setWordWrap(True)
        self._nothing.setAlignment(Qt.AlignmentFlag.AlignCenter)
        button = QPushButton(tr("Assemble ..."))
        button.clicked.connect(lambda _checked=False: self.assemble())
        column = QVBoxLayout(page)
        column.addStretch(1)
        column.addWidget(self._nothing)
        column.addWidget(button, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(2)
        return page

    def _sections(self) -> QSplitter:
        column = QSplitter(Qt.Orientation.Vertical)
        for title, widget in ((tr("This shot"), self.card), (tr("Instead"), self.instead), (tr("Checks"), self.checks)):
            part = QWidget()
            lines = QVBoxLayout(part)
            lines.setContentsMargins(6, 0, 0, 2)
            lines.setSpacing(2)
            heading = PlainLabel(title)
            heading.setProperty("kind", "heading")
            lines.addWidget(heading)
            lines.addWidget(widget, 1)
            column.addWidget(part)
        column.setChildrenCollapsible(False)
        column.setSizes([280, 200, 150])
        return column


def _why_no_cut(sequence: Sequence) -> str:
    """What is missing before there can be a cut, or that one can be assembled now."""
    if not sequence.moves:
        return tr("There is no cut yet, and no move to cut: write the fight first.")
    if not any(take.hits for take in sequence.takes):
        return tr("There is no cut yet, and no take has a hit: log some, or assemble a cut of cards now.")
    return tr("There is no cut yet. Assemble one: every move on screen once, in order, for as long as the sequence may last.")
