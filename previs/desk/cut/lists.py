"""A list in the column beside the chart: its own arrow keys and Enter are its own, and long lines wrap; it fills itself with nothing."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QListView, QListWidget

_OWN_KEYS = {
    getattr(Qt.Key, f"Key_{name}")
    for name in ("Up", "Down", "Left", "Right", "Home", "End", "PageUp", "PageDown", "Return", "Enter", "Delete", "Insert")
}


class ColumnList(QListWidget):
    """While it has the keys, arrows walk in it and not on the chart."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setWordWrap(True)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTextElideMode(Qt.TextElideMode.ElideNone)
        # A bar that comes and goes would change the width for which lines were wrapped.
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setSpacing(2)

    def event(self, event: QEvent | None) -> bool:
        """Claim the list's keys before a shortcut of the place has them."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            plain = event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
            if plain and event.key() in _OWN_KEYS:
                event.accept()
                return True
        return super().event(event)
