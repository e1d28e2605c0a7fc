"""Lengths as they are read off a tape: exact in whole steps."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.floor.measuring_units import Units, error_said, read_off, rounded_mm, tape_said

LENGTHS = st.floats(0, 100_000, allow_nan=False)


@pytest.mark.parametrize(
    ("length_mm", "said"),
    [
        # An inch is 25.4 mm exactly.
        (0, '0"'),
        (6.35, '1/4"'),
        (12.7, '1/2"'),
        (25.4, '1"'),
        (31.75, '1 1/4"'),
        (298.45, '11 3/4"'),
        (304.8, "1' 0\""),
        (311.15, "1' 0 1/4\""),
        (3048, "10' 0\""),
        (3048 + 12.7, "10' 0 1/2\""),
        (304.8 * 12 + 25.4 * 3 + 19.05, "12' 3 3/4\""),
        (16_000, "52' 6\""),
        (9000, "29' 6 1/4\""),
        # The last step below a foot goes up to the foot, not to 12 inches.
        (304.8 - 3.1, "1' 0\""),
        (304.8 - 3.2, '11 3/4"'),
        # Half a step goes up.
        (3.175, '1/4"'),
        (3.174, '0"'),
    ],
)
def test_feet_and_inches(length_mm: float, said: str) -> None:
    assert read_off(length_mm, Units.IMPERIAL) == said


@pytest.mark.parametrize(
    ("length_mm", "said"),
    [(0, "0.000 m"), (2.5, "0.005 m"), (2.49, "0.000 m"), (7.5, "0.010 m"), (16_000, "16.000 m"), (12_997.6, "13.000 m"), (85, "0.085 m")],
)
def test_metres(length_mm: float, said: str) -> None:
    assert read_off(length_mm, Units.METRIC) == said


@given(LENGTHS, st.sampled_from(Units))
def test_what_is_read_off_is_the_nearest_step(length_mm: float, units: Units) -> None:
    rounded = rounded_mm(length_mm, units)
    assert abs(rounded - Fraction(length_mm)) <= units.step_mm / 2 + Fraction(1, 2000)
    assert read_back(read_off(length_mm, units)) == rounded


def read_back(said: str) -> Fraction:
    """What a person reads on the tape, in millimetres, read without the code under test."""
    if said.endswith(" m"):
        return Fraction(said[:-2]) * 1000
    feet, _, inches = said.rpartition("' ")
    return 12 * Fraction(254, 10) * Fraction(feet or 0) + sum(map(Fraction, inches.rstrip('"').split())) * Fraction(254, 10)


def test_errors_and_tape_are_rounded_up() -> None:
    assert [error_said(one, Units.METRIC) for one in (10, 10.01, 29.9)] == ["10 mm", "11 mm", "30 mm"]
    assert [error_said(one, Units.IMPERIAL) for one in (6.35, 10, 29.9)] == ['1/4"', '1/2"', '1 1/4"']
    assert [tape_said(one, Units.METRIC) for one in (1000, 1001, 23_100)] == ["1 m", "2 m", "24 m"]
    assert [tape_said(one, Units.IMPERIAL) for one in (304.8, 305, 3048)] == ["1 ft", "2 ft", "10 ft"]
