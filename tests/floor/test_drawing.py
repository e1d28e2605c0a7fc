"""Drawings made by hand from the DXF reference and by the library: blocks, layers, doors, names, and where they lie."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pytest
from ezdxf.entities import Insert
from ezdxf.enums import TextEntityAlignment
from ezdxf.math import Matrix44
from floor.raw_dxf import block, entity, light_polyline, line, polyline, write

from previs.document.floor import LineKind, NamedPlace, PlanLine
from previs.faults import UseFault
from previs.floor.drawing import read_drawing
from previs.floor.drawing_layers import layer_by_name, layers_given


def test_lines_and_polylines_by_hand(tmp_path: Path) -> None:
    path = write(
        tmp_path / "a.dxf",
        line("WALL", 0, 0, 5000, 0),
        polyline("WALL", [(0, 0, 0), (0, 2600, 0), (5000, 2600, 0)]),
        line("STEP", 5000, 0, 5000, 2600, (39, 170)),
        line("EDGE", 5000.4, -0.4, 9000.6, 0, (39, -2400)),
    )
    drawn = read_drawing(path)
    assert drawn.lines == (
        PlanLine(LineKind.WALL, ((0, 0), (5000, 0))),
        PlanLine(LineKind.WALL, ((0, 0), (0, 2600), (5000, 2600))),
        PlanLine(LineKind.STEP, ((5000, 0), (5000, 2600)), height_mm=170),
        PlanLine(LineKind.DROP, ((5000, 0), (9001, 0)), height_mm=2400),
    )


def test_a_light_polyline_by_hand(tmp_path: Path) -> None:
    square = light_polyline("WALL", [(0, 0, 0), (4000, 0, 0), (4000, 3000, 0), (0, 3000, 0)], closed=True)
    again = light_polyline("WALL", [(0, 0, 0), (4000, 0, 0), (4000, 3000, 0), (0, 0, 0)])
    drawn = read_drawing(write(tmp_path / "a.dxf", square, again, release="AC1015"))
    assert drawn.lines[0] == PlanLine(LineKind.WALL, ((0, 0), (4000, 0), (4000, 3000), (0, 3000)), closed=True)
    assert drawn.lines[1] == PlanLine(LineKind.WALL, ((0, 0), (4000, 0), (4000, 3000)), closed=True)


def test_a_block_by_hand_takes_the_layer_it_is_put_on(tmp_path: Path) -> None:
    """DXF reference: what is on layer 0 of a block is on the layer of its INSERT; 41 and 42 scale, 50 turns."""
    inner = block("SIDE", line("0", 0, 0, 1, 0))
    outer = block("PAIR", entity("INSERT", "0", (2, "SIDE"), (10, 0), (20, 0), (30, 0)), line("FRAME", 0, 1, 1, 1))
    put = entity("INSERT", "WALL", (2, "PAIR"), (10, 100), (20, 200), (30, 0), (41, 1000), (42, -500), (50, 90))
    drawn = read_drawing(write(tmp_path / "a.dxf", put, blocks=[inner, outer]))
    assert drawn.lines == (
        PlanLine(LineKind.WALL, ((100, 200), (100, 1200))),
        PlanLine(LineKind.WALL, ((600, 200), (600, 1200))),
    )


@pytest.mark.parametrize("seed", range(12))
def test_nested_turned_scaled_and_mirrored_blocks_lie_where_the_library_puts_them(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    made = ezdxf.new("R2010", units=4)
    names = ["B0", "B1", "B2"]
    for depth, name in enumerate(names):
        held = made.blocks.new(name, base_point=(chance.uniform(-50, 50), chance.uniform(-50, 50)))
        held.add_line((chance.uniform(-900, 900), 0), (0, chance.uniform(-900, 900)))
        if depth:
            held.add_blockref(names[depth - 1], _spot(chance, 500), _how(chance, 2))
    for _ in range(4):
        made.modelspace().add_blockref("B2", _spot(chance, 5000), {**_how(chance, 3), "layer": "WALL"})
    made.saveas(tmp_path / "a.dxf")
    drawn = read_drawing(tmp_path / "a.dxf")
    wanted = [pair for put in made.modelspace() for pair in _by_matrices(put, Matrix44())]
    assert len(drawn.lines) == len(wanted) == 12
    for one, pair in zip(drawn.lines, wanted, strict=True):
        assert all(math.dist(got, at) < 0.71 for got, at in zip(one.points, pair, strict=True))


def _by_matrices(put: Insert, outer: Matrix44) -> Iterator[list[tuple[float, float]]]:
    """By the library's own matrices; its exploding of a block inside a stretched one is an approximation."""
    matrix = put.matrix44() * outer
    for one in put.block():
        if one.dxftype() == "LINE":
            yield [(at.x, at.y) for at in matrix.transform_vertices([one.dxf.start, one.dxf.end])]
        else:
            yield from _by_matrices(one, matrix)


