"""Wedges and what hides: by hand, and against rays cast one by one with numpy."""

from __future__ import annotations

from fractions import Fraction
from math import atan2, cos, degrees, hypot, pi, radians, sin, sqrt, tan
from time import perf_counter

import numpy as np
import pytest
import shapely
from floor.salt_plan import LINES, salt_floor
from hypothesis import assume, given, settings
from hypothesis import strategies as some

from previs.document.floor import CameraPlace, Floor, LineKind, NamedPlace, PlanLine
from previs.floor.cameras_lens import degrees_wide
from previs.floor.cameras_wedge import in_the_way, wedge

SQUARE = CameraPlace("A", (0, 0), (1000, 0), 1500, Fraction(10), Fraction(20))
"""2 atan(20 / 20) is 90 degrees."""
FAR = NamedPlace("far", (10_000, 0))
spots = some.tuples(some.integers(-6000, 6000), some.integers(-6000, 6000))


def area(points: tuple[tuple[int, int], ...]) -> float:
    """Half the sum of cross products, the shoelace formula."""
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(points, (*points[1:], points[0]), strict=True))) / 2


def wall(*points: tuple[int, int]) -> PlanLine:
    return PlanLine(LineKind.WALL, points)


def test_an_open_wedge_is_a_sector() -> None:
    found = wedge(Floor(places=(FAR,)), SQUARE)
    assert found.seen == (found.whole,)
    assert found.hidden_share == pytest.approx(0, abs=1e-9)
    assert area(found.whole) == pytest.approx(pi * 10_000**2 / 4, rel=1e-4)
    turns = [degrees(atan2(y, x)) for x, y in found.whole if (x, y) != (0, 0)]
    assert (min(turns), max(turns)) == (pytest.approx(-45, abs=0.01), pytest.approx(45, abs=0.01))
    assert max(hypot(x, y) for x, y in found.whole) == pytest.approx(10_000, abs=1)


def test_a_wall_across_leaves_the_triangle_before_it() -> None:
    found = wedge(Floor(lines=(wall((3000, -5000), (3000, 5000)),), places=(FAR,)), SQUARE)
    (seen,) = found.seen
    assert set(seen) == {(0, 0), (3000, 3000), (3000, -3000)}
    assert found.hidden_share == pytest.approx(1 - 9e6 / (pi * 10_000**2 / 4), rel=1e-3)


def test_a_doors_opening_lets_through() -> None:
    """Also where the wall is drawn on through it; 900 mm at 3 m let a triangle twice as wide through at 6 m."""
    lines = (wall((3000, -5000), (3000, 5000)), PlanLine(LineKind.DOOR, ((3000, -450), (3000, 450)), name="first door"))
    floor = Floor(lines=(*lines, wall((6000, -6000), (6000, 6000))))
    (seen,) = wedge(floor, SQUARE).seen
    assert area(seen) == pytest.approx(9e6 + (900 + 1800) / 2 * 3000, rel=1e-3)
    assert in_the_way(floor, SQUARE, (5000, 0)) == ()
    assert in_the_way(floor, SQUARE, (5000, 1000)) == (lines[0],)
    assert in_the_way(floor, SQUARE, (8000, 0)) == (floor.lines[2],)


def test_a_column_hides_what_is_behind_it_and_is_told_once() -> None:
    column = PlanLine(LineKind.COLUMN, ((4000, -200), (4400, -200), (4400, 200), (4000, 200)), closed=True, name="salt cart")
    floor = Floor(lines=(wall((9000, -9000), (9000, 9000)), column))
    assert in_the_way(floor, SQUARE, (8000, 0)) == (column,)
    assert in_the_way(floor, SQUARE, (9500, 0)) == (column, floor.lines[0])
    assert in_the_way(floor, SQUARE, (3500, 0)) == ()
    assert in_the_way(floor, SQUARE, (8000, 900)) == ()


@pytest.mark.parametrize("kind", [LineKind.STEP, LineKind.DROP, LineKind.OTHER, LineKind.DOOR])
def test_steps_drops_doors_and_the_unknown_hide_nothing(kind: LineKind) -> None:
    floor = Floor(lines=(PlanLine(kind, ((3000, -5000), (3000, 5000))),), places=(FAR,))
    assert in_the_way(floor, SQUARE, (8000, 0)) == ()
    assert wedge(floor, SQUARE).hidden_share == pytest.approx(0, abs=1e-9)


def test_against_a_wall_camera_and_people_are_still_seen() -> None:
    floor = Floor(lines=(wall((0, -5000), (0, 5000)), wall((3000, -5000), (3000, 5000))), places=(FAR,))
    assert in_the_way(floor, SQUARE, (3000, 100)) == ()
    assert in_the_way(floor, SQUARE, (0, 0)) == ()
    (seen,) = wedge(floor, SQUARE).seen
    assert area(seen) == pytest.approx(9e6, rel=1e-3)


