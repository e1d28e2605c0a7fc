"""The strip of other takes that could stand in the chosen shot's place; hovering plays one, choosing it replaces the take."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QIcon, QMouseEvent, QPixmap
from PyQt6.QtWidgets import QListWidget, QListWidgetItem, QSizePolicy

from previs.cut.stand_ins import StandIn, stand_ins
from previs.desk.open_file import OpenFile
from previs.desk.player.stills import Stills
from previs.desk.words import tr

_STILL_PX = 128
_PLAYED_STILLS, _STILL_EVERY_FRAMES, _TICK_MS = 12, 4, 166


class Instead(QListWidget):
    """Lists the stand-ins of a shot. `replaced` has the one that was chosen with Enter or a double click."""

    replaced = pyqtSignal(object)

    def __init__(self, file: OpenFile, stills: Stills) -> None:
        super().__init__()
        self._file, self._stills = file, stills
        self._found: tuple[StandIn, ...] = ()
        self._over: int | None = None
        self._at = 0
        self.setIconSize(QSize(_STILL_PX, _STILL_PX * 9 // 16))
        self.setMouseTracking(True)
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Takes that could stand in"))
        self._timer = QTimer(self)
        self._timer.setInterval(_TICK_MS)
        self._timer.timeout.connect(self._play_on)
        self.itemActivated.connect(self._choose)
        stills.arrived.connect(self._arrived)

    @property
    def found(self) -> tuple[StandIn, ...]:
        """What is listed."""
        return self._found

    def put(self, number: int | None) -> None:
        """List the stand-ins of a shot, or none."""
        cut = self._file.cut
        self._found = stand_ins(self._file.sequence, cut.name, number) if cut and number else ()
        self._over = None
        self._timer.stop()
        self.clear()
        for one in self._found:
            item = QListWidgetItem(_said(one))
            item.setToolTip(one.fault or tr("Enter puts it in the shot's place. It plays while the pointer is on it."))
            if one.sequence is None:
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
            self.addItem(item)
        if not self._found:
            item = QListWidgetItem(tr("No other take holds these moves.") if number else tr("Choose a shot."))
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            self.addItem(item)
        self._show_stills()

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Play what the pointer is on."""
        super().mouseMoveEvent(event)
        row = self.indexAt(event.pos()).row() if event else -1
        over = row if 0 <= row < len(self._found) else None
        if over != self._over:
            self._over, self._at = over, 0
            self._show_stills()
            self._timer.start() if over is not None else self._timer.stop()

    def leaveEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """The pointer is gone: every still is its first again."""
        super().leaveEvent(event)
        self._over = None
        self._timer.stop()
        self._show_stills()

    def _choose(self, item: QListWidgetItem) -> None:
        row = self.row(item)
        if 0 <= row < len(self._found) and self._found[row].sequence is not None:
            self.replaced.emit(self._found[row])

    def _play_on(self) -> None:
        self._at = (self._at + 1) % _PLAYED_STILLS
        self._show_stills()

    def _frame(self, row: int) -> int:
        step = self._at * _STILL_EVERY_FRAMES if row == self._over else 0
        return max(0, self._found[row].first_frame) + step

    def _show_stills(self) -> None:
        for row, one in enumerate(self._found):
            still = self._stills.still(one.take.reel, self._frame(row), _STILL_PX)
            item = self.item(row)
            if item is None:
                continue
            if still is not None:
                item.setIcon(QIcon(still))
            elif item.icon().isNull():
                blank = QPixmap(self.iconSize())
                blank.fill(Qt.GlobalColor.transparent)
                item.setIcon(QIcon(blank))

    def _arrived(self, reel: str, frame: int) -> None:
        if any(one.take.reel == reel and self._frame(row) == frame for row, one in enumerate(self._found)):
            self._show_stills()


def _said(one: StandIn) -> str:
    size = one.take.framings[0].size.value
    stars = tr("rated {rating} of 5", rating=one.take.rating) if one.take.rating else tr("not rated")
    said = tr("{take}: {size}, {rated}, tempo {tempo:.0%}", take=one.take.name, size=size, rated=stars, tempo=float(one.take.tempo))
    return said if one.sequence is not None else tr("{take} (cannot stand in)", take=said)
