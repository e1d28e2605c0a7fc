"""The sequence file that the desk has open: its value, its edits, what happened, and where the person is looking.

Every place is given this one object. It saves on every edit and shows nothing itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

from PyQt6.QtCore import QObject, pyqtSignal

from previs.desk.words import tr
from previs.desk.work import Work
from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder
from previs.document.sitting import Sitting
from previs.faults import Fault
from previs.progress import Report

Result = TypeVar("Result")


class Tone(StrEnum):
    """How a sentence is meant."""

    PLAIN = "plain"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class Said:
    """One line of what happened."""

    at: datetime
    sentence: str
    tone: Tone = Tone.PLAIN
    details: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """Somewhere to go: a place of the window by its name, and what to show there; what is None stays as it is.

    `shot` counts from 1; `frame` is a record frame of the cut from 0, or with `reel` a frame of the tape's grid.
    """

    place: str
    cut: str | None = None
    shot: int | None = None
    frame: int | None = None
    take: str | None = None
    reel: str | None = None
    move: int | None = None


class OpenFile(QObject):
    """One sequence file, held open.

    `changed` comes after every edit, undo and redo, with the sequence as it was before; `made` with the words of each edit,
    before anything else is said of it; `said` after each new line of `log`; `cut_chosen` when another cut is being worked on;
    `went` when the person asked to go somewhere.
    """

    changed = pyqtSignal(object)
    made = pyqtSignal(str)
    said = pyqtSignal(object)
    cut_chosen = pyqtSignal(str)
    went = pyqtSignal(object)

    def __init__(self, path: Path, parent: QObject | None = None) -> None:
        """Open and hold the file; raises `Fault` and `UseFault` as `Sitting` does."""
        super().__init__(parent)
        self._sitting = Sitting(path)
        self.work, self.looking = Work(self), Work(self, at_once=1)
        self.log: list[Said] = []
        self._cut_name = self.sequence.cuts[-1].name if self.sequence.cuts else ""
        self.work.stopped.connect(lambda what: self.say(tr("Stopped: {what}. What was finished before is kept.", what=what)))
        for work in (self.work, self.looking):
            work.failed.connect(lambda sentence, details: self.say(sentence, Tone.FAULT, details))
        if self._sitting.left:
            # The lock holds the moment of opening, not of the crash; what is on disk is the last edit either way.
            self.say(
                tr(
                    "previs ended without closing this file, which was opened on {since}. Everything up to the last edit is here, and "
                    "undo goes back from there.",
                    since=_moment(self._sitting.left.since),
                )
            )

    @property
    def path(self) -> Path:
        """The file, absolute."""
        return self._sitting.path

    @property
    def cache(self) -> Path:
        """The folder of what can be made again."""
        return cache_folder(self.path)

    @property
    def sequence(self) -> Sequence:
        """The document as it is now, and as it is on disk."""
        return self._sitting.sequence

    @property
    def cut(self) -> Cut | None:
        """The cut that is being worked on, or None while there is none."""
        return next((cut for cut in self.sequence.cuts if cut.name == self._cut_name), None)

    @property
    def steps(self) -> tuple[str | None, str | None]:
        """What undo would take back, and redo make again."""
        return self._sitting.steps

    def edit(self, change: Callable[[Sequence], Sequence], what: str) -> bool:
        """Make an edit and save it; a fault is said and leaves everything as it was. `what` names it for undo. True when made."""
        before = self.sequence
        try:
            remark = self._sitting.edit(change, what)
        except Fault as fault:
            self.say(str(fault), Tone.FAULT)
            return False
        # First, so that whatever else is to be said of the edit stands in its place.
        self.made.emit(what)
        if remark:
            self.say(remark)
        self._now_another(before)
        return True

    def undo(self) -> None:
        """Take the last edit back."""
        self._step(self._sitting.undo, tr("Undone: {what}"))

    def redo(self) -> None:
        """Make the edit again that was last undone."""
        self._step(self._sitting.redo, tr("Done again: {what}"))

    def read_again(self) -> None:
        """Read the file anew, where another program has changed it."""
        before = self.sequence
        try:
            self._sitting.read_again()
        except Fault as fault:
            self.say(str(fault), Tone.FAULT)
            return
        self._now_another(before)

    def choose_cut(self, name: str) -> None:
        """Work on this cut from now on."""
        if name != self._cut_name and any(cut.name == name for cut in self.sequence.cuts):
            self._cut_name = name
            self.cut_chosen.emit(name)

    def go(self, spot: Spot) -> None:
        """Show something somewhere."""
        if spot.cut:
            self.choose_cut(spot.cut)
        self.went.emit(spot)

    def say(self, sentence: str, tone: Tone = Tone.PLAIN, details: str = "") -> None:
        """Tell the person something, and keep it in the log."""
        line = Said(datetime.now().astimezone(), sentence, tone, details)
        self.log.append(line)
        self.said.emit(line)

    def do(self, what: str, job: Callable[[Report], Result], then: Callable[[Result], None]) -> None:
        """Long work in the background: see `Work.do`."""
        self.work.do(what, job, then)

    def look(self, what: str, job: Callable[[Report], Result], then: Callable[[Result], None]) -> None:
        """A short look in the background, which does not wait for long work; the newest called so takes the place of one that waits."""
        self.looking.do(what, job, then, anew=True)

    def close(self) -> None:
        """Stop the background work and let go of the file."""
        self.work.close()
        self.looking.close()
        self._sitting.close()

    def _step(self, step: Callable[[], object], told: str) -> None:
        before, steps = self.sequence, self.steps
        what = steps[0] if step == self._sitting.undo else steps[1]
        try:
            step()
        except Fault as fault:
            self.say(str(fault), Tone.FAULT)
            return
        self.say(told.format(what=what or ""))
        if self._sitting.doubt:
            self.say(self._sitting.doubt)
        self._now_another(before)

    def _now_another(self, before: Sequence) -> None:
        names = [cut.name for cut in self.sequence.cuts]
        new = [name for name in names if name not in {cut.name for cut in before.cuts}]
        if new or self._cut_name not in names:
            self._cut_name = (new or names or [""])[-1]
        self.changed.emit(before)


def _moment(written: str) -> str:
    """The day and the minute of a moment as a lock has it, here; what is no moment stays as it is."""
    try:
        return f"{datetime.fromisoformat(written).astimezone():%Y-%m-%d %H:%M}"
    except ValueError:
        return written
