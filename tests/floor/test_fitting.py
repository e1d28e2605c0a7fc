from __future__ import annotations

from time import perf_counter

import numpy as np
import pytest
import shapely
from floor.laid_by_hand import best_by_grid, hull, kept, post, room, verified, walls
from floor.salt_plan import salt_floor
from msgspec.structs import replace

from previs.document.floor import Floor, Laid, PlanLine, Room
from previs.faults import UseFault
from previs.floor.fitting import Lacking, Miss, clearance_mm, fitted
from previs.floor.fitting_search import best_turned
from previs.floor.fitting_shape import hull_of, space_of
from previs.progress import Step, Stopped

_BLOCK = walls((0, 0), (6000, 0), (6000, 3000), (0, 3000))


def _salt_in(where: Room) -> Floor:
    return replace(salt_floor(), room=where)


def test_the_sample_lies_unturned_in_the_middle_of_its_room():
    found = fitted(salt_floor())
    assert found.fits and found.share == 1 and found.misses == ()
    assert found.laid == (Laid(0, 1350, 3200),)
    assert found.clearance_mm == clearance_mm(salt_floor(), found.laid[0]) == 1350


def test_a_room_exactly_large_enough_and_one_a_millimetre_smaller_either_way():
    assert fitted(_salt_in(room(14_300, 4000))).laid == (Laid(0, 500, 700),)
    for length, width, lacking in ((14_299, 4000, Lacking.LENGTH), (14_300, 3999, Lacking.WIDTH)):
        found = fitted(_salt_in(room(length, width)))
        assert (found.fits, found.misses) == (False, (Miss(lacking, 1),))
        assert 0.5 < found.share < 1 and found.clearance_mm >= 500


def test_a_room_that_stands_the_other_way_takes_a_quarter_of_a_turn():
    found = fitted(_salt_in(room(4000, 14_300)))
    assert found.fits and found.laid[0].turn_millidegrees == 90_000
    assert verified(_salt_in(room(4000, 14_300)), found.laid[0])


def test_a_quarter_is_taken_where_it_fits_though_another_turn_keeps_more():
    plan = Floor((walls((0, 0), (5000, 3000)),), room=room(6100, 4000))
    found = fitted(plan)
    assert found.laid[0].turn_millidegrees == 0 and found.clearance_mm == 500
    assert best_turned(hull_of(plan.lines[0].points), space_of(plan.room)).kept_mm > 520


def test_one_line_longer_than_the_room_lies_across_it():
    plan = Floor((walls((0, 0), (10_000, 0)),), room=room(9000, 8000))
    found = fitted(plan)
    assert found.fits and verified(plan, found.laid[0])
    # A line lies best where as much is left along as across: length - d cos = width - d sin.
    turn = np.deg2rad(found.laid[0].turn_millidegrees / 1000)
    assert 9000 - 10_000 * abs(np.cos(turn)) == pytest.approx(8000 - 10_000 * abs(np.sin(turn)), abs=1)


@pytest.mark.parametrize("seed", range(8))
def test_no_grid_of_turns_and_shifts_keeps_more_and_every_answer_is_so(seed):
    rng = np.random.default_rng(seed)
    spots = rng.integers(0, 6000, (rng.integers(2, 9), 2)) * np.array([1, rng.uniform(0.2, 1)])
    line = walls(*((int(x), int(y)) for x, y in spots))
    length, width = (int(side) for side in rng.integers(5000, 10_000, 2))
    columns = [post(int(rng.integers(0, length)), int(rng.integers(0, width)), int(rng.integers(0, 400))) for _ in range(seed % 4)]
    where = room(length, width, *columns, margin=300)
    lie = best_turned(hull_of(line.points), space_of(where))
    laid = Laid(lie.turn, *lie.shift)
    best = best_by_grid(hull((line,)), where, np.arange(0, 360, 5), 18)
    assert lie.kept_mm >= best - 1.5
    if lie.kept_mm >= 0:
        assert kept(hull((line,)), laid, where) == pytest.approx(lie.kept_mm, abs=1e-5)
    found = fitted(Floor((line,), room=where))
    assert found.fits or best < where.margin_mm + 1.5
    if found.fits:
        assert verified(Floor((line,), room=where), found.laid[0])


def test_a_column_is_gone_round_and_none_stands_inside_the_outline():
    plan = Floor((_BLOCK,), room=room(9000, 8000, post(4500, 4600)))
    found = fitted(plan)
    assert found.fits and found.clearance_mm >= 500 and verified(plan, found.laid[0])
    # Only above or below the post is there height enough, and below there is more of it.
    assert found.laid[0].shift_y_mm + 3000 <= 4600 - 150 - 500


