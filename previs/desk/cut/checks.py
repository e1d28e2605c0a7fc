"""The checks of the cut as a list: a sign and a word for how heavy each is; choosing one goes there. They are found elsewhere."""

from __future__ import annotations

from PyQt6.QtCore import Qt, QTimer, pyqtSignal
from PyQt6.QtWidgets import QListWidgetItem

from previs.desk.cut.lists import ColumnList
from previs.desk.looks import looks
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.desk.work import Work
from previs.document.model import Cut, Sequence
from previs.fight.checks import checks
from previs.fight.findings import Finding, Severity

_QUIET_MS = 150


class Checks(ColumnList):
    """Checks the cut in the background after every edit. `found` has the findings; `chosen` the one that was gone to."""

    found = pyqtSignal(object)
    chosen = pyqtSignal(object)

    def __init__(self, file: OpenFile, quiet: Work) -> None:
        super().__init__(tr("Checks"), self._ink)
        self._file, self._work = file, quiet
        self._findings: tuple[Finding, ...] = ()
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(_QUIET_MS)
        self._quiet.timeout.connect(self._look)
        self.itemActivated.connect(self._go)
        self.itemClicked.connect(self._go)
        file.changed.connect(self.look_again)
        file.cut_chosen.connect(self.look_again)
        self.look_again()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, the heaviest first."""
        return self._findings

    def look_again(self, *_: object) -> None:
        """Check again, as soon as the person pauses."""
        self._quiet.start()

    def _look(self) -> None:
        sequence, cut = self._file.sequence, self._file.cut
        if cut is None:
            self._put(sequence, None, ())
            return
        self._work.do(
            tr("Checking cut {cut}", cut=cut.name),
            lambda _: checks(sequence, cut),
            lambda found: self._put(sequence, cut, found),
            anew=True,
        )

    def step(self, by: int) -> None:
        """Go to the next finding, or to the one before with -1; round at the ends."""
        if not self._findings:
            self._file.say(tr("Nothing to mend."))
            return
        row = self.currentRow()
        row = (row + by) % len(self._findings) if row >= 0 else (0 if by > 0 else len(self._findings) - 1)
        self.setCurrentRow(row)
        self.chosen.emit(self._findings[row])

    def _put(self, sequence: Sequence, cut: Cut | None, found: tuple[Finding, ...]) -> None:
        if sequence is not self._file.sequence or cut is not self._file.cut:
            return  # of a cut that is gone already; it is being checked anew
        order = list(Severity)
        self._findings = tuple(sorted(found, key=lambda one: order.index(one.severity)))
        at = self.currentRow()
        self.clear()
        for one in self._findings:
            self.addItem(QListWidgetItem(_said(one)))
        if self._findings:
            self.setCurrentRow(min(at, len(self._findings) - 1))
        else:
            nothing = QListWidgetItem(tr("Nothing to mend.") if cut else tr("There is no cut yet."))
            nothing.setFlags(Qt.ItemFlag.NoItemFlags)
            self.addItem(nothing)
        self.found.emit(self._findings)

    def _ink(self, row: int) -> str:
        one = looks()
        inks = {Severity.ERROR: one.red, Severity.WARNING: one.ochre}
        return inks.get(self._findings[row].severity, one.ink) if row < len(self._findings) else one.soft

    def _go(self, item: QListWidgetItem) -> None:
        row = self.row(item)
        if 0 <= row < len(self._findings):
            self.chosen.emit(self._findings[row])


def _said(one: Finding) -> str:
    sign = {Severity.ERROR: "\u2716", Severity.WARNING: "\u25b2"}.get(one.severity, "\u25cb")
    word = {Severity.ERROR: tr("error"), Severity.WARNING: tr("warning")}.get(one.severity, tr("note"))
    return tr("{sign} {word} {code}: {sentence}", sign=sign, word=word, code=one.code.value.split()[0], sentence=one.sentence)
