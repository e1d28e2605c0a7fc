"""Where a point is by its distances from two fixed points, and how far a misread tape puts it wrong; for taping a floor.

The baseline formula x = (a^2 - b^2 + L^2) / 2L, y = sqrt(a^2 - x^2) and the right angle of 3-4-5 are the usual ones of setting out
with two tapes (FAO, Brouwer et al. 1985, Elements of Topographic Surveying, chapter 4.1). Lengths are in millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import combinations
from math import dist, inf, sqrt

from previs.faults import UseFault
from previs.floor.placing import Spot

MISREAD_MM = 10.0
"""The misreading of a tape by which points are judged."""
MOST_ERROR_MM = 30.0
"""A point that a misreading puts further off than this is measured from a better pair where there is one; a limit of ours."""
NEAREST_CHECK_MM = 500.0
"""A check is measured from no nearer than this, where there is a choice; a limit of ours."""
_TELLING = 0.35
"""A third tape tells a misreading when it shows at least this share of the shift; a limit of ours."""
_NEAR_POINTS = 24

Reaches = Callable[[Spot, Spot], bool]
"""Whether a tape can be drawn straight from one spot to the other."""


@dataclass(frozen=True, slots=True)
class Fixed:
    """A point that tapes are held to: A, B, a help cross or a point laid before; `error_mm` is how far off it may be itself."""

    label: str
    at: Spot
    error_mm: float = 0.0

    @property
    def is_datum(self) -> bool:
        """Whether it is one of the room's two points."""
        return self.label in ("A", "B")


@dataclass(frozen=True, slots=True)
class Measured:
    """How a point is found: by its distances from two fixed points and, as a check, from a third, None where there is none.

    Distances are not rounded. `left` says that the point lies left of the line from `first` to `second`. `error_mm` is how far off it
    comes at worst when one tape is misread by `MISREAD_MM`, and one at every point that it is measured from. `blocked` says that a
    column of the room stands in the way of a tape.
    """

    first: Fixed
    second: Fixed
    first_mm: float
    second_mm: float
    left: bool
    error_mm: float
    third: Fixed | None = None
    third_mm: float = 0.0
    blocked: bool = False


def where(first: Spot, second: Spot, first_mm: float, second_mm: float, *, left: bool) -> Spot:
    """The spot that is so far from two fixed points, on the given side of the line from the first to the second.

    Raises `UseFault` where the two tapes do not reach each other, or one lies within the other.
    """
    found = _meeting(first, second, first_mm, second_mm, left=left)
    if found is None:
        base = dist(first, second) / 1000
        raise UseFault(
            f"Tapes of {first_mm / 1000:.3f} m and {second_mm / 1000:.3f} m from points {base:.3f} m apart do not meet; measure again."
        )
    return found


def _meeting(first: Spot, second: Spot, first_mm: float, second_mm: float, *, left: bool) -> Spot | None:
    base = dist(first, second)
    if base == 0 or min(first_mm, second_mm) < 0 or base > first_mm + second_mm or abs(first_mm - second_mm) > base:
        return None
    along = (first_mm**2 - second_mm**2 + base**2) / (2 * base)
    across = sqrt(max(first_mm**2 - along**2, 0.0)) * (1 if left else -1)
    ux, uy = (second[0] - first[0]) / base, (second[1] - first[1]) / base
    return first[0] + along * ux - across * uy, first[1] + along * uy + across * ux


def error_at(point: Spot, first: Spot, second: Spot, misread_mm: float = MISREAD_MM) -> float:
    """How far off the point comes at worst when one of the two tapes is misread by so much; infinite on the line of the two.

    Worked out by laying the point again with each tape too long and too short; a misreading with which the tapes no longer meet is
    noticed and does not count.
    """
    if _sine(point, first, second) < 1e-6:
        return inf
    a, b, left = dist(point, first), dist(point, second), is_left(point, first, second)
    misread = ((a + misread_mm, b), (a - misread_mm, b), (a, b + misread_mm), (a, b - misread_mm))
    found = [_meeting(first, second, one, other, left=left) for one, other in misread]
    return max((dist(point, spot) for spot in found if spot is not None), default=inf)


