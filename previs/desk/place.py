"""What every place of the window is: a widget with a name, a colour of tape, and its keys; the places are in their own folders."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction, QKeySequence
from PyQt6.QtWidgets import QWidget

from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot


class Place(QWidget):
    """One place of the window. `ident` is its name in spots and in memory; `title` stands on its index tab.

    `others` holds keys that are not actions, as (key, what it does), for the list of keys.
    """

    ident: ClassVar[str]

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__()
        self.file = file
        self.memory = memory
        self.others: list[tuple[str, str]] = []

    @property
    def title(self) -> str:
        """What its tab says."""
        raise NotImplementedError

    def go(self, spot: Spot) -> None:
        """Show what a spot of this place names."""

    def came(self) -> None:
        """The person came to this place: put the keys where they are wanted."""

    def left(self) -> None:
        """The person went to another place, or the window closes: let nothing play on."""

    def close_down(self) -> None:
        """The file is being closed: stop every thread of this place and wait for it."""

    def act(self, text: str, keys: str, do: Callable[[], None]) -> QAction:
        """An action of this place that its keys call from anywhere in it; `keys` may name several, as `A, Shift+A`."""
        action = QAction(text, self)
        action.setShortcuts([QKeySequence(key.strip()) for key in keys.split(", ") if key.strip()])
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.triggered.connect(lambda _checked=False: do())
        self.addAction(action)
        return action
