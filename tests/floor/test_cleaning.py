"""Cleaning: what is snapped, taken away and told, against shapely's own unions, and that nothing is lost on the way."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString
from shapely.ops import unary_union

from previs.document.floor import LineKind, PlanLine, PointMm
from previs.faults import UseFault
from previs.floor.cleaning import Cleaned, cleaned
from previs.floor.cleaning_findings import Odd
from previs.floor.cleaning_told import finding_rows, findings_told
from previs.floor.drawing_plan import read_plan


def wall(*points: PointMm, closed: bool = False, name: str = "") -> PlanLine:
    return PlanLine(LineKind.WALL, points, closed, name)


def points(result: Cleaned) -> list[tuple[PointMm, ...]]:
    return [line.points for line in result.lines]


def test_ends_that_nearly_meet_are_joined_to_the_earlier_line() -> None:
    result = cleaned([wall((0, 0), (5000, 0)), wall((5012, 9), (5000, 2600)), wall((5000, 2619), (0, 2600))])
    assert points(result) == [((0, 0), (5000, 0)), ((5000, 0), (5000, 2600)), ((5000, 2600), (0, 2600))]
    assert [(found.at, found.mm) for found in result.of(Odd.SNAPPED)] == [((5000, 0), 15), ((5000, 2600), 19)]


def test_ends_further_apart_stay_and_are_told_as_open() -> None:
    result = cleaned([wall((0, 0), (5000, 0)), wall((5021, 0), (9000, 0))])
    assert points(result) == [((0, 0), (5000, 0)), ((5021, 0), (9000, 0))]
    assert {found.at for found in result.of(Odd.OPEN_WALL)} == {(0, 0), (5000, 0), (5021, 0), (9000, 0)}
    assert len(result.of(Odd.ISLAND)) == 1
    assert cleaned([wall((0, 0), (5000, 0)), wall((5021, 0), (9000, 0))], snap_mm=25).lines[1].points[0] == (5000, 0)


def test_an_end_that_nearly_meets_the_middle_of_a_wall_is_brought_to_it() -> None:
    result = cleaned([wall((0, 0), (9000, 0)), wall((4000, 14), (4000, 3000)), wall((6000, -13), (6000, 3000))])
    assert result.lines[1].points == ((4000, 0), (4000, 3000))
    assert result.lines[2].points == ((6000, 0), (6000, 3000))
    assert not result.of(Odd.CROSSING) and not result.of(Odd.ISLAND)


def test_nothing_moves_when_asked_not_to() -> None:
    lines = [wall((0, 0), (5000, 0)), wall((5001, 0), (5001, 2600))]
    assert cleaned(lines, snap_mm=0).lines == tuple(lines)


def test_a_line_shorter_than_the_distance_never_becomes_a_point() -> None:
    result = cleaned([wall((0, 0), (5000, 0)), wall((5000, 5), (5000, 15)), wall((5000, 15), (5000, 900))])
    assert all(len(set(line.points)) > 1 for line in result.lines)


def test_a_line_whose_ends_nearly_meet_is_closed() -> None:
    result = cleaned([wall((0, 0), (4000, 0), (4000, 3000), (0, 3000), (3, 8))])
    assert result.lines == (wall((0, 0), (4000, 0), (4000, 3000), (0, 3000), closed=True),)
    assert not result.of(Odd.OPEN_WALL)


def test_doubles_whole_and_in_part() -> None:
    lines = [
        wall((0, 0), (5000, 0)),
        wall((5000, 0), (0, 0)),
        wall((3000, 1), (8000, 1)),
        wall((1000, 0), (2000, 0), (2000, 900)),
    ]
    result = cleaned(lines, snap_mm=0)
    assert points(result) == [((0, 0), (5000, 0)), ((5000, 1), (8000, 1)), ((2000, 0), (2000, 900))]
    assert [found.at for found in result.of(Odd.DOUBLE)] == [(5000, 0)]
    assert [(found.at, found.mm) for found in result.of(Odd.OVERLAP)] == [((4000, 1), 2000), ((1500, 0), 1000)]


def test_a_longer_wall_over_a_shorter_one_is_left_on_both_sides() -> None:
    result = cleaned([wall((1000, 0), (2000, 0)), wall((0, 0), (3000, 0))])
    assert points(result) == [((1000, 0), (2000, 0)), ((0, 0), (1000, 0)), ((2000, 0), (3000, 0))]
    assert not result.of(Odd.ISLAND)


def test_two_rooms_that_share_a_wall_have_it_once() -> None:
    one = wall((0, 0), (4000, 0), (4000, 3000), (0, 3000), closed=True)
    other = wall((4000, 0), (8000, 0), (8000, 3000), (4000, 3000), closed=True)
    result = cleaned([one, other])
    assert result.lines == (one, wall((4000, 0), (8000, 0), (8000, 3000), (4000, 3000)))
    assert not result.of(Odd.OPEN_WALL) and not result.of(Odd.ISLAND)


def test_kinds_do_not_swallow_one_another_and_doors_and_columns_stay_whole() -> None:
    lines = [
        wall((0, 0), (5000, 0)),
        PlanLine(LineKind.DROP, ((0, 0), (5000, 0)), height_mm=2400),
        PlanLine(LineKind.DOOR, ((0, 0), (900, 0))),
        PlanLine(LineKind.DOOR, ((400, 0), (1300, 0))),
        PlanLine(LineKind.DOOR, ((900, 0), (0, 0))),
        PlanLine(LineKind.COLUMN, ((0, 100), (400, 100), (400, 500), (0, 500)), True),
        PlanLine(LineKind.COLUMN, ((400, 100), (800, 100), (800, 500), (400, 500)), True),
    ]
    result = cleaned(lines)
    assert result.lines == (*lines[:4], *lines[5:])
    assert [found.odd for found in result.findings if found.odd in (Odd.DOUBLE, Odd.OVERLAP)] == [Odd.DOUBLE]


def test_a_double_that_knows_more_stays() -> None:
    bare = PlanLine(LineKind.DROP, ((0, 0), (5000, 0)))
    high = PlanLine(LineKind.DROP, ((0, 0), (5000, 0)), height_mm=2400)
    assert cleaned([bare, high]).lines == (bare, high)
    assert cleaned([high, bare]).lines == (high,)


def test_crossings_are_told_and_meetings_are_not() -> None:
    cross = cleaned([wall((0, 0), (4000, 3000)), wall((0, 3000), (4000, 0))])
    assert [found.at for found in cross.of(Odd.CROSSING)] == [(2000, 1500)]
    tee = cleaned([wall((0, 0), (4000, 0)), wall((2000, 0), (2000, 900)), wall((4000, 0), (4000, 900))])
    assert not tee.of(Odd.CROSSING)


def test_a_line_that_crosses_itself_is_told() -> None:
    result = cleaned([wall((0, 0), (4000, 3000), (4000, 0), (0, 3000))])
    assert [found.at for found in result.of(Odd.SELF_CROSSING)] == [(2000, 1500)]
    assert len(result.lines) == 1


def test_islands_are_told_and_columns_may_stand_free() -> None:
    lines = [
        wall((0, 0), (9000, 0)),
        wall((3000, 5000), (3000, 6000), (4000, 6000), name="booth"),
        PlanLine(LineKind.DOOR, ((4000, 6000), (4000, 5000))),
        PlanLine(LineKind.COLUMN, ((1000, 1000), (1400, 1000), (1400, 1400), (1000, 1400)), True),
    ]
    (island,) = cleaned(lines).of(Odd.ISLAND)
    assert (island.at, island.mm, island.name) == ((3000, 5000), 3000, "booth")


def test_a_wall_through_a_door_and_a_drop_without_height_are_told() -> None:
    lines = [
        wall((0, 0), (9000, 0)),
        PlanLine(LineKind.DOOR, ((2000, 0), (2900, 0)), name="first door"),
        PlanLine(LineKind.DOOR, ((9000, 0), (9000, 900)), name="second door"),
        PlanLine(LineKind.DROP, ((0, 0), (0, 900)), name="quay"),
    ]
    result = cleaned(lines)
    assert [(found.name, found.mm) for found in result.of(Odd.SHUT_DOOR)] == [("first door", 900)]
    assert [found.name for found in result.of(Odd.NO_HEIGHT)] == ["quay"]
    told = " ".join(findings_told(result))
    assert "1 door with a wall drawn through the opening: first door at x 2.000 y 0.000" in told
    assert "1 drop without a height: quay" in told
    assert {row["found"] for row in finding_rows(result)} == {"shut door", "no height"}


WHOLE = st.integers(-40, 40).map(lambda tenth: tenth * 100)
LINES = st.lists(
    st.builds(
        lambda kind, spots: PlanLine(kind, tuple(spots)),
        st.sampled_from([LineKind.WALL, LineKind.STEP]),
        st.lists(st.tuples(WHOLE, WHOLE), min_size=2, max_size=5, unique=True),
    ),
    min_size=1,
    max_size=12,
)


def union(lines: tuple[PlanLine, ...] | list[PlanLine], kind: LineKind) -> object:
    return unary_union([LineString(edge) for line in lines if line.kind is kind for edge in line.edges])


@settings(max_examples=150, deadline=None)
@given(LINES)
def test_without_snapping_nothing_of_any_kind_is_lost(lines: list[PlanLine]) -> None:
    result = cleaned(lines, snap_mm=0)
    for kind in (LineKind.WALL, LineKind.STEP):
        before, after = union(lines, kind), union(result.lines, kind)
        # Cuts lie on whole millimetres.
        assert before.hausdorff_distance(after) <= 3 if not before.is_empty else after.is_empty  # type: ignore[attr-defined]


@settings(max_examples=100, deadline=None)
@given(LINES)
def test_what_is_clean_stays_as_it_is(lines: list[PlanLine]) -> None:
    once = cleaned(lines, snap_mm=0)
    assert cleaned(once.lines, snap_mm=0).lines == once.lines


def test_a_shaken_grid_is_put_together_again() -> None:
    """Walls of a grid whose ends were all drawn up to 8 mm off meet again, and every move is told."""
    chance = random.Random(3)

    def near(x: int, y: int) -> PointMm:
        return x + chance.randint(-5, 5), y + chance.randint(-5, 5)

    lines = [wall(near(x, y), near(x + 2000, y)) for x in range(0, 8000, 2000) for y in range(0, 8000, 2000)]
    lines += [wall(near(x, y), near(x, y + 2000)) for x in range(0, 8000, 2000) for y in range(0, 6000, 2000)]
    result = cleaned(lines)
    corners = {at for line in result.lines for at in line.points}
    assert len(corners) == 4 * 5
    assert all(found.mm <= 20 for found in result.of(Odd.SNAPPED))
    assert not result.of(Odd.ISLAND) and not result.of(Odd.CROSSING)
    for line, before in zip(result.lines, lines, strict=True):
        assert all(math.dist(one, other) <= 20 for one, other in zip(line.points, before.points, strict=True))


@pytest.mark.parametrize("snap", [-1, 501])
def test_a_distance_that_would_close_doors_is_refused(tmp_path: object, sample_media: object, snap: int) -> None:
    with pytest.raises(UseFault, match="from 0 to 500 mm"):
        read_plan(sample_media / "floor" / "plan.csv", snap_mm=snap)  # type: ignore[operator]