def is_left(point: Spot, first: Spot, second: Spot) -> bool:
    """Whether the point lies left of, or on, the line from the first to the second."""
    return (second[0] - first[0]) * (point[1] - first[1]) - (second[1] - first[1]) * (point[0] - first[0]) >= 0


def measured(point: Spot, fixed: Iterable[Fixed], reaches: Reaches) -> Measured | None:
    """How to lay a point from the best pair of the fixed points, without a check; None when it lies in line with all of them.

    A and B are kept where their error is within `MOST_ERROR_MM`; then a pair with one of them is preferred to a pair of laid points.
    Pairs whose tape a column stops come last.
    """
    best = min((_tried(point, *pair, reaches) for pair in combinations(_worth_trying(point, fixed), 2)), key=_rank, default=None)
    return None if best is None or best.error_mm == inf else best


def checked(point: Spot, how: Measured, fixed: Iterable[Fixed], reaches: Reaches) -> tuple[Fixed, float] | None:
    """The fixed point that a third tape is best held to, and its distance; None when there is none beside the two.

    The nearest that would show either of the two tapes to be misread, else the one that would show most of it.
    """
    rest = [one for one in fixed if one.label not in (how.first.label, how.second.label) and one.at != point]
    usable = [one for one in rest if reaches(point, one.at)] or rest
    far = [one for one in usable if dist(point, one.at) >= NEAREST_CHECK_MM] or usable
    far.sort(key=lambda one: dist(point, one.at))
    telling = next((one for one in far if _told(point, how, one) >= _TELLING), None)
    chosen = telling or max(far, key=lambda one: _told(point, how, one), default=None)
    return None if chosen is None else (chosen, dist(point, chosen.at))


def _worth_trying(point: Spot, fixed: Iterable[Fixed]) -> list[Fixed]:
    """A, B and the nearest of the well laid points: of a large plan there would be too many pairs."""
    every = [one for one in fixed if one.at != point]
    laid = sorted((one for one in every if not one.is_datum), key=lambda one: (one.error_mm > MOST_ERROR_MM, dist(point, one.at)))
    return [one for one in every if one.is_datum] + laid[:_NEAR_POINTS]


def _tried(point: Spot, first: Fixed, second: Fixed, reaches: Reaches) -> Measured:
    own, sine = error_at(point, first.at, second.at), _sine(point, first.at, second.at)
    # A fixed point that is off by e shifts the point by up to e / sin t, as a tape that is wrong by e does.
    inherited = (first.error_mm + second.error_mm) / sine if sine else inf
    return Measured(
        first,
        second,
        dist(point, first.at),
        dist(point, second.at),
        is_left(point, first.at, second.at),
        own + inherited,
        blocked=not (reaches(point, first.at) and reaches(point, second.at)),
    )


def _rank(how: Measured) -> tuple[bool, bool, int, float]:
    poor = how.error_mm > MOST_ERROR_MM
    return how.blocked, poor, 0 if poor else -how.first.is_datum - how.second.is_datum, how.error_mm


def _sine(point: Spot, first: Spot, second: Spot) -> float:
    """The sine of the angle at which the two tapes cross at the point; 0 at a fixed point itself."""
    a, b = dist(point, first), dist(point, second)
    if a == 0 or b == 0:
        return 0.0
    across = (first[0] - point[0]) * (second[1] - point[1]) - (first[1] - point[1]) * (second[0] - point[0])
    return abs(across) / (a * b)


def _told(point: Spot, how: Measured, third: Fixed) -> float:
    """The share of the shift by a misread tape that a third tape shows, for the tape of which it shows less."""
    x, y = _towards(point, third.at)
    shares = []
    for other in (how.first.at, how.second.at):
        # When one tape is misread, the point moves on the circle of the other.
        ox, oy = _towards(point, other)
        shares.append(abs(x * -oy + y * ox))
    return min(shares)


def _towards(point: Spot, other: Spot) -> Spot:
    length = dist(point, other) or 1.0
    return (other[0] - point[0]) / length, (other[1] - point[1]) / length
