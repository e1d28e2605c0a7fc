"""The frame rates that a sequence or a tape can be counted in, as exact fractions.

The list is that of SMPTE ST 12-1:2014 (title and abstract) plus nothing: 23.976, 24, 25, 29.97, 30,
47.952, 48, 50, 59.94 and 60 frames a second. The fractional ones are n x 1000/1001.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from previs.faults import UseFault


@dataclass(frozen=True, slots=True)
class Rate:
    """A frame rate with its trade name.

    `fps` is frames a second, exact; `nominal` is the whole number of labels that time code counts in a second.
    """

    name: str
    fps: Fraction
    nominal: int

    @property
    def may_drop(self) -> bool:
        """True where drop-frame counting exists: 29.97 and 59.94 only."""
        return self.fps.denominator == 1001 and self.nominal in (30, 60)

    @property
    def frame_seconds(self) -> Fraction:
        """Length of one frame in seconds, exact."""
        return 1 / self.fps

    @classmethod
    def parse(cls, text: str) -> Rate:
        """Read `24`, `23.976`, `23.98`, `29.97`, `30000/1001` ...; raises `UseFault` for any other rate."""
        wanted = str(text).strip()
        for rate in RATES:
            if wanted in (rate.name, *_OTHER_NAMES.get(rate.name, ()), str(rate.fps)):
                return rate
        known = ", ".join(rate.name for rate in RATES)
        raise UseFault(f"'{wanted}' is not a frame rate that time code can count; use one of {known}.")

    @classmethod
    def nearest(cls, fps: Fraction) -> Rate:
        """The listed rate closest to a measured one, by ratio; used to label phone tapes of odd average rate."""
        return min(RATES, key=lambda rate: max(rate.fps / fps, fps / rate.fps))

    def __str__(self) -> str:
        return self.name


def _fractional(name: str, nominal: int) -> Rate:
    return Rate(name, Fraction(nominal * 1000, 1001), nominal)


RATES: tuple[Rate, ...] = (
    _fractional("23.976", 24),
    Rate("24", Fraction(24), 24),
    Rate("25", Fraction(25), 25),
    _fractional("29.97", 30),
    Rate("30", Fraction(30), 30),
    _fractional("47.952", 48),
    Rate("48", Fraction(48), 48),
    Rate("50", Fraction(50), 50),
    _fractional("59.94", 60),
    Rate("60", Fraction(60), 60),
)

_OTHER_NAMES = {"23.976": ("23.98",), "47.952": ("47.95",)}
