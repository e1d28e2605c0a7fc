"""Bearings and sides by hand, and the sign of a cross product written anew."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape
from hypothesis import assume, given
from hypothesis import strategies as some
from msgspec.structs import replace

from previs.document.model import Framing, Sequence, Size
from previs.floor.cameras_line import ON_THE_LINE_DEGREES, apart_degrees, bearing, crosses, on_the_left, pair_of, whole_degrees

spots = some.tuples(some.integers(-20_000, 20_000), some.integers(-20_000, 20_000))
PAIR = ("Odile", "Reeve")


@pytest.mark.parametrize(
    ("lens", "degrees", "left"),
    [
        ((0, -5000), 0, "Odile"),  # Odile west, Reeve east, camera south: she is on the left.
        ((-5000, -5000), 45, "Odile"),  # On clockwise, seen from above, from south to west.
        ((5000, -5000), -45, "Odile"),
        ((-5000, 0), 90, ""),
        ((5000, 0), -90, ""),
        ((0, 5000), 180, "Reeve"),
        ((-5000, 5000), 135, "Reeve"),
    ],
)
def test_bearings_round_a_pair(lens: tuple[int, int], degrees: float, left: str) -> None:
    turned = bearing(lens, (-600, 0), (600, 0))
    assert turned is not None
    assert abs(apart_degrees(turned, degrees)) < 1e-9
    assert on_the_left(PAIR, turned) == left


def test_no_line_no_side() -> None:
    assert bearing((0, 5000), (10, 10), (10, 10)) is None
    assert bearing((0, 0), (-600, 0), (600, 0)) is None
    assert on_the_left(PAIR, None) == ""


@pytest.mark.parametrize(
    ("degrees", "left"), [(84.9, "Odile"), (85.1, ""), (94.9, ""), (95.1, "Reeve"), (-84.9, "Odile"), (-95.1, "Reeve")]
)
def test_on_the_line_is_neither_side(degrees: float, left: str) -> None:
    assert ON_THE_LINE_DEGREES == 5
    assert on_the_left(PAIR, degrees) == left


@given(spots, spots, spots)
def test_the_side_is_the_sign_of_a_cross_product(lens: tuple[int, int], odile: tuple[int, int], reeve: tuple[int, int]) -> None:
    """SOURCES section 11: side = sign of the cross product, a camera on the line neutral."""
    turned = bearing(lens, odile, reeve)
    left = on_the_left(PAIR, turned)
    assume(left)
    cross = (reeve[0] - odile[0]) * (lens[1] - odile[1]) - (reeve[1] - odile[1]) * (lens[0] - odile[0])
    assert left == ("Odile" if cross < 0 else "Reeve")


@pytest.mark.parametrize(
    ("degrees", "whole"), [(-180.0, 180), (179.6, 180), (-179.4, -179), (190.2, -170), (-190.2, 170), (0.4, 0), (-35.6, -36)]
)
def test_whole_degrees_are_as_the_log_writes_them(degrees: float, whole: int) -> None:
    assert whole_degrees(degrees) == whole


def test_crossing_is_the_assemblys_rule() -> None:
    assert crosses("Odile", "Reeve")
    assert not crosses("Odile", "Odile")
    assert not crosses("", "Reeve")


def fight(*framings: tuple[int | None, str]) -> Sequence:
    takes = []
    for number, (angle, left) in enumerate(framings):
        made = take(f"T{number}", {})
        takes.append(replace(made, framings=(Framing(Fraction(0), Size.FULL, angle=angle, screen_left=left),)))
    return sequence(phrases=(phrase(1, range(1, 3)),), tapes=(tape(),), takes=tuple(takes))


def test_the_marks_say_who_is_left_at_nought() -> None:
    """The fight names Odile first; takes that have Reeve left at 10 degrees, or Odile at 170, say that it is Reeve."""
    for made, left in ((fight(), "Odile"), (fight((10, "Reeve")), "Reeve"), (fight((170, "Odile")), "Reeve")):
        assert pair_of(made, made.moves[0]) == (left, "Reeve" if left == "Odile" else "Odile")
    outvoted = fight((10, "Reeve"), (20, "Odile"), (-30, "Odile"), (None, "Reeve"), (90, "Reeve"), (5, ""))
    assert pair_of(outvoted, outvoted.moves[1]) == ("Odile", "Reeve")
