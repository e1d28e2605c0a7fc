"""Doors as they are drawn: leaf and swing, one by one or in blocks, whichever way round."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import pytest
from floor.raw_dxf import entity, light_polyline, line, write

from previs.document.floor import LineKind, PlanLine
from previs.floor.drawing import read_drawing


def arc(layer: str, x: float, y: float, radius: float, start: float, end: float) -> list[tuple[int, object]]:
    return entity("ARC", layer, (10, x), (20, y), (30, 0), (40, radius), (50, start), (51, end))


WALLS = (line("WALL", 0, 0, 0, 850), line("WALL", 0, 1750, 0, 2600))


def doors(path: Path, **how: str) -> list[PlanLine]:
    return [one for one in read_drawing(path, **how).lines if one.kind is LineKind.DOOR]


@pytest.mark.parametrize(
    ("start", "end", "leaf", "left"),
    [(90, 180, (-900, 850), True), (0, 90, (900, 850), False)],
)
def test_a_leaf_and_its_arc_by_hand(tmp_path: Path, start: float, end: float, leaf: tuple[int, int], left: bool) -> None:
    """Hinge below, latch above: a leaf that stands to the left opens left."""
    path = write(tmp_path / "a.dxf", *WALLS, line("DOOR", 0, 850, *leaf), arc("DOOR", 0, 850, 900, start, end))
    assert doors(path) == [PlanLine(LineKind.DOOR, ((0, 850), (0, 1750)), opens_left=left)]


def test_a_leaf_and_its_arc_in_one_polyline(tmp_path: Path) -> None:
    """Hinge, leaf's tip, then the bulge of a quarter turn, tan(90 / 4), clockwise to the latch."""
    bulge = -math.tan(math.radians(90) / 4)
    path = write(tmp_path / "a.dxf", *WALLS, light_polyline("DOOR", [(0, 850, 0), (-900, 850, bulge), (0, 1750, 0)]), release="AC1015")
    assert doors(path) == [PlanLine(LineKind.DOOR, ((0, 850), (0, 1750)), opens_left=True)]


def test_an_arc_alone_is_told_by_the_walls_end(tmp_path: Path) -> None:
    path = write(tmp_path / "a.dxf", *WALLS, arc("DOOR", 0, 850, 900, 90, 180))
    assert doors(path) == [PlanLine(LineKind.DOOR, ((0, 850), (0, 1750)), opens_left=True)]


def test_an_arc_that_tells_nothing_is_kept_and_told(tmp_path: Path) -> None:
    drawn = read_drawing(write(tmp_path / "a.dxf", line("WALL", 9000, 0, 9000, 5000), arc("DOOR", 0, 850, 900, 90, 180)))
    assert [one.kind for one in drawn.lines] == [LineKind.WALL, LineKind.OTHER]
    assert any("where hinge and latch are, at 0.000, 0.850 m" in remark for remark in drawn.remarks)


def test_the_opening_drawn_as_well_is_no_second_door(tmp_path: Path) -> None:
    path = write(
        tmp_path / "a.dxf", *WALLS, line("DOOR", 0, 850, 0, 1750), line("DOOR", -900, 850, 0, 850), arc("DOOR", 0, 850, 900, 90, 180)
    )
    assert doors(path) == [PlanLine(LineKind.DOOR, ((0, 850), (0, 1750)), opens_left=True)]


def test_a_line_alone_is_an_opening_whose_swing_is_not_known(tmp_path: Path) -> None:
    assert doors(write(tmp_path / "a.dxf", line("DOOR", 0, 850, 0, 1750))) == [PlanLine(LineKind.DOOR, ((0, 850), (0, 1750)))]


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turn", [0, 90, 217.5])
def test_a_door_block_with_a_thick_leaf_and_two_names(tmp_path: Path, turn: float, mirrored: bool) -> None:
    made = ezdxf.new("R2010", units=4)
    door = made.blocks.new("D900")
    door.add_lwpolyline([(0, 0), (40, 0), (40, 900), (0, 900)], close=True)
    door.add_arc((0, 0), 900, 0, 90)
    put = made.modelspace().add_blockref("D900", (1000, 2000), {"layer": "DOORS", "rotation": turn, "yscale": -1 if mirrored else 1})
    put.add_attrib("NUMBER", "D01", (0, 0))
    put.add_attrib("NAME", "first door", (0, 0))
    made.saveas(tmp_path / "a.dxf")
    (found,) = doors(tmp_path / "a.dxf")
    latch = round(1000 + 900 * math.cos(math.radians(turn))), round(2000 + 900 * math.sin(math.radians(turn)))
    assert found == PlanLine(LineKind.DOOR, ((1000, 2000), latch), name="first door", opens_left=not mirrored)


def test_a_double_door_is_two_leaves(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    door = made.blocks.new("DD")
    door.add_line((0, 0), (0, 800))
    door.add_arc((0, 0), 800, 0, 90)
    door.add_line((1600, 0), (1600, 800))
    door.add_arc((1600, 0), 800, 90, 180)
    made.modelspace().add_blockref("DD", (0, 0), {"layer": "DOORS"})
    made.saveas(tmp_path / "a.dxf")
    assert doors(tmp_path / "a.dxf") == [
        PlanLine(LineKind.DOOR, ((0, 0), (800, 0)), opens_left=True),
        PlanLine(LineKind.DOOR, ((1600, 0), (800, 0)), opens_left=False),
    ]


def test_a_block_without_an_arc_is_an_opening_along_its_longest_line(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    made.blocks.new("SLIDE").add_lwpolyline([(0, 0), (1200, 0), (1200, 50), (0, 50)], close=True)
    made.modelspace().add_blockref("SLIDE", (0, 0), {"layer": "DOORS"})
    made.saveas(tmp_path / "a.dxf")
    assert doors(tmp_path / "a.dxf") == [PlanLine(LineKind.DOOR, ((0, 0), (1200, 0)))]


def test_outlines_on_a_layer_of_doors(tmp_path: Path) -> None:
    """A panel is an opening along its longer side; a round handle is no door."""
    panel = light_polyline("DOOR", [(0, 0, 0), (900, 0, 0), (900, 40, 0), (0, 40, 0)], closed=True)
    handle = entity("CIRCLE", "DOOR", (10, 850), (20, 20), (30, 0), (40, 30))
    drawn = read_drawing(write(tmp_path / "a.dxf", panel, handle, release="AC1015"))
    assert drawn.lines[0] == PlanLine(LineKind.DOOR, ((0, 0), (900, 0)))
    assert [one.kind for one in drawn.lines[1:]] == [LineKind.OTHER]
    assert any("at 0.880, 0.020 m" in remark for remark in drawn.remarks)
