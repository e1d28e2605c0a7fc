"""What stands beside the fight table, row by row: the upper-hand curve and the coverage; it scrolls with the table."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PyQt6.QtWidgets import QApplication, QHBoxLayout, QScrollBar, QSizePolicy, QToolTip, QWidget

from previs.desk.fight import telling
from previs.desk.fight.curve_paint import paint_curve, paint_holders
from previs.desk.fight.sheet import FightSheet
from previs.desk.fight.strip_paint import Lanes, camera_colour, lanes_of, paint_strip
from previs.desk.fight.table_view import FightTable
from previs.desk.looks import looks
from previs.desk.plain import tip
from previs.desk.words import tr
from previs.document.model import Size
from previs.fight.coverage import Held


class Beside(QWidget):
    """The drawing. `chosen` has the row that was pointed at."""

    chosen = pyqtSignal(int)

    def __init__(self, table: FightTable) -> None:
        super().__init__()
        self._table = table
        self._sheet: FightSheet | None = None
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("The upper-hand curve and the coverage of each move; both are told in words for the chosen move"))
        bar = table.verticalScrollBar()
        assert bar is not None
        self._bar = bar
        bar.valueChanged.connect(self.update)
        table.row_chosen.connect(self.update)

    def show_sheet(self, sheet: FightSheet) -> None:
        """Show another fight, or the same one changed."""
        self._sheet = sheet
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """As wide as curve, strips and words want to be."""
        unit = QFontMetricsF(self.font()).horizontalAdvance("x")
        return QSize(int(unit * 74), 200)

    def header_px(self) -> int:
        """How high the heads of sizes are, so that the table's can be as high."""
        metrics = QFontMetricsF(_small(self.font()))
        longest = max((metrics.horizontalAdvance(word) for size in Size for word in size.split()), default=0)
        return int(longest + 10)

    # Where things are

    def _curve(self) -> QRectF:
        gutter = QFontMetricsF(self.font()).horizontalAdvance("000") + 8
        width = QFontMetricsF(self.font()).horizontalAdvance("x") * 14
        return QRectF(gutter, 0, width, self.height())

    def _words_width(self) -> float:
        font = _small(self.font())
        font.setBold(True)
        metrics = QFontMetricsF(font)
        holes = {one.hole for one in self._sheet.covered if one.hole} if self._sheet else set()
        return max((metrics.horizontalAdvance(telling.hole_text(hole)) + 12 for hole in holes), default=0.0)

    def lanes(self) -> Lanes:
        """Where the strips lie."""
        left = self._curve().right() + 14
        counts = self._sheet.strips.lanes if self._sheet else {}
        return lanes_of(counts, left, self.width() - self._words_width() - 6, QFontMetricsF(_small(self.font())).height())

    def _row_rect(self, row: int) -> QRectF:
        heads = self._table.horizontalHeader()
        top = (heads.height() if heads else 0) + self._table.frameWidth() + self._table.rowViewportPosition(row)
        return QRectF(0, top, self.width(), self._table.rowHeight(row))

    def _row_at(self, y: float) -> int | None:
        heads = self._table.horizontalHeader()
        top = (heads.height() if heads else 0) + self._table.frameWidth()
        row = self._table.rowAt(int(y - top)) if y >= top else -1
        return row if row >= 0 else None

    # Painting

    def paintEvent(self, _event: QPaintEvent | None) -> None:  # noqa: N802
        """Bands, curve, strips and holes, then the heads over them."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(looks().sheet))
        sheet, heads = self._sheet, self._table.horizontalHeader()
        if sheet is None or heads is None or not sheet.rows:
            return
        first, last = self._visible(sheet)
        for row in range(first, last + 1):
            self._paint_band(painter, sheet, row)
        top = self._row_rect(0).top()
        paint_curve(painter, self._curve(), sheet, [self._row_rect(row) for row in range(len(sheet.rows))], (first, last), top)
        lanes = self.lanes()
        painter.setFont(_small(self.font()))
        for strip in sheet.strips.strips:
            if strip.last_row >= first and strip.first_row <= last:
                rects = [self._row_rect(row) for row in range(strip.first_row, strip.last_row + 1)]
                paint_strip(painter, lanes, strip, rects, camera_colour(sheet.strips, strip.camera))
        for row in range(first, last + 1):
            self._paint_number_and_hole(painter, sheet, row)
        self._paint_heads(painter, sheet, lanes, QRectF(0, 0, self.width(), heads.height() + self._table.frameWidth()))

    def _visible(self, sheet: FightSheet) -> tuple[int, int]:
        first = max(self._table.rowAt(0), 0)
        last = self._table.rowAt((viewport.height() - 1) if (viewport := self._table.viewport()) else 0)
        return first, last if last >= 0 else len(sheet.rows) - 1

    def _paint_band(self, painter: QPainter, sheet: FightSheet, row: int) -> None:
        one, rect = looks(), self._row_rect(row)
        band = one.chosen if row == self._table.row else one.ground if sheet.rows[row].band % 2 else one.sheet
        painter.fillRect(rect, QColor(band))
        painter.setPen(QPen(QColor(one.rule if sheet.rows[row].ends else one.faint), 1))
        painter.drawLine(QPointF(rect.left(), rect.bottom()), QPointF(rect.right(), rect.bottom()))

    def _paint_number_and_hole(self, painter: QPainter, sheet: FightSheet, row: int) -> None:
        one, rect, covered = looks(), self._row_rect(row), sheet.covered[row]
        font = _small(self.font())
        font.setBold(covered.hole is not None)
        painter.setFont(font)
        painter.setPen(QColor(one.red if covered.hole else one.soft))
        number = QRectF(0, rect.top(), self._curve().left() - 6, rect.height())
        painter.drawText(number, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(covered.move.number))
        if covered.hole:
            words = rect.adjusted(rect.width() - self._words_width(), 0, -6, 0)
            painter.drawText(words, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, telling.hole_text(covered.hole))

    def _paint_heads(self, painter: QPainter, sheet: FightSheet, lanes: Lanes, head: QRectF) -> None:
        one = looks()
        painter.fillRect(head, QColor(one.shade))
        painter.setPen(QPen(QColor(one.rule), 1))
        painter.drawLine(head.bottomLeft(), head.bottomRight())
        painter.setFont(_small(self.font()))
        painter.setPen(QColor(one.ink))
        curve = self._curve()
        paint_holders(painter, QRectF(curve.left(), head.top(), curve.width(), head.height() - 4), sheet.hands)
        for size, (left, right) in lanes.columns.items():
            painter.save()
            painter.translate((left + right) / 2, head.bottom() - 5)
            painter.rotate(-90)
            words = size.value.split()
            height = QFontMetricsF(painter.font()).height()
            for at, word in enumerate(words):
                box = QRectF(0, height * (at - len(words) / 2), head.height() - 6, height)
                painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, word)
            painter.restore()

    # Pointing

    def mousePressEvent(self, event: QMouseEvent | None) -> None:  # noqa: N802
        """Choose the move that was pointed at."""
        if event and (row := self._row_at(event.position().y())) is not None:
            self.chosen.emit(row)

    def wheelEvent(self, event: QWheelEvent | None) -> None:  # noqa: N802
        """The table scrolls, and this with it."""
        if event:
            QApplication.sendEvent(self._bar, event)

    def held_at(self, at: QPointF) -> Held | None:
        """What is held where somebody points."""
        row = self._row_at(at.y())
        if row is None or self._sheet is None:
            return None
        lanes = self.lanes()
        for strip in self._sheet.strips.at(row):
            left, right = lanes.of(strip)
            if left <= at.x() <= right:
                return strip.marks[row - strip.first_row]
        return None

    def event(self, event: QEvent | None) -> bool:
        """Tell in words what is pointed at."""
        if not isinstance(event, QHelpEvent):
            return super().event(event)
        QToolTip.showText(event.globalPos(), tip(self._told(QPointF(event.pos()))), self)
        return True

    def _told(self, at: QPointF) -> str:
        row = self._row_at(at.y())
        if row is None or self._sheet is None:
            return ""
        covered, cut = self._sheet.covered[row], self._sheet.cut
        if held := self.held_at(at):
            return telling.take_told(held, (covered.move.attacker, covered.move.defender))
        turn = self._sheet.hands.turns.get(covered.move.number)
        lines = (telling.hole_told(covered), telling.tightest_told(covered), telling.turn_told(turn, cut) if turn else "")
        return "\n".join(line for line in lines if line)


class WithBar(QWidget):
    """The drawing, with the bar at its right that scrolls the table and it."""

    def __init__(self, beside: Beside, table: FightTable) -> None:
        super().__init__()
        bar, own = QScrollBar(Qt.Orientation.Vertical), table.verticalScrollBar()
        assert own is not None
        self._bar, self._own = bar, own
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(beside, 1)
        row.addWidget(bar)
        own.rangeChanged.connect(self._as_table)
        own.valueChanged.connect(bar.setValue)
        bar.valueChanged.connect(own.setValue)

    def _as_table(self, *_: int) -> None:
        self._bar.setRange(self._own.minimum(), self._own.maximum())
        self._bar.setPageStep(self._own.pageStep())
        self._bar.setSingleStep(self._own.singleStep())


def _small(font: QFont) -> QFont:
    small = QFont(font)
    small.setPointSizeF(font.pointSizeF() * 0.88)
    return small
