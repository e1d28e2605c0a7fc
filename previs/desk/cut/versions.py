"""Copying, naming and deleting the cut that is worked on, as a person asks for it; what a version is, `cut.versions` decides."""

from __future__ import annotations

from collections.abc import Callable

from previs.cut.assembly import next_name
from previs.cut.versions import copy_cut, delete_cut, rename_cut
from previs.desk.cut.form import ask
from previs.desk.cut.questions import Question
from previs.desk.place import Place
from previs.desk.words import tr
from previs.document.model import Cut, Sequence

Named = Callable[[Sequence, str], Sequence]


class Versions:
    """What can be done with a cut as a whole; forms stand before `place`."""

    def __init__(self, place: Place) -> None:
        self._place, self._file = place, place.file

    def copy(self) -> None:
        """Another version to change, this one kept."""
        if cut := self._cut():
            self._ask(
                tr("Go on in a copy of cut {cut}, which stays as it is", cut=cut.name),
                tr("Go on in it"),
                next_name(self._file.sequence),
                lambda one, name: copy_cut(one, cut.name, name),
                f"copy cut {cut.name} to {{name}}",
            )

    def rename(self) -> None:
        """Another name."""
        if cut := self._cut():
            self._ask(
                tr("Another name for cut {cut}", cut=cut.name),
                tr("Name it so"),
                cut.name,
                lambda one, name: rename_cut(one, cut.name, name),
                f"name cut {cut.name} {{name}}",
            )

    def delete(self) -> None:
        """Away with it; undo brings it back."""
        if cut := self._cut():
            name = cut.name
            if self._file.edit(lambda one: delete_cut(one, name), f"delete cut {name}"):
                self._file.say(tr("Cut {cut} is deleted; undo brings it back.", cut=name))

    def _cut(self) -> Cut | None:
        if self._file.cut is None:
            self._file.say(tr("There is no cut yet."))
        return self._file.cut

    def _ask(self, title: str, do: str, given: str, change: Named, what: str) -> None:
        def carry_out(answers: dict[str, str]) -> str:
            name = answers["name"]
            # A name may hold braces of its own, so it is put in, not formatted twice.
            done = self._file.edit(lambda one: change(one, name), what.replace("{name}", name))
            return "" if done else self._file.log[-1].sentence

        ask(self._place, title, (Question("name", tr("Its name"), given),), carry_out, do)
