from __future__ import annotations

from itertools import product
from math import dist

import numpy as np
import pytest
import shapely
from floor.salt_plan import salt_floor
from hypothesis import given
from hypothesis import strategies as st

from previs.document.floor import Floor, Laid, LineKind, PlanLine
from previs.floor.placing import laid_lines, laid_places, placed, unplaced, within_part

_spot = st.tuples(st.integers(-50_000, 50_000), st.integers(-50_000, 50_000))
_laid = st.builds(Laid, st.integers(-400_000, 400_000), st.integers(-30_000, 30_000), st.integers(-30_000, 30_000))


def test_a_quarter_turn_is_counter_clockwise_and_exact():
    assert placed((1000, 200), Laid(90_000, 5, 7)) == (-200 + 5, 1000 + 7)
    assert [placed((3, 1), Laid(turn)) for turn in (0, 180_000, 270_000, 450_000, -90_000)] == [(3, 1), (-3, -1), (1, -3), (-1, 3), (1, -3)]


@given(_spot, _laid)
def test_back_from_the_room_is_where_it_came_from(spot, laid):
    assert dist(unplaced(placed(spot, laid), laid), spot) <= 1.5


@given(_spot, _laid)
def test_agrees_with_a_rotation_matrix(spot, laid):
    angle = np.deg2rad(laid.turn_millidegrees / 1000)
    matrix = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    expected = matrix @ np.array(spot) + (laid.shift_x_mm, laid.shift_y_mm)
    assert np.abs(expected - placed(spot, laid)).max() <= 0.501


def test_all_lines_are_laid_as_they_are():
    floor, laid = salt_floor(), Laid(0, 1350, 3200)
    lines = laid_lines(floor, laid)
    assert [line.points for line in lines] == [tuple((x + 1350, y + 3200) for x, y in line.points) for line in floor.lines]
    assert [line.kind for line in lines] == [line.kind for line in floor.lines]
    assert [place.at for place in laid_places(floor, laid)] == [(x + 1350, y + 3200) for x, y in (place.at for place in floor.places)]


def test_a_part_keeps_the_length_that_shapely_finds_in_it():
    part = ((4000, -500), (10_000, -500), (9000, 3100), (4400, 2400))
    floor = salt_floor()
    for turn in (0, 90_000, 33_333):
        lines = laid_lines(floor, Laid(turn, 100, -200, part))
        drawn = [shapely.LineString([*line.points, *line.points[: line.closed]]) for line in floor.lines]
        inside = sum(line.intersection(shapely.Polygon(part)).length for line in drawn)
        kept = sum(dist(start, end) for line in lines for start, end in line.edges)
        assert kept == pytest.approx(inside, abs=len(lines) * 1.5)


def test_a_closed_line_stays_closed_inside_and_goes_on_round_its_start_when_cut():
    ring = PlanLine(LineKind.COLUMN, ((0, 0), (100, 0), (100, 100), (0, 100)), closed=True, name="post")
    whole = laid_lines(Floor((ring,)), Laid(part=((-10, -10), (110, -10), (110, 110), (-10, 110))))
    assert whole == (ring,)
    cut = laid_lines(Floor((ring,)), Laid(part=((-10, -10), (50, -10), (50, 110), (-10, 110))))
    assert [(line.points, line.closed, line.name) for line in cut] == [(((50, 100), (0, 100), (0, 0), (50, 0)), False, "post")]


def test_a_line_on_the_edge_of_the_part_is_laid_and_one_that_leaves_comes_in_pieces():
    part = ((0, 0), (300, 0), (300, 100), (200, 100), (200, 40), (100, 40), (100, 100), (0, 100))
    lines = (PlanLine(LineKind.STEP, ((-50, 0), (350, 0)), height_mm=170), PlanLine(LineKind.WALL, ((-50, 70), (350, 70))))
    assert [line.points for line in laid_lines(Floor(lines), Laid(part=part))] == [
        ((0, 0), (300, 0)),
        ((0, 70), (100, 70)),
        ((200, 70), (300, 70)),
    ]


def test_a_door_without_its_hinge_says_no_side():
    door = PlanLine(LineKind.DOOR, ((0, 0), (900, 0)), name="gate", opens_left=True)
    hinge, latch = ((-10, -10), (500, -10), (500, 10), (-10, 10)), ((500, -10), (950, -10), (950, 10), (500, 10))
    assert [line.opens_left for part in (hinge, latch) for line in laid_lines(Floor((door,)), Laid(part=part))] == [True, None]


def test_nothing_outside_the_part_is_laid():
    laid = Laid(part=((20_000, 0), (21_000, 0), (20_500, 500)))
    assert laid_lines(salt_floor(), laid) == () == laid_places(salt_floor(), laid)
    assert [within_part(spot, laid) for spot in product((20_500, 0), (100,))] == [True, False]
