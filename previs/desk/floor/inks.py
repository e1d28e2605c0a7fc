"""The floor's colours and signs on a screen: tape for each kind of line, a colour, a stroke and a shape for each role."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QPainterPath, QPen, QPolygonF

from previs.desk.looks import Looks
from previs.document.floor import LineKind
from previs.floor.tape_out import TAPE_COLOUR

_TAPE = {"red": 0, "blue": 1, "yellow": 2, "green": 3}
_ROLE_TAPE = (4, 5, 6, 1, 3, 0)
"""The tapes that no line of most plans has come first."""
_STROKES = (Qt.PenStyle.SolidLine, Qt.PenStyle.DashLine, Qt.PenStyle.DashDotLine, Qt.PenStyle.DotLine)
_DASHES = {LineKind.DOOR: [3.0, 2.0], LineKind.COLUMN: [6.0, 2.0], LineKind.OTHER: [1.0, 2.0]}
_WIDTHS = {LineKind.WALL: 6.0, LineKind.DOOR: 3.5, LineKind.STEP: 2.0, LineKind.DROP: 3.5, LineKind.COLUMN: 2.5, LineKind.OTHER: 1.5}


def tape_of(one: Looks, kind: LineKind) -> QColor:
    """The colour of a kind's tape; white and black tape are drawn in ink, white as an outline."""
    name = TAPE_COLOUR[kind]
    return QColor(one.tape[_TAPE[name]] if name in _TAPE else one.ink)


def pen_of(one: Looks, kind: LineKind) -> QPen:
    """The pen of a kind of line; as wide however near the plan is."""
    pen = QPen(tape_of(one, kind), _WIDTHS[kind])
    pen.setCosmetic(True)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if kind in _DASHES:
        pen.setDashPattern(_DASHES[kind])
    return pen


def hollow_pen(one: Looks) -> QPen:
    """What is drawn within a wall's pen, so that white tape is an outline on paper."""
    pen = QPen(QColor(one.sheet), _WIDTHS[LineKind.WALL] - 3)
    pen.setCosmetic(True)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


@dataclass(frozen=True, slots=True)
class RoleInk:
    """How a role is drawn: its tape, the ink of letters on it, the stroke of its way and the number of its shape."""

    colour: QColor
    letters: QColor
    stroke: Qt.PenStyle
    shape: int

    def pen(self, width: float) -> QPen:
        """The pen of its way."""
        return QPen(self.colour, width, self.stroke, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.RoundJoin)

    def outline(self, at: QPointF, reach: float) -> QPainterPath:
        """Its shape about a pixel: a circle, a square on its corner, a triangle or a square."""
        path, x, y = QPainterPath(), at.x(), at.y()
        if self.shape == 0:
            path.addEllipse(at, reach, reach)
        elif self.shape == 1:
            wide = reach * 1.25
            path.addPolygon(QPolygonF([QPointF(x, y - wide), QPointF(x + wide, y), QPointF(x, y + wide), QPointF(x - wide, y)]))
        elif self.shape == 2:
            wide = reach * 1.3
            path.addPolygon(QPolygonF([QPointF(x, y - wide), QPointF(x + wide, y + reach), QPointF(x - wide, y + reach)]))
        else:
            path.addRect(QRectF(x - reach, y - reach, 2 * reach, 2 * reach))
        path.closeSubpath()
        return path


def role_ink(one: Looks, number: int) -> RoleInk:
    """How the role of this number in the fight is drawn."""
    colour = QColor(one.tape[_ROLE_TAPE[number % len(_ROLE_TAPE)]])
    dark = colour.lightnessF() < 0.48
    return RoleInk(colour, QColor("#FFFFFF" if dark else "#1D1A16"), _STROKES[number % len(_STROKES)], number % 4)
