"""Does the set's plan fit the rehearsal room, with the margin kept to walls and columns, and how is it laid.

Quarters of a turn are easiest to lay and are taken when the plan fits by one; otherwise every turn is searched. What does not fit
is laid as the largest part that does, by length of lines. A finding is about taping a floor, never about building or rigging.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, dist, floor, isfinite

import numpy as np
import shapely

from previs.document.floor import Floor, Laid, PlanLine, Room
from previs.faults import UseFault
from previs.floor.fitting_part import easy_turns, largest_part
from previs.floor.fitting_search import Lie, best_lie, best_turned
from previs.floor.fitting_shape import Corners, Space, outline_of, space_of
from previs.floor.fitting_shifts import shifts_of
from previs.floor.fitting_turns import FULL_TURN, QUARTERS, critical_turns, extents_mm, slack_mm
from previs.floor.placing import laid_lines, spot_in_room
from previs.progress import Report, silent

_HAIR_MM = 1e-6


class Lacking(StrEnum):
    """What a room lacks for a plan."""

    LENGTH = "length"
    WIDTH = "width"
    COLUMN = "column"


@dataclass(frozen=True, slots=True)
class Miss:
    """By how much a room is too short or too narrow; or by how much a column, counted from nought, stands too near."""

    lacking: Lacking
    missing_mm: int
    column: int | None = None


@dataclass(frozen=True, slots=True)
class Fitting:
    """What was found: whether all of the plan fits, how it, or what of it fits, is laid, and what is missing.

    `clearance_mm` is the smallest distance that is left between what is laid and the room's walls and columns; `share` how much of
    the plan's lines is laid, by length, from 0 to 1. The misses are those of `missed_turn_millidegrees`.
    """

    fits: bool
    laid: tuple[Laid, ...]
    clearance_mm: int
    share: float
    misses: tuple[Miss, ...] = ()
    missed_turn_millidegrees: int = 0


def fitted(plan: Floor, report: Report = silent, keep_turn: int | None = None) -> Fitting:
    """How the plan lies in its room; with `keep_turn`, in millidegrees, by that turn alone.

    A plan without lines or without a room is a `UseFault`, and so is a room whose margin leaves no floor.
    """
    room = room_of(plan)
    outline, space = outline_of(plan.lines), space_of(room)
    lie = _lie(outline, space, report, keep_turn)
    if fits(lie, space):
        return Fitting(True, (Laid(lie.turn, *lie.shift),), floor(lie.kept_mm + _HAIR_MM), 1.0)
    missed_turn, misses = _misses(outline, space, lie, keep_turn)
    turns = (keep_turn % FULL_TURN,) if keep_turn is not None else tuple(dict.fromkeys((*easy_turns(outline), lie.turn)))
    laid = largest_part(plan.lines, space, turns, report)
    if laid is None:
        raise UseFault(
            f"With {room.margin_mm} mm kept to walls and columns no line of the plan fits this room; keep less, or take a larger room."
        )
    return Fitting(False, (laid,), clearance_mm(plan, laid), share_of(plan, (laid,)), misses, missed_turn)


def room_of(plan: Floor) -> Room:
    """The room to fit the plan in, when there are both; a `UseFault` says which is missing."""
    if not plan.lines:
        raise UseFault("There is no plan of the set yet; 'previs plan' reads one, then it can be fitted into the room.")
    if plan.room is None:
        raise UseFault("There is no rehearsal room yet; 'previs room' takes its measures, then the plan can be fitted into it.")
    return plan.room


def millidegrees(degrees: float) -> int:
    """A turn that a person gave, from 0 up to a full turn; what is no number is a `UseFault`."""
    if not isfinite(degrees):
        raise UseFault(f"A turn of {degrees} is no turn; give degrees, such as 90 or 12.5.")
    return round(degrees * 1000) % FULL_TURN


def fits(lie: Lie, space: Space) -> bool:
    """Whether the margin is kept."""
    return lie.kept_mm >= space.margin_mm - _HAIR_MM


def clearance_mm(plan: Floor, laid: Laid) -> int:
    """The smallest distance, in whole millimetres, from what is laid to the room's walls and columns; less than nothing outside."""
    room = room_of(plan)
    lines = laid_lines(plan, laid)
    spots = outline_of(lines) if laid.part else np.array([spot_in_room((x, y), laid) for x, y in outline_of(plan.lines)])
    if not len(spots):
        return min(room.length_mm, room.width_mm) // 2
    walls = np.minimum(spots, (room.length_mm, room.width_mm) - spots).min()
    outline = shapely.convex_hull(shapely.multipoints(spots))
    columns = [shapely.distance(outline, shapely.convex_hull(shapely.multipoints(column))) for column in space_of(room).columns]
    return floor(min([float(walls), *map(float, columns)]) + _HAIR_MM)


def share_of(plan: Floor, laid: tuple[Laid, ...]) -> float:
    """How much of the plan's lines is laid, by length, from 0 to 1; of several that overlap, the longest counts."""
    whole = _length(plan.lines)
    return min(1.0, max((_length(laid_lines(plan, one)) for one in laid), default=0.0) / whole) if whole else 1.0


def _length(lines: tuple[PlanLine, ...]) -> float:
    return sum(dist(start, end) for line in lines for start, end in line.edges)


def _lie(outline: Corners, space: Space, report: Report, keep_turn: int | None) -> Lie:
    """Quarters first; another turn only where no quarter fits, and where it does not fit either, only when it halves what is missing."""
    easy = best_lie(outline, space, QUARTERS if keep_turn is None else (keep_turn % FULL_TURN,))
    if keep_turn is not None or fits(easy, space):
        return easy
    other = best_turned(outline, space, report)
    halved = space.margin_mm - other.kept_mm < (space.margin_mm - easy.kept_mm) / 2
    return other if fits(other, space) or halved else easy


def _misses(outline: Corners, space: Space, lie: Lie, keep_turn: int | None) -> tuple[int, tuple[Miss, ...]]:
    """What is missing, and at which turn: of walls first, and only where these leave enough, of a column.

    A quarter of a turn says more to a person, so that another turn is told of only when it halves what is missing; a choice of ours.
    """
    turns = (lie.turn,) if keep_turn is not None else tuple(critical_turns(outline, space).tolist())
    slacks = slack_mm(outline, space, np.array(turns)) - space.margin_mm
    easy, best = int(slacks[: len(QUARTERS)].argmax()), int(slacks.argmax())
    chosen = turns[best if slacks[best] > slacks[easy] / 2 else easy]
    along, across = (float(extent[0]) for extent in extents_mm(outline, np.array([chosen])))
    lacks = {
        Lacking.LENGTH: along + 2 * space.margin_mm - space.length_mm,
        Lacking.WIDTH: across + 2 * space.margin_mm - space.width_mm,
    }
    walls = tuple(Miss(lacking, ceil(missing - _HAIR_MM)) for lacking, missing in lacks.items() if missing > _HAIR_MM)
    if walls:
        return chosen, walls
    forbidden = shifts_of(outline, space, lie.turn).forbidden
    missing_mm = ceil(space.margin_mm - lie.kept_mm - _HAIR_MM)
    if not forbidden:
        # There is room to a fraction of a millimetre, but not for whole millimetres.
        return chosen, (Miss(max(lacks, key=lambda lacking: lacks[lacking]), missing_mm),)
    nearest = min(range(len(forbidden)), key=lambda number: shapely.distance(forbidden[number], shapely.Point(lie.shift)))
    return lie.turn, (Miss(Lacking.COLUMN, missing_mm, nearest),)
