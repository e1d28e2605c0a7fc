"""What a tip says of a spot of the plan, in words; no Qt."""

from __future__ import annotations

from math import hypot

from previs.desk.floor.shown import Shown
from previs.desk.floor.sight import Sight, nearest
from previs.desk.floor.ways import Way
from previs.desk.words import tr
from previs.document.floor import PointMm
from previs.floor.clearance_words import pinch_told
from previs.floor.placing import Spot, spot_in_room
from previs.floor.routes import metres


def told_under(shown: Shown, sight: Sight, at: Spot, reach_px: float) -> str:
    """What is at a pixel: a mark, a tight place, or else where on the plan and in the room it is."""
    told = [
        told_spot(way, number) for way in shown.ways if (number := nearest(map(sight.pixel, _floats(way.spots)), at, reach_px)) is not None
    ]
    told += [pinch_told(pinch) for pinch, _ in shown.pinches if _far(sight.pixel(pinch.at), at) <= reach_px]
    return "\n".join(told or [told_where(shown, sight.spot(at))])


def told_where(shown: Shown, spot: Spot) -> str:
    """A spot as people read it, on the plan and, where it is laid, in the room."""
    on_plan = tr("on the plan: {spot}", spot=metres(spot))
    if shown.laid is None:
        return on_plan
    return tr("{on_plan}\nin the room: {spot}", on_plan=on_plan, spot=metres(spot_in_room(spot, shown.laid)))


def told_spot(way: Way, number: int) -> str:
    """A spot of a way: whose, which move lands there, where."""
    move, spot = way.moves[number], metres(_floats(way.spots)[number])
    said = tr("{role}, bend of the way, {spot}", role=way.role, spot=spot)
    if move is not None:
        said = tr("{role}, move {move}, {spot}", role=way.role, move=move, spot=spot)
    return tr("{said} (guessed: nobody drew this way)", said=said) if way.guessed else said


def _far(one: Spot, two: Spot) -> float:
    return hypot(one[0] - two[0], one[1] - two[1])


def _floats(points: tuple[PointMm, ...]) -> list[Spot]:
    return [(float(x), float(y)) for x, y in points]
