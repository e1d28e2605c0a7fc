from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from cut.small_cut import a_cut
from floor.laid_by_hand import post, room, walls
from floor.salt_plan import salt_floor
from msgspec.structs import replace

from previs.document.floor import Floor
from previs.document.floor_edits import with_laid, with_plan, with_room
from previs.document.invariants import faults_in
from previs.faults import UseFault
from previs.floor.fitting import fitted
from previs.floor.placing import laid_lines
from previs.floor.sections import OVERLAP_MM, in_sections

_ROOMS = [
    room(9000, 6000),
    room(6000, 9000),
    room(12_000, 12_000, margin=1500),
    room(10_000, 8000, post(5000, 4000)),
    room(16_000, 9000, post(5000, 3000), post(5000, 6000), post(11_000, 3000), post(11_000, 6000)),
]


def _drawn(lines):
    return shapely.MultiLineString([[*line.points, *line.points[: line.closed]] for line in lines])


@pytest.mark.parametrize("where", _ROOMS)
def test_every_section_keeps_the_margin_overlaps_the_next_and_nothing_is_left_out(where):
    plan = replace(salt_floor(), room=where)
    found = in_sections(plan)
    assert len(found.laid) > 1 and not found.fits and found.misses
    for laid in found.laid:
        points = np.array([point for line in laid_lines(plan, laid) for point in line.points])
        free = np.minimum(points, (where.length_mm, where.width_mm) - points).min()
        outline = shapely.MultiPoint(points).convex_hull
        columns = [outline.distance(shapely.MultiPoint(column.points).convex_hull) for column in where.columns]
        assert min(free, *columns, free) >= where.margin_mm - 1
        assert found.clearance_mm <= min(free, *columns, free) + 1
    parts = [shapely.Polygon(laid.part) for laid in found.laid]
    for part, following in itertools.pairwise(parts):
        left, low, right, high = shapely.intersection(part, following).bounds
        assert min(right - left, high - low) >= OVERLAP_MM
    assert _drawn(plan.lines).difference(shapely.union_all(parts).buffer(0.5)).length < 1
    assert [laid.name for laid in found.laid] == [f"section {number} of {len(parts)}" for number in range(1, len(parts) + 1)]


def test_every_opening_that_is_no_wider_than_the_overlap_is_whole_in_a_section():
    plan = replace(salt_floor(), room=room(7000, 5000))
    whole = {line.name for laid in in_sections(plan).laid for line in laid_lines(plan, laid) if line.opens_left is not None}
    assert whole == {"first door", "second door"}


def test_as_few_sections_as_can_be_and_of_one_length():
    plan = replace(salt_floor(), room=room(9000, 4000))
    found = in_sections(plan)
    # 8000 mm are free: 13300 = 8000 + 8000 - 1500 - 1200, two are enough.
    assert [laid.part[1][0] - laid.part[0][0] for laid in found.laid] == [7400, 7400]


def test_a_set_too_wide_across_is_cut_both_ways():
    square = Floor((walls((0, 0), (12_000, 0), (12_000, 12_000), (0, 12_000), (0, 0)),), room=room(8000, 8000))
    found = in_sections(square)
    assert len(found.laid) == 4
    parts = [shapely.Polygon(laid.part) for laid in found.laid]
    assert _drawn(square.lines).difference(shapely.union_all(parts)).length == 0
    assert found.clearance_mm == 500


def test_a_slanting_set_is_cut_across_its_own_run():
    straight = ((0, 0), (20_000, 0), (20_000, 2000), (0, 2000))
    plan = Floor((walls(*((round(x * 0.8 - y * 0.6), round(x * 0.6 + y * 0.8)) for x, y in straight)),))
    found = in_sections(replace(plan, room=room(9000, 4000)))
    assert len(found.laid) == 3 and found.clearance_mm >= 500
    assert all(shapely.Polygon(laid.part).area == pytest.approx((20_000 + 2 * 1500) / 3 * 2200, rel=0.01) for laid in found.laid)


def test_what_fits_is_not_cut():
    assert in_sections(salt_floor()) == fitted(salt_floor())


def test_a_kept_turn_is_that_of_all_sections():
    found = in_sections(replace(salt_floor(), room=room(9000, 6000)), keep_turn=90_000)
    assert {laid.turn_millidegrees for laid in found.laid} == {90_000} and len(found.laid) == 4


def test_a_room_too_small_for_any_section_is_one_sentence():
    with pytest.raises(UseFault, match="too small to rehearse the set even in"):
        in_sections(replace(salt_floor(), room=room(2500, 2500)))


def test_sections_are_good_values_of_the_document():
    plan = replace(salt_floor(), room=room(9000, 6000))
    laid = in_sections(plan).laid
    sequence = with_room(with_plan(a_cut(), plan.lines, plan.places, plan.drawn_in, plan.origin), plan.room)
    assert faults_in(with_laid(sequence, laid)) == ()
