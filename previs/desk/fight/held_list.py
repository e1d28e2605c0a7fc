"""The takes that hold the chosen move, widest first, each with its still and what there is to know of it."""

from __future__ import annotations

from PyQt6.QtCore import QAbstractListModel, QModelIndex, QRect, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter, QPen, QPixmap
from PyQt6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from previs.desk.fight import telling
from previs.desk.looks import looks
from previs.desk.plain import tip
from previs.desk.player.stills import Stills
from previs.desk.words import tr
from previs.exchange.lists import framing_text
from previs.fight.coverage import Covered, Held

_STILL = QSize(160, 90)
_AIR = 6
_LINES = 6
_NOBODY = QModelIndex()


class HeldModel(QAbstractListModel):
    """What holds one move."""

    def __init__(self) -> None:
        super().__init__()
        self.held: tuple[Held, ...] = ()
        self.roles: tuple[str, ...] = ()

    def show_move(self, covered: Covered | None) -> None:
        """Show what holds this move; nothing where it is None."""
        held = sorted(covered.held, key=lambda one: one.framing.size.closeness) if covered else []
        roles = (covered.move.attacker, covered.move.defender) if covered else ()
        if (tuple(held), roles) == (self.held, self.roles):
            return
        self.beginResetModel()
        self.held, self.roles = tuple(held), roles
        self.endResetModel()

    def rowCount(self, parent: QModelIndex = _NOBODY) -> int:  # noqa: N802
        """How many takes hold it."""
        return 0 if parent.isValid() else len(self.held)

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The take's name, and all of it in words."""
        if not index.isValid():
            return None
        held = self.held[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return held.take.name
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole):
            told = telling.take_told(held, self.roles)
            return tip(told) if role == Qt.ItemDataRole.ToolTipRole else told
        return None


class HeldList(QListView):
    """Stills in a row; `wanted` has what somebody wants to see in the log."""

    wanted = pyqtSignal(object)

    def __init__(self, stills: Stills) -> None:
        super().__init__()
        self._held = HeldModel()
        self.setModel(self._held)
        self.setItemDelegate(_HeldCard(self, stills))
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(False)
        self.setSpacing(3)
        self.setHorizontalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(tr("Takes that hold the chosen move"))
        self.doubleClicked.connect(lambda index: self.wanted.emit(self._held.held[index.row()]))
        stills.arrived.connect(lambda _reel, _frame: self._repaint())

    @property
    def held(self) -> tuple[Held, ...]:
        """What is shown."""
        return self._held.held

    def show_move(self, covered: Covered | None) -> None:
        """Show what holds this move."""
        take = self._held.held[self.currentIndex().row()].take.name if self.currentIndex().isValid() else ""
        self._held.show_move(covered)
        at = next((row for row, held in enumerate(self._held.held) if held.take.name == take), 0)
        if self._held.held and not self.currentIndex().isValid():
            self.setCurrentIndex(self._held.index(at))

    def sizeHint(self) -> QSize:  # noqa: N802
        """High enough for a still, its words and the bar below."""
        bar = self.horizontalScrollBar()
        return QSize(400, card_size(self.font()).height() + 2 * self.frameWidth() + 6 + (bar.sizeHint().height() if bar else 0))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """No lower than that: half a still tells nothing. A line more, for when the words above need two."""
        return QSize(200, self.sizeHint().height() + self.fontMetrics().height())

    def keyPressEvent(self, event: QKeyEvent | None) -> None:  # noqa: N802
        """Return goes to the take in the log."""
        if event and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.wanted.emit(self._held.held[self.currentIndex().row()])
        else:
            super().keyPressEvent(event)

    def keyboardSearch(self, search: str | None) -> None:  # noqa: N802
        """Letters are keys of the place."""

    def _repaint(self) -> None:
        if viewport := self.viewport():
            viewport.update()


def card_size(font: QFont) -> QSize:
    """How large one take is shown, with words around it in this font."""
    metrics = QFontMetrics(_small(font))
    width = max(_STILL.width(), metrics.horizontalAdvance("x") * 29)
    return QSize(width + 2 * _AIR, _STILL.height() + _LINES * metrics.height() + 2 * _AIR + 2)


class _HeldCard(QStyledItemDelegate):
    """A still with the words under it."""

    def __init__(self, view: HeldList, stills: Stills) -> None:
        super().__init__(view)
        self._stills = stills

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: N802, ARG002
        """The same for each."""
        return card_size(option.font)

    def paint(self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex) -> None:
        """Still, name and size, tempo, who plays, and in red what is to be known."""
        model = index.model()
        if painter is None or not isinstance(model, HeldModel):
            return
        one, held = looks(), model.held[index.row()]
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.fillRect(option.rect, QColor(one.chosen if chosen else one.ground))
        if chosen and option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(one.focus), 2))
            painter.drawRect(option.rect.adjusted(1, 1, -1, -1))
        inner = option.rect.adjusted(_AIR, _AIR, -_AIR, -_AIR)
        self._paint_still(painter, inner, held)
        painter.setClipRect(inner)
        self._paint_words(painter, inner.adjusted(0, _STILL.height() + 2, 0, 0), held, model.roles, _small(option.font))
        painter.restore()

    def _paint_still(self, painter: QPainter, inner: QRect, held: Held) -> None:
        box = QRect(inner.topLeft(), QSize(inner.width(), _STILL.height()))
        painter.fillRect(box, QColor(looks().shade))
        still: QPixmap | None = self._stills.still(held.take.reel, held.grid_frame, _STILL.width())
        if still is None:
            painter.setPen(QColor(looks().soft))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tr("no picture yet"))
            return
        size = still.size().scaled(box.size(), Qt.AspectRatioMode.KeepAspectRatio)
        target = QRect(
            box.x() + (box.width() - size.width()) // 2, box.y() + (box.height() - size.height()) // 2, size.width(), size.height()
        )
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawPixmap(target, still)

    def _paint_words(self, painter: QPainter, box: QRect, held: Held, roles: tuple[str, ...], font: QFont) -> None:
        one = looks()
        bold = QFont(font)
        bold.setBold(True)
        height = QFontMetrics(font).height()
        name = tr("{take}   in the cut", take=held.take.name) if held.used else held.take.name
        lines = [(name, bold, one.ink), (framing_text(held.framing), font, one.ink), (telling.tempo_text(held), font, one.soft)]
        lines += [(line, font, one.soft) for line in telling.performer_texts(held, roles)]
        lines += [("; ".join(held.bare), bold, one.red)] if held.bare else []
        for at, (text, face, colour) in enumerate(lines):
            _line(painter, QRect(box.left(), box.top() + at * height, box.width(), height), text, face, colour)


def _line(painter: QPainter, box: QRect, text: str, font: QFont, colour: str) -> None:
    painter.setFont(font)
    painter.setPen(QColor(colour))
    painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, box.width()))


def _small(font: QFont) -> QFont:
    small = QFont(font)
    small.setPointSizeF(font.pointSizeF() * 0.9)
    return small
