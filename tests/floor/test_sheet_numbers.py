"""Labels never stand on each other, on a point or off the page; the scale is the largest usual one that fits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString
from shapely import box as rectangle

from previs.faults import UseFault
from previs.floor.measuring_units import Units
from previs.floor.sheet_numbers import Label, Placing, crossing
from previs.floor.sheet_scale import LABELS_MM, SheetPaper, fitted, pages, parsed_scale, scale_said

SPOT = st.tuples(st.integers(20, 480), st.integers(20, 280))


@settings(max_examples=60, deadline=None)
@given(st.lists(SPOT, min_size=1, max_size=40), st.lists(st.tuples(SPOT, SPOT), max_size=10))
def test_labels_stand_free(spots: list[tuple[int, int]], lines: list[tuple[tuple[int, int], tuple[int, int]]]) -> None:
    placing = Placing((0, 0, 500, 300), [(*one, *other) for one, other in lines])
    marks = [(x - 2, y - 2, x + 2, y + 2) for x, y in spots]
    placing.keep_free(marks)
    stands = [placing.place(Label(spot, 12, 8)) for spot in spots]
    boxes = [one.box for one in stands if one is not None]
    assert len(boxes) >= len(spots) * 0.9
    shapes = [rectangle(*one) for one in [*marks, *boxes]]
    for at, shape in enumerate(shapes[len(marks) :]):
        others = shapes[: len(marks) + at]
        assert all(shape.intersection(other).area == 0 for other in others)
        assert rectangle(0, 0, 500, 300).contains(shape)


def test_a_label_keeps_off_lines_where_it_can_and_stands_over_its_spot_where_it_may() -> None:
    placing = Placing((0, 0, 500, 300), [(100, 100, 400, 100), (100, 100, 100, 250)])
    stands = placing.place(Label((100, 100), 12, 8))
    assert stands is not None and not crossing(np.array([(100, 100, 400, 100), (100, 100, 100, 250)], dtype=float), stands.box).any()
    over = Placing((0, 0, 500, 300), []).place(Label((100, 100), 40, 8, over=True))
    assert over is not None and over.middle == (100, 100)
    assert Placing((0, 0, 10, 10), []).place(Label((5, 5), 40, 8)) is None


@given(SPOT, SPOT, SPOT, st.integers(1, 100), st.integers(1, 100))
def test_a_line_through_a_box_is_seen(start: tuple[int, int], end: tuple[int, int], corner: tuple[int, int], wide: int, high: int) -> None:
    box = (corner[0], corner[1], corner[0] + wide, corner[1] + high)
    found = bool(crossing(np.array([(*start, *end)], dtype=float), box)[0])
    shape, line = rectangle(*box), LineString([start, end])
    # Touching within a rounding error may be told either way.
    assert found == line.intersects(shape) or abs(line.distance(shape.exterior)) < 1e-6


@given(st.floats(100, 500_000), st.floats(100, 500_000), st.sampled_from(SheetPaper), st.sampled_from(Units))
def test_the_scale_is_the_largest_usual_one_that_fits(width: float, height: float, paper: SheetPaper, units: Units) -> None:
    found = fitted(width, height, paper, units)
    assert found.page in pages(paper)
    wide, high = found.page.box_mm
    assert width / found.scale <= wide - 2 * LABELS_MM + 1e-6 and height / found.scale <= high - 2 * LABELS_MM + 1e-6
    for page in pages(paper):
        for usual in (50, 75, 100, 150, 200) if units is Units.METRIC else (24, 48, 64, 96, 128, 192):
            if usual < found.scale:
                box = page.box_mm
                assert width / usual > box[0] - 2 * LABELS_MM - 1e-6 or height / usual > box[1] - 2 * LABELS_MM - 1e-6


def test_a_scale_is_written_in_one_way() -> None:
    assert parsed_scale("1:75") == parsed_scale(" 1 : 75 ") == parsed_scale("75") == 75
    for wrong in ("", "0", "1:0", "2:75", "75.5", "1:99999999", "1/4", "١:٧٥"):
        with pytest.raises(UseFault, match="is no scale; write it such as 1:50 or 1:75"):
            parsed_scale(wrong)
    assert scale_said(48, Units.IMPERIAL) == '1/4" = 1 ft (1:48)' and scale_said(48, Units.METRIC) == "1:48"
    assert scale_said(50, Units.IMPERIAL) == "1:50"