def test_a_plan_with_nothing_on_it_still_has_a_wedge() -> None:
    assert max(x for x, _ in wedge(Floor(), SQUARE).whole) == 1000


@given(some.lists(some.tuples(spots, spots), max_size=7), some.integers(0, 359), some.integers(4, 60))
@settings(max_examples=60, deadline=None)
def test_what_is_seen_is_what_rays_reach(pairs: list[tuple[tuple[int, int], tuple[int, int]]], turn: int, lens: int) -> None:
    """The area by rays: half the sum of r squared over angles, each ray as long as the nearest piece that it meets lets it be."""
    pairs = [(a, b) for a, b in pairs if a != b]
    # A lens within a millimetre of a wall stands on it, and that wall then hides nothing.
    assume(all(shapely.distance(shapely.Point(0, 0), shapely.LineString(pair)) > 30 for pair in pairs))
    camera = CameraPlace(
        "A", (0, 0), (round(5000 * cos(radians(turn))), round(5000 * sin(radians(turn)))), 1500, Fraction(lens), Fraction(24)
    )
    floor = Floor(lines=tuple(wall(*pair) for pair in pairs), places=(NamedPlace("far", (0, 9000)),))
    found = wedge(floor, camera)
    half = radians(degrees_wide(camera)) / 2
    axis, count = atan2(camera.aim[1], camera.aim[0]), 4000
    angles = axis - half + 2 * half * (np.arange(count) + 0.5) / count
    ahead = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    far = np.full(count, 9000.0)
    for (ax, ay), (bx, by) in pairs:
        run = np.array([bx - ax, by - ay], dtype=float)
        slant = ahead[:, 0] * run[1] - ahead[:, 1] * run[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            along = (ax * run[1] - ay * run[0]) / slant
            share = (ax * ahead[:, 1] - ay * ahead[:, 0]) / slant
        met = (along > 0) & (share >= 0) & (share <= 1)
        far[met] = np.minimum(far[met], along[met])
    by_rays = float((far**2).sum() * half / count)
    assert sum(map(area, found.seen)) == pytest.approx(by_rays, rel=0.01, abs=2e4)
    assert sum(map(area, found.seen)) <= area(found.whole) * 1.0001


def test_the_sample_by_pencil() -> None:
    """From the corridor's west end, along its middle, the first door lets through what its 900 mm at 5 m let through."""
    camera = CameraPlace("A", (0, 1300), (5000, 1300), 1500, Fraction(10), Fraction(20))
    floor = Floor(lines=LINES)
    assert in_the_way(floor, camera, (8200, 1300)) == ()
    # Up along 600 in 7600 the sight comes under the first door's jamb, at 1695 of 1750, and then meets the cart, below 1854 at x 7600.
    assert [line.name for line in in_the_way(floor, camera, (7600, 1900))] == ["salt cart"]
    # The jamb stands in two walls, as two people drew them.
    assert [line.kind for line in in_the_way(floor, camera, (5200, 1800))] == [LineKind.WALL, LineKind.WALL]
    assert in_the_way(floor, camera, (12_000, 1300)) == ()
    # The second door is seen whole through the first: 450 / 5000 spreads further at 9.5 m than its half width of 400.
    assert 450 / 5000 * 9500 > 400
    assert shapely.Polygon(wedge(floor, camera).seen[0]).contains(shapely.Point(12_000, 1300 + 12_000 * 400 / 9500 - 20)) is False
    assert shapely.Polygon(wedge(floor, camera).seen[0]).contains(shapely.Point(12_000, 1300 - 12_000 * 400 / 9500 + 20))


def test_a_plan_of_ten_thousand_lines_takes_seconds() -> None:
    side, lines = 100, []
    for row in range(side):
        for column in range(side):
            x, y = column * 600 - 30_000, row * 600 - 30_000
            lines.append(wall((x, y), (x + 120, y + 90)))
    camera = CameraPlace("A", (-31_000, -31_000), (0, 0), 1500, Fraction(18), Fraction(24))
    floor = Floor(lines=tuple(lines))
    before = perf_counter()
    found = wedge(floor, camera)
    assert perf_counter() - before < 20
    assert 0.5 < found.hidden_share < 1


def test_the_sample_is_found_again_unhidden_from_above_its_open_side() -> None:
    """From beyond the quay's edge nothing stands before the landing; it is as wide there as 2 d tan(a / 2)."""
    camera = CameraPlace("C", (11_400, -3200), (11_400, 1300), 1600, Fraction(24), Fraction(24))
    seen = shapely.Polygon(wedge(salt_floor(), camera).seen[0])
    assert degrees_wide(camera) == pytest.approx(2 * degrees(atan2(0.5, 1)))
    across = shapely.intersection(seen, shapely.LineString([(0, -100), (20_000, -100)]))
    assert across.length == pytest.approx(2 * 3100 * tan(radians(degrees_wide(camera) / 2)), abs=2)
    assert across.length == pytest.approx(3100 * sqrt(1), abs=2)
