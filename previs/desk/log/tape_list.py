"""The list of tapes and their takes, with how many hits each has and how many nobody has looked at."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QAbstractItemView, QTreeWidget, QTreeWidgetItem

from previs.desk.words import tr
from previs.document.model import SURE, Sequence, Take

_WHAT = Qt.ItemDataRole.UserRole


class TapeList(QTreeWidget):
    """`chosen` has a reel and the name of a take of it, empty for the tape itself."""

    chosen = pyqtSignal(str, str)

    def __init__(self) -> None:
        super().__init__()
        self.setColumnCount(2)
        self.setHeaderLabels([tr("tape, take"), tr("hits")])
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setUniformRowHeights(True)
        self.setAccessibleName(tr("Tapes and takes"))
        self._items: dict[tuple[str, str], QTreeWidgetItem] = {}
        self._shown: tuple[object, object] = (None, None)
        self.currentItemChanged.connect(self._now)

    def put(self, sequence: Sequence, reel: str, take: str) -> None:
        """List all tapes, with one of them or one of its takes chosen."""
        self.blockSignals(True)
        if self._shown != (sequence.tapes, sequence.takes):
            self._fill(sequence)
        if item := self._items.get((reel, take)) or self._items.get((reel, "")):
            self.setCurrentItem(item)
        self.blockSignals(False)

    def _fill(self, sequence: Sequence) -> None:
        closed = {key[0] for key, item in self._items.items() if not key[1] and not item.isExpanded()}
        self.clear()
        self._items = {}
        takes: dict[str, list[Take]] = {}
        for take in sequence.takes:
            takes.setdefault(take.reel, []).append(take)
        for tape in sequence.tapes:
            top = QTreeWidgetItem([tape.reel, tape.camera])
            top.setData(0, _WHAT, (tape.reel, ""))
            self.addTopLevelItem(top)
            self._items[(tape.reel, "")] = top
            for take in takes.get(tape.reel, []):
                child = QTreeWidgetItem([take.name, _hits(take)])
                child.setData(0, _WHAT, (tape.reel, take.name))
                top.addChild(child)
                self._items[(tape.reel, take.name)] = child
            top.setExpanded(tape.reel not in closed)
        self.resizeColumnToContents(0)
        self._shown = (sequence.tapes, sequence.takes)

    def _now(self, item: QTreeWidgetItem | None, _before: object) -> None:
        if item is not None:
            reel, take = item.data(0, _WHAT)
            self.chosen.emit(reel, take)


def _hits(take: Take) -> str:
    doubtful = sum(hit.confidence < SURE for hit in take.hits)
    return tr("{hits}, {doubtful} to look at", hits=len(take.hits), doubtful=doubtful) if doubtful else str(len(take.hits))
