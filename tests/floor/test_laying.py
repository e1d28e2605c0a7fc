"""The order of laying against every order there is, doubles, numbers, help crosses, right angles and diagonals."""

from __future__ import annotations

import random
import time
from itertools import combinations, pairwise, permutations
from math import dist

import numpy as np
import pytest
from floor.salt_plan import ROOM, salt_floor
from hypothesis import given, settings
from hypothesis import strategies as st

from previs.document.floor import Laid, LineKind, PlanLine, Room
from previs.faults import UseFault
from previs.floor.laying import MOST_POINTS, lay, straight_tapes
from previs.floor.laying_checks import diagonals, right_angles
from previs.floor.laying_lines import outline, tape_mm
from previs.floor.laying_order import WORST_TO_BEST, walk_order, walked_mm
from previs.floor.measuring import MOST_ERROR_MM
from previs.floor.measuring_units import Units
from previs.floor.placing import laid_lines

SPOTS = st.tuples(st.integers(0, 160).map(lambda n: n * 100), st.integers(0, 90).map(lambda n: n * 100))


def shortest(start: tuple[float, float], points: list[tuple[int, int]]) -> float:
    """The shortest walk of all, by trying every order in numpy."""
    spots = np.array([start, *points], dtype=float)
    lengths = np.linalg.norm(spots[:, None] - spots[None], axis=2)
    orders = np.array([(0, *one) for one in permutations(range(1, len(spots)))])
    return float(lengths[orders[:, :-1], orders[:, 1:]].sum(axis=1).min())


@settings(max_examples=150, deadline=None)
@given(st.lists(SPOTS, min_size=1, max_size=7))
def test_the_walk_is_near_the_shortest_of_all(points: list[tuple[int, int]]) -> None:
    order = walk_order((0, 0), points)
    assert sorted(order) == list(range(len(points)))
    best = shortest((0, 0), points)
    assert best - 0.1 <= walked_mm((0, 0), points, order) <= WORST_TO_BEST * best + 0.1
    assert order == walk_order((0, 0), points)


def test_the_walk_of_eight_points_is_near_the_shortest_of_all() -> None:
    chance = random.Random(8)
    for _ in range(12):
        points = [(chance.randint(0, 16_000), chance.randint(0, 9000)) for _ in range(8)]
        assert walked_mm((0, 0), points, walk_order((0, 0), points)) <= WORST_TO_BEST * shortest((0, 0), points) + 0.1


def test_ties_are_broken_by_the_order_given() -> None:
    square = [(1000, 0), (-1000, 0), (0, 1000), (0, -1000)]
    assert walk_order((0, 0), square)[0] in (0, 1, 2, 3)
    assert walk_order((0, 0), [(1000, 0), (1000, 0), (1000, 0)]) == [0, 1, 2]
    assert walk_order((0, 0), []) == []


def test_as_many_points_as_a_sheet_holds_are_ordered_in_seconds() -> None:
    chance = random.Random(5)
    points = [(chance.randint(0, 16_000), chance.randint(0, 9000)) for _ in range(MOST_POINTS)]
    began = time.monotonic()
    walked = walked_mm((0, 0), points, walk_order((0, 0), points))
    assert time.monotonic() - began < 20
    assert walked < walked_mm((0, 0), points, range(len(points))) / 10


def test_doubles_are_one_point_and_an_edge_shared_is_taped_once() -> None:
    lines = (
        PlanLine(LineKind.WALL, ((0, 0), (1000, 0), (1000, 1000))),
        PlanLine(LineKind.WALL, ((1003, 1), (1000, 1002))),
        PlanLine(LineKind.DOOR, ((1000, 1000), (0, 1000)), name="gate"),
        PlanLine(LineKind.COLUMN, ((0, 0), (0, 1000), (-500, 1000)), closed=True),
        PlanLine(LineKind.OTHER, ((1000, 0), (1002, 2))),
    )
    shape = outline(lines)
    assert shape.spots == ((0, 0), (1000, 0), (1000, 1000), (0, 1000), (-500, 1000))
    assert [one.points for one in shape.joined] == [(0, 1, 2), (1, 2), (2, 3), (0, 3, 4, 0)]
    assert shape.words == ("column, wall", "wall", "gate: hinge, wall", "gate: latch, column", "column")
    assert tape_mm(shape.joined, shape.spots, LineKind.WALL) == 2000
    assert tape_mm(shape.joined, shape.spots, LineKind.COLUMN) == pytest.approx(1000 + 500 + dist((-500, 1000), (0, 0)))


