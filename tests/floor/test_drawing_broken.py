"""Drawings that are broken, foreign, huge or hostile: each is answered in one sentence, or read as far as it goes and told so."""

from __future__ import annotations

import io
import random
import re
from pathlib import Path
from time import process_time

import ezdxf
import pytest
from floor.raw_dxf import block, entity, light_polyline, line, polyline, text_of, write

from previs.faults import Fault, UseFault
from previs.floor.cleaning import cleaned
from previs.floor.cleaning_findings import Odd
from previs.floor.drawing import read_drawing
from previs.floor.drawing_file import MOST_BYTES


def refused(path: Path, **how: str) -> str:
    with pytest.raises(UseFault) as told:
        read_drawing(path, **how)
    sentence = str(told.value)
    assert len(sentence.splitlines()) == 1 and sentence.endswith("."), sentence
    return sentence


def sample(ending: str) -> bytes:
    walls = [line("WALL", 0, y, 5000, y) for y in range(0, 4000, 100)]
    return text_of(*walls).replace("\n", ending).encode()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"   \r\n", "is empty"),
        (b"AC1027\x00\x00\x00\x00\x00\x02\xc0\x03\x00\x00", "is a DWG drawing"),
        (b"AC1.50\x00\x00", "is a DWG drawing"),
        (b"%PDF-1.7\n", "is a PDF"),
        (b"PK\x03\x04aaaa", "a packed archive"),
        (b"this is not a drawing\n" * 50, "is no DXF drawing"),
        (bytes(random.Random(1).randbytes(4000)), "is no DXF drawing"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00" + random.Random(2).randbytes(900), "is damaged"),
        (b"  0\nSECTION\n" + b"\x00\x01\x02" * 99, "no text has"),
        (b"  0\nSECTION\n", "holds no lines"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nLI", "holds no lines"),
    ],
)
def test_what_is_no_drawing_is_said_in_one_sentence(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "plan.dxf"
    path.write_bytes(data)
    assert said in refused(path, unit="mm")


def test_what_is_not_there_or_far_too_large_is_said(tmp_path: Path) -> None:
    assert "cannot be read" in refused(tmp_path / "none.dxf")
    assert "is a folder" in refused(tmp_path)
    large = tmp_path / "large.dxf"
    with large.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    assert "larger than 64 MB" in refused(large)


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_a_drawing_cut_short_anywhere_is_read_as_far_as_it_goes(tmp_path: Path, ending: str) -> None:
    whole, path = sample(ending), tmp_path / "plan.dxf"
    path.write_bytes(whole)
    assert len(read_drawing(path).lines) == 40
    chance = random.Random(5)
    for at in [len(whole) // 2, len(whole) - 8, *(chance.randrange(len(whole)) for _ in range(60))]:
        path.write_bytes(whole[:at])
        try:
            drawn = read_drawing(path, unit="mm")
        except UseFault as fault:
            assert len(str(fault).splitlines()) == 1
        else:
            # The end alone may be gone: then nothing is missing but the end.
            assert len(drawn.lines) >= (at / len(whole)) * 40 - 4
            assert any("cut short" in remark for remark in drawn.remarks) or len(drawn.lines) == 40


def test_any_damage_is_answered(tmp_path: Path) -> None:
    """Bytes changed, lines taken out or doubled: read, or one sentence; nothing else ever comes out."""
    chance, path = random.Random(11), tmp_path / "plan.dxf"
    out = io.StringIO()
    made = ezdxf.new("R2010", units=4)
    made.modelspace().add_lwpolyline([(0, 0, 0.3), (5000, 0, 0), (5000, 2600, 0)], format="xyb", dxfattribs={"layer": "WALL"})
    made.blocks.new("D").add_arc((0, 0), 900, 0, 90)
    made.modelspace().add_blockref("D", (0, 0), {"layer": "DOOR"})
    made.write(out)
    lines = out.getvalue().split("\n")
    read = 0
    for _ in range(40):
        broken = list(lines)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(broken))
            broken[at : at + chance.randint(0, 2)] = chance.choice([[], ["999999"], ["-"], [broken[at]], ["nan"], ["ÿ\u202e"]])
        path.write_text("\n".join(broken), encoding="utf-8")
        try:
            read_drawing(path)
            read += 1
        except Fault as fault:
            assert len(str(fault).splitlines()) == 1
    assert read


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e400", "1e300"])
def test_coordinates_that_are_no_numbers_are_left_out_and_told(tmp_path: Path, number: str) -> None:
    sound = line("WALL", 0, 0, 5000, 0)
    drawn = read_drawing(write(tmp_path / "a.dxf", sound, line("WALL", number, 0, 5000, 100), line("WALL", 0, 0, 0, 2600)))
    assert ((0, 0), (5000, 0)) in {one.points for one in drawn.lines}
    assert all(abs(number) <= 10**7 for one in drawn.lines for point in one.points for number in point)
    assert len(drawn.lines) == 2 and any("numbers that cannot be (1)" in remark for remark in drawn.remarks)


@pytest.mark.parametrize("number", ["x", "", "--"])
def test_coordinates_that_are_no_numbers_at_all_are_told_with_their_line(tmp_path: Path, number: str) -> None:
    path = write(tmp_path / "a.dxf", line("WALL", 0, 0, 5000, 0), line("WALL", number, 0, 5000, 100))
    told = re.search(r"near its line (\d+)", refused(path))
    lines = path.read_text().split("\n")
    assert told and number in lines[int(told[1]) - 6 : int(told[1])]


@pytest.mark.parametrize("bulge", ["nan", "inf", "1e300", "-1e18"])
def test_bulges_and_radii_that_cannot_be_are_left_out(tmp_path: Path, bulge: str) -> None:
    strange = polyline("WALL", [(0, 0, bulge), (5000, 0, 0)])  # type: ignore[list-item]
    circle = entity("CIRCLE", "WALL", (10, 0), (20, 0), (30, 0), (40, bulge))
    drawn = read_drawing(write(tmp_path / "a.dxf", line("WALL", 0, 0, 5000, 0), strange, circle))
    assert len(drawn.lines) == 1 and any("numbers that cannot be (2)" in remark for remark in drawn.remarks)


def test_a_circle_larger_than_any_set_is_refused(tmp_path: Path) -> None:
    circle = entity("CIRCLE", "WALL", (10, 0), (20, 0), (30, 0), (40, 1e11))
    assert "and none is" in refused(write(tmp_path / "a.dxf", line("WALL", 0, 0, 5000, 0), circle))


def test_blocks_that_hold_themselves_are_put_in_once_and_told(tmp_path: Path) -> None:
    one = block("A", line("0", 0, 0, 1000, 0), entity("INSERT", "0", (2, "B"), (10, 0), (20, 100), (30, 0)))
    other = block("B", line("0", 0, 0, 2000, 0), entity("INSERT", "0", (2, "a"), (10, 0), (20, 100), (30, 0)))
    put = entity("INSERT", "WALL", (2, "A"), (10, 0), (20, 0), (30, 0))
    missing = entity("INSERT", "WALL", (2, "NOWHERE"), (10, 0), (20, 0), (30, 0))
    drawn = read_drawing(write(tmp_path / "a.dxf", put, missing, blocks=[one, other]))
    assert len(drawn.lines) == 2
    assert any("hold themselves" in remark for remark in drawn.remarks)
    assert any("nowhere drawn: NOWHERE" in remark for remark in drawn.remarks)


@pytest.mark.parametrize("with_lines", [True, False])
def test_blocks_in_blocks_without_end_are_refused_in_seconds(tmp_path: Path, with_lines: bool) -> None:
    """Thirty blocks, each twice in the next: a thousand million lines from a small file."""
    blocks = [block("B0", *([line("0", 0, 0, 1, 1)] if with_lines else []))]
    for number in range(1, 31):
        put = entity("INSERT", "0", (2, f"B{number - 1}"), (10, 0), (20, 0), (30, 0))
        blocks.append(block(f"B{number}", put, put))
    put = entity("INSERT", "WALL", (2, "B30"), (10, 0), (20, 0), (30, 0))
    began = process_time()
    assert "more than 50,000 lines" in refused(write(tmp_path / "a.dxf", put, blocks=blocks))
    assert process_time() - began < 20


def test_rows_and_columns_without_end_are_refused_in_seconds(tmp_path: Path) -> None:
    put = entity("INSERT", "WALL", (2, "A"), (10, 0), (20, 0), (30, 0), (70, 30000), (71, 30000), (44, 1), (45, 1))
    began = process_time()
    assert "more than 50,000 lines" in refused(write(tmp_path / "a.dxf", put, blocks=[block("A", line("0", 0, 0, 1, 1))]))
    assert process_time() - began < 20


def test_hostile_names_are_shown_on_one_line_and_cut_short(tmp_path: Path) -> None:
    name = "W\u202eall\x1b[31m" + "x" * 300
    path = write(tmp_path / "a.dxf", line("WALL", 0, 0, 5000, 0), line(name, 0, 0, 0, 100), line("../../etc", 0, 0, 0, 100))
    told = " ".join(read_drawing(path).remarks)
    assert told.isprintable() and "…" in told and len(told) < 400
    text = entity("TEXT", "PLACES", (10, 0), (20, 0), (30, 0), (40, 150), (1, "=cmd()\u202e\x07 corridor"))
    drawn = read_drawing(write(tmp_path / "b.dxf", line("WALL", 0, 0, 5000, 0), text, release="AC1021"))
    assert drawn.places[0].name == "=cmd() corridor"


@pytest.mark.parametrize(("old", "new"), [("\n  3\nModel\n", "\n  3\n0\n"), ("*Model_Space", "*Lost_Space"), ("AcDbLayerTableRecord", "x")])
def test_a_drawing_that_has_lost_its_model_space_or_layers_is_answered(tmp_path: Path, sample_media: Path, old: str, new: str) -> None:
    text = (sample_media / "floor" / "salt_stair.dxf").read_text()
    assert old in text
    (tmp_path / "a.dxf").write_text(text.replace(old, new))
    try:
        assert read_drawing(tmp_path / "a.dxf").lines
    except UseFault as fault:
        assert "damaged" in str(fault) or "holds no lines" in str(fault)


def test_a_binary_drawing_is_read_as_the_text_is(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    made.modelspace().add_line((0, 0), (5000, 0), {"layer": "WALL"})
    made.saveas(tmp_path / "b.dxf", fmt="bin")
    assert read_drawing(tmp_path / "b.dxf").lines[0].points == ((0, 0), (5000, 0))


@pytest.mark.parametrize("release", ["R2000", "R2010"])
def test_letters_beyond_english_are_read_in_old_and_new_drawings(tmp_path: Path, release: str) -> None:
    """By their code page before release 2007, as UTF-8 since."""
    made = ezdxf.new(release, units=4)
    made.modelspace().add_line((0, 0), (5000, 0), {"layer": "WALL"})
    made.modelspace().add_text("Dörrgången", dxfattribs={"layer": "PLACES"})
    made.saveas(tmp_path / "b.dxf")
    assert ("Dörrgången".encode() in (tmp_path / "b.dxf").read_bytes()) == (release == "R2010")
    assert read_drawing(tmp_path / "b.dxf").places[0].name == "Dörrgången"


def test_fifty_thousand_entities_are_read_and_cleaned_in_seconds(tmp_path: Path) -> None:
    chance = random.Random(1)
    entities = []
    for number in range(50_000):
        x, y = chance.randrange(100_000), chance.randrange(100_000)
        if number % 5:
            entities.append(line("WALL", x, y, x + 500, y + chance.randrange(3)))
        else:
            entities.append(light_polyline("WALL", [(x, y, 0.5), (x + 100, y, 0), (x, y + 100, 0)]))
    path = write(tmp_path / "a.dxf", *entities, release="AC1015")
    began = process_time()
    drawn = read_drawing(path)
    assert len(drawn.lines) == 50_000
    result = cleaned(drawn.lines)
    assert process_time() - began < 60
    assert result.of(Odd.ISLAND)
