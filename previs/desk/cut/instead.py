"""The strip of other takes that could stand in the chosen shot's place; it asks to have one played, or put in, and does neither."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QFocusEvent, QIcon, QMouseEvent, QPainter, QPixmap
from PyQt6.QtWidgets import QListWidgetItem

from previs.cut.stand_ins import StandIn, stand_ins
from previs.desk.cut.lists import ColumnList
from previs.desk.looks import looks
from previs.desk.open_file import OpenFile
from previs.desk.player.stills import Stills
from previs.desk.words import tr
from previs.desk.work import Work

_STILL_PX = 112
_DWELL_MS = 250
_QUIET_MS = 80


class Instead(ColumnList):
    """Lists the stand-ins of a shot, found in the background by `quiet`.

    `wanted` has the one to be played, under the pointer or walked to by keys, and None when there is none any more;
    `replaced` the one that was chosen with Enter or a double click.
    """

    wanted = pyqtSignal(object)
    replaced = pyqtSignal(object)

    def __init__(self, file: OpenFile, stills: Stills, quiet: Work) -> None:
        super().__init__(tr("Takes that could stand in"), self._ink)
        self._file, self._stills, self._work = file, stills, quiet
        self._found: tuple[StandIn, ...] = ()
        self._number: int | None = None
        self._over: int | None = None
        self._played: int | None = None
        self.setIconSize(QSize(_STILL_PX, _STILL_PX * 9 // 16))
        self.setMouseTracking(True)
        self._dwell, self._pause = _once(self, _DWELL_MS), _once(self, _QUIET_MS)
        self._dwell.timeout.connect(self._play)
        self._pause.timeout.connect(self._look)
        self.itemActivated.connect(self._choose)
        self.currentRowChanged.connect(self._walked)
        stills.arrived.connect(self._arrived)
        self._fill(())

    @property
    def found(self) -> tuple[StandIn, ...]:
        """What is listed: those that can stand in first."""
        return self._found

    @property
    def current(self) -> StandIn | None:
        """The one that the keys or the pointer chose last."""
        row = self.currentRow()
        return self._found[row] if 0 <= row < len(self._found) else None

    def put(self, number: int | None) -> None:
        """List the stand-ins of a shot, or none; they are found as soon as the person pauses."""
        self._number = number
        self._stop()
        self._fill(())
        self._pause.start()

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Have what the pointer rests on played."""
        super().mouseMoveEvent(event)
        row = self.indexAt(event.pos()).row() if event else -1
        self._be_over(row if 0 <= row < len(self._found) else None)

    def leaveEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """The pointer is gone."""
        super().leaveEvent(event)
        self._be_over(None)

    def focusOutEvent(self, event: QFocusEvent | None) -> None:  # noqa: N802
        """The keys are elsewhere."""
        super().focusOutEvent(event)
        self._be_over(None)

    def _walked(self, row: int) -> None:
        if self.hasFocus() and 0 <= row < len(self._found):
            self._be_over(row)

    def _be_over(self, row: int | None) -> None:
        if row == self._over:
            return
        self._over = row
        if row is None:
            self._stop()
        else:
            self._dwell.start()

    def _play(self) -> None:
        if self._over is not None and self._over < len(self._found) and self._over != self._played:
            self._played = self._over
            self.wanted.emit(self._found[self._over])

    def _stop(self) -> None:
        self._dwell.stop()
        self._over = None
        if self._played is not None:
            self._played = None
            self.wanted.emit(None)

    def _look(self) -> None:
        cut, number, sequence = self._file.cut, self._number, self._file.sequence
        if cut is None or number is None:
            self._fill(())
            return

        def put(found: tuple[StandIn, ...]) -> None:
            if sequence is self._file.sequence and number == self._number and cut is self._file.cut:
                self._fill(found, looked=True)

        self._work.do(tr("Looking for other takes"), lambda _: stand_ins(sequence, cut.name, number), put, anew=True)

    def _fill(self, found: tuple[StandIn, ...], *, looked: bool = False) -> None:
        self._found = found
        self.clear()
        for one in found:
            self.addItem(QListWidgetItem(_said(one)))
        if not found and (looked or self._number is None):
            item = QListWidgetItem(tr("No other take has these moves.") if self._number else tr("Choose a shot on the chart."))
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            self.addItem(item)
        self._show_stills()

    def _ink(self, row: int) -> str:
        one = looks()
        return one.ink if row < len(self._found) and self._found[row].sequence is not None else one.soft

    def _choose(self, item: QListWidgetItem) -> None:
        row = self.row(item)
        if 0 <= row < len(self._found):
            one = self._found[row]
            self._stop()
            if one.sequence is None:
                self._file.say(one.fault)
            else:
                self.replaced.emit(one)

    def _show_stills(self) -> None:
        for row, one in enumerate(self._found):
            item, still = self.item(row), self._stills.still(one.take.reel, max(0, one.first_frame), _STILL_PX)
            if item is None:
                continue
            if still is not None:
                item.setIcon(QIcon(_boxed(still, self.iconSize())))
            elif item.icon().isNull():
                item.setIcon(QIcon(_boxed(None, self.iconSize())))

    def _arrived(self, reel: str, frame: int) -> None:
        if any(one.take.reel == reel and max(0, one.first_frame) == frame for one in self._found):
            self._show_stills()


def _once(parent: Instead, after_ms: int) -> QTimer:
    timer = QTimer(parent)
    timer.setSingleShot(True)
    timer.setInterval(after_ms)
    return timer


def _boxed(still: QPixmap | None, size: QSize) -> QPixmap:
    """The still in a box of one size for all, so that words stand in line beside it; upright pictures are made to fit."""
    box = QPixmap(size)
    box.fill(Qt.GlobalColor.transparent)
    if still is not None:
        fitted = still.scaled(size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
        painter = QPainter(box)
        painter.drawPixmap((size.width() - fitted.width()) // 2, (size.height() - fitted.height()) // 2, fitted)
        painter.end()
    return box


def _said(one: StandIn) -> str:
    rated = tr("rated {rating} of 5", rating=one.take.rating) if one.take.rating else tr("not rated")
    size = one.take.framings[0].size.value
    said = tr("{take}, {size}\n{rated}, tempo {tempo:.0%}", take=one.take.name, size=size, rated=rated, tempo=float(one.take.tempo))
    return said if one.sequence is not None else tr("{take}, {size}: cannot stand in. {why}", take=one.take.name, size=size, why=one.fault)
