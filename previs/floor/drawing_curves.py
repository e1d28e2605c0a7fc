"""Arcs, circles, bulges and blocks' placements as plain geometry of the plane; it knows nothing of DXF or of the plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

Spot = tuple[float, float]

_MOST_CHORDS = 10_000
_LEAST_BULGE = 1e-9


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece of a circle: about `centre`, from `start`, turning by `sweep` radians, counter-clockwise when above nothing."""

    centre: Spot
    start: Spot
    sweep: float

    @property
    def radius(self) -> float:
        """How far its spots lie from its centre."""
        return math.dist(self.centre, self.start)

    @property
    def end(self) -> Spot:
        """Where it ends."""
        return self.at(1.0)

    def at(self, share: float) -> Spot:
        """The spot after this share of its sweep."""
        turn = self.sweep * share
        x, y = self.start[0] - self.centre[0], self.start[1] - self.centre[1]
        cos, sin = math.cos(turn), math.sin(turn)
        return self.centre[0] + x * cos - y * sin, self.centre[1] + x * sin + y * cos

    def flattened(self, within: float) -> list[Spot]:
        """Spots on it whose chords lie within this distance of it, its two ends among them; an eighth of a turn a chord at most.

        A chord that turns by a lies r (1 - cos(a / 2)) from its arc.
        """
        chords = self.chords(within)
        return [self.start, *(self.at(number / chords) for number in range(1, chords)), self.end]

    def chords(self, within: float) -> int:
        """How many chords `flattened` makes of it."""
        step = math.pi / 4 if self.radius <= within else min(math.pi / 4, 2 * math.acos(1 - within / self.radius))
        return max(1, min(_MOST_CHORDS, math.ceil(abs(self.sweep) / step - 1e-9))) if step else _MOST_CHORDS


def bulged(start: Spot, end: Spot, bulge: float) -> Arc | None:
    """The arc that a bulge makes between two spots; None for a straight line.

    DXF reference: a bulge is the tangent of a quarter of the arc's angle, below nothing when it turns clockwise from start to end.
    """
    chord = math.dist(start, end)
    if abs(bulge) < _LEAST_BULGE or chord == 0:
        return None
    # The centre lies on the chord's middle line, (1 - bulge squared) / (4 bulge) chords to the left.
    aside = (1 - bulge * bulge) / (4 * bulge)
    centre = (
        (start[0] + end[0]) / 2 - aside * (end[1] - start[1]),
        (start[1] + end[1]) / 2 + aside * (end[0] - start[0]),
    )
    return Arc(centre, start, 4 * math.atan(bulge))


@dataclass(frozen=True, slots=True)
class Placing:
    """How a block's plane lies in the drawing's: x goes to (a x + c y + e), y to (b x + d y + f)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def put(self, spot: Spot) -> Spot:
        """Where a spot of the block comes to lie."""
        x, y = spot
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def within(self, outer: Placing) -> Placing:
        """This placing inside a block that is itself placed so."""
        e, f = outer.put((self.e, self.f))
        return Placing(
            outer.a * self.a + outer.c * self.b,
            outer.b * self.a + outer.d * self.b,
            outer.a * self.c + outer.c * self.d,
            outer.b * self.c + outer.d * self.d,
            e,
            f,
        )

    @property
    def most_stretch(self) -> float:
        """How many times longer a line can become by it: the larger singular value of its matrix."""
        squares = self.a**2 + self.b**2 + self.c**2 + self.d**2
        return math.sqrt((squares + math.sqrt(max(0.0, squares**2 - 4 * self._determinant**2))) / 2)

    @property
    def keeps_circles(self) -> bool:
        """Whether a circle stays one, to one part in a hundred."""
        squares = self.a**2 + self.b**2 + self.c**2 + self.d**2
        return squares > 0 and abs(2 * abs(self._determinant) / squares - 1) < 5e-5

    @property
    def _determinant(self) -> float:
        return self.a * self.d - self.b * self.c
