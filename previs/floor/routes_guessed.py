"""Ways over the plan where nobody drew any: every role stands near the named place of each move; a guess, and marked as one."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot

from previs.document.floor import NamedPlace, PointMm, Route, RoutePoint
from previs.document.model import Phrase, Sequence

APART_MM = 1200
"""How far apart the two of a move are drawn where nobody said: a figure to draw with, ours, and no rule for any fight."""

GUESS_NOTE = (
    f"Routes that are marked as guessed were not drawn by anybody: each role stands at the place of its move, the two of a move "
    f"{APART_MM / 1000:.1f} m apart along the way from place to place. This distance is only to draw with; give a table of routes."
)
"""What is said wherever a guessed route is shown."""

_EASTWARD = (1.0, 0.0)


def guessed_routes(sequence: Sequence, places: tuple[NamedPlace, ...]) -> dict[tuple[str, int], Route]:
    """A route for each role and phrase with a move at a place of the plan, by role and phrase; moves elsewhere are left out.

    The first role of the fight stands on the near side of the place, the second on the far side, and so on by turns, along the
    way from the place before to the next one, so that nobody changes sides from move to move.
    """
    known = {place.name.casefold(): place.at for place in places}
    ahead = _directions(sequence, known)
    found: dict[tuple[str, int], Route] = {}
    for phrase in sequence.phrases:
        for number, role in enumerate(sequence.roles):
            points = _points(phrase, role, known, ahead, far=number % 2 == 1)
            if points:
                found[role, phrase.number] = Route(role, phrase.number, points)
    return found


def homeless_moves(sequence: Sequence, places: tuple[NamedPlace, ...]) -> tuple[int, ...]:
    """The moves whose place is no place of the plan."""
    known = {place.name.casefold() for place in places}
    return tuple(move.number for move in sequence.moves if move.place.casefold() not in known)


def _points(
    phrase: Phrase, role: str, known: Mapping[str, PointMm], ahead: Mapping[str, tuple[float, float]], *, far: bool
) -> tuple[RoutePoint, ...]:
    points = []
    for move in phrase.moves:
        name = move.place.casefold()
        if role in (move.attacker, move.defender) and name in known:
            (x, y), (along_x, along_y) = known[name], ahead[name]
            out = APART_MM / 2 * (1 if far else -1)
            points.append(RoutePoint((round(x + along_x * out), round(y + along_y * out)), move.number))
    return tuple(points)


def _directions(sequence: Sequence, known: Mapping[str, PointMm]) -> dict[str, tuple[float, float]]:
    """For each place of the fight, which way on it leads to the next one, or from the one before when it is the last."""
    names = list(dict.fromkeys(move.place.casefold() for move in sequence.moves if move.place.casefold() in known))
    found: dict[str, tuple[float, float]] = {}
    for at, name in enumerate(names):
        one, other = (name, names[at + 1]) if at + 1 < len(names) else (names[at - 1], name)
        (x, y), (to_x, to_y) = known[one], known[other]
        far = hypot(to_x - x, to_y - y)
        found[name] = ((to_x - x) / far, (to_y - y) / far) if far else _EASTWARD
    return found
