"""The page that is shown while no file is open: three steps, and the ways to a file."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtGui import QDragEnterEvent, QDropEvent
from PyQt6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from previs.desk.asking import home_folder, went_through
from previs.desk.dropping import files_in
from previs.desk.memory import Memory
from previs.desk.open_file import Said, Tone
from previs.desk.plain import PlainLabel, tip
from previs.desk.start.begin import BeginDialog, SampleDialog
from previs.desk.start.recent import keep_recent, recent_files
from previs.desk.start.sample import FILE_NAME, make_sample, sample_media
from previs.desk.start.steps import step_cards
from previs.desk.words import tr
from previs.desk.work import Work
from previs.exchange.beginning import ENDING

_WIDEST_PX = 1000


class StartPage(QWidget):
    """`asked_to_open` has the path of a sequence file; `said` and `running` are for the foot of the window."""

    asked_to_open = pyqtSignal(object)
    said = pyqtSignal(object)
    running = pyqtSignal(object)

    def __init__(self, memory: Memory) -> None:
        super().__init__()
        self._memory = memory
        self.log: list[Said] = []
        self.work = Work(self)
        self.work.changed.connect(lambda: self.running.emit(self.work.running))
        self.work.stopped.connect(lambda what: self.say(tr("Stopped: {what}. Nothing of it is left.", what=what)))
        self.work.failed.connect(self._say_failed)
        self._media = sample_media()
        self._recent = QVBoxLayout()
        self.setAcceptDrops(True)
        self._lay_out()
        self._show_recent()

    def say(self, sentence: str, tone: Tone = Tone.PLAIN, details: str = "") -> None:
        """Tell the person something."""
        line = Said(datetime.now().astimezone(), sentence, tone, details)
        self.log.append(line)
        self.said.emit(line)

    def say_fault(self, sentence: str) -> None:
        """Say why a file was not opened."""
        self.say(sentence, Tone.FAULT)

    def opened(self, path: Path) -> None:
        """A file was opened: it is the newest of the recent ones."""
        keep_recent(self._memory, path)
        self._show_recent()

    def stop(self) -> None:
        """Stop what this page is doing."""
        self.work.stop()

    def close_down(self) -> None:
        """The window closes."""
        self.work.close()

    def begin(self) -> None:
        """Ask what a new fight is to be, begin its file and open it."""
        dialog = BeginDialog(self._folder(), self)
        if self.answered(dialog):
            self.say(dialog.told)
            self._open(dialog.path)

    def open_a_file(self) -> None:
        """Ask for a file and open it."""
        if chosen := self.ask_file():
            self._open(chosen)

    def open_sample(self) -> None:
        """Ask where the sample is to be, make it there where it is not, and open it."""
        if self._media is None:
            self.say_fault(self._no_sample())
            return
        dialog = SampleDialog(Path(self._memory.text("sample") or home_folder() / "salt_stair"), self)
        if self.answered(dialog):
            folder = dialog.place.path.absolute()
            self._memory.keep("sample", str(folder))
            self._make_sample(self._media, folder)

    def answered(self, dialog: BeginDialog | SampleDialog) -> bool:
        """Show a dialog; True when the person went through with it."""
        return went_through(dialog)

    def ask_file(self) -> Path | None:
        """The person's choice of a sequence file."""
        chosen, _ = QFileDialog.getOpenFileName(self, tr("Open a sequence"), str(self._folder()), tr("Sequences (*.previs)"))
        return Path(chosen) if chosen else None

    def dragEnterEvent(self, event: QDragEnterEvent | None) -> None:  # noqa: N802
        """A sequence file may be dropped here."""
        if event and _sequence_in(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent | None) -> None:  # noqa: N802
        """Open what was dropped."""
        if event and (path := _sequence_in(event)):
            event.acceptProposedAction()
            self._open(path)

    def _make_sample(self, media: Path, folder: Path) -> None:
        if (folder / FILE_NAME).is_file():
            self.asked_to_open.emit(folder / FILE_NAME)
            return
        self.work.do(tr("Making the sample"), lambda report: make_sample(media, folder, report), self._sample_made)

    def _sample_made(self, path: Path) -> None:
        self.say(tr("The sample is in {folder}.", folder=path.parent))
        self.asked_to_open.emit(path)

    def _open(self, path: Path) -> None:
        self._memory.keep("folder", str(path.absolute().parent))
        self.asked_to_open.emit(path)

    def _say_failed(self, sentence: str, details: str) -> None:
        self.say(sentence, Tone.FAULT, details)

    def _folder(self) -> Path:
        """Where a person's files were last, else their home folder."""
        last = Path(self._memory.text("folder") or home_folder())
        return last if last.is_dir() else home_folder()

    def _no_sample(self) -> str:
        return tr(
            "The sample's tapes are not here, since previs was not installed from its source folder; run it from there to open the sample."
        )

    def _show_recent(self) -> None:
        while (item := self._recent.takeAt(0)) is not None:
            if widget := item.widget():
                widget.deleteLater()
        files = recent_files(self._memory)
        heading = PlainLabel(tr("Open again") if files else tr("Files that were open are listed here."))
        heading.setProperty("kind", "heading" if files else "soft")
        self._recent.addWidget(heading)
        for path in files:
            button = _button(tr("{name}   in {folder}", name=path.stem, folder=_short(path.parent)), partial(self._open, path))
            button.setToolTip(tip(str(path)))
            button.setStyleSheet("text-align: left;")
            self._recent.addWidget(button)
        self._recent.addStretch(1)

    def _lay_out(self) -> None:
        title = PlainLabel(tr("From rehearsal tapes and a written fight to a timed cut"))
        title.setProperty("kind", "title")
        title.setWordWrap(True)
        ways = QVBoxLayout()
        for lines in (ways, self._recent):
            lines.setSpacing(8)
        for text, do in (
            (tr("&Begin a fight ..."), self.begin),
            (tr("&Open a file ..."), self.open_a_file),
            (tr("Open the &sample"), self.open_sample),
        ):
            ways.addWidget(_button(text, do))
        if self._media is None:
            why = PlainLabel(self._no_sample())
            why.setProperty("kind", "soft")
            why.setWordWrap(True)
            ways.addWidget(why)
        drop = PlainLabel(tr("A sequence file may also be dropped on this page."))
        drop.setProperty("kind", "soft")
        drop.setWordWrap(True)
        ways.addWidget(drop)
        ways.addStretch(1)
        below = QHBoxLayout()
        below.setSpacing(48)
        below.addLayout(ways, 2)
        below.addLayout(self._recent, 3)
        sheet = QWidget()
        sheet.setMaximumWidth(_WIDEST_PX)
        column = QVBoxLayout(sheet)
        column.setSpacing(28)
        for part in (title, step_cards()):
            column.addWidget(part)
        column.addLayout(below)
        # Between springs, since a widget that is aligned is not asked how high its lines are at its width.
        middle = QHBoxLayout()
        middle.addStretch(1)
        middle.addWidget(sheet, 100)
        middle.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(32, 32, 32, 16)
        whole.addStretch(1)
        whole.addLayout(middle)
        whole.addStretch(2)


def _button(text: str, do: Callable[[], None]) -> QPushButton:
    button = QPushButton(text)
    button.clicked.connect(lambda _checked=False: do())
    return button


def _short(folder: Path) -> str:
    home = home_folder()
    return f"~/{folder.relative_to(home).as_posix()}" if folder.is_relative_to(home) else str(folder)


def _sequence_in(event: QDropEvent) -> Path | None:
    return next((path for path in files_in(event) if path.suffix == ENDING), None)