def test_the_sample_is_numbered_along_a_short_walk() -> None:
    shape = outline(laid_lines(salt_floor(), Laid(0, 1300, 2500)))
    laying = lay(shape.spots, ROOM)
    assert [one.label for one in laying.points] == [str(n) for n in range(1, 33)]
    assert [laying.points[laying.of[n]].at for n in range(len(shape.spots))] == list(shape.spots)
    assert all(one.how is not None and one.how.third is not None for one in laying.points[1:])
    assert laying.walked_mm == pytest.approx(sum(dist(one, other) for one, other in pairwise([(0, 0), *(p.at for p in laying.points)])))
    assert laying.walked_mm < 35_000


def test_points_along_the_baseline_get_a_help_cross_and_come_well() -> None:
    laying = lay([(x, 300) for x in range(3000, 14_000, 1000)], ROOM)
    assert laying.points[0].label == "H1" and [one.label for one in laying.points[1:]] == [str(n) for n in range(1, 12)]
    assert all(not one.doubtful and one.error_mm <= MOST_ERROR_MM for one in laying.points)
    assert {one.how.first.label for one in laying.points if one.how} | {one.how.second.label for one in laying.points if one.how} > {"H1"}


def test_a_point_at_a_is_a_and_not_laid() -> None:
    laying = lay([(2, 1), (4000, 4000), (15_998, 1)], ROOM)
    assert [laying.points[index].label for index in laying.of] == ["A", "1", "B"]


def test_with_a_and_b_side_by_side_points_are_told_to_be_doubtful() -> None:
    laying = lay([(9000, 5000), (9000, 6000)], Room(16_000, 9000, (0, 0), (100, 0)))
    assert all(one.doubtful for one in laying.points if one.label.isdigit())


def test_too_many_points_are_refused_in_one_sentence() -> None:
    with pytest.raises(UseFault, match="has 1000 points, more than the 999 that a sheet holds"):
        lay([(n, n * n % 9000) for n in range(0, 10_000, 10)], ROOM)


def test_no_tape_goes_through_a_column_of_the_room() -> None:
    pillar = PlanLine(LineKind.COLUMN, ((4000, 2000), (4600, 2000), (4600, 2600), (4000, 2600)), closed=True)
    reaches = straight_tapes((pillar,))
    assert not reaches((0, 0), (8000, 4200)) and reaches((0, 0), (8000, 0)) and reaches((0, 2000), (4000, 2000))
    behind = [(7000, 3700), (7000, 4000), (5500, 5000), (12_000, 5000)]
    laying = lay(behind, Room(16_000, 9000, (0, 0), (16_000, 0), (pillar,)))
    assert not any(one.doubtful for one in laying.points)
    for one in laying.points:
        assert one.how is not None and reaches(one.at, one.how.first.at) and reaches(one.at, one.how.second.at)


def test_right_angles_of_the_sample_are_three_four_five() -> None:
    shape = outline(laid_lines(salt_floor(), Laid(0, 1300, 2500)))
    for units, foot in ((Units.METRIC, 100), (Units.IMPERIAL, 304.8)):
        found = right_angles(shape, units)
        assert len(found) == 4
        for one in found:
            corner, three, four = (np.array(shape.spots[n]) for n in (one.corner, one.along_three, one.along_four))
            marks = [corner + (end - corner) / np.linalg.norm(end - corner) * times * one.part_mm for end, times in ((three, 3), (four, 4))]
            assert np.linalg.norm(marks[0] - marks[1]) == pytest.approx(5 * one.part_mm, abs=2)
            assert np.linalg.norm(three - corner) >= 3 * one.part_mm and np.linalg.norm(four - corner) >= 4 * one.part_mm
            assert (one.part_mm / foot) % 0.5 == pytest.approx(0)


def test_a_corner_that_is_not_right_is_no_right_angle() -> None:
    assert right_angles(outline([PlanLine(LineKind.WALL, ((0, 0), (4000, 0), (4020, 3000)))]), Units.METRIC) == ()
    assert len(right_angles(outline([PlanLine(LineKind.WALL, ((0, 0), (4000, 0), (4000, 3000)))]), Units.METRIC)) == 1


@given(st.lists(SPOTS, min_size=2, max_size=14, unique=True))
def test_diagonals_are_long_and_use_each_point_once(points: list[tuple[int, int]]) -> None:
    found = diagonals(points, lambda _one, _other: True)
    used = [index for pair in found for index in pair]
    assert len(used) == len(set(used)) and len(found) <= 6
    longest = max(dist(one, other) for one, other in combinations(points, 2))
    if longest >= 1000:
        assert dist(points[found[0][0]], points[found[0][1]]) == pytest.approx(longest, abs=0.1)
