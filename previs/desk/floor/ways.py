"""The ways of one phrase as they are shown: spots with the moves that land there, where roles are now, what the cut shows; no Qt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from previs.cut.placing import hits_seen, place
from previs.document.floor import PointMm
from previs.document.model import Cut, Sequence
from previs.document.remembering import remembered
from previs.exchange.lists import moves_text
from previs.floor.placing import Spot
from previs.floor.route_edits import way_of
from previs.floor.routes import walks
from previs.floor.routes_timed import where


@dataclass(frozen=True, slots=True)
class Way:
    """The way of a role in a phrase. `role_number` counts the roles of the fight; `comes_from` is where it walks in from, if it does."""

    role: str
    role_number: int
    spots: tuple[PointMm, ...]
    moves: tuple[int | None, ...]
    guessed: bool
    comes_from: PointMm | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """A move as the cut shows it: the record frame on which its hit is first seen."""

    move: int
    phrase: int
    frame: int


@remembered(newest=2)
def moments(sequence: Sequence, cut: Cut | None) -> tuple[Moment, ...]:
    """Every move that the cut shows, where it is seen first, in running order."""
    if cut is None:
        return ()
    phrases = {move.number: phrase.number for phrase in sequence.phrases for move in phrase.moves}
    first: dict[int, int] = {}
    for seen in hits_seen(sequence, place(sequence, cut)):
        first.setdefault(seen.move.number, seen.record_frame)
    found = [Moment(move, phrases[move], frame) for move, frame in first.items() if move in phrases]
    return tuple(sorted(found, key=lambda one: (one.frame, one.move)))


def now(shown: tuple[Moment, ...], frame: int) -> Moment | None:
    """The move that landed last by a frame, before the first hit that one; None when the cut shows none."""
    landed = [one for one in shown if one.frame <= frame]
    return landed[-1] if landed else next(iter(shown), None)


@remembered(newest=16)
def ways(sequence: Sequence, phrase: int | None) -> tuple[Way, ...]:
    """The way of every role that goes anywhere in a phrase, in the order of roles."""
    if phrase is None:
        return ()
    found = []
    for number, role in enumerate(sequence.roles):
        way = way_of(sequence, role, phrase)
        if way.points:
            spots, moves = tuple(point.at for point in way.points), tuple(point.move for point in way.points)
            found.append(Way(role, number, spots, moves, way.guessed, _comes_from(sequence, role, phrase)))
    return tuple(found)


def held(way: Way, number: int, at: PointMm) -> Way:
    """A way with one of its spots elsewhere, while that is dragged."""
    return replace(way, spots=(*way.spots[:number], at, *way.spots[number + 1 :]))


def roles_at(sequence: Sequence, cut: Cut | None, frame: int) -> tuple[tuple[str, int, Spot], ...]:
    """Where every role is on a record frame: its name, its number and its spot; without those of whom nothing tells."""
    spots = ((role, number, where(sequence, cut, role, frame)) for number, role in enumerate(sequence.roles))
    return tuple((role, number, at) for role, number, at in spots if at is not None)


@dataclass(frozen=True, slots=True)
class Numbered:
    """Moves whose marks lie so near to each other in the window that one label serves them: the label, and its pixel."""

    text: str
    at: Spot
    moves: tuple[int, ...]


def numbered(marks: Iterable[tuple[int, Spot]], apart_px: float) -> tuple[Numbered, ...]:
    """Labels for marks, given as move and pixel along the way; marks nearer to the first of a group than `apart_px` share one."""
    groups: list[list[tuple[int, Spot]]] = []
    for move, at in marks:
        first = groups[-1][0][1] if groups else None
        if first is not None and max(abs(at[0] - first[0]), abs(at[1] - first[1])) < apart_px:
            groups[-1].append((move, at))
        else:
            groups.append([(move, at)])
    return tuple(_labelled(group) for group in groups)


def _labelled(group: list[tuple[int, Spot]]) -> Numbered:
    moves = tuple(sorted(move for move, _ in group))
    xs, ys = [at[0] for _, at in group], [at[1] for _, at in group]
    return Numbered(moves_text(moves), ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2), moves)


def _comes_from(sequence: Sequence, role: str, phrase: int) -> PointMm | None:
    """The spot before the first of a phrase on the role's walk; None at its beginning and where it jumps."""
    walk = next((one for one in walks(sequence) if one.role == role), None)
    if walk is None:
        return None
    first = next((number for number, step in enumerate(walk.steps) if step.phrase == phrase), 0)
    return walk.steps[first - 1].at if first and not walk.steps[first].jumps else None
