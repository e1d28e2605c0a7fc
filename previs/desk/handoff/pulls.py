"""The dialog that asks which pulls are wanted for visual effects, and the words of its choices; it makes none."""

from __future__ import annotations

from collections.abc import Sequence as Several
from pathlib import Path

from PyQt6.QtWidgets import QCheckBox, QComboBox, QWidget

from previs.cut.codes import with_codes
from previs.cut.wording import counted
from previs.desk.asking import Asking, PlaceField
from previs.desk.words import tr
from previs.document.model import Cut, Kind, Sequence
from previs.faults import UseFault
from previs.handoff.pull_files import Wanted, pulls_wanted


class PullsDialog(Asking):
    """Asks which shots are pulled, as what, and where to. `listed` are the shots in the list, `chosen` the one chosen in it.

    `narrowed` says that the list is filtered; then it is what is offered first.
    """

    def __init__(
        self,
        sequence: Sequence,
        cut: Cut,
        output: Path,
        listed: Several[int],
        chosen: int | None,
        parent: QWidget | None,
        *,
        narrowed: bool,
    ) -> None:
        about = tr(
            "Each shot from its tape with handles of {handles}, first frame {first}, and a count sheet, contact sheets and an edit list.",
            handles=counted(sequence.settings.handle_frames, tr("frame")),
            first=sequence.settings.first_pull_frame,
        )
        super().__init__(tr("Pulls of cut {cut}", cut=cut.name), about, tr("Pull"), parent)
        self._coded = with_codes(sequence, cut.name)
        self._cut = self._coded.cut(cut.name)
        self.which = QComboBox()
        self.which.addItem(tr("every shot with a treatment"), Wanted())
        for kind in Kind:
            self.which.addItem(tr("every shot with a {kind}", kind=kind.value), Wanted(kind))
        if narrowed and listed:
            self.which.addItem(tr("what is listed: {shots}", shots=counted(len(listed), tr("shot"))), Wanted(shots=frozenset(listed)))
            self.which.setCurrentIndex(self.which.count() - 1)
        if chosen is not None:
            self.which.addItem(tr("shot {shot} alone, which is chosen in the list", shot=chosen), Wanted(shots=frozenset({chosen})))
        self.which.addItem(tr("every shot that has footage"), Wanted(untreated=True))
        self.movies, self.stills = QCheckBox(tr("Movies")), QCheckBox(tr("Numbered stills"))
        self.movies.setChecked(True)
        self.place = PlaceField(output, tr("Where the pulls go"), folder=True)
        self.form.addRow(tr("Which"), self.which)
        self.form.addRow(tr("As"), self.movies)
        self.form.addRow("", self.stills)
        self.form.addRow(tr("Where the pulls go"), self.place)

    @property
    def wanted(self) -> Wanted:
        """What the person asks for."""
        chosen: Wanted = self.which.currentData()
        return Wanted(chosen.only, chosen.untreated, self.stills.isChecked(), self.movies.isChecked(), shots=chosen.shots)

    def do(self) -> None:
        """Look whether there is something to pull, and a folder for it, before anything is begun."""
        if self.place.path.exists() and not self.place.path.is_dir():
            raise UseFault(tr("{place} is a file; give the name of a folder.", place=self.place.path))
        pulls_wanted(self._coded, self._cut, self.wanted)
