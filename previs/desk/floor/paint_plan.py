"""The plan and the room around it, painted: tape on paper; its words find their own places beside it."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot

from PyQt6.QtCore import QLineF, QPointF, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from previs.desk.floor.inks import hollow_pen, pen_of, tape_of
from previs.desk.floor.scene import RoomAround, Word, swings
from previs.desk.floor.sight import Sight
from previs.desk.looks import Looks
from previs.desk.words import tr
from previs.document.floor import Floor, LineKind, PlanLine, PointMm, Room
from previs.document.remembering import remembered
from previs.floor.placing import Spot, turned
from previs.floor.sheet_numbers import Box, Label, Placing

_ORDER = (LineKind.OTHER, LineKind.STEP, LineKind.COLUMN, LineKind.WALL, LineKind.DOOR, LineKind.DROP)
_STROKE_PX, _HALF_PX, _MOST_STROKES = 8.0, 6.0, 2000
"""The hatching along a drop: from stroke to stroke, how far it reaches to each side, and how many a drop has at most."""
_DATUM_PX, _OUT_PX = 5.0, 12.0
"""The second: how far outside of the window a spot may be whose words are still written."""
_MOST_SEGMENTS = 3000
"""Words keep off no more lines than this: where there are more, they cross some anyway."""
_WORD_LINE_COST = 40.0


def paint_plan(painter: QPainter, one: Looks, sight: Sight, floor: Floor, part: tuple[PointMm, ...]) -> None:
    """Every line as its tape; what lies outside a part that is laid is pale."""
    painter.save()
    painter.setTransform(transform(sight), combine=True)
    for kind in _ORDER:
        path = _outlines(floor).get(kind)
        if path is None:
            continue
        painter.setBrush(QColor(one.shade) if kind is LineKind.COLUMN else Qt.BrushStyle.NoBrush)
        painter.setPen(pen_of(one, kind))
        painter.drawPath(path)
        if kind is LineKind.WALL:
            painter.setPen(hollow_pen(one))
            painter.drawPath(path)
    painter.restore()
    _paint_swings(painter, one, sight, floor)
    for line in floor.lines:
        if line.kind is LineKind.DROP:
            _paint_hatching(painter, one, sight, line)
    if part:
        _paint_pale(painter, one, sight, part)


def paint_room(painter: QPainter, one: Looks, sight: Sight, around: RoomAround) -> None:
    """The room's walls, the line that nothing is laid beyond, its columns, and the points that tapes are held to."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(one.rule), 2))
    painter.drawPolygon(_polygon(sight, around.corners))
    painter.setPen(QPen(QColor(one.rule), 1, Qt.PenStyle.DotLine))
    painter.drawPolygon(_polygon(sight, around.margin))
    for column in around.columns:
        painter.setPen(QPen(QColor(one.ink), 1))
        painter.setBrush(QColor(one.rule))
        painter.drawPolygon(_polygon(sight, column))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(one.ink))
    for at in (around.a, around.b):
        painter.drawEllipse(QPointF(*sight.pixel(at)), _DATUM_PX, _DATUM_PX)


def transform(sight: Sight) -> QTransform:
    """From millimetres of the plan to pixels, as `Sight.pixel`."""
    cosine, sine = turned(sight.turn_millidegrees)
    each = sight.each
    x, y = sight.pixel((0.0, 0.0))
    return QTransform(each * cosine, -each * sine, -each * sine, -each * cosine, x, y)


def placing_of(sight: Sight, floor: Floor, around: RoomAround | None, more: Iterable[Box], foot_px: float) -> Placing:
    """A window in which words find their places: they keep off the plan's lines, and `more` lines of pixels, but for its foot."""
    edges = [(one, two) for line in floor.lines[:_MOST_SEGMENTS] for one, two in line.edges][:_MOST_SEGMENTS]
    walls = [(one, two) for ring in ((around.corners,) if around else ()) for one, two in pairwise((*ring, ring[0]))]
    lines = [(*sight.pixel(one), *sight.pixel(two)) for one, two in edges]
    faint = [(*sight.pixel(one), *sight.pixel(two)) for one, two in walls]
    placing = Placing((2.0, 2.0, sight.width - 2, sight.height - foot_px), [*lines, *more], faint)
    if around:
        placing.keep_free([around_px(sight.pixel(at), _DATUM_PX) for at in (around.a, around.b)])
    return placing


def paint_words(painter: QPainter, one: Looks, sight: Sight, written: tuple[Word, ...], placing: Placing) -> None:
    """The plan's words, where they find a place; those that must be read in bold and first."""
    for word in written:
        colour = one.soft if word.kind is None else one.red if word.kind is LineKind.DROP else one.ink
        put_words(painter, one, sight.pixel(word.at), word.lines, colour, placing, bold=word.kind is LineKind.DROP, over=word.kind is None)


