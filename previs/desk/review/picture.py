"""The player on a note: its frame in the cut as it is now or as it was given, with what was drawn on it; it finds no note."""

from __future__ import annotations

from PyQt6.QtCore import QRect
from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from previs.desk.open_file import OpenFile
from previs.desk.player.picture import paint_caption
from previs.desk.player.view import Player
from previs.desk.review.seen import Seen, seen
from previs.desk.review.shapes import paint_shapes
from previs.review.note_lists import Standing


class NotePicture(QWidget):
    """Shows one note, None for the cut itself."""

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self.player = Player(file)
        self.shown: Seen | None = None
        self._file = file
        self._one: Standing | None = None
        self._given = False
        self.player.overlay = self._paint
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.player)

    def put(self, one: Standing | None) -> None:
        """Show this note; the one that is shown already stays at the frame that the person went to."""
        if one is None or self._one is None or one.note.ident != self._one.note.ident:
            self._given = False
        self._one = one
        self._look()

    def toggle_given(self) -> None:
        """Show the picture that the note was given on, or the cut as it is now again."""
        self._given = not self._given
        self._look()

    def drawn_on(self, frame: int) -> bool:
        """Whether the note's drawings stand on this frame of what is shown."""
        shown = self.shown
        return shown is not None and bool(shown.drawings) and self.player.strip == shown.strip and shown.frames.holds(frame)

    def _look(self) -> None:
        wanted = seen(self._file.sequence, self._file.cut, self._one, given=self._given)
        if wanted == self.shown:
            return
        self.shown = wanted
        self.player.pause()
        self.player.look_at(wanted.strip, wanted.frame, wanted.caption)

    def _paint(self, painter: QPainter, place: QRect, frame: int) -> None:
        shown = self.shown
        if shown is None:
            return
        if self.drawn_on(frame):
            paint_shapes(painter, place, shown.drawings)
        if shown.caption:
            paint_caption(painter, place, shown.caption)
