"""Ways drawn by hand, spot by spot: pure functions from sequence to sequence; what a spot looks like is the faces' business.

A way that nobody drew is a guess. Whoever changes a spot of it takes it over as drawn; whoever puts a spot begins a way anew.
"""

from __future__ import annotations

from collections.abc import Sequence as Listed
from dataclasses import dataclass
from math import dist, hypot

from msgspec.structs import replace

from previs.document.floor import Floor, PointMm, Route, RoutePoint
from previs.document.floor_edits import with_routes
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.floor.routes_guessed import guessed_routes

_ON_MM = 300
"""How far a spot is put further on than the last one where nobody says where; about half a step, ours."""

Points = tuple[RoutePoint, ...]


@dataclass(frozen=True, slots=True)
class DrawnWay:
    """A role's way in a phrase as it stands: its spots, and whether nobody drew it."""

    points: Points
    guessed: bool


def way_of(sequence: Sequence, role: str, phrase: int) -> DrawnWay:
    """The way of a role in a phrase, without spots where there is none at all."""
    floor = sequence.floor or Floor()
    drawn = next((route for route in floor.routes if (route.role, route.phrase) == (role, phrase)), None)
    if drawn is not None:
        return DrawnWay(drawn.points, guessed=False)
    guess = guessed_routes(sequence, floor.places).get((role, phrase))
    return DrawnWay(guess.points if guess else (), guessed=True)


def next_move(sequence: Sequence, role: str, phrase: int) -> int | None:
    """The first move of the phrase that has no mark on the role's drawn way; None when all have one."""
    way = way_of(sequence, role, phrase)
    there = set() if way.guessed else {point.move for point in way.points}
    return next((number for number in _moves(sequence, phrase) if number not in there), None)


def with_spot(sequence: Sequence, role: str, phrase: int, at: PointMm, after: int | None = None) -> tuple[Sequence, int]:
    """The sequence with one spot more, after the spot of that number or at the end, and the number of the new spot."""
    points = _begun(sequence, role, phrase)
    number = len(points) if after is None or after >= len(points) else after + 1
    return _with(sequence, role, phrase, (*points[:number], RoutePoint(at), *points[number:])), number


def with_mark(sequence: Sequence, role: str, phrase: int, move: int, at: PointMm, after: int | None = None) -> tuple[Sequence, int]:
    """The sequence with the mark of a move at a spot, and that spot's number; a mark that is there already goes to the new place.

    Moves rise along a way: a new mark comes after the spot of the number given only where that is so, else where it must.
    """
    _refuse_foreign(sequence, phrase, move)
    points = _begun(sequence, role, phrase)
    there = next((number for number, point in enumerate(points) if point.move == move), None)
    if there is not None:
        return _with(sequence, role, phrase, (*points[:there], RoutePoint(at, move), *points[there + 1 :])), there
    first, last = _between(points, move)
    number = _nearest_leg(points, first, last, at) if after is None else min(max(after + 1, first), last)
    return _with(sequence, role, phrase, (*points[:number], RoutePoint(at, move), *points[number:])), number


def marked(sequence: Sequence, role: str, phrase: int, number: int, move: int | None) -> Sequence:
    """The sequence in which that spot is the mark of a move, or with None a bend; raises `UseFault` where moves would not rise."""
    points = _points(sequence, role, phrase, number)
    if move is not None:
        _refuse_foreign(sequence, phrase, move)
        others = tuple(RoutePoint(point.at, None) if point.move == move else point for point in points)
        points = (*others[:number], RoutePoint(others[number].at), *others[number + 1 :])
        first, last = _between(points, move)
        if not first <= number < last:
            raise UseFault(f"Move {move} cannot land there: along a way the moves rise; choose a spot between its neighbours.")
    return _with(sequence, role, phrase, (*points[:number], RoutePoint(points[number].at, move), *points[number + 1 :]))


def moved(sequence: Sequence, role: str, phrase: int, number: int, at: PointMm) -> Sequence:
    """The sequence with that spot elsewhere; of a guess the whole way is taken over."""
    points = _points(sequence, role, phrase, number)
    return _with(sequence, role, phrase, (*points[:number], replace(points[number], at=at), *points[number + 1 :]))


def without_spot(sequence: Sequence, role: str, phrase: int, number: int) -> Sequence:
    """The sequence without that spot; with its last spot the way is gone."""
    points = _points(sequence, role, phrase, number)
    return _with(sequence, role, phrase, (*points[:number], *points[number + 1 :]))


def without_way(sequence: Sequence, role: str, phrase: int) -> Sequence:
    """The sequence in which nobody drew this way; raises `UseFault` when nobody did."""
    if way_of(sequence, role, phrase).guessed:
        raise UseFault(f"Nobody drew a way for {role} in phrase {phrase}; there is nothing to take away.")
    return _with(sequence, role, phrase, ())


def further_on(points: Listed[RoutePoint], after: int) -> PointMm:
    """Where a spot after that one is put when nobody says where: halfway to the next, or half a step on from the last."""
    here = points[after].at
    if after + 1 < len(points):
        there = points[after + 1].at
        return (here[0] + there[0]) // 2, (here[1] + there[1]) // 2
    before = points[after - 1].at if after else (here[0] - 1, here[1])
    on_x, on_y = here[0] - before[0], here[1] - before[1]
    far = hypot(on_x, on_y) or 1.0
    return round(here[0] + on_x / far * _ON_MM), round(here[1] + on_y / far * _ON_MM)


def _begun(sequence: Sequence, role: str, phrase: int) -> Points:
    """The drawn spots to which one is added; a guess is no beginning."""
    way = way_of(sequence, role, phrase)
    return () if way.guessed else way.points


def _points(sequence: Sequence, role: str, phrase: int, number: int) -> Points:
    points = way_of(sequence, role, phrase).points
    if not 0 <= number < len(points):
        raise UseFault(f"{role}'s way in phrase {phrase} has no such spot any more; choose another.")
    return points


def _between(points: Points, move: int) -> tuple[int, int]:
    """The first and the last number that a new mark of a move may have, so that moves rise."""
    first = max((number + 1 for number, point in enumerate(points) if point.move is not None and point.move < move), default=0)
    last = min((number for number, point in enumerate(points) if point.move is not None and point.move > move), default=len(points))
    return first, max(first, last)


def _nearest_leg(points: Points, first: int, last: int, at: PointMm) -> int:
    """Where between two marks a spot makes the way least longer; after the last spot it just goes on."""
    if last == len(points):
        return last

    def longer(number: int) -> float:
        after = points[number].at
        if number == 0:
            return dist(at, after)
        before = points[number - 1].at
        return dist(before, at) + dist(at, after) - dist(before, after)

    return min(range(first, last + 1), key=longer)


def _moves(sequence: Sequence, phrase: int) -> list[int]:
    return [move.number for one in sequence.phrases if one.number == phrase for move in one.moves]


def _refuse_foreign(sequence: Sequence, phrase: int, move: int) -> None:
    if move not in _moves(sequence, phrase):
        raise UseFault(f"Move {move} is not in phrase {phrase}; choose a move of that phrase.")


def _with(sequence: Sequence, role: str, phrase: int, points: Points) -> Sequence:
    floor = sequence.floor or Floor()
    kept = tuple(route for route in floor.routes if (route.role, route.phrase) != (role, phrase))
    return with_routes(sequence, (*kept, Route(role, phrase, points)) if points else kept)
