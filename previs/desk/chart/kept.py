"""A painting of the chart that is kept while nothing in it changes, so that a playing picture costs no drawing."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QSize
from PyQt6.QtGui import QColor, QFont, QPainter, QPixmap

from previs.desk.chart.bands import Bands
from previs.desk.chart.paint import Chart, Marked
from previs.desk.chart.scale import Scale
from previs.desk.chart.sheet import ChartSheet
from previs.desk.looks import Looks
from previs.document.model import Sequence


@dataclass(frozen=True, slots=True)
class View:
    """All that a painting depends on. `pixels` is how many real ones each of Qt's has."""

    sequence: Sequence
    sheet: ChartSheet
    scale: Scale
    where: Bands
    marked: Marked
    looks: Looks
    font: QFont
    size: QSize
    pixels: float

    def same_as(self, other: View | None) -> bool:
        """Whether it gives the same painting. Sheets are the same by identity: comparing hundreds of shots would cost more."""
        return other is not None and self.sheet is other.sheet and self._rest() == other._rest()

    def _rest(self) -> tuple[object, ...]:
        return self.scale, self.where, self.marked, self.looks, self.font.key(), self.size, self.pixels


class Kept:
    """The newest painting."""

    def __init__(self) -> None:
        self._view: View | None = None
        self._picture = QPixmap()

    def picture(self, view: View) -> QPixmap:
        """The painting of this view, made anew only when it differs from the one before."""
        if not view.same_as(self._view):
            self._picture, self._view = _painted(view), view
        return self._picture


def _painted(view: View) -> QPixmap:
    picture = QPixmap(round(view.size.width() * view.pixels), round(view.size.height() * view.pixels))
    picture.setDevicePixelRatio(view.pixels)
    picture.fill(QColor(view.looks.ground))
    painter = QPainter(picture)
    painter.setFont(view.font)
    Chart(painter, view.looks, view.sequence, view.sheet, view.scale, view.where).draw(view.marked)
    painter.end()
    return picture
