"""The lists beside the plan: cues, tight places, speeds, what is odd in the plan; choosing a line leads to its moment and its spot."""

from __future__ import annotations

from typing import Any

from PyQt6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QObject, QRect, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QBrush, QColor, QFont, QFontMetrics, QKeyEvent, QResizeEvent
from PyQt6.QtWidgets import QAbstractItemView, QButtonGroup, QPushButton, QTableView, QVBoxLayout, QWidget

from previs.desk.floor.findings import Findings, Line, of_role, shown_now
from previs.desk.looks import looks
from previs.desk.tapes.flow import Flow
from previs.desk.words import tr

_AIR_PX, _MOST_FITTED = 8, 600
_LEAST_LETTERS = 26
"""Where what there is to do would have less room than this in a line, who and when stand above it."""
_MARK = "\u25b8 "
"""Before what the cut shows now: its ground alone would not tell those who do not see colours."""
_OWN_KEYS = {getattr(Qt.Key, f"Key_{name}") for name in ("Up", "Down", "Home", "End", "PageUp", "PageDown", "Return", "Enter")}


class LineTable(QAbstractTableModel):
    """Lines with who, when and what; those that the cut shows now are marked."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.lines: tuple[Line, ...] = ()
        self.now: frozenset[int] = frozenset()
        self.first = 0
        """The first column that is seen; where only the last one is, it says everything."""

    def show_lines(self, lines: tuple[Line, ...]) -> bool:
        """Show these; False when they are shown already."""
        if lines == self.lines:
            return False
        self.beginResetModel()
        self.lines, self.now = lines, frozenset()
        self.endResetModel()
        return True

    def show_now(self, now: frozenset[int]) -> None:
        """Mark these lines."""
        if now != self.now:
            changed = now ^ self.now
            self.now = now
            for row in changed:
                self.dataChanged.emit(self.index(row, 0), self.index(row, 2))

    def _word(self, line: Line, column: int) -> str:
        if line.note:
            return _note_told(line) if column == self.first else ""
        if self.first == 2:
            return _stacked(line)
        return (line.who, line.when, line.what)[column]

    def rowCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """One for each line."""
        return 0 if parent is not None and parent.isValid() else len(self.lines)

    def columnCount(self, parent: QModelIndex | None = None) -> int:  # noqa: N802
        """Who, when, what."""
        return 0 if parent is not None and parent.isValid() else 3

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        """A note leads nowhere."""
        plain = super().flags(index)
        note = index.isValid() and index.row() < len(self.lines) and self.lines[index.row()].note
        return plain & ~Qt.ItemFlag.ItemIsSelectable if note else plain

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Words, face, ink and ground of a cell."""
        if not index.isValid() or index.row() >= len(self.lines):
            return None
        line, now, one = self.lines[index.row()], index.row() in self.now, looks()
        if role == Qt.ItemDataRole.DisplayRole:
            word = self._word(line, index.column())
            return _MARK + word if now and index.column() == self.first else word
        if role == Qt.ItemDataRole.FontRole and (now or (line.red and index.column() == 1)):
            font = QFont()
            font.setBold(True)
            return font
        if role == Qt.ItemDataRole.ForegroundRole and (line.note or line.red):
            return QBrush(QColor(one.soft if line.note else one.red))
        if role == Qt.ItemDataRole.BackgroundRole and now:
            return QBrush(QColor(one.chosen))
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        return None


class LineView(QTableView):
    """While it has the keys, arrows up and down, Home, End and Enter are the list's and not the player's or the plan's."""

    def event(self, event: QEvent | None) -> bool:
        """Claim the list's keys before a shortcut of the place has them."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            plain = event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
            if plain and event.key() in _OWN_KEYS:
                event.accept()
                return True
        return super().event(event)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Some lines."""
        return QSize(360, 260)