def paint_room_words(painter: QPainter, one: Looks, sight: Sight, room: Room, around: RoomAround, placing: Placing) -> None:
    """A, B, and how large the room is."""
    for name, at in (("A", around.a), ("B", around.b)):
        put_words(painter, one, sight.pixel(at), (name,), one.ink, placing, bold=True)
    size = tr("room {long} x {wide} m, tapes from A and B", long=f"{room.length_mm / 1000:g}", wide=f"{room.width_mm / 1000:g}")
    put_words(painter, one, sight.pixel(around.corners[3]), (size,), one.soft, placing)


def put_words(
    painter: QPainter,
    one: Looks,
    at: Spot,
    lines: tuple[str, ...],
    colour: str,
    placing: Placing,
    *,
    bold: bool = False,
    over: bool = False,
) -> None:
    """Words beside a pixel on a ground of their own, with a thin line where they stand far from it; none where there is no room."""
    window = painter.viewport()
    if not (-_OUT_PX <= at[0] <= window.width() + _OUT_PX and -_OUT_PX <= at[1] <= window.height() + _OUT_PX):
        return
    font = QFont(painter.font())
    font.setBold(bold)
    metrics = QFontMetricsF(font)
    wide, high = max(metrics.horizontalAdvance(line) for line in lines) + 6, len(lines) * metrics.height() + 2
    stands = placing.place(Label(at, wide, high, over, _WORD_LINE_COST))
    if stands is None:
        return
    left, top, right, bottom = stands.box
    if stands.reach > 12:
        painter.setPen(QPen(QColor(one.rule), 1))
        painter.drawLine(QPointF(*at), QPointF(min(max(at[0], left), right), min(max(at[1], top), bottom)))
    ground = QColor(one.sheet)
    ground.setAlpha(225)
    painter.fillRect(QRectF(left, top, right - left, bottom - top), ground)
    painter.setPen(QColor(colour))
    before = painter.font()
    painter.setFont(font)
    painter.drawText(QRectF(left, top, right - left, bottom - top), int(Qt.AlignmentFlag.AlignCenter), "\n".join(lines))
    painter.setFont(before)


def around_px(at: Spot, half: float) -> Box:
    """A box of pixels about one."""
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half


@remembered(newest=2)
def _outlines(floor: Floor) -> dict[LineKind, QPainterPath]:
    """Every kind's lines as one path in millimetres."""
    found: dict[LineKind, QPainterPath] = {}
    for line in floor.lines:
        path = found.setdefault(line.kind, QPainterPath())
        path.moveTo(*line.points[0])
        for x, y in line.points[1:]:
            path.lineTo(x, y)
        if line.closed:
            path.closeSubpath()
    return found


def _paint_swings(painter: QPainter, one: Looks, sight: Sight, floor: Floor) -> None:
    colour = tape_of(one, LineKind.DOOR)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for swing in swings(floor):
        painter.setPen(QPen(colour, 1.5))
        painter.drawLine(*(QPointF(*sight.pixel(spot)) for spot in swing.leaf))
        painter.setPen(QPen(colour, 1, Qt.PenStyle.DotLine))
        painter.drawPolyline(_polygon(sight, swing.arc))


def _paint_hatching(painter: QPainter, one: Looks, sight: Sight, line: PlanLine) -> None:
    """Slanting strokes along the line on both sides: on which it goes down, the drawing does not say."""
    painter.setPen(QPen(tape_of(one, LineKind.DROP), 1.2))
    strokes = []
    window = QRectF(-20, -20, sight.width + 40, sight.height + 40)
    for start, end in line.edges:
        (x, y), (to_x, to_y) = sight.pixel(start), sight.pixel(end)
        long = hypot(to_x - x, to_y - y)
        count = min(int(long // _STROKE_PX), _MOST_STROKES)
        for number in range(1, count + 1):
            share = number / (count + 1)
            at_x, at_y = x + (to_x - x) * share, y + (to_y - y) * share
            if window.contains(QPointF(at_x, at_y)):
                along, across = (to_x - x) / long * _HALF_PX, (to_y - y) / long * _HALF_PX
                strokes.append(QLineF(at_x - along - across, at_y - across + along, at_x + along + across, at_y + across - along))
    for stroke in strokes:
        painter.drawLine(stroke)


def _paint_pale(painter: QPainter, one: Looks, sight: Sight, part: tuple[PointMm, ...]) -> None:
    """All but the part that is laid under a veil, and its outline."""
    inside, whole = _polygon(sight, part), QPainterPath()
    whole.addRect(QRectF(0, 0, sight.width, sight.height))
    hole = QPainterPath()
    hole.addPolygon(inside)
    hole.closeSubpath()
    veil = QColor(one.sheet)
    veil.setAlpha(190)
    painter.fillPath(whole.subtracted(hole), veil)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(one.soft), 1, Qt.PenStyle.DashDotLine))
    painter.drawPolygon(inside)


def _polygon(sight: Sight, spots: Iterable[Spot | PointMm]) -> QPolygonF:
    return QPolygonF([QPointF(*sight.pixel((float(x), float(y)))) for x, y in spots])
