"""The dialog that asks for the rehearsal room's measures; what a room can be is decided in `floor/room_table`."""

from __future__ import annotations

from PyQt6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from previs.desk.asking import Asking
from previs.desk.words import tr
from previs.document.floor import Room
from previs.floor.room_table import MARGIN_MM, WrittenRoom, room_written

_LINES = 3


class RoomDialog(Asking):
    """Asks for length, width, margin, the two points and the columns; `room` is what was written once it is accepted."""

    def __init__(self, before: Room | None, parent: QWidget | None) -> None:
        about = tr(
            "All in metres, measured from one corner of the room, which is 0 0: length along x, width along y. The points A and B are "
            "what both measuring tapes are held to."
        )
        super().__init__(tr("The rehearsal room"), about, tr("Take this room"), parent)
        self.room: Room | None = None
        self._before = before
        a, b = (before.datum_a, before.datum_b) if before else (None, None)
        self.length = QLineEdit(_metres(before.length_mm) if before else "")
        self.width_field = QLineEdit(_metres(before.width_mm) if before else "")
        self.margin = QLineEdit(_metres(before.margin_mm if before else MARGIN_MM))
        self.a, self.b = QLineEdit(_pair(a)), QLineEdit(_pair(b))
        self.columns = QPlainTextEdit("\n".join(_column(column.points) for column in before.columns) if before else "")
        self.columns.setTabChangesFocus(True)
        self.columns.setFixedHeight(self.columns.fontMetrics().height() * _LINES + 14)
        self.columns.setPlaceholderText(tr("x y length width, one column a line"))
        self.a.setPlaceholderText(tr("the corner 0 0"))
        self.b.setPlaceholderText(tr("the other corner of that wall"))
        for words, field in (
            (tr("Length, wall to wall"), self.length),
            (tr("Width, wall to wall"), self.width_field),
            (tr("Free along walls and columns"), self.margin),
            (tr("Point A, x and y"), self.a),
            (tr("Point B, x and y"), self.b),
            (tr("Columns"), self.columns),
        ):
            field.setAccessibleName(words)
            self.form.addRow(words, field)

    def do(self) -> None:
        """Make a room of what is written; raises `UseFault` for what is none."""
        columns = tuple(line.strip() for line in self.columns.toPlainText().splitlines() if line.strip())
        # A field that shows what was there before is not written anew: columns may have more corners than can be written here.
        same = self._before is not None and columns == tuple(_column(column.points) for column in self._before.columns)
        before = self._before if same else None
        written = WrittenRoom(
            length=self.length.text().strip(),
            width=self.width_field.text().strip(),
            margin=self.margin.text().strip(),
            datum_a=self.a.text().strip() or None,
            datum_b=self.b.text().strip() or None,
            columns=() if same else columns,
        )
        self.room = room_written(written, before)


def _metres(mm: int) -> str:
    return f"{mm / 1000:.3f}".rstrip("0").rstrip(".")


def _pair(point: tuple[int, int] | None) -> str:
    return "" if point is None else f"{_metres(point[0])} {_metres(point[1])}"


def _column(points: tuple[tuple[int, int], ...]) -> str:
    """A column as x, y, length and width of the rectangle around it."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return " ".join(map(_metres, (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))))
