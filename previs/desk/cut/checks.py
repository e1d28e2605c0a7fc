"""The checks of the cut as a list: a sign and a word for how heavy each is; choosing one goes there. They are found elsewhere."""

from __future__ import annotations

from PyQt6.QtCore import QTimer, pyqtSignal
from PyQt6.QtGui import QBrush, QColor
from PyQt6.QtWidgets import QListWidget, QListWidgetItem

from previs.desk.looks import looks
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.fight.checks import checks
from previs.fight.findings import Finding, Severity

_QUIET_MS = 150


class Checks(QListWidget):
    """Checks the cut in the background after every edit. `found` has the findings; `chosen` the one that was gone to."""

    found = pyqtSignal(object)
    chosen = pyqtSignal(object)

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._findings: tuple[Finding, ...] = ()
        self.setWordWrap(True)
        self.setAccessibleName(tr("Checks"))
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
        self._file.do(
            tr("Checking cut {cut}", cut=cut.name), lambda _: checks(sequence, cut), lambda found: self._put(sequence, cut, found)
        )

    def _put(self, sequence: Sequence, cut: Cut | None, found: tuple[Finding, ...]) -> None:
        if sequence is not self._file.sequence or cut is not self._file.cut:
            return  # of a cut that is gone already; it is being checked anew
        order = list(Severity)
        self._findings = tuple(sorted(found, key=lambda one: order.index(one.severity)))
        self.clear()
        for one in self._findings:
            item = QListWidgetItem(_said(one))
            item.setToolTip(one.mend)
            colour = {Severity.ERROR: looks().red, Severity.WARNING: looks().ochre}.get(one.severity, looks().ink)
            item.setForeground(QBrush(QColor(colour)))
            self.addItem(item)
        if not found:
            self.addItem(QListWidgetItem(tr("Nothing to mend.") if cut else tr("There is no cut yet.")))
        self.found.emit(self._findings)

    def _go(self, item: QListWidgetItem) -> None:
        row = self.row(item)
        if 0 <= row < len(self._findings):
            self.chosen.emit(self._findings[row])


def _said(one: Finding) -> str:
    sign = {Severity.ERROR: "\u2716", Severity.WARNING: "\u25b2"}.get(one.severity, "\u25cb")
    word = {Severity.ERROR: tr("error"), Severity.WARNING: tr("warning")}.get(one.severity, tr("note"))
    return tr("{sign} {word} {code}: {sentence}", sign=sign, word=word, code=one.code.value.split()[0], sentence=one.sentence)
