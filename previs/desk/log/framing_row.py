"""The row of choices for the framing at the shown frame: sizes by their keys and faces by role, the present ones marked."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QButtonGroup, QGridLayout, QPushButton, QSizePolicy, QWidget

from previs.desk.words import tr
from previs.document.model import Framing, Shows, Size


class FramingRow(QWidget):
    """`size_wanted` has a size; `face_wanted` a role whose face is to show otherwise."""

    size_wanted = pyqtSignal(object)
    face_wanted = pyqtSignal(str)

    def __init__(self) -> None:
        super().__init__()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(3)
        self._group = QButtonGroup(self)
        self._group.setExclusive(False)
        self._sizes: dict[Size, QPushButton] = {}
        for number, size in enumerate(Size):
            button = QPushButton(tr("{key} {size}", key=number + 1, size=size.value))
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _checked=False, size=size: self.size_wanted.emit(size))
            self._grid.addWidget(button, number // 2, number % 2)
            self._sizes[size] = button
        self._faces: list[QPushButton] = []

    def put(self, framing: Framing | None, roles: tuple[str, ...]) -> None:
        """Show the framing that holds, or none."""
        for size, button in self._sizes.items():
            button.setChecked(framing is not None and framing.size is size)
            button.setEnabled(framing is not None)
        while len(self._faces) < len(roles):
            button = QPushButton()
            number = len(self._faces)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(lambda _checked=False, number=number: self.face_wanted.emit(self._roles[number]))
            self._grid.addWidget(button, len(self._sizes) // 2 + number, 0, 1, 2)
            self._faces.append(button)
        self._roles = roles
        for number, button in enumerate(self._faces):
            button.setVisible(number < len(roles))
            if number < len(roles):
                shows = framing.face_of(roles[number]) if framing else Shows.HIDDEN
                key = ("F", "G")[number] if number < 2 else ""
                button.setText(tr("{key} {role}: face {shows}", key=key, role=roles[number], shows=_in_words(shows)).strip())
                button.setEnabled(framing is not None)


def after(shows: Shows) -> Shows:
    """What a face shows after one more press."""
    every = list(Shows)
    return every[(every.index(shows) + 1) % len(every)]


def _in_words(shows: Shows) -> str:
    return {Shows.FULL: tr("shows"), Shows.PART: tr("shows in part"), Shows.HIDDEN: tr("is hidden")}[shows]
