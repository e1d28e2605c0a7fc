"""The edits by hand as a person reaches them: keys and a menu, a form where something must be known, and what an edit did, told."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtGui import QAction
from PyQt6.QtWidgets import QMenu

from previs.cut.told import shots_now, went_along
from previs.desk.cut.chosen import Chosen
from previs.desk.cut.form import Form
from previs.desk.cut.hand_edits import HandEdit, Planned, hand_edits
from previs.desk.cut.questions import Answers
from previs.desk.place import Place
from previs.desk.words import tr
from previs.faults import UseFault


class ShotEdits:
    """The edits of the shot that `chosen` gives, as actions of a place; `choose` is told which shot they leave chosen."""

    def __init__(self, place: Place, chosen: Callable[[], Chosen | None], choose: Callable[[int], None]) -> None:
        self._place, self._file = place, place.file
        self._chosen, self._choose = chosen, choose
        self._groups = [[place.act(one.text, one.keys, self._doing(one)) for one in group] for group in hand_edits()]

    @property
    def actions(self) -> list[QAction]:
        """All of them, in the menu's order."""
        return [action for group in self._groups for action in group]

    def fill(self, menu: QMenu) -> None:
        """Put them into a menu, in groups."""
        for number, group in enumerate(self._groups):
            if number:
                menu.addSeparator()
            menu.addActions(group)

    def begin(self, one: HandEdit) -> None:
        """Make an edit of the chosen shot, or ask first what it must know."""
        chosen = self._chosen()
        if chosen is None:
            self._file.say(tr("Choose a shot first: click it on the chart, or press Down."))
            return
        questions = one.questions(chosen)
        if not questions:
            self.carry_out(one, {})
            return
        title = tr("Shot {shot}: {what}", shot=chosen.shot, what=one.text.removesuffix(" ..."))
        Form(self._place, title, questions, lambda answers: self.carry_out(one, answers), one.do or tr("Do it")).exec()

    def carry_out(self, one: HandEdit, answers: Answers) -> str:
        """Make an edit with the answers to its questions; gives the fault in them, or in the edit, else nothing."""
        chosen = self._chosen()
        if chosen is None:
            return tr("There is no shot any more.")
        try:
            return self.make(chosen, one.plan(chosen, answers))
        except UseFault as fault:
            return str(fault)

    def make(self, chosen: Chosen, planned: Planned) -> str:
        """Make what was planned, and tell what it did, as the command line does; gives the fault, if there is one."""
        what = f"{planned.what} of {chosen.cut}"
        if not self._file.edit(planned.change, what):
            return self._file.log[-1].sentence
        after = self._file.sequence
        told = [
            *shots_now(chosen.sequence, after, chosen.cut, planned.now),
            *went_along(chosen.sequence, after, chosen.cut, planned.asked),
        ]
        self._file.say(" ".join([tr("Done: {what}.", what=what), *told]))
        if planned.choose is not None:
            self._choose(planned.choose)
        return ""

    def _doing(self, one: HandEdit) -> Callable[[], None]:
        return lambda: self.begin(one)
