"""Texts of a drawing as names of the lines they stand by, and as places of the plan; it reads no drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely import STRtree
from shapely.geometry import LineString, Point

from previs.document.floor import LineKind
from previs.floor.drawing_curves import Spot
from previs.floor.drawing_pieces import Text

BESIDE_MM = 1000.0
"""A text on a layer of walls, doors and so on names the nearest line of its layer's kind that lies within this. Ours, no source."""
MOST_LETTERS = 80


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line of the plan before it is counted in whole millimetres; see `PlanLine`."""

    kind: LineKind
    points: tuple[Spot, ...]
    closed: bool = False
    name: str = ""
    thickness_mm: float = 0.0
    opens_left: bool | None = None


@dataclass(frozen=True, slots=True)
class Named:
    """The lines with their names, the places, and texts that are too long to be a name."""

    lines: tuple[DrawnLine, ...]
    places: tuple[tuple[str, Spot], ...]
    too_long: int


def named(lines: Sequence[DrawnLine], texts: Sequence[Text]) -> Named:
    """Every text put to use: on a layer of places as a place; else as the name of the line beside it, or as a place without one."""
    found = list(lines)
    places: list[tuple[str, Spot]] = []
    short = [text for text in texts if text.text and len(text.text) <= MOST_LETTERS]
    for kind in LineKind:
        told = [text for text in short if text.kind is kind]
        if told:
            places += _name_lines(found, kind, told)
    places += [(text.text, text.at) for text in short if text.kind is None]
    too_long = sum(len(text.text) > MOST_LETTERS for text in texts)
    return Named(tuple(found), tuple(places), too_long)


def _name_lines(lines: list[DrawnLine], kind: LineKind, texts: list[Text]) -> list[tuple[str, Spot]]:
    """Name lines of this kind, each once; gives back the texts that stand by none."""
    numbers = [number for number, line in enumerate(lines) if line.kind is kind and not line.name]
    shapes = [LineString(lines[number].points) for number in numbers]
    spots = [Point(text.at) for text in texts]
    tree = STRtree(shapes)
    which, beside = tree.query_nearest(spots, max_distance=BESIDE_MM, all_matches=False) if shapes else ((), ())
    left = dict(enumerate(texts))
    for text, line in zip(which, beside, strict=True):
        number = numbers[int(line)]
        if not lines[number].name:
            lines[number] = replace(lines[number], name=left.pop(int(text)).text)
    return [(text.text, text.at) for text in left.values()]
