"""A slip of paper over the chart: what there is to say of a cut that was just made; it stays until it is put away."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QPushButton

from previs.desk.plain import PlainLabel
from previs.desk.words import tr


class Note(QFrame):
    """Some sentences, and a button that puts them away."""

    def __init__(self) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self._text = PlainLabel()
        self._text.setWordWrap(True)
        self._text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._away = QPushButton(tr("Put away"))
        self._away.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        row.addWidget(self._text, 1)
        row.addWidget(self._away, 0, Qt.AlignmentFlag.AlignTop)
        self.hide()

    @property
    def text(self) -> str:
        """What it says."""
        return self._text.text()

    def tell(self, sentences: tuple[str, ...]) -> None:
        """Say these."""
        self._text.setText(" ".join(sentences))
        self.show()