class FloorLists(QWidget):
    """Four lists, one of them seen. `chosen` has the line that was chosen."""

    chosen = pyqtSignal(object)

    def __init__(self) -> None:
        super().__init__()
        self.model, self.view = LineTable(self), LineView()
        self._found = Findings()
        self._report: tuple[Line, ...] = ()
        self._role, self._frame, self._which = "", 0, 0
        self._buttons = QButtonGroup(self)
        self._refit = QTimer(self)
        self._refit.setSingleShot(True)
        self._refit.timeout.connect(self._fit)
        self._lay_out()
        self.show_list(0)

    def put(self, found: Findings) -> None:
        """Show what was found."""
        self._found = found
        self._show()

    def put_report(self, sentences: tuple[str, ...]) -> None:
        """Show what was said of the plan when it was read or fitted, above what is odd in it, and turn to that list."""
        self._report = tuple(Line("", "", sentence, note=True) for sentence in sentences)
        self.show_list(3)

    def put_role(self, role: str) -> None:
        """Only lines of this role; of all for an empty one."""
        if role != self._role:
            self._role = role
            self._show()

    def put_frame(self, frame: int) -> None:
        """Mark the lines that the cut shows on a frame."""
        self._frame, before = frame, self.model.now
        now = shown_now(self.model.lines, frame)
        self.model.show_now(now)
        if now - before and not self.view.hasFocus():
            self.view.scrollTo(self.model.index(min(now), 0))

    def show_list(self, which: int) -> None:
        """Turn to a list: cues, tight places, speeds, plan, from 0."""
        self._which = which
        if button := self._buttons.button(which):
            button.setChecked(True)
        self._show()

    def show_move(self, move: int) -> bool:
        """Choose and show the line of a move; False where the list has none."""
        lines = self.model.lines
        row = next((row for row, line in enumerate(lines) if move in line.moves and not line.note), None)
        if row is None:
            return False
        self.view.setCurrentIndex(self.model.index(row, 2))
        self.view.scrollTo(self.model.index(row, 0), QAbstractItemView.ScrollHint.PositionAtCenter)
        return True

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Words wrap anew."""
        super().resizeEvent(event)
        self._refit.start()

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Larger or smaller text needs other columns."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._refit.start()

    def _show(self) -> None:
        found = self._found
        every = (found.cues, found.tight, found.speeds, (*self._report, *found.odd))
        for number, (title, lines) in enumerate(zip(_titles(), every, strict=True)):
            if button := self._buttons.button(number):
                count = sum(not line.note for line in of_role(lines, self._role))
                button.setText(tr("{title} ({count})", title=title, count=count) if count else title)
        if self.model.show_lines(of_role(every[self._which], self._role)):
            self._fit()
        self.put_frame(self._frame)

    def _fit(self) -> None:
        """Who and when as wide as their words, what takes the rest; lines as high as their words."""
        view, lines = self.view, self.model.lines
        bold = QFont(view.font())
        bold.setBold(True)
        metrics = QFontMetrics(bold)
        # Of one role alone its name need not be said in every line.
        who = [] if self._role else [_MARK + line.who for line in lines if not line.note and line.who]
        when = [_MARK + part for line in lines for part in line.when.split("\n") if part]
        widths = [max((metrics.horizontalAdvance(word) + 2 * _AIR_PX for word in words[:_MOST_FITTED]), default=0) for words in (who, when)]
        viewport = view.viewport()
        whole = viewport.width() if viewport else view.width()
        if whole - sum(widths) < metrics.averageCharWidth() * _LEAST_LETTERS:
            widths = [0, 0]
        self.model.first = next((number for number, width in enumerate(widths) if width), 2)
        view.clearSpans()
        for number, width in enumerate(widths):
            view.setColumnHidden(number, not width)
            view.setColumnWidth(number, width)
        for row, line in enumerate(lines[:_MOST_FITTED]):
            if line.note and self.model.first < 2:
                view.setSpan(row, self.model.first, 1, 3 - self.model.first)
            said = _note_told(line) if line.note else line.what if self.model.first < 2 else _MARK + _stacked(line)
            wide = whole if line.note else whole - sum(widths)
            box = metrics.boundingRect(QRect(0, 0, max(wide - 2 * _AIR_PX, 60), 10_000), int(Qt.TextFlag.TextWordWrap), said)
            high = max(box.height(), metrics.height() * (line.when.count("\n") + 1) if self.model.first < 2 else 0)
            view.setRowHeight(row, high + _AIR_PX)

    def _clicked(self, index: QModelIndex) -> None:
        if index.isValid() and index.row() < len(self.model.lines):
            line = self.model.lines[index.row()]
            if not line.note:
                self.chosen.emit(line)

    def _lay_out(self) -> None:
        buttons = Flow()
        for number, title in enumerate(_titles()):
            button = QPushButton(title)
            button.setCheckable(True)
            button.setToolTip(tr("{title} (Alt+{number})", title=title, number=number + 1))
            self._buttons.addButton(button, number)
            buttons.addWidget(button)
        self._buttons.idClicked.connect(self.show_list)
        view = self.view
        view.setModel(self.model)
        view.setAccessibleName(tr("What was found on the floor"))
        view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        view.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        view.setWordWrap(True)
        view.setShowGrid(False)
        view.setTabKeyNavigation(False)
        view.clicked.connect(self._clicked)
        view.activated.connect(self._clicked)
        if (rows := view.verticalHeader()) is not None:
            rows.hide()
        if (header := view.horizontalHeader()) is not None:
            header.hide()
            header.setStretchLastSection(True)
        if selection := view.selectionModel():
            selection.currentRowChanged.connect(self._row_changed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(buttons)
        column.addWidget(view, 1)

    def _row_changed(self, index: QModelIndex, _before: QModelIndex) -> None:
        """Arrows go from line to line as clicks do."""
        if self.view.hasFocus():
            self._clicked(index)


def _stacked(line: Line) -> str:
    """Who and when in a line of their own, above what."""
    above = ", ".join(filter(None, (line.who, *line.when.split("\n"))))
    return f"{above}\n{line.what}" if above else line.what


def _note_told(line: Line) -> str:
    return tr("{who}: {what}", who=line.who, what=line.what) if line.who else line.what


def _titles() -> tuple[str, str, str, str]:
    return tr("Cues"), tr("Tight places"), tr("Speeds"), tr("Plan")
