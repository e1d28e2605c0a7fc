"""Two tapes against published vectors and against numpy: where they meet, that they need not, what a misreading does."""

from __future__ import annotations

from math import dist, hypot, inf, isclose

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.faults import UseFault
from previs.floor.measuring import MISREAD_MM, MOST_ERROR_MM, Fixed, checked, error_at, is_left, measured, where

ROOM = st.tuples(st.integers(-8000, 24_000), st.integers(-8000, 17_000))


def free(_first: tuple[float, float], _second: tuple[float, float]) -> bool:
    return True


@pytest.mark.parametrize(
    ("length", "first", "second", "expected"),
    [
        # Baseline formula x = (a^2 - b^2 + L^2) / 2L; values of SOURCES.md, section 10, computed there.
        (6000, 5000, 5000, (3000, 4000)),
        (10_000, 6000, 8000, (3600, 4800)),
        # FAO, Brouwer et al. 1985, Elements of Topographic Surveying, 4.1: sides 3, 4, 5 and 6, 8, 10 and 9, 12, 15 are right-angled.
        (3000, 4000, 5000, (0, 4000)),
        (6000, 8000, 10_000, (0, 8000)),
        (9000, 12_000, 15_000, (0, 12_000)),
    ],
)
def test_two_tapes_meet_where_the_formula_says(length: int, first: int, second: int, expected: tuple[int, int]) -> None:
    assert where((0, 0), (length, 0), first, second, left=True) == pytest.approx(expected)
    assert where((0, 0), (length, 0), first, second, left=False) == pytest.approx((expected[0], -expected[1]))


@pytest.mark.parametrize(
    ("centres", "radii", "expected", "slack"),
    [
        # Trilateration vectors of SOURCES.md, section 10 (published, computed again there); their radii are rounded.
        (((1, 2), (1, 1), (2, 2)), (1.414, 2.236, 1), (2, 3), 0.001),
        (((24.234, -13.902), (12.3242, 234.12), (23.983, 0.321)), (31.46, 229.953, 25.572), (-1.234, 4.567), 0.01),
    ],
)
def test_published_trilateration_vectors(
    centres: tuple[tuple[float, float], ...], radii: tuple[float, ...], expected: tuple[float, float], slack: float
) -> None:
    sides = [where(centres[0], centres[1], radii[0], radii[1], left=left) for left in (True, False)]
    found = min(sides, key=lambda spot: abs(dist(spot, centres[2]) - radii[2]))
    assert found == pytest.approx(expected, abs=slack)
    assert dist(found, centres[2]) == pytest.approx(radii[2], abs=slack)


@pytest.mark.parametrize(("first", "second"), [(2000, 2999), (9000, 2999), (2999, 9000), (-1, 6000)])
def test_tapes_that_do_not_meet_have_no_point(first: int, second: int) -> None:
    # L > a + b and |a - b| > L (SOURCES.md, section 10).
    with pytest.raises(UseFault, match=r"do not meet; measure again\.$"):
        where((0, 0), (6000, 0), first, second, left=True)
    with pytest.raises(UseFault, match="do not meet"):
        where((5, 5), (5, 5), 10, 10, left=True)


@given(ROOM, ROOM, ROOM)
def test_a_point_measured_is_found_again(point: tuple[int, int], first: tuple[int, int], second: tuple[int, int]) -> None:
    error = error_at(point, first, second)
    if error > 1000:
        return
    # Distances by numpy, not by the code under test.
    a, b = (float(np.linalg.norm(np.subtract(point, other))) for other in (first, second))
    assert dist(where(first, second, a, b, left=is_left(point, first, second)), point) < 0.01


