"""Fields that keep the keys that they need while they have the focus, and hand over what was written; they hold no marks."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QWidget

_PRESSES = (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class OwnKeys(QObject):
    """Set on a widget of a place: Space and Enter press it, and Enter ends a field, before they are keys of the place.

    A wheel that turns over a list changes it only when it has the focus, so that a page can be scrolled past it.
    """

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:  # noqa: N802
        """Keep these keys for the widget."""
        if event is None or not isinstance(watched, QWidget):
            return False
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and event.key() in _PRESSES:
            event.accept()
            return False
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() in _PRESSES[1:]:
            if isinstance(watched, QAbstractButton):
                watched.click()
                return True
            if isinstance(watched, QComboBox) and not watched.isEditable():
                watched.showPopup()
                return True
        return event.type() == QEvent.Type.Wheel and isinstance(watched, QComboBox) and not watched.hasFocus()


class Words(QLineEdit):
    """A line to write in: `done` is called with what was written, once, on Enter or when the person goes elsewhere.

    Escape brings back what stood there.
    """

    def __init__(self, name: str, done: Callable[[str], None]) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._stood, self._done = "", done
        self.editingFinished.connect(self.finish)

    def put(self, text: str) -> None:
        """Show this, unless the person is writing."""
        self._stood = text
        if not self.hasFocus() or not self.isModified():
            self.setText(text)
            self.setCursorPosition(0)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Escape forgets what was written."""
        if event and event.key() == Qt.Key.Key_Escape:
            self.setText(self._stood)
            return
        super().keyPressEvent(event)

    def event(self, event: QEvent | None) -> bool:
        """Escape is the line's own."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def finish(self) -> None:
        """Hand over what was written, if it is another than what stood there."""
        written = self.text()
        if written == self._stood:
            return
        self._stood = written
        self.setModified(False)
        self._done(written)


def keep_own_keys(root: QWidget, filter_: OwnKeys) -> None:
    """Set the filter on every button, list and line below `root`; buttons take the focus by Tab only, so a click leaves the keys be."""
    for button in root.findChildren(QAbstractButton):
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.installEventFilter(filter_)
    for other in (*root.findChildren(QComboBox), *root.findChildren(QLineEdit)):
        other.installEventFilter(filter_)
