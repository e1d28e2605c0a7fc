"""From the plan's millimetres to a window's pixels and back: how near, turned how far, and what stands in the middle; no Qt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import hypot

from previs.floor.placing import Spot, turned

_NEAREST, _FARTHEST = 2.0, 1e-6
"""Pixels for a millimetre: half a millimetre each at most, a whole kilometre at least."""
_ROUND_PX = 46.0
"""What is left free around all that is shown whole."""


@dataclass(frozen=True, slots=True)
class Sight:
    """What a window of `width` by `height` pixels shows: `middle` is the plan's spot in its middle, `each` the pixels of a millimetre.

    The plan is shown turned by `turn_millidegrees`, counter-clockwise, as in `Laid`.
    """

    middle: Spot = (0.0, 0.0)
    each: float = 0.05
    turn_millidegrees: int = 0
    width: float = 100.0
    height: float = 100.0

    def pixel(self, spot: Spot) -> Spot:
        """Where a spot of the plan is in the window; y goes down there."""
        cosine, sine = turned(self.turn_millidegrees)
        x, y = spot[0] - self.middle[0], spot[1] - self.middle[1]
        across, up = x * cosine - y * sine, x * sine + y * cosine
        return self.width / 2 + across * self.each, self.height / 2 - up * self.each

    def spot(self, pixel: Spot) -> Spot:
        """Which spot of the plan is at a pixel: `pixel` backwards."""
        cosine, sine = turned(self.turn_millidegrees)
        across, up = (pixel[0] - self.width / 2) / self.each, (self.height / 2 - pixel[1]) / self.each
        return self.middle[0] + across * cosine + up * sine, self.middle[1] - across * sine + up * cosine

    def zoomed(self, factor: float, about: Spot) -> Sight:
        """Nearer or further, with what is at a pixel staying there."""
        held = self.spot(about)
        nearer = replace(self, each=min(max(self.each * factor, _FARTHEST), _NEAREST))
        now = nearer.spot(about)
        return replace(nearer, middle=(nearer.middle[0] + held[0] - now[0], nearer.middle[1] + held[1] - now[1]))

    def shifted(self, across: float, down: float) -> Sight:
        """The paper pushed by so many pixels."""
        return replace(self, middle=self.spot((self.width / 2 - across, self.height / 2 - down)))

    def sized(self, width: float, height: float) -> Sight:
        """The same in a window of another size."""
        return replace(self, width=max(width, 1.0), height=max(height, 1.0))

    def revealing(self, spot: Spot) -> Sight:
        """Pushed so that a spot is seen; unchanged where it is."""
        x, y = self.pixel(spot)
        inside = _ROUND_PX <= x <= self.width - _ROUND_PX and _ROUND_PX <= y <= self.height - _ROUND_PX
        return self if inside else replace(self, middle=spot)

    def whole(self, spots: Iterable[Spot], turn_millidegrees: int = 0) -> Sight:
        """As near as these spots are all seen, turned so; unchanged without a spot."""
        flat = replace(self, middle=(0.0, 0.0), each=1.0, turn_millidegrees=turn_millidegrees)
        seen = [flat.pixel(spot) for spot in spots]
        if not seen:
            return self
        left, right = min(x for x, _ in seen), max(x for x, _ in seen)
        top, bottom = min(y for _, y in seen), max(y for _, y in seen)
        wide, high = max(right - left, 1000.0), max(bottom - top, 1000.0)
        each = min(max(self.width - 2 * _ROUND_PX, 40.0) / wide, max(self.height - 2 * _ROUND_PX, 40.0) / high)
        middle = flat.spot(((left + right) / 2, (top + bottom) / 2))
        return replace(flat, middle=middle, each=min(max(each, _FARTHEST), _NEAREST))


def nearest(pixels: Iterable[Spot], at: Spot, reach_px: float) -> int | None:
    """The number of the pixel that is nearest to another, and the last of several; None when none is within reach."""
    found: tuple[float, int] | None = None
    for number, (x, y) in enumerate(pixels):
        far = hypot(x - at[0], y - at[1])
        if far <= reach_px and (found is None or far <= found[0]):
            found = far, number
    return None if found is None else found[1]
