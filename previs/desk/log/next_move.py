"""The panel of the next move: its number large, what it is, the big button to tap it, and what the last tap came to."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QEvent, QSize, Qt, QTimer
from PyQt6.QtGui import QFont, QResizeEvent
from PyQt6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QSizePolicy, QWidget

from previs.desk.log.rows import move_said, place_said
from previs.desk.plain import PlainLabel, tip
from previs.desk.words import tr
from previs.document.model import Move, Sequence, Take


class NextMove(QWidget):
    """Shows the next move; `beat` and `snap` are called by its buttons."""

    def __init__(self, beat: Callable[[], None], snap: Callable[[], None]) -> None:
        super().__init__()
        self._number, self._label, self._who, self._place, self._told = PlainLabel(), Elided(), Elided(), PlainLabel(), PlainLabel()
        self._number.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._number.setAccessibleName(tr("The next move"))
        self._label.setProperty("kind", "heading")
        self._place.setProperty("kind", "soft")
        self._told.setWordWrap(True)
        self._told.setAccessibleName(tr("What the last key did"))
        self._told.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._beat, self._snap = QPushButton(tr("It lands  (B)")), QPushButton(tr("Snap  (S)"))
        self._beat.setToolTip(tr("The next move lands on the frame shown; half speed is the usual way to tap"))
        self._snap.setToolTip(tr("Put a tap on the nearest strike, landing or sudden stop within six frames"))
        self._snap.setCheckable(True)
        self._beat.clicked.connect(lambda: beat())
        self._snap.clicked.connect(lambda: snap())
        row = QHBoxLayout()
        row.addWidget(self._who, 1)
        row.addWidget(self._place)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(1)
        grid.addWidget(self._number, 0, 0, 3, 1)
        grid.addWidget(self._label, 0, 1)
        grid.addLayout(row, 1, 1)
        grid.addWidget(self._told, 2, 1)
        grid.addWidget(self._beat, 0, 2, 2, 1)
        grid.addWidget(self._snap, 2, 2)
        grid.setColumnStretch(1, 1)

    def put(self, sequence: Sequence, take: Take | None, move: Move | None, told: str, *, snap: bool) -> None:
        """Show this."""
        self._enlarge()
        self._number.setText(str(move.number) if move else "–")
        label, who = _nothing_said(sequence, take)
        self._label.put(move.label if move else label)
        self._who.put(move_said(move) if move else who)
        self._place.setText(place_said(sequence, take, move) if take else "")
        self._told.setText(told)
        # Two lines are kept free, so that nothing moves when a sentence is long.
        self._told.setMinimumHeight(self._told.fontMetrics().lineSpacing() * 2)
        self._told.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._snap.setChecked(snap)
        self._snap.setText(tr("Snap is on  (S)") if snap else tr("Snap is off  (S)"))

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Other looks or larger text give every label the common font: enlarge the number again."""
        super().changeEvent(event)
        if event and event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            QTimer.singleShot(0, self._enlarge)

    def _enlarge(self) -> None:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 2.6)
        font.setBold(True)
        self._number.setFont(font)
        self._number.setMinimumWidth(self._number.fontMetrics().horizontalAdvance("888"))


def _nothing_said(sequence: Sequence, take: Take | None) -> tuple[str, str]:
    """What there is to say where no move is the next one: the state, and what to do."""
    if take:
        return tr("every move is tapped"), ""
    if not sequence.tapes:
        return tr("There are no tapes yet."), tr("Take some in under Tapes.")
    return tr("No take is marked on this tape yet."), tr("T marks where one begins and where it ends; P proposes takes.")


class Elided(PlainLabel):
    """A line that ends in dots where there is no room for it, with the whole of it as a tip."""

    def __init__(self) -> None:
        super().__init__()
        self._whole = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def put(self, words: str) -> None:
        """Show these words."""
        self._whole = words
        self.setToolTip(tip(words))
        self._show()

    def sizeHint(self) -> QSize:  # noqa: N802
        """One line high."""
        return QSize(120, self.fontMetrics().height() + 2)

    def resizeEvent(self, _event: QResizeEvent | None) -> None:  # noqa: N802
        """Shorten anew."""
        self._show()

    def _show(self) -> None:
        self.setText(self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, max(self.width() - 2, 0)))
