"""A drawing looked at before it is read: its unit, its size, its layers, and whether anybody must be asked."""

from __future__ import annotations

from pathlib import Path

import pytest
from floor.raw_dxf import line, write

from previs.faults import UseFault
from previs.floor.drawing_plan import read_plan
from previs.floor.drawing_survey import SurveyedLayer, layers_written, survey


def test_the_sample_needs_no_asking(sample_media: Path) -> None:
    found = survey(sample_media / "floor" / "salt_stair.dxf")
    assert not found.asks and found.unit == "mm"
    assert found.size_mm("mm") == pytest.approx((13_300, 3000), abs=1)
    holds = {layer.name: layer.holds for layer in found.layers}
    assert holds["A-WALL"] == "wall" and holds["A-DOOR"] == "door" and holds["A-PLACE"] == "place" and holds["A-TITLE"] == ""


def test_without_a_unit_or_a_telling_layer_somebody_must_be_asked(tmp_path: Path) -> None:
    walls = line("A-WALL", 0, 0, 5, 0), line("A-WALL", 5, 0, 5, 3)
    unit = survey(write(tmp_path / "unit.dxf", *walls, units=None))
    assert unit.asks and unit.unit == "" and unit.size_mm("m") == (5000, 3000) and unit.size_mm("in") == pytest.approx((127, 76.2))
    named = survey(write(tmp_path / "named.dxf", line("L1", 0, 0, 5000, 0), line("L2", 0, 0, 0, 3000)))
    assert named.asks and named.unit == "mm" and (named.width, named.depth) == (5000, 3000)
    assert named.layers == (SurveyedLayer("L1", 1, ""), SurveyedLayer("L2", 1, ""))
    plan = read_plan(tmp_path / "named.dxf", "", layers_written({"L1": "wall", "L2": ""}))
    assert [line.points for line in plan.lines] == [((0, 0), (5000, 0))]


def test_a_drawing_with_nothing_in_it_and_no_drawing_at_all(tmp_path: Path) -> None:
    assert survey(write(tmp_path / "empty.dxf")).layers == ()
    (tmp_path / "words.dxf").write_text("hello", encoding="utf-8")
    with pytest.raises(UseFault, match="no DXF drawing"):
        survey(tmp_path / "words.dxf")


def test_a_layer_whose_name_no_list_can_hold_is_known_as_such() -> None:
    assert SurveyedLayer("A-WALL", 1, "wall").can_be_named and not SurveyedLayer("A,B*", 1, "").can_be_named
