"""A column of widgets beside something larger; it knows none of them."""

from __future__ import annotations

from PyQt6.QtCore import QSize, Qt
from PyQt6.QtWidgets import QFrame, QScrollArea, QWidget


class Column(QScrollArea):
    """A column as wide as what is in it, that scrolls where there is no room for its height."""

    def __init__(self, inner: QWidget) -> None:
        super().__init__()
        self.setWidget(inner)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Nothing in it is cut off on the right."""
        inner, bar = self.widget(), self.verticalScrollBar()
        wide = (inner.minimumSizeHint().width() if inner else 0) + (bar.sizeHint().width() if bar else 0)
        return QSize(wide, 120)
