"""Lengths as people read them off a tape: metres to 5 mm, or feet and inches to a quarter of an inch; exact in whole steps."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction
from math import ceil, floor

INCH_MM = Fraction(254, 10)
"""An inch is 25.4 mm exactly (international yard and pound, 1959)."""


class Units(StrEnum):
    """What the tapes are marked in."""

    METRIC = "metric"
    IMPERIAL = "imperial"

    @property
    def step_mm(self) -> Fraction:
        """The smallest step that is read off: 5 mm, or a quarter of an inch."""
        return Fraction(5) if self is Units.METRIC else INCH_MM / 4

    @property
    def words(self) -> str:
        """The units in words."""
        return "metres, to 5 mm" if self is Units.METRIC else "feet and inches, to 1/4 in"


def rounded_mm(length_mm: float, units: Units) -> Fraction:
    """The nearest length that can be read off, in exact millimetres; half a step goes up."""
    return floor(_thousandths(length_mm) / units.step_mm + Fraction(1, 2)) * units.step_mm


def read_off(length_mm: float, units: Units) -> str:
    """A length as it is read off the tape, to the nearest step: `6.335 m`, or `20' 9 1/2"`."""
    steps = floor(_thousandths(length_mm) / units.step_mm + Fraction(1, 2))
    return f"{steps * 5 / 1000:.3f} m" if units is Units.METRIC else _feet_and_inches(steps)


def error_said(error_mm: float, units: Units) -> str:
    """An error, rounded up: `12 mm`, or `1/2"`."""
    return f"{ceil(_thousandths(error_mm))} mm" if units is Units.METRIC else _feet_and_inches(ceil(_thousandths(error_mm) / units.step_mm))


def tape_said(length_mm: float, units: Units) -> str:
    """A length of tape, rounded up to whole metres or feet: `24 m`, `79 ft`."""
    return f"{ceil(_thousandths(length_mm) / 1000)} m" if units is Units.METRIC else f"{ceil(_thousandths(length_mm) / (12 * INCH_MM))} ft"


def _thousandths(length_mm: float) -> Fraction:
    """A length to a thousandth of a millimetre, so that the last bit of a float decides no rounding."""
    return Fraction(round(length_mm * 1000), 1000)


def _feet_and_inches(quarters: int) -> str:
    """Quarters of an inch as feet, inches and a fraction in lowest terms: `3/4"`, `6"`, `1' 0 1/4"`, `12' 3 1/2"`."""
    feet, rest = divmod(quarters, 48)
    inches, part = divmod(rest, 4)
    fraction = ("", "1/4", "1/2", "3/4")[part]
    said = fraction if fraction and not inches and not feet else f"{inches} {fraction}".strip()
    return f"{feet}' {said}\"" if feet else f'{said}"'
