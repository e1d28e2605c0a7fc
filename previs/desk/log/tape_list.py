"""The list of tapes and their takes, with how many hits each has and how many are in doubt; it marks nothing."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QModelIndex, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QFont, QFontMetrics, QMouseEvent, QStandardItem, QStandardItemModel
from PyQt6.QtWidgets import QAbstractItemView, QHeaderView, QTreeView, QWidget

from previs.desk.log.rows import TapeRow
from previs.desk.plain import tip
from previs.desk.words import tr

_WIDEST = 340
_REEL, _TAKE = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1


class TapeList(QTreeView):
    """`tape_chosen` has a reel, `take_chosen` the name of a take, when the person chooses one."""

    tape_chosen = pyqtSignal(str)
    take_chosen = pyqtSignal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[TapeRow, ...] = ()
        self._showing = False
        self._model = QStandardItemModel(self)
        self.setModel(self._model)
        self.setAccessibleName(tr("Tapes and takes"))
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setRootIsDecorated(False)
        self.setItemsExpandable(False)
        self.setIndentation(12)
        self.setUniformRowHeights(True)
        selected = self.selectionModel()
        assert selected is not None
        selected.currentChanged.connect(lambda now, _before: self._chosen(now.siblingAtColumn(0)))
        self._told = False
        self.clicked.connect(self._clicked)

    def put(self, rows: tuple[TapeRow, ...], reel: str, take: str) -> None:
        """Show these, with the take marked, or the tape when it has none."""
        self._showing = True
        if rows != self._rows:
            self._rows = rows
            self._fill()
        self._mark(reel, take)
        self._showing = False

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """A click tells of its row once, also where the program had chosen that row already."""
        self._told = False
        super().mousePressEvent(event)

    def _clicked(self, index: QModelIndex) -> None:
        if not self._told:
            self._chosen(index.siblingAtColumn(0))

    def _fill(self) -> None:
        self._model.clear()
        self._model.setHorizontalHeaderLabels([tr("take"), tr("hits"), tr("doubt")])
        for tape in self._rows:
            head = self._cells((tape.title, "", ""), tape.tip, tape.reel, "")
            font = head[0].font()
            font.setBold(True)
            head[0].setFont(font)
            self._model.appendRow(head)
            for take in tape.takes:
                head[0].appendRow(self._cells((take.name, take.hits, take.doubtful), take.tip, tape.reel, take.name))
        self.expandAll()
        for place in range(self._model.rowCount()):
            self.setFirstColumnSpanned(place, self.rootIndex(), True)
        bar = self.header()
        assert bar is not None
        bar.setStretchLastSection(False)
        bar.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self._make_room()
        for column in (1, 2):
            bar.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger text needs more room."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            QTimer.singleShot(0, self._make_room)

    def _make_room(self) -> None:
        """As wide as the longest name of a take beside its hits, so that no name is cut off."""
        names = [take.name for tape in self._rows for take in tape.takes]
        bold = QFont(self.font())
        bold.setBold(True)
        wide = max((self.fontMetrics().horizontalAdvance(name) for name in names), default=40) + self.indentation() + 26
        bar, scroll = self.header(), self.verticalScrollBar()
        others = sum(max(self.sizeHintForColumn(column), bar.sectionSizeHint(column) if bar else 0) for column in (1, 2))
        titles = max((QFontMetrics(bold).horizontalAdvance(tape.title) for tape in self._rows), default=40) + 20
        beside = (scroll.sizeHint().width() if scroll else 0) + 2 * self.frameWidth()
        self.setMinimumWidth(min(max(wide + others, titles) + beside, _WIDEST))

    @staticmethod
    def _cells(words: tuple[str, ...], told: str, reel: str, take: str) -> list[QStandardItem]:
        cells = [QStandardItem(word) for word in words]
        cells[0].setData(reel, _REEL)
        cells[0].setData(take, _TAKE)
        for cell in cells:
            cell.setToolTip(tip(told))
        for cell in cells[1:]:
            cell.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return cells

    def _mark(self, reel: str, take: str) -> None:
        for place in range(self._model.rowCount()):
            head = self._model.item(place)
            if head is None or head.data(_REEL) != reel:
                continue
            kids = [head.child(row) for row in range(head.rowCount())]
            item = next((kid for kid in kids if kid and take and kid.data(_TAKE) == take), head)
            if item.index() != self.currentIndex().siblingAtColumn(0):
                self.setCurrentIndex(item.index())

    def _chosen(self, index: object) -> None:
        item = self._model.itemFromIndex(index)  # type: ignore[arg-type]
        if self._showing or item is None:
            return
        self._told = True
        if name := item.data(_TAKE):
            self.take_chosen.emit(name)
        else:
            self.tape_chosen.emit(item.data(_REEL))
