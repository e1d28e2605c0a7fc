"""How each kind of line is drawn on paper, the same on the plan, on full-size pages and in the key; it decides no place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import atan2, degrees, dist, hypot

from reportlab.lib.colors import HexColor, white
from reportlab.pdfgen.canvas import Canvas

from previs.document.floor import LineKind
from previs.exchange import tones
from previs.floor.placing import Spot

TONE = {
    LineKind.WALL: HexColor(tones.INK),
    LineKind.DOOR: HexColor(tones.BLUE),
    LineKind.STEP: HexColor(tones.OCHRE),
    LineKind.DROP: HexColor(tones.RED),
    LineKind.COLUMN: HexColor(tones.GREEN),
    LineKind.OTHER: HexColor(tones.INK),
}
SIGN = {
    LineKind.WALL: "hollow line",
    LineKind.DOOR: "dashes",
    LineKind.STEP: "single line",
    LineKind.DROP: "line with teeth",
    LineKind.COLUMN: "long dashes",
    LineKind.OTHER: "dots",
}
"""How a line of each kind is drawn, in words, since colour is never the only sign."""
_WIDTH = {
    LineKind.WALL: 3.2, LineKind.DOOR: 1.8, LineKind.STEP: 1.3, LineKind.DROP: 2.4, LineKind.COLUMN: 1.8, LineKind.OTHER: 1.3
}  # fmt: skip
_DASHES: dict[LineKind, tuple[float, ...]] = {LineKind.DOOR: (4, 2.5), LineKind.COLUMN: (9, 3), LineKind.OTHER: (1.2, 2.2)}
_TOOTH = 4.0
_BETWEEN_TEETH = 9.0

Trace = Callable[[Sequence[Spot]], None]


def draw_chain(canvas: Canvas, kind: LineKind, points: Sequence[Spot]) -> None:
    """One line of tape through points of the page."""
    canvas.saveState()
    canvas.setLineJoin(1)
    canvas.setLineCap(0)
    canvas.setDash(*([list(_DASHES[kind])] if kind in _DASHES else []))
    canvas.setStrokeColor(TONE[kind])
    canvas.setLineWidth(_WIDTH[kind])
    _trace(canvas, points)
    if kind is LineKind.WALL:
        # White tape on white paper: an outline of it.
        canvas.setStrokeColor(white)
        canvas.setLineWidth(_WIDTH[kind] - 2)
        _trace(canvas, points)
    if kind is LineKind.DROP:
        _teeth(canvas, points)
    canvas.restoreState()


def draw_swing(canvas: Canvas, hinge: Spot, latch: Spot, *, left: bool) -> None:
    """A door's open leaf, at a right angle to its opening, and the quarter circle of its swing."""
    width = dist(hinge, latch)
    towards = degrees(atan2(latch[1] - hinge[1], latch[0] - hinge[0]))
    turn = 1 if left else -1
    leaf = (hinge[0] - turn * (latch[1] - hinge[1]), hinge[1] + turn * (latch[0] - hinge[0]))
    canvas.saveState()
    canvas.setStrokeColor(TONE[LineKind.DOOR])
    canvas.setLineWidth(0.9)
    canvas.line(*hinge, *leaf)
    canvas.setDash([1.5, 2])
    canvas.arc(hinge[0] - width, hinge[1] - width, hinge[0] + width, hinge[1] + width, towards, 90 * turn)
    canvas.restoreState()


def _trace(canvas: Canvas, points: Sequence[Spot]) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    canvas.drawPath(path)


def _teeth(canvas: Canvas, points: Sequence[Spot]) -> None:
    """Short strokes across the line, on both sides: on which side it goes down, the drawing does not say."""
    canvas.setLineWidth(0.9)
    for (ax, ay), (bx, by) in pairwise(points):
        length = hypot(bx - ax, by - ay)
        teeth = int(length // _BETWEEN_TEETH)
        for tooth in range(1, teeth + 1):
            share = tooth / (teeth + 1)
            x, y = ax + (bx - ax) * share, ay + (by - ay) * share
            dx, dy = -(by - ay) / length * _TOOTH / 2, (bx - ax) / length * _TOOTH / 2
            canvas.line(x - dx, y - dy, x + dx, y + dy)
