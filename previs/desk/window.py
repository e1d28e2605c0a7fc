"""The one window of the desk: index tabs, the places, the foot; it opens and closes files and decides nothing about them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction, QCloseEvent, QKeySequence
from PyQt6.QtWidgets import QApplication, QFileDialog, QHBoxLayout, QMainWindow, QMenu, QStackedWidget, QVBoxLayout, QWidget

from previs.desk.asking import went_through
from previs.desk.cut.place import CutPlace
from previs.desk.fight.place import FightPlace
from previs.desk.floor.place import FloorPlace
from previs.desk.foot import Foot
from previs.desk.handoff.place import HandoffPlace
from previs.desk.lists import Page, happened_page, keys_page
from previs.desk.log.place import LogPlace
from previs.desk.looks import DAY, LAMP, wear
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.plain import PlainLabel
from previs.desk.review.place import ReviewPlace
from previs.desk.start.page import StartPage
from previs.desk.tabs import Tabs
from previs.desk.tapes.place import TapesPlace
from previs.desk.words import tr
from previs.faults import Fault

PLACES: tuple[type[Place], ...] = (TapesPlace, LogPlace, FightPlace, CutPlace, ReviewPlace, HandoffPlace, FloorPlace)
"""The places in the order of the week."""

_LEAST_POINTS, _USUAL_POINTS, _MOST_POINTS = 8, 10, 20


class Window(QMainWindow):
    """The desk's window; `file` is what is open, `places` are its places, both empty before a file is opened."""

    def __init__(self, memory: Memory) -> None:
        super().__init__()
        self.memory = memory
        self.file: OpenFile | None = None
        self.places: list[Place] = []
        self._everywhere: list[QAction] = []
        self._tabs, self._stack, self._foot = Tabs(), QStackedWidget(), Foot()
        self._head = PlainLabel()
        self._head.setTextFormat(Qt.TextFormat.PlainText)
        self._head.setContentsMargins(10, 6, 10, 2)
        self._start = StartPage(memory)
        self._stack.addWidget(self._start)
        self._lay_out()
        self._make_menus()
        self._start.asked_to_open.connect(self.open)
        self._tabs.chosen.connect(self.show_place)
        self._foot.asked_for_log.connect(self.show_what_happened)
        self._foot.asked_to_stop.connect(lambda: self.file.work.stop() if self.file else self._start.stop())
        self._start.said.connect(self._foot.show_said)
        self._start.running.connect(self._foot.show_running)
        self.restoreGeometry(memory.state("window"))
        if memory.state("window").isEmpty() and (screen := self.screen()):
            room = screen.availableGeometry()
            # The frame that the desktop draws around a window needs some of it.
            self.resize(min(1280, room.width()), min(800, room.height() - 40))
        self._show_file()

    def open(self, path: Path) -> bool:
        """Open a sequence file in the place of what is open; a fault is said and leaves that as it is. True when opened."""
        if self.file and self.file.path == path.absolute():
            return True
        try:
            opened = OpenFile(path, self)
        except Fault as fault:
            self._start.say_fault(str(fault))
            return False
        self.close_file()
        self.file = opened
        opened.changed.connect(self._show_file)
        opened.cut_chosen.connect(self._show_file)
        opened.made.connect(self._foot.show_made)
        opened.said.connect(self._foot.show_said)
        opened.went.connect(self.go)
        opened.work.changed.connect(lambda: self._foot.show_running(opened.work.running))
        self.places = [place(opened, self.memory) for place in PLACES]
        for place in self.places:
            self._stack.addWidget(place)
        self._tabs.show_titles([place.title for place in self.places])
        self.memory.keep("file", str(opened.path))
        self._start.opened(opened.path)
        for line in opened.log:
            self._foot.show_said(line)
        self._show_file()
        idents = [place.ident for place in self.places]
        # The week begins with the written fight.
        empty = not (opened.sequence.moves or opened.sequence.tapes)
        last = FightPlace.ident if empty else self.memory.text("place", "tapes")
        self.show_place(idents.index(last) if last in idents else 0)
        return True

    def close_file(self) -> None:
        """Let go of what is open; the start page is shown."""
        if not self.file:
            return
        if here := self._here():
            here.left()
        for place in self.places:
            place.close_down()
            self._stack.removeWidget(place)
            place.deleteLater()
        self.places = []
        self.file.close()
        self.file.deleteLater()
        self.file = None
        self._tabs.show_titles([])
        self._foot.show_running(())
        self._stack.setCurrentWidget(self._start)
        self._show_file()

    def show_place(self, number: int) -> None:
        """Show the place of this number, from 0."""
        if not 0 <= number < len(self.places):
            return
        here, there = self._here(), self.places[number]
        if here and here is not there:
            here.left()
        self._stack.setCurrentWidget(there)
        self._tabs.choose(number)
        self.memory.keep("place", there.ident)
        there.came()

    def go(self, spot: Spot) -> None:
        """Show a spot in its place."""
        for number, place in enumerate(self.places):
            if place.ident == spot.place:
                self.show_place(number)
                place.go(spot)

    def show_keys(self) -> None:
        """The list of keys."""
        went_through(Page(tr("Keys"), keys_page(self._everywhere, self.places, self._here()), self))

    def show_what_happened(self) -> None:
        """All that was said since the file was opened."""
        went_through(Page(tr("What happened"), happened_page(self.file.log if self.file else self._start.log), self))

    def closeEvent(self, event: QCloseEvent | None) -> None:  # noqa: N802
        """Remember the window, stop what runs and let go of the file."""
        self.memory.keep("window", self.saveGeometry())
        self._start.close_down()
        self.close_file()
        super().closeEvent(event)

    def _with_file(self, do: Callable[[OpenFile], None]) -> None:
        if self.file:
            do(self.file)

    def _here(self) -> Place | None:
        shown = self._stack.currentWidget()
        return next((place for place in self.places if place is shown), None)

    def _lay_out(self) -> None:
        body = QWidget()
        row = QHBoxLayout(body)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        page = QVBoxLayout()
        page.setContentsMargins(0, 0, 0, 0)
        page.setSpacing(0)
        page.addWidget(self._head)
        page.addWidget(self._stack, 1)
        page.addWidget(self._foot)
        row.addWidget(self._tabs)
        row.addLayout(page, 1)
        self.setCentralWidget(body)

    def _make_menus(self) -> None:
        bar = self.menuBar()
        assert bar is not None
        file, edit, view, more = (bar.addMenu(title) for title in (tr("&File"), tr("&Edit"), tr("&View"), tr("&Help")))
        self._add(file, tr("Open ..."), "Ctrl+O", self._ask_and_open)
        self._add(file, tr("Close the file"), "Ctrl+W", self.close_file)
        self._add(file, tr("Read the file again from disk"), "F5", lambda: self._with_file(OpenFile.read_again))
        self._add(file, tr("Leave"), "Ctrl+Q", self.close)
        self._undo = self._add(edit, tr("Undo"), "Ctrl+Z", lambda: self._with_file(OpenFile.undo))
        self._redo = self._add(edit, tr("Do again"), "Ctrl+Y, Ctrl+Shift+Z", lambda: self._with_file(OpenFile.redo))
        for number, title in enumerate((tr("Tapes"), tr("Log"), tr("Fight"), tr("Cut"), tr("Review"), tr("Hand-off"), tr("Floor"))):
            self._add(view, tr("Go to {place}", place=title), f"Ctrl+{number + 1}", partial(self.show_place, number))
        self._add(view, tr("Day or lamp"), "Ctrl+L", self._other_looks)
        self._add(view, tr("Larger text"), "Ctrl++, Ctrl+=", lambda: self._larger(1))
        self._add(view, tr("Smaller text"), "Ctrl+-", lambda: self._larger(-1))
        self._add(more, tr("Keys"), "F1", self.show_keys)
        self._add(more, tr("What happened"), "F2", self.show_what_happened)

    def _add(self, menu: QMenu | None, text: str, keys: str, do: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.setShortcuts([QKeySequence(key) for key in keys.split(", ")])
        action.triggered.connect(lambda _checked=False: do())
        self._everywhere.append(action)
        if menu:
            menu.addAction(action)
        return action

    def _show_file(self, *_: object) -> None:
        """The heading, the title and what can be undone, as the file is now."""
        undo, redo = self.file.steps if self.file else (None, None)
        self._undo.setEnabled(undo is not None)
        self._redo.setEnabled(redo is not None)
        self._undo.setText(tr("Undo: {what}", what=undo) if undo else tr("Undo"))
        self._redo.setText(tr("Do again: {what}", what=redo) if redo else tr("Do again"))
        self._tabs.setVisible(self.file is not None)
        self._head.setVisible(self.file is not None)
        if not self.file:
            self.setWindowTitle("previs")
            return
        sequence, cut = self.file.sequence, self.file.cut
        self.setWindowTitle(tr("{title} - previs", title=sequence.title))
        duration = sequence.timebase.duration
        target = duration(sequence.target_frames)
        if cut is None:
            told = tr("{title}    no cut yet, target {target}", title=sequence.title, target=target)
        else:
            told = tr(
                "{title}    cut {cut}, {length} against {target}",
                title=sequence.title,
                cut=cut.name,
                length=duration(cut.frames),
                target=duration(cut.target_frames),
            )
        self._head.setText(told)

    def _ask_and_open(self) -> None:
        folder = str(self.file.path.parent) if self.file else ""
        chosen, _ = QFileDialog.getOpenFileName(self, tr("Open a sequence"), folder, tr("Sequences (*.previs)"))
        if chosen:
            self.open(Path(chosen))

    def _other_looks(self) -> None:
        self.memory.keep("looks", LAMP.name if self.memory.text("looks", DAY.name) == DAY.name else DAY.name)
        dress(self.memory)

    def _larger(self, by: int) -> None:
        self.memory.keep("points", _points(self.memory, by))
        dress(self.memory)


def dress(memory: Memory) -> None:
    """Put the program into the remembered looks."""
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    wear(app, LAMP if memory.text("looks") == LAMP.name else DAY, _points(memory))


def _points(memory: Memory, by: int = 0) -> int:
    """The remembered size of text, larger or smaller by so much, whatever stands there within what can be read."""
    return min(max(int(memory.number("points", _USUAL_POINTS)) + by, _LEAST_POINTS), _MOST_POINTS)
