"""The edits of a shot beyond trims, as a menu: each asks for a number where it needs one and calls the edit of `cut/`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PyQt6.QtWidgets import QFileDialog, QMenu, QWidget

from previs.clock import parse_length
from previs.cut import edits, retimes, transitions
from previs.cut.told import shots_now, went_along
from previs.desk.cut.asking import ask
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Black, Card, Sequence, Transition, TransitionKind
from previs.document.paths import stored_path
from previs.document.wipes import drawn_listed
from previs.exchange.written import run_of_moves, speed
from previs.faults import UseFault

Change = Callable[[Sequence, str, int], Sequence]


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the edits work on: a cut, a shot by its number, and the frame of the cut that is shown."""

    cut: str
    shot: int
    frame: int


class ShotEdits:
    """The edits of the shot that `chosen` gives. Dialogs stand before `parent`."""

    def __init__(self, file: OpenFile, parent: QWidget, chosen: Callable[[], Chosen | None]) -> None:
        self._file, self._parent, self._chosen = file, parent, chosen

    def table(self) -> list[tuple[str, str, Callable[[], None]]]:
        """Every edit as (text, keys, what to call)."""
        return [
            (tr("Split it at this frame"), "X", self.split),
            (tr("Join it with the next"), "Shift+X", partial(self._make, "join shots {shot} and {next}", edits.join)),
            (tr("Move it earlier"), "Ctrl+Up", partial(self._move, -1)),
            (tr("Move it later"), "Ctrl+Down", partial(self._move, 1)),
            (tr("Remove it"), "Delete", partial(self._make, "remove shot {shot}", edits.remove)),
            (tr("Leave a card in its place ..."), "", self.leave_card),
            (tr("Put a card in before it ..."), "Insert", self.insert_card),
            (tr("Put black in before it ..."), "", self.insert_black),
            (tr("Speed ..."), "V", self.speed),
            (tr("Length at another speed ..."), "", self.length),
            (tr("Play it backwards"), "", partial(self._make, "reverse shot {shot}", retimes.reverse)),
            (tr("Hold the picture from this frame on"), "", self.freeze),
            (tr("Dissolve into it ..."), "T", self.dissolve),
            (tr("Wipe to it ..."), "", self.wipe),
            (tr("Fade it in from black ..."), "", self.fade_in),
            (tr("Fade it out to black ..."), "", self.fade_out),
            (tr("Let its sound begin earlier or later ..."), "", self.sound),
            (tr("Lock it, or unlock it"), "P", self.lock),
        ]

    def make(self, what: str, change: Callable[[Sequence], Sequence], asked: int | None = None, now: int | None = None) -> bool:
        """Make an edit of the chosen cut, and tell what it did beside what was asked, as the command line does."""
        chosen = self._chosen()
        if chosen is None:
            self._file.say(tr("Choose a shot first."))
            return False
        before = self._file.sequence
        if not self._file.edit(change, f"{what} of {chosen.cut}"):
            return False
        after = self._file.sequence
        for sentence in (*shots_now(before, after, chosen.cut, now), *went_along(before, after, chosen.cut, asked)):
            self._file.say(sentence)
        return True

    def _make(self, what: str, change: Change, *, asked: bool = False) -> None:
        if chosen := self._chosen():
            named = what.format(shot=chosen.shot, next=chosen.shot + 1)
            self.make(named, lambda one: change(one, chosen.cut, chosen.shot), chosen.shot if asked else None)
        else:
            self._file.say(tr("Choose a shot first."))

    def _ask_frames(self, title: str, question: str, given: str = "") -> int | None:
        if self._chosen() is None:
            self._file.say(tr("Choose a shot first."))
            return None
        return ask(self._parent, title, question, lambda text: parse_length(text, self._file.sequence.timebase), given)

    def _own_frame(self, chosen: Chosen) -> int:
        cut = self._file.sequence.cut(chosen.cut)
        return chosen.frame - sum(shot.frames for shot in cut.shots[: chosen.shot - 1])

    def split(self) -> None:
        """Split at the frame that is shown."""
        if chosen := self._chosen():
            self._make("split shot {shot}", lambda one, cut, shot: edits.split(one, cut, shot, self._own_frame(chosen)))

    def freeze(self) -> None:
        """Hold the frame that is shown."""
        if chosen := self._chosen():
            self._make("freeze shot {shot}", lambda one, cut, shot: retimes.freeze(one, cut, shot, self._own_frame(chosen)))

    def _move(self, by: int) -> None:
        if chosen := self._chosen():
            to = chosen.shot + by
            what = f"move shot {chosen.shot} to place {to}"
            self.make(what, lambda one: edits.move(one, chosen.cut, chosen.shot, to), now=to)

    def leave_card(self) -> None:
        """A card holds the shot's place."""
        if self._chosen() and (text := ask(self._parent, tr("Card"), tr("What the card says:"), _some_text)):
            self._make("remove shot {shot}", lambda one, cut, shot: edits.remove(one, cut, shot, Card(text)))

    def insert_card(self) -> None:
        """A card before the shot: words, moves, a drawing."""
        chosen = self._chosen()
        if chosen is None:
            return
        text = ask(self._parent, tr("Card"), tr("What the card says:"), _some_text)
        if not text:
            return
        moves = ask(self._parent, tr("Card"), tr("Moves that it stands for, such as 7 or 7-9, or nothing:"), _moves_or_none)
        frames = self._ask_frames(tr("Card"), tr("How long it stands: frames, seconds (1.5s) or time code:"), "24")
        if moves is None or frames is None:
            return
        kinds = tr("Pictures (*.png *.jpg *.jpeg)")
        drawing, _ = QFileDialog.getOpenFileName(self._parent, tr("A drawing or a still, if there is one"), "", kinds)
        image = stored_path(Path(drawing), self._file.path) if drawing else ""
        first, last = moves
        card = Card(text, first, last, image)
        self.make(f"insert a card as shot {chosen.shot}", lambda one: edits.insert(one, chosen.cut, chosen.shot, card, frames))

    def insert_black(self) -> None:
        """Black before the shot."""
        chosen = self._chosen()
        frames = self._ask_frames(tr("Black"), tr("How long it lasts: frames, seconds (1.5s) or time code:"), "12")
        if chosen and frames is not None:
            self.make(f"insert black as shot {chosen.shot}", lambda one: edits.insert(one, chosen.cut, chosen.shot, Black(), frames))

    def speed(self) -> None:
        """Another speed of the same frames."""
        if self._chosen() is None:
            return
        wanted = ask(self._parent, tr("Speed"), tr("Of as shot: 80%, 0.8, 4/5 or 2x:"), speed, "100%")
        if wanted is not None:
            self._make("change the speed of shot {shot}", lambda one, cut, shot: retimes.retime_to_speed(one, cut, shot, wanted))

    def length(self) -> None:
        """Another length of the same frames."""
        frames = self._ask_frames(tr("Length"), tr("Frames, seconds (1.5s) or time code; the speed follows:"))
        if frames is not None:
            self._make("change the length of shot {shot}", lambda one, cut, shot: retimes.retime_to_length(one, cut, shot, frames))

    def dissolve(self) -> None:
        """A dissolve into the shot; 0 takes it away."""
        self._transition(tr("Dissolve"), "dissolve into shot {shot}", lambda frames: Transition(TransitionKind.DISSOLVE, frames))

    def wipe(self) -> None:
        """A wipe to the shot; 0 takes it away."""
        question = tr("Number of the wipe on the edit list ({wipes}):", wipes=drawn_listed())
        pattern = ask(self._parent, tr("Wipe"), question, _whole, "1") if self._chosen() else None
        if pattern is not None:
            self._transition(tr("Wipe"), "wipe to shot {shot}", lambda frames: Transition(TransitionKind.WIPE, frames, pattern))

    def _transition(self, title: str, what: str, made: Callable[[int], Transition]) -> None:
        frames = self._ask_frames(title, tr("How long it lasts; 0 takes it away:"), "12")
        if frames is None:
            return
        if frames == 0:
            self._make(what, transitions.remove_transition, asked=True)
        else:
            self._make(what, lambda one, cut, shot: transitions.add_transition(one, cut, shot, made(frames)), asked=True)

    def fade_in(self) -> None:
        """Up from black; 0 takes it away."""
        self._fade(tr("Fade in"), "fade in shot {shot}", transitions.fade_in, transitions.remove_fade_in)

    def fade_out(self) -> None:
        """Down to black; 0 takes it away."""
        self._fade(tr("Fade out"), "fade out shot {shot}", transitions.fade_out, transitions.remove_fade_out)

    def _fade(self, title: str, what: str, made: Callable[[Sequence, str, int, int], Sequence], gone: Change) -> None:
        frames = self._ask_frames(title, tr("How long it lasts; 0 takes it away:"), "24")
        if frames is None:
            return
        self._make(what, gone if frames == 0 else lambda one, cut, shot: made(one, cut, shot, frames), asked=True)

    def sound(self) -> None:
        """The sound before or after the picture."""
        frames = self._ask_frames(tr("Sound"), tr("How long before its picture the sound begins; with a minus, after it:"), "6")
        if frames is not None:
            self._make("lead the sound of shot {shot}", lambda one, cut, shot: transitions.lead_sound(one, cut, shot, frames), asked=True)

    def lock(self) -> None:
        """Locked, or free again."""
        if chosen := self._chosen():
            locked = not self._file.sequence.cut(chosen.cut).shots[chosen.shot - 1].locked
            self._make("lock shot {shot}" if locked else "unlock shot {shot}", lambda one, cut, shot: edits.lock(one, cut, shot, locked))


def fill(menu: QMenu, owner: QWidget) -> None:
    """Have the edits' actions, which `owner` has by now, in a menu, and nothing else."""
    menu.clear()
    for action in owner.actions():
        if action.property("edit"):
            menu.addAction(action)


def _some_text(text: str) -> str:
    if not text.strip():
        raise UseFault(tr("A card needs a word at least."))
    return text.strip()


def _moves_or_none(text: str) -> tuple[int | None, int | None]:
    return run_of_moves(text) if text.strip() else (None, None)


def _whole(text: str) -> int:
    if not text.strip().isdecimal() or len(text.strip()) > 3:
        raise UseFault(tr("'{text}' is no number of a wipe.", text=text))
    return int(text)