def _spot(chance: random.Random, far: float) -> tuple[float, float]:
    return chance.uniform(-far, far), chance.uniform(-far, far)


def _how(chance: random.Random, most: float) -> dict[str, object]:
    up = {"extrusion": (0, 0, -1)} if chance.random() < 0.5 else {}
    scales = {"xscale": chance.uniform(0.3, most) * chance.choice((-1, 1)), "yscale": chance.uniform(0.3, most) * chance.choice((-1, 1))}
    return {**scales, **up, "rotation": chance.uniform(0, 360)}


def test_rows_and_columns_of_a_block_lie_where_the_library_puts_them(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    made.blocks.new("STEP").add_line((0, 0), (0, 1000))
    how = {"layer": "STEP", "column_count": 4, "row_count": 2, "column_spacing": 300, "row_spacing": 2000, "rotation": 30, "xscale": 2}
    put = made.modelspace().add_blockref("STEP", (100, 50), how)
    made.saveas(tmp_path / "a.dxf")
    wanted = [(round(x.dxf.start.x), round(x.dxf.start.y)) for one in put.multi_insert() for x in one.virtual_entities()]
    assert sorted(line.points[0] for line in read_drawing(tmp_path / "a.dxf").lines) == sorted(wanted)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("A-WALL", LineKind.WALL),
        ("walls_new", LineKind.WALL),
        ("InnerWall2", LineKind.WALL),
        ("DOORS", LineKind.DOOR),
        ("A-DOOR-WALL", LineKind.DOOR),
        ("stair steps", LineKind.STEP),
        ("S-EDGE", LineKind.DROP),
        ("Columns", LineKind.COLUMN),
        ("salt-cart", LineKind.COLUMN),
        ("PLACES", None),
    ],
)
def test_layers_are_told_by_their_names(name: str, kind: LineKind | None) -> None:
    layer = layer_by_name(name)
    assert layer is not None and layer.kind is kind


@pytest.mark.parametrize("name", ["0", "", "WALLPAPER", "cartouche", "Defpoints", "ledger", "A-TITLE"])
def test_other_names_tell_nothing(name: str) -> None:
    assert layer_by_name(name) is None


def test_chosen_layers_alone_are_taken_and_the_others_named(tmp_path: Path) -> None:
    path = write(tmp_path / "a.dxf", line("0", 0, 0, 5000, 0), line("WALL", 0, 0, 0, 900), line("X-1", 0, 0, 2000, 10))
    drawn = read_drawing(path, layers="0=wall, x-*=drop")
    assert [one.kind for one in drawn.lines] == [LineKind.WALL, LineKind.DROP]
    assert any("WALL (1)" in remark and "left out" in remark for remark in drawn.remarks)
    with pytest.raises(UseFault, match=r"a layer 'wals' .* 0 \(1\), WALL \(1\), X-1 \(1\)"):
        read_drawing(path, layers="WALS=wall")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("WALL", "is not NAME=KIND"),
        ("=wall", "is not NAME=KIND"),
        ("A=roof", "'roof' is not what"),
        ("A=wall,a=door", "twice"),
        (",", "No layer"),
    ],
)
def test_layers_that_say_nothing_are_refused(written: str, said: str) -> None:
    with pytest.raises(UseFault, match=said):
        layers_given(written)


