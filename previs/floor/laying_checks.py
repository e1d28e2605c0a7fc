"""What is measured once more when all is laid: long distances across the set, and its right angles by 3, 4 and 5.

3-4-5 and its multiples 6-8-10 and 9-12-15: FAO, Brouwer et al. 1985, Elements of Topographic Surveying, chapter 4.1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from math import dist

import numpy as np

from previs.floor.laying_lines import Outline
from previs.floor.measuring import Reaches
from previs.floor.measuring_units import INCH_MM, Units
from previs.floor.placing import Spot

MOST_DIAGONALS = 6
MOST_RIGHT_ANGLES = 4
_LEAST_DIAGONAL_MM = 1000.0
_SQUARE_MM = 2.0
"""How far from right a corner may be to be checked as right, at the end of its diagonal: less than a tape is read; a limit of ours."""
_STRAIGHT_MM = 1.0
"""How far beside its first piece a side may go on and still be straight."""
_PARTS_MM = {
    Units.METRIC: (3000.0, 2000.0, 1500.0, 1000.0, 800.0, 600.0, 500.0, 400.0, 300.0, 200.0),
    Units.IMPERIAL: tuple(float(12 * INCH_MM) * feet for feet in (9, 6, 5, 4, 3, 2, 1.5, 1)),
}
"""How long one part of the 3, 4 and 5 may be, the longest first: round lengths; a choice of ours."""


@dataclass(frozen=True, slots=True)
class RightAngle:
    """A right-angled corner: `part_mm` times 3 along to one point, times 4 along to another, and times 5 between the two marks."""

    corner: int
    along_three: int
    along_four: int
    part_mm: float


def diagonals(spots: Sequence[Spot], reaches: Reaches) -> tuple[tuple[int, int], ...]:
    """Pairs of points far from each other, the farthest first, each point in one pair at most; a column may not stand between."""
    if len(spots) < 2:
        return ()
    at = np.array(spots)
    first, second = np.triu_indices(len(spots), 1)
    lengths = np.hypot(*(at[first] - at[second]).T).round(1)
    found: list[tuple[int, int]] = []
    used: set[int] = set()
    for pair in np.argsort(-lengths, kind="stable"):
        one, other = int(first[pair]), int(second[pair])
        if lengths[pair] < _LEAST_DIAGONAL_MM or len(found) == MOST_DIAGONALS:
            break
        if not {one, other} & used and reaches(spots[one], spots[other]):
            found.append((one, other))
            used |= {one, other}
    return tuple(found)


def right_angles(shape: Outline, units: Units) -> tuple[RightAngle, ...]:
    """The outline's right-angled corners that can be checked on the longest sides, at most four, no point twice as a corner."""
    best: dict[int, RightAngle] = {}
    for corner, beside in _neighbours(shape).items():
        for three, four in permutations(beside, 2):
            part = _part(shape.spots, corner, three, four, units)
            if part and (corner not in best or part > best[corner].part_mm):
                best[corner] = RightAngle(corner, three, four, part)
    return tuple(sorted(best.values(), key=lambda one: (-one.part_mm, one.corner))[:MOST_RIGHT_ANGLES])


def _neighbours(shape: Outline) -> dict[int, list[int]]:
    beside: dict[int, dict[int, None]] = {}
    for one in shape.joined:
        for first, last in one.edges:
            beside.setdefault(first, {})[last] = None
            beside.setdefault(last, {})[first] = None
    return {corner: sorted({_straight_on(shape.spots, beside, corner, other) for other in beside[corner]}) for corner in sorted(beside)}


def _straight_on(spots: Sequence[Spot], beside: dict[int, dict[int, None]], corner: int, end: int) -> int:
    """The last point that the tape from a corner through its neighbour leads to without a bend: a side may be of several pieces."""
    way = (spots[end][0] - spots[corner][0], spots[end][1] - spots[corner][1])
    side = dist(spots[corner], spots[end])
    gone = True
    while gone:
        gone = False
        for further in sorted(beside[end]):
            dx, dy = spots[further][0] - spots[corner][0], spots[further][1] - spots[corner][1]
            if abs(way[0] * dy - way[1] * dx) <= side * _STRAIGHT_MM and way[0] * dx + way[1] * dy > side * dist(spots[corner], spots[end]):
                end, gone = further, True
                break
    return end


def _part(spots: Sequence[Spot], corner: int, three: int, four: int, units: Units) -> float:
    """The longest part with which the corner can be checked; 0 when it is not right or too short."""
    at, one, other = spots[corner], spots[three], spots[four]
    legs = dist(at, one), dist(at, other)
    part = next((part for part in _PARTS_MM[units] if 3 * part <= legs[0] and 4 * part <= legs[1]), 0.0)
    marks = [
        tuple(a + (b - a) * share * part / leg for a, b in zip(at, end, strict=True))
        for end, leg, share in ((one, legs[0], 3), (other, legs[1], 4))
    ]
    return part if abs(dist(*marks) - 5 * part) <= _SQUARE_MM else 0.0
