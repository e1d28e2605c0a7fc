"""The speed of an M2 line, written and read by one rule; it writes and reads no lines.

An M2 number is frames a second, ddd.d (samples of the public Ruby library `edl`), of which the sequence's exact rate plays
in a second: at 29.97, half speed is 14.985, written 015.0. Other writers put the nominal rate, or the exact one rounded, for
normal speed (024.0 at 23.976, 059.9 or 060.0 at 59.94), so both of these are normal speed.
"""

from __future__ import annotations

from fractions import Fraction

from previs.clock import Rate


def tenths(speed: Fraction, rate: Rate) -> int:
    """A speed, as a share of normal, in tenths of a frame a second: what an M2 line holds."""
    return round(speed * rate.fps * 10)


def speed_told(frames_a_second: Fraction, rate: Rate) -> Fraction:
    """The speed, as a share of normal, that an M2 line's number tells by itself."""
    if abs(frames_a_second) in (rate.nominal, Fraction(tenths(Fraction(1), rate), 10)):
        return Fraction(1 if frames_a_second > 0 else -1)
    return frames_a_second / rate.fps


def indistinct(one: Fraction, other: Fraction, rate: Rate) -> bool:
    """True for speeds so near each other that one M2 line may stand for both."""
    return abs(one - other) * rate.fps * 10 < 1
