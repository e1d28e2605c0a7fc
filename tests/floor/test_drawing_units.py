"""Units against the library's own factors, against the published definitions, and in drawings of every code."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from ezdxf import units
from ezdxf.enums import InsertUnits
from floor.raw_dxf import line, write

from previs.faults import UseFault
from previs.floor.drawing import read_drawing
from previs.floor.drawing_units import MM_PER_CODE, UNIT_NAMES, sizes_told, unit_given, unit_name

ROUGHLY_KNOWN = {19: 1e-3, 20: 3e-3}
"""The library rounds the light year to 9.46e15 m and the parsec to 3.09e16 m."""


@pytest.mark.parametrize("code", [int(unit) for unit in InsertUnits if unit])
def test_every_unit_is_as_long_as_the_library_says(code: int) -> None:
    per_metre = units.METER_FACTOR[code]
    if per_metre is not None:
        assert float(MM_PER_CODE[code]) == pytest.approx(1000 / per_metre, rel=ROUGHLY_KNOWN.get(code, 1e-7))
    assert unit_name(code)


def test_the_units_that_the_library_has_no_length_for() -> None:
    """Microinch and mil by their names; US survey units by 1 foot = 1200/3937 m (Mendenhall order of 1893)."""
    unknown = {code for code, factor in enumerate(units.METER_FACTOR) if code and factor is None}
    assert unknown == {8, 9, 21, 22, 23, 24}
    assert MM_PER_CODE[8] == Fraction(254, 10) / 10**6
    assert MM_PER_CODE[9] == Fraction(254, 10) / 1000
    assert MM_PER_CODE[21] == Fraction(1200, 3937) * 1000
    assert MM_PER_CODE[22] * 39370 == 1_000_000
    assert MM_PER_CODE[23] == 3 * MM_PER_CODE[21]
    assert MM_PER_CODE[24] == 5280 * MM_PER_CODE[21]


def test_every_code_of_the_reference_is_there_and_no_other() -> None:
    assert set(MM_PER_CODE) == {int(unit) for unit in InsertUnits if unit} == set(range(1, 25))
    assert {unit_given(name) for name in UNIT_NAMES} == {1, 2, 4, 5, 6, 7, 10, 14}


@pytest.mark.parametrize("code", range(1, 25))
def test_a_drawing_in_any_unit_is_read_in_millimetres(tmp_path: Path, code: int) -> None:
    """A wall of 13,300 mm, drawn in each unit."""
    long = float(Fraction(13_300) / MM_PER_CODE[code])
    drawn = read_drawing(write(tmp_path / "a.dxf", line("WALL", 0, 0, repr(long), 0), units=code))
    assert drawn.lines[0].points == ((0, 0), (13_300, 0))


@pytest.mark.parametrize("code", [None, 0, 25, 99, -1])
def test_a_drawing_without_a_unit_is_asked_for_one_with_sizes_to_tell_it_by(tmp_path: Path, code: int | None) -> None:
    path = write(tmp_path / "plan.dxf", line("WALL", 0, 0, 13_300, 0), line("WALL", 0, 0, 0, 3000), units=code)
    with pytest.raises(UseFault) as told:
        read_drawing(path)
    assert "13.3 km x 3 km in m, 13.3 m x 3 m in mm, 338 m x 76.2 m in in" in str(told.value)
    assert "--unit" in str(told.value)
    assert str(told.value).count(".dxf") == 1
    assert read_drawing(path, unit="mm").lines[0].points == ((0, 0), (13_300, 0))
    assert read_drawing(path, unit="cm").lines[0].points == ((0, 0), (133_000, 0))


def test_a_given_unit_goes_before_the_drawing_s_own(tmp_path: Path) -> None:
    path = write(tmp_path / "plan.dxf", line("WALL", 0, 0, 10, 0), units=4)
    assert read_drawing(path, unit="m").lines[0].points == ((0, 0), (10_000, 0))


def test_a_size_that_no_set_has_is_remarked_on(tmp_path: Path) -> None:
    small = read_drawing(write(tmp_path / "small.dxf", line("WALL", 0, 0, 13.3, 0), units=4))
    assert any("0.013 x 0.000 m in mm" in remark for remark in small.remarks)
    fine = read_drawing(write(tmp_path / "fine.dxf", line("WALL", 0, 0, 13.3, 0), units=6))
    assert not any("right unit" in remark for remark in fine.remarks)


def test_a_unit_nobody_knows_is_refused() -> None:
    with pytest.raises(UseFault, match="'furlong' is not a unit"):
        unit_given("furlong")
    assert sizes_told(0.5, 0.2) == "0.5 m x 0.2 m in m, 0.5 mm x 0.2 mm in mm, 12.7 mm x 5.08 mm in in"
