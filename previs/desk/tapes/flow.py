"""A row of buttons that goes on in a second line where the text is large or the window narrow; it knows no button."""

from __future__ import annotations

from PyQt6.QtCore import QPoint, QRect, QSize, Qt
from PyQt6.QtWidgets import QLayout, QLayoutItem


class Flow(QLayout):
    """Lays widgets out in lines from the left, as many lines as are needed."""

    def __init__(self) -> None:
        super().__init__()
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(8)

    def addItem(self, item: QLayoutItem | None) -> None:  # noqa: N802
        """One more, at the end."""
        if item is not None:
            self._items.append(item)

    def count(self) -> int:
        """How many there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:  # noqa: N802
        """One of them, or None."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:  # noqa: N802
        """Take one out."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:  # noqa: N802
        """None: it takes what it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:  # noqa: N802
        """Its lines depend on its width."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """How high its lines are at a width."""
        return self._place(QRect(0, 0, width, 0), really=False)

    def setGeometry(self, rect: QRect) -> None:  # noqa: N802
        """Put everything into its place."""
        super().setGeometry(rect)
        self._place(rect, really=True)

    def sizeHint(self) -> QSize:  # noqa: N802
        """All in one line."""
        hints = [item.sizeHint() for item in self._items]
        wide = sum(hint.width() for hint in hints) + self.spacing() * max(0, len(hints) - 1)
        return QSize(wide, max((hint.height() for hint in hints), default=0))

    def minimumSize(self) -> QSize:  # noqa: N802
        """One in each line."""
        sizes = [item.minimumSize() for item in self._items]
        return QSize(max((one.width() for one in sizes), default=0), max((one.height() for one in sizes), default=0))

    def _place(self, rect: QRect, *, really: bool) -> int:
        at, high = QPoint(rect.topLeft()), 0
        for item in self._items:
            hint = item.sizeHint()
            if high and at.x() + hint.width() > rect.right() + 1:
                at, high = QPoint(rect.left(), at.y() + high + self.spacing()), 0
            if really:
                item.setGeometry(QRect(at, hint))
            at.setX(at.x() + hint.width() + self.spacing())
            high = max(high, hint.height())
        return at.y() + high - rect.top()