@given(ROOM, ROOM, ROOM)
def test_the_error_is_what_a_misread_tape_does(point: tuple[int, int], first: tuple[int, int], second: tuple[int, int]) -> None:
    """Against the angle at which the tapes cross: to the first order a circle that grows by d moves the crossing by d / sin t."""
    error = error_at(point, first, second)
    one, other = (np.subtract(fixed, point).astype(float) for fixed in (first, second))
    lengths = np.linalg.norm(one) * np.linalg.norm(other)
    sine = abs(one[0] * other[1] - one[1] * other[0]) / lengths if lengths else 0.0
    if sine < 1e-6:
        assert error == inf
    elif sine > 0.4 and min(np.linalg.norm(one), np.linalg.norm(other)) > 1000:
        assert error == pytest.approx(MISREAD_MM / sine, rel=0.05)
    assert error >= MISREAD_MM * 0.9


def test_a_point_near_the_line_of_a_and_b_gets_a_better_pair_from_points_laid_before() -> None:
    a, b, laid = Fixed("A", (0, 0)), Fixed("B", (16_000, 0)), Fixed("1", (8000, 5000), 11.0)
    point = (8000, 400)
    alone = measured(point, [a, b], free)
    assert alone is not None and alone.error_mm > 3 * MOST_ERROR_MM
    better = measured(point, [a, b, laid], free)
    assert better is not None and {better.first.label, better.second.label} in ({"A", "1"}, {"B", "1"})
    assert better.error_mm <= MOST_ERROR_MM and better.error_mm > 20, "its own 10 mm and what the laid point may be off"
    # Where A and B do well they are kept, though a laid point would be nearer.
    kept = measured((8000, 4600), [a, b, laid], free)
    assert kept is not None and (kept.first.label, kept.second.label) == ("A", "B")


def test_a_column_in_the_way_of_a_tape_makes_another_pair() -> None:
    fixed = [Fixed("A", (0, 0)), Fixed("B", (16_000, 0)), Fixed("1", (3000, 8000), 10.0)]
    blocked = measured((8000, 5000), fixed, lambda _point, other: other != (0, 0))
    assert blocked is not None and not blocked.blocked and {blocked.first.label, blocked.second.label} == {"B", "1"}
    never = measured((8000, 5000), fixed, lambda _point, _other: False)
    assert never is not None and never.blocked


def test_a_point_in_line_with_everything_cannot_be_measured() -> None:
    fixed = [Fixed("A", (0, 0)), Fixed("B", (16_000, 0)), Fixed("1", (3000, 0))]
    assert measured((8000, 0), fixed, free) is None
    assert measured((8000, 10), [fixed[0]], free) is None


@given(st.lists(ROOM, min_size=3, max_size=8, unique=True), ROOM)
def test_a_check_shows_a_misread_tape(others: list[tuple[int, int]], point: tuple[int, int]) -> None:
    fixed = [Fixed("A", (0, 0)), Fixed("B", (16_000, 0)), *(Fixed(str(n), spot) for n, spot in enumerate(others, start=1))]
    how = measured(point, fixed, free)
    if how is None or how.error_mm > MOST_ERROR_MM:
        return
    found = checked(point, how, fixed, free)
    assert found is not None
    third, length = found
    assert third.label not in (how.first.label, how.second.label)
    assert isclose(length, hypot(point[0] - third.at[0], point[1] - third.at[1]))
    # If any of the others shows half of a misreading of either tape, the chosen one shows a third at least.
    shown = {
        one.label: _shown(point, how.first.at, how.second.at, one.at) for one in fixed if one.at not in (point, how.first.at, how.second.at)
    }
    far = [shown[one.label] for one in fixed if one.label in shown and dist(one.at, point) >= 500]
    if far and max(far) > 0.5:
        assert shown[third.label] > 0.33


def _shown(point: tuple[float, float], first: tuple[float, float], second: tuple[float, float], third: tuple[float, float]) -> float:
    """The share of a shift that the third tape shows when a tape of the pair is 1 mm too long, by laying the point again."""
    a, b, left = dist(point, first), dist(point, second), is_left(point, first, second)
    shares = []
    for one, other in ((a + 1, b), (a, b + 1)):
        try:
            wrong = where(first, second, one, other, left=left)
        except UseFault:
            continue
        shares.append(abs(dist(wrong, third) - dist(point, third)) / dist(wrong, point))
    return min(shares, default=1.0)
