"""Playing one take from its beginning at half speed, to be tapped along with, and no further than its last frame."""

from __future__ import annotations

from PyQt6.QtCore import QObject

from previs.clock import grid_span
from previs.desk.log.doubts import HALF
from previs.desk.log.hand import Hand


class TakeRun(QObject):
    """Stops the player on the last frame of the take that it was begun for; any other way of stopping ends the run too."""

    def __init__(self, hand: Hand, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._hand, self._player = hand, hand.player
        self._last: int | None = None
        self._player.moved.connect(self._moved)
        self._player.state_changed.connect(self._state_changed)

    def begin(self) -> None:
        """Play the chosen take from its beginning; where there is none, on from the frame shown."""
        take = self._hand.take
        if take:
            self._hand.choose(take.name)
        self._player.play(HALF)
        self._last = grid_span(take.span, self._hand.fps).end_exclusive - 1 if take and self._player.playing else None

    def _moved(self, frame: int) -> None:
        if self._last is not None and self._player.playing and frame >= self._last:
            last, self._last = self._last, None
            self._player.pause()
            if frame > last:
                self._player.seek(last)

    def _state_changed(self) -> None:
        if not self._player.playing:
            self._last = None
