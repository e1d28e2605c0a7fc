"""Who goes where on the plan, phrase after phrase: the routes of each role joined to one walk; times come from `routes_timed`."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import hypot

from previs.document.floor import NamedPlace, PointMm, Route
from previs.document.model import Sequence
from previs.document.remembering import remembered
from previs.floor.routes_guessed import guessed_routes

JUMP_MM = 1000
"""A drawn route that begins further than this from the end of the drawn one before it is a jump, no way; a limit of ours."""

Spot = tuple[float, float]
"""x and y in millimetres, not rounded."""


@dataclass(frozen=True, slots=True)
class Step:
    """A spot of a walk: where, in which phrase's route, the move that lands there if any, and how far along the walk it is.

    `jumps` is True when the role is not said to walk here from the spot before, see `JUMP_MM`.
    """

    at: PointMm
    phrase: int
    move: int | None
    along_mm: float
    guessed: bool = False
    jumps: bool = False


@dataclass(frozen=True, slots=True)
class Walk:
    """All routes of one role, one after the other in the order of the phrases; distances run along it from its first spot.

    Where a role jumps, the straight line there counts as distance, but it is no way: `legs` leaves it out.
    """

    role: str
    steps: tuple[Step, ...]

    @property
    def length_mm(self) -> float:
        """How long the walk is, along its bends."""
        return self.steps[-1].along_mm

    @property
    def legs(self) -> tuple[tuple[Step, Step], ...]:
        """Its straight pieces that are walked; one of no length only where the role stands still between two jumps."""
        found: list[tuple[Step, Step]] = []
        for piece in self.pieces:
            walked = [(one, two) for one, two in pairwise(piece) if two.along_mm > one.along_mm]
            found += walked or [(piece[0], piece[-1])]
        return tuple(found)

    @property
    def pieces(self) -> tuple[tuple[Step, ...], ...]:
        """The walk taken apart where the role jumps."""
        found: list[list[Step]] = []
        for step in self.steps:
            if step.jumps or not found:
                found.append([])
            found[-1].append(step)
        return tuple(map(tuple, found))

    @property
    def jumps(self) -> tuple[tuple[Step, Step], ...]:
        """Where a phrase's route begins far from where the role stood last, as the spots before and after."""
        return tuple((one, two) for one, two in pairwise(self.steps) if two.jumps)

    def at(self, along_mm: float) -> Spot:
        """The spot at a distance along the walk; its ends for what lies beyond them."""
        after = min(bisect_left(self.steps, along_mm, key=_along), len(self.steps) - 1)
        one, two = self.steps[max(after - 1, 0)], self.steps[after]
        long = two.along_mm - one.along_mm
        share = min(max((along_mm - one.along_mm) / long, 0.0), 1.0) if long else 1.0
        return (one.at[0] + share * (two.at[0] - one.at[0]), one.at[1] + share * (two.at[1] - one.at[1]))

    def marked(self, along_mm: float) -> tuple[Step | None, Step | None]:
        """The last spot with a move up to a distance, a millimetre more allowed, and the first one after it."""
        after = bisect_right(self.steps, along_mm + 1, key=_along)
        before = next((step for step in reversed(self.steps[:after]) if step.move is not None), None)
        return before, next((step for step in self.steps[after:] if step.move is not None), None)


def _along(step: Step) -> float:
    return step.along_mm


@remembered(newest=2)
def walks(sequence: Sequence) -> tuple[Walk, ...]:
    """The walk of each role of the fight that has a route, in the order of roles.

    Where a role has no route for a phrase, it is guessed from the moves' places (`routes_guessed`). Routes of roles and phrases that
    are gone from the fight are left out; so is what a spot says of a move that is no longer in its phrase.
    """
    floor = sequence.floor
    drawn = {(route.role, route.phrase): route for route in floor.routes} if floor else {}
    guessed = guessed_routes(sequence, floor.places if floor else ())
    moves = {phrase.number: {move.number for move in phrase.moves} for phrase in sequence.phrases}
    found = []
    for role in sequence.roles:
        keys = [(role, number) for number in moves]
        routes = [(drawn.get(key) or guessed[key], key not in drawn) for key in keys if key in drawn or key in guessed]
        if routes:
            found.append(Walk(role, _steps(routes, moves)))
    return tuple(found)


def _steps(routes: Iterable[tuple[Route, bool]], moves: Mapping[int, set[int]]) -> tuple[Step, ...]:
    spots = [(point, route.phrase, at == 0, guessed) for route, guessed in routes for at, point in enumerate(route.points)]
    long = [0.0] + [_far(one[0].at, two[0].at) for one, two in pairwise(spots)]
    return tuple(
        Step(
            at=point.at,
            phrase=phrase,
            move=point.move if point.move in moves[phrase] else None,
            along_mm=along,
            guessed=guessed,
            jumps=first and not guessed and far > JUMP_MM and not spots[number - 1][3],
        )
        for number, ((point, phrase, first, guessed), far, along) in enumerate(zip(spots, long, accumulate(long), strict=True))
    )


def _far(one: PointMm, two: PointMm) -> float:
    return hypot(two[0] - one[0], two[1] - one[1])


def nearest_place(places: Iterable[NamedPlace], spot: Spot) -> str:
    """The name of the plan's place that is nearest to a spot; empty when the plan names none."""
    near = min(places, key=lambda place: hypot(place.at[0] - spot[0], place.at[1] - spot[1]), default=None)
    return near.name if near else ""


def metres(spot: Spot) -> str:
    """A spot as people read it: `x 5.00 m, y 1.30 m`."""
    return f"x {spot[0] / 1000:.2f} m, y {spot[1] / 1000:.2f} m"