def test_a_drawing_whose_layers_tell_nothing_asks_which_are_walls(tmp_path: Path) -> None:
    with pytest.raises(UseFault, match=r"--layers '0=wall'.*0 \(2\), X \(1\)"):
        read_drawing(write(tmp_path / "a.dxf", line("0", 0, 0, 1, 0), line("0", 0, 0, 0, 1), line("X", 0, 0, 1, 1)))
    with pytest.raises(UseFault, match="holds no lines"):
        read_drawing(write(tmp_path / "b.dxf"))


def test_what_is_off_frozen_hidden_or_on_paper_is_left_out_and_counted(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    for name in ("WALL", "WALL-OLD", "WALL-OFF"):
        made.layers.add(name)
    made.layers.get("WALL-OLD").freeze()
    made.layers.get("WALL-OFF").off()
    space = made.modelspace()
    for name in ("WALL", "WALL-OLD", "WALL-OFF"):
        space.add_line((0, 0), (5000, 0), {"layer": name})
    space.add_line((0, 0), (0, 5000), {"layer": "WALL", "invisible": 1})
    space.add_point((0, 0), {"layer": "WALL"})
    space.add_linear_dim(base=(0, 500), p1=(0, 0), p2=(5000, 0)).render()
    made.layout("Layout1").add_line((0, 0), (100, 0), {"layer": "WALL"})
    made.saveas(tmp_path / "a.dxf")
    drawn = read_drawing(tmp_path / "a.dxf")
    assert len(drawn.lines) == 1
    told = " ".join(drawn.remarks)
    for part in ("WALL-OFF (1)", "WALL-OLD (1)", "dimensions (1)", "hidden (1)", "in paper space (1)", "points (1)"):
        assert part in told
    assert len(read_drawing(tmp_path / "a.dxf", layers="WALL-OLD=wall").lines) == 1


def test_texts_name_places_or_the_lines_beside_them(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    space = made.modelspace()
    space.add_line((0, 0), (5000, 0), {"layer": "DROP"})
    space.add_line((0, 9000), (5000, 9000), {"layer": "DROP"})
    space.add_text("quay", dxfattribs={"layer": "DROP"}).set_placement((2500, -400), align=TextEntityAlignment.MIDDLE_CENTER)
    space.add_mtext("narrow\\Pstretch", {"layer": "PLACES", "insert": (700, 800)})
    space.add_text("far from any", dxfattribs={"layer": "DROP", "insert": (2500, 4500)})
    space.add_text("x" * 81, dxfattribs={"layer": "PLACES"})
    space.add_text("General notes", dxfattribs={"layer": "NOTES"})
    made.saveas(tmp_path / "a.dxf")
    drawn = read_drawing(tmp_path / "a.dxf")
    assert [one.name for one in drawn.lines] == ["quay", ""]
    assert drawn.places == (NamedPlace("far from any", (2500, 4500)), NamedPlace("narrow stretch", (700, 800)))
    assert any("Too long for a name and left out: 1" in remark for remark in drawn.remarks)


def test_a_drawing_far_from_its_origin_is_brought_near(tmp_path: Path) -> None:
    """100 km away, as drawings in a country's survey grid are."""
    x, y = 100_000_000, -250_000_000
    text = entity("TEXT", "PLACES", (10, x + 2500), (20, y + 1300), (30, 0), (40, 150), (1, "corridor"))
    drawn = read_drawing(write(tmp_path / "a.dxf", line("WALL", x + 0.25, y, x + 5000.25, y + 2600), text))
    assert drawn.origin == (x, y)
    assert drawn.lines[0].points == ((0, 0), (5000, 2600))
    assert drawn.places == (NamedPlace("corridor", (2500, 1300)),)
    assert any("far from its own origin" in remark for remark in drawn.remarks)


def test_a_stray_line_far_away_is_told_with_its_place(tmp_path: Path) -> None:
    path = write(tmp_path / "a.dxf", line("WALL", 0, 0, 5000, 0), line("WALL", 100_000_000, 0, 100_000_500, 7))
    with pytest.raises(UseFault, match=r"100\.0 x 0\.0 km.*100000\.500, 0\.007 m"):
        read_drawing(path)
