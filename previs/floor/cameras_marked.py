"""What the logger marked on a camera's takes, beside what follows from where the plan puts that camera; differences, no judgement.

A difference may mean that the camera stood elsewhere on the day, that it panned or moved, that somebody misread, or that the plan is wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from previs.cut.prices import LEAST_ANGLE_DEGREES
from previs.document.model import Framing, Sequence, Size, Take, Tape
from previs.floor.cameras import Look
from previs.floor.cameras_lens import SHORT_MM, STATURE_MM, TALL_MM, Raster, size_from
from previs.floor.cameras_line import apart_degrees, whole_degrees

ANGLE_DEGREES = LEAST_ANGLE_DEGREES / 2
"""A marked bearing further than this from the middle one of its moves is a difference: half of the 30 degrees of the rule; ours."""


class What(StrEnum):
    """What is compared."""

    SIZE = "size"
    LEFT = "on the left"
    ANGLE = "bearing"


@dataclass(frozen=True, slots=True)
class Difference:
    """A take's mark that geometry does not bear out, at these moves of it; both in words: a size, a role, or degrees."""

    camera: str
    take: str
    what: What
    marked: str
    geometry: str
    moves: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """How many takes were compared at how many hits, and every difference, take by take."""

    takes: int
    hits: int
    differences: tuple[Difference, ...]


def compared(sequence: Sequence, found: tuple[Look, ...]) -> Compared:
    """The marks of each take whose camera has the letter of one that looks, at the hits that both have."""
    seen = {(look.camera.name, look.move): look for look in reversed(found)}
    takes = hits = 0
    differences: list[Difference] = []
    for take in sequence.takes:
        tape = sequence.tape(take.reel)
        name = take.camera or tape.camera
        pairs = [(take.framing_at(hit.at), seen[name, hit.move]) for hit in take.hits if (name, hit.move) in seen]
        takes, hits = takes + bool(pairs), hits + len(pairs)
        differences += _grouped(name, take, _wrong(pairs, _picture(sequence, tape)))
    return Compared(takes, hits, tuple(differences))


def _picture(sequence: Sequence, tape: Tape) -> Raster:
    """The shape of a tape's picture above the width that the plan gives, which is that of the camera held as the delivery is."""
    raster = sequence.settings
    turned = (tape.width < tape.height) != (raster.raster_width < raster.raster_height)
    # A camera that was turned on its side has what was its picture's width as its height.
    return (1, 1) if turned else (tape.width, tape.height)


_Wrong = tuple[What, str, str, int]


def _wrong(pairs: list[tuple[Framing, Look]], picture: Raster) -> Iterator[_Wrong]:
    """Everything that differs on one take, move by move; of a size, what no common stature of either role explains."""
    for framing, look in pairs:
        widest, closest = _sizes(look, picture, SHORT_MM)[0], _sizes(look, picture, TALL_MM)[1]
        if not widest.closeness <= framing.size.closeness <= closest.closeness:
            yield What.SIZE, framing.size.value, sizes_said(*_sizes(look, picture, STATURE_MM)), look.move
        if framing.screen_left in look.pair and look.left and framing.screen_left != look.left:
            yield What.LEFT, framing.screen_left, look.left, look.move
    for framing in dict.fromkeys(framing for framing, _ in pairs):
        turned = [(look.bearing, look.move) for one, look in pairs if one is framing and look.bearing is not None]
        if framing.angle is None or not turned:
            continue
        away = median(apart_degrees(by_plan, framing.angle) for by_plan, _ in turned)
        if abs(away) > ANGLE_DEGREES:
            middle = whole_degrees(framing.angle + away)
            for _, move in turned:
                yield What.ANGLE, f"{framing.angle} degrees", f"{middle} degrees", move


def _sizes(look: Look, picture: Raster, stature_mm: int) -> tuple[Size, Size]:
    """The wider and the closer size of the two, were they so tall."""
    found = sorted((size_from(look.camera, picture, one.distance_mm, stature_mm) for one in look.framed), key=lambda size: size.closeness)
    return found[0], found[-1]


def _grouped(camera: str, take: Take, wrong: Iterable[_Wrong]) -> Iterator[Difference]:
    groups: dict[tuple[What, str, str], list[int]] = {}
    for what, marked, geometry, move in wrong:
        groups.setdefault((what, marked, geometry), []).append(move)
    for (what, marked, geometry), moves in groups.items():
        yield Difference(camera, take.name, what, marked, geometry, tuple(moves))


def sizes_said(wider: Size, closer: Size) -> str:
    """One size, or from which to which."""
    return wider.value if wider is closer else f"{wider.value} to {closer.value}"
