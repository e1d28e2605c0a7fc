"""Fields of view and sizes by lens against published values and plain numbers."""

from __future__ import annotations

from fractions import Fraction
from math import sqrt

import pytest

from previs.document.floor import CameraPlace
from previs.document.model import Size
from previs.floor.cameras_lens import STATURE_MM, degrees_high, degrees_wide, held_statures, picture_height_mm, size_from, whole_from_mm


def camera(lens: float | str, width: float | str, height: int = STATURE_MM // 2) -> CameraPlace:
    return CameraPlace("A", (0, 0), (1000, 0), height, Fraction(lens), Fraction(width))


@pytest.mark.parametrize(("lens", "width", "degrees", "within"), [("50", "35.9", 39.5, 0.05), ("50", "36", 39.598, 0.001)])
def test_a_published_lens_holds_the_published_angle(lens: str, width: str, degrees: float, within: float) -> None:
    """SOURCES section 4: 50 mm on 35.9 mm is 39.5 degrees wide; on 36.0 mm 39.598 by 2 atan(w / 2f)."""
    assert degrees_wide(camera(lens, width)) == pytest.approx(degrees, abs=within)


@pytest.mark.parametrize(("lens", "feet_wide"), [("206", 4.0), ("275", 3.0)])
def test_a_published_lens_holds_the_published_width(lens: str, feet_wide: float) -> None:
    """SOURCES section 4, cinematographers' list: at 35 feet on a 23.6 mm sensor 206 mm holds 4 feet, 275 mm holds 3 feet."""
    one = camera(lens, "23.6")
    # The picture's width in statures, on a square raster, at the height of the body's middle.
    wide_mm = held_statures(one, (1, 1), 35 * 304.8) * STATURE_MM
    assert wide_mm / 304.8 == pytest.approx(feet_wide, rel=0.003)


def test_height_follows_the_raster() -> None:
    assert picture_height_mm(camera("50", "24.89"), (960, 540)) == pytest.approx(14.000625)
    assert picture_height_mm(camera("50", "24.89"), (1920, 800)) == pytest.approx(10.370833, abs=1e-6)
    assert degrees_high(camera("7", "24.8889"), (16, 9)) == pytest.approx(90, abs=0.001)


def test_a_body_by_hand() -> None:
    """14 mm high, 40 mm lens, 5 m away: 1.75 m of height, one person exactly; twice as far two, and from 3 m above 5.83 m of way."""
    one = camera("40", "14")
    assert held_statures(one, (1, 1), 5000) == pytest.approx(1.0)
    assert held_statures(one, (1, 1), 10_000) == pytest.approx(2.0)
    assert whole_from_mm(one, (1, 1)) == pytest.approx(5000)
    above = camera("40", "14", STATURE_MM // 2 + 3000)
    assert held_statures(above, (1, 1), 5000) == pytest.approx(sqrt(34) / 5)
    assert whole_from_mm(above, (1, 1)) == pytest.approx(4000)
    assert whole_from_mm(camera("40", "14", 8000), (1, 1)) == 0


@pytest.mark.parametrize(
    ("persons", "size"),
    [
        (4, Size.EXTREME_WIDE),
        (3, Size.WIDE),
        (1.51, Size.WIDE),
        (1.49, Size.FULL),
        (0.9, Size.FULL),
        (0.722, Size.MEDIUM_WIDE),
        (0.398, Size.MEDIUM),
        (0.265, Size.MEDIUM_CLOSE),
        (0.18, Size.CLOSE),
        (0.07, Size.EXTREME_CLOSE),
        (0.001, Size.EXTREME_CLOSE),
    ],
)
def test_sizes_by_where_the_lower_edge_cuts(persons: float, size: Size) -> None:
    """SOURCES section 6: cut at the chest 0.265 of a man from the crown, waist 0.398, knee 0.72; a full shot head to toe."""
    assert size_from(camera("40", "14"), (1, 1), 5000 * persons) is size


def test_taller_people_are_framed_closer() -> None:
    one, far = camera("40", "14"), 5000 * 0.87
    assert size_from(one, (1, 1), far) is Size.FULL
    assert size_from(one, (1, 1), far, 1870) is Size.MEDIUM_WIDE