def test_a_column_in_the_way_is_named_with_what_is_missing():
    plan = Floor((_BLOCK,), room=room(7000, 7000, post(100, 6900, 50), post(3500, 3600, 100), margin=400))
    found = fitted(plan)
    assert not found.fits
    # Below the post 3500 mm are free; 3000 are needed, and twice 400.
    assert found.misses == (Miss(Lacking.COLUMN, 150, 1),)
    assert 0 < found.share < 1 and found.clearance_mm >= 400


def test_just_so_between_two_columns():
    gap = room(12_000, 4000, post(2000, 2000, 100), post(9200, 2000, 100))
    assert fitted(Floor((_BLOCK,), room=gap)).fits
    assert not fitted(Floor((_BLOCK,), room=room(12_000, 4000, post(2000, 2000, 100), post(9200, 2000, 101)))).fits


def test_a_plan_far_too_large_says_both_lengths_and_lays_the_longest_part():
    plan = _salt_in(room(9000, 3000))
    found = fitted(plan)
    assert found.misses == (Miss(Lacking.LENGTH, 5300), Miss(Lacking.WIDTH, 1000))
    assert found.laid[0].part and found.clearance_mm >= 500


@pytest.mark.parametrize("where", [room(9000, 6000), room(12_000, 4500), room(8000, 16_000, post(4000, 8000))])
def test_no_grid_of_rectangles_along_the_run_holds_more_of_the_plan(where):
    plan = _salt_in(where)
    found = fitted(plan)
    if found.fits:
        return
    drawn = shapely.MultiLineString([[*line.points, *line.points[: line.closed]] for line in plan.lines])
    whole = shapely.length(drawn)
    wide = where.length_mm - 2 * where.margin_mm
    best = max(shapely.length(shapely.intersection(drawn, shapely.box(x, -300, x + wide, 2900))) for x in range(-2000, 8000, 50))
    assert found.share >= best / whole - 1e-3


def test_a_kept_turn_is_kept():
    assert fitted(salt_floor(), keep_turn=10_000).laid[0].turn_millidegrees == 10_000
    found = fitted(salt_floor(), keep_turn=90_000)
    assert (found.fits, found.laid[0].turn_millidegrees, found.misses) == (False, 90_000, (Miss(Lacking.WIDTH, 5300),))


def test_a_skew_plan_is_laid_straight():
    turned = [(round(x * 0.8 - y * 0.6), round(x * 0.6 + y * 0.8)) for x, y in _BLOCK.points]
    plan = Floor((walls(*turned),), room=room(7010, 4010))
    found = fitted(plan)
    assert found.fits and verified(plan, found.laid[0])
    assert found.laid[0].turn_millidegrees % 180_000 == pytest.approx(180_000 - 36_870, abs=50)


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        (Floor(room=room(9000, 6000)), "There is no plan of the set yet"),
        (Floor((_BLOCK,)), "There is no rehearsal room yet"),
        (Floor((_BLOCK,), room=room(1000, 900)), "no line of the plan fits this room"),
        (Floor((_BLOCK,), room=room(9000, 6000, post(4500, 3000, 4500))), "no line of the plan fits this room"),
    ],
)
def test_what_cannot_be_answered_is_one_sentence(plan, says):
    with pytest.raises(UseFault, match=says) as told:
        fitted(plan)
    assert str(told.value).count(". ") == 0


def test_two_thousand_lines_in_a_hall_with_columns_take_seconds_at_most():
    rng = np.random.default_rng(3)
    ends = rng.integers(0, (15_000, 7000), (2000, 2, 2))
    lines = tuple(PlanLine(_BLOCK.kind, tuple((int(x), int(y)) for x, y in pair)) for pair in ends)
    began = perf_counter()
    assert fitted(Floor(lines, room=room(20_000, 12_000))).fits
    assert perf_counter() - began < 2
    posts = [post(x, y) for x in (5000, 10_000, 15_000) for y in (4000, 8000)]
    assert not fitted(Floor(lines, room=room(20_000, 12_000, *posts))).fits
    assert perf_counter() - began < 12


def test_the_search_can_be_stopped():
    def stop(step: Step) -> None:
        raise Stopped

    with pytest.raises(Stopped):
        fitted(Floor((_BLOCK,), room=room(7000, 7000, post(3500, 3500))), stop)
