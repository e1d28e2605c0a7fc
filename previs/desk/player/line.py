"""The line under a player's picture: play and stop, time code, the ruler, the speed in words; it plays nothing."""

from __future__ import annotations

from fractions import Fraction

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QToolButton, QWidget

from previs.desk.plain import PlainLabel
from previs.desk.player.ruler import Ruler
from previs.desk.words import tr


class Line(QWidget):
    """`pressed` comes when the person wants it to play or stop."""

    pressed = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.ruler = Ruler()
        self._button = QToolButton()
        self._button.setMinimumWidth(64)
        self._button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._button.clicked.connect(self.pressed)
        self._main, self._beside, self._speed = PlainLabel(), PlainLabel(), PlainLabel()
        for label, name in ((self._main, tr("Time code")), (self._beside, tr("Time code of the second picture"))):
            label.setProperty("kind", "figures")
            label.setAccessibleName(name)
        self._labels = "", ""
        self._speed.setProperty("kind", "soft")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 4, 0)
        for widget, stretch in ((self._button, 0), (self._main, 0), (self._beside, 0), (self.ruler, 1), (self._speed, 0)):
            row.addWidget(widget, stretch)

    @property
    def labels(self) -> tuple[str, str]:
        """The time codes that stand on it: of the picture, and of the one beside it."""
        return self._labels

    def tell_time(self, main: str, beside: str = "") -> None:
        """Show these time codes."""
        self._labels = main, beside
        self._main.setText(main)
        self._beside.setText(tr("beside it {time}", time=beside) if beside else "")

    def tell_state(self, speed: Fraction, *, playing: bool) -> None:
        """Show whether it plays, and how fast it does or would."""
        self._button.setText(tr("Stop") if playing else tr("Play"))
        self._speed.setText(_in_words(speed))


def _in_words(speed: Fraction) -> str:
    return {
        Fraction(1, 8): tr("an eighth of the speed"),
        Fraction(1, 4): tr("a quarter of the speed"),
        Fraction(1, 2): tr("half speed"),
        Fraction(1): tr("full speed"),
        Fraction(2): tr("double speed"),
    }.get(speed, tr("{share:.0%} of the speed", share=float(speed)))
