"""How long a body is in the air on tape, and what a free flight of that height would take; for reading pictures only.

A body that leaves the ground and is pulled by gravity alone rises and falls with g; air drag is left out. This tells an
animator with which weight a digital double must move. It is never for rigging: it says nothing of lines, loads or pads.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import inf, isinf, sqrt

from previs.clock import Rate
from previs.document.model import Flight, Sequence

GRAVITY = 9.80665
"""Metres a second squared: standard gravity, 3rd General Conference on Weights and Measures, 1901."""


@dataclass(frozen=True, slots=True)
class AirTime:
    """One flight in numbers. Each range is what the marks allow: a moment is known to one picture of its tape.

    `seconds` is the time in the air as marked, `free_height_metres` (least, most) how high a free flight of that time
    comes, the most infinite when the marks may be one moment and the landing is higher. `free_seconds` is what a free
    flight to the marked height takes, `longer_frames` (least, most) by how many frames of the sequence the marked time is
    longer; None without a marked height. `speed_metres_a_second` (least, most) is the speed over the ground, None without
    a marked distance.
    """

    flight: Flight
    seconds: Fraction
    free_height_metres: tuple[float, float]
    free_seconds: float | None
    longer_frames: tuple[float, float] | None
    speed_metres_a_second: tuple[float, float] | None

    @property
    def sentence(self) -> str:
        """What it means, in words."""
        low, high = self.free_height_metres
        height = f"at least {low:.2f}" if isinf(high) else f"{low:.2f} to {high:.2f}"
        said = f"{float(self.seconds):.2f} s in the air; a free flight of that time comes {height} m high"
        if self.longer_frames is None:
            return said + "."
        least, most = self.longer_frames
        if least > 0:
            return f"{said}. Longer than a free flight to the marked height by {least:.0f} to {most:.0f} frames: assisted or slowed."
        if most < 0:
            return f"{said}. Shorter than a free flight to the marked height by {-most:.0f} to {-least:.0f} frames: check the marks."
        return f"{said}. As long as a free flight to the marked height, within the marks."


def air_time(sequence: Sequence, flight: Flight) -> AirTime:
    """The numbers of one flight; heights and times by h = g t^2 / 8 on level ground, and by t = sqrt(2 h / g) up and down."""
    picture = 1 / Rate.parse(sequence.tape(flight.reel).rate_name).fps
    seconds = flight.landing - flight.take_off
    # Take-off and landing each lie within half a picture of their mark.
    shortest, longest = max(Fraction(0), seconds - picture), seconds + picture
    rise = float(flight.rise_metres)
    heights = free_heights(float(shortest), float(longest), rise)
    free = longer = speed = None
    fps = float(sequence.timebase.rate.fps)
    if flight.height_metres is not None:
        free = free_seconds(float(flight.height_metres), rise)
        longer = (float(shortest) - free) * fps, (float(longest) - free) * fps
    if flight.distance_metres is not None and shortest > 0:
        speed = float(flight.distance_metres / longest), float(flight.distance_metres / shortest)
    return AirTime(flight, seconds, heights, free, longer, speed)


def free_heights(shortest: float, longest: float, rise_metres: float = 0.0) -> tuple[float, float]:
    """The least and the most that `free_height` gives for times from `shortest` to `longest` seconds.

    Up to a higher landing a shorter flight can need to come higher than a longer one: least is the flight that only just
    reaches the landing, in sqrt(2 rise / g) seconds.
    """
    ends = sorted(free_height(time, rise_metres) for time in (shortest, longest))
    if rise_metres > 0 and shortest <= sqrt(2 * rise_metres / GRAVITY) <= longest:
        ends[0] = rise_metres
    return ends[0], ends[1]


def free_seconds(height_metres: float, rise_metres: float = 0.0) -> float:
    """How long a free flight takes that comes `height_metres` above its take-off and lands `rise_metres` above it."""
    return sqrt(2 * height_metres / GRAVITY) + sqrt(2 * max(0.0, height_metres - rise_metres) / GRAVITY)


def free_height(seconds: float, rise_metres: float = 0.0) -> float:
    """How high above its take-off a free flight of this time comes that lands `rise_metres` above it.

    With no rise this is g t^2 / 8. In general the speed at take-off is v = rise / t + g t / 2, and the height v^2 / 2 g;
    a fall that never rises has none, and no flight is quick enough for a higher landing in no time: infinite.
    """
    if seconds <= 0:
        return inf if rise_metres > 0 else 0.0
    speed = max(0.0, rise_metres / seconds + GRAVITY * seconds / 2)
    # Multiplied, since a power that is too large raises where a product is infinite.
    return speed * speed / (2 * GRAVITY)
