"""Cameras as a table: what is read, what is refused by row and column, and the way back."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pandas as pd
import pytest
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor

from previs.document.floor import CameraPlace
from previs.document.floor_edits import with_cameras
from previs.document.invariants import faults_in
from previs.document.model import Sequence
from previs.exchange.table_files import TableFaults, write_table
from previs.floor.cameras_table import cameras_table, read_cameras

HEADER = "camera,x,y,height,aim_x,aim_y,lens,sensor_width,phrases\n"


@pytest.fixture(scope="module")
def fight(sample_media: Path) -> Sequence:
    return salt_fight(sample_media, salt_floor())[0]


def written(folder: Path, rows: str, header: str = HEADER) -> Path:
    path = folder / "cameras.csv"
    path.write_text(header + rows, encoding="utf-8")
    return path


def refused(path: Path, fight: Sequence) -> list[str]:
    with pytest.raises(TableFaults) as caught:
        read_cameras(path, fight)
    return str(caught.value).splitlines()


def test_rows_become_places(tmp_path: Path, fight: Sequence) -> None:
    rows = 'A,4.94,8.6,1.55,4.94,1.3,20.5,24.89,"1-3, 5"\nA,1 m,-2,"1,5",0,0,50 mm,35.9,4\nB,0,0,0,1,0,4.6,5.76,2 to 3;1\n'
    assert read_cameras(written(tmp_path, rows), fight) == (
        CameraPlace("A", (4940, 8600), (4940, 1300), 1550, Fraction("20.5"), Fraction("24.89"), (1, 2, 3, 5)),
        CameraPlace("A", (1000, -2000), (0, 0), 1500, Fraction(50), Fraction("35.9"), (4,)),
        CameraPlace("B", (0, 0), (1000, 0), 0, Fraction("4.6"), Fraction("5.76"), (1, 2, 3)),
    )


def test_phrases_may_be_left_out(tmp_path: Path, fight: Sequence) -> None:
    (one,) = read_cameras(written(tmp_path, "C,0,0,1,1,0,50,24\n", HEADER.replace(",phrases", "")), fight)
    assert one.phrases == ()


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        (",0,0,1,1,0,50,24,1", "camera", "is blank"),
        ("A,far,0,1,1,0,50,24,1", "x", "'far' is not a length"),
        ("A,0,99999999,1,1,0,50,24,1", "y", "is not a length"),
        ("A,0,0,-1,1,0,50,24,1", "height", "'-1' is not a height from 0 to 100 m"),
        ("A,0,0,101,1,0,50,24,1", "height", "'101' is not a height"),
        ("A,0,0,1,0,0,50,24,1", "aim_x", "points at the spot where the camera stands"),
        ("A,0,0,1,1,,50,24,1", "aim_y", "is blank"),
        ("A,0,0,1,1,0,0,24,1", "lens", "'0' is not a length from 1 to 3000 mm"),
        ("A,0,0,1,1,0,long,24,1", "lens", "'long' is not a length"),
        ("A,0,0,1,1,0,nan,24,1", "lens", "'nan' is not a length"),
        ("A,0,0,1,1,0,50,-24,1", "sensor_width", "'-24' is not a length from 1 to 100 mm"),
        ("A,0,0,1,1,0,50,1e9,1", "sensor_width", "'1e9' is not a length"),
        ("A,0,0,1,1,0,50,24,7", "phrases", "there is no phrase '7'; known: 1, 2, 3, 4, 5, 6"),
        ("A,0,0,1,1,0,50,24,3-1", "phrases", "'3-1' runs backwards"),
        ("A,0,0,1,1,0,50,24,all of it", "phrases", "'all of it' is no phrase"),
        ("A,0,0,1,1,0,50,24,1-999999999", "phrases", "there is no phrase '999999999'"),
    ],
)
def test_what_is_wrong_is_one_sentence(tmp_path: Path, fight: Sequence, row: str, column: str, said: str) -> None:
    (line,) = refused(written(tmp_path, row + "\n"), fight)
    assert line.startswith(f"cameras.csv row 2, column {column}:") and said in line, line


@pytest.mark.parametrize(("one", "two", "said"), [("1-3", "3-4", "phrase 3"), ("", "2", "all phrases"), ("2", "", "all phrases")])
def test_a_camera_has_one_place_in_a_phrase(tmp_path: Path, fight: Sequence, one: str, two: str, said: str) -> None:
    (line,) = refused(written(tmp_path, f"A,0,0,1,1,0,50,24,{one}\nA,5,0,1,1,0,50,24,{two}\n"), fight)
    assert line.startswith("cameras.csv row 3, column phrases: camera A has a place for " + said)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "cameras.csv"),
        (HEADER, "has no rows below its header"),
        ("camera,x,y\nA,1,2\n", "column height: is missing"),
        (HEADER.replace("lens", "lense") + "A,0,0,1,1,0,50,24,1\n", "did you mean 'lens'?"),
    ],
)
def test_a_table_that_is_none(tmp_path: Path, fight: Sequence, text: str, said: str) -> None:
    path = tmp_path / "cameras.csv"
    path.write_text(text, encoding="utf-8")
    assert any(said in line for line in refused(path, fight))


def test_the_sample_goes_round_without_loss(tmp_path: Path, sample_media: Path, fight: Sequence) -> None:
    first = read_cameras(sample_media / "floor" / "cameras.csv", fight)
    assert [one.name for one in first] == ["A"] * 4 + ["B"] * 4 + ["C"] * 4
    made = with_cameras(fight, first)
    assert not [fault for fault in faults_in(made) if "cameras" in fault]
    for name in ("again.csv", "again.xlsx"):
        write_table(cameras_table(made), tmp_path / name)
        assert read_cameras(tmp_path / name, fight) == first
    assert isinstance(cameras_table(fight), pd.DataFrame) and cameras_table(fight).empty
