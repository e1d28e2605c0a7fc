"""The verbs plan and room: what they store, say and refuse."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_types import Run
from floor.salt_plan import LINES, PLACES, ROOM

from previs.document.floor import Floor, Laid
from previs.document.floor_edits import with_laid
from previs.document.store import open_document, save
from previs.floor.cleaning import cleaned


@pytest.fixture
def fight(run: Run, tmp_path: Path, sample_media: Path) -> Path:
    file = tmp_path / "salt.previs"
    assert run("new", file).code == 0
    assert run("fight", file, sample_media / "marks" / "fight.csv").code == 0
    return file


def floor(file: Path) -> Floor:
    found = open_document(file).sequence.floor
    assert found is not None
    return found


def test_the_drawing_and_the_room_go_into_the_file(run: Run, fight: Path, sample_media: Path) -> None:
    ran = run("plan", fight, sample_media / "floor" / "salt_stair.dxf")
    assert (ran.code, ran.out) == (0, "")
    assert "salt_stair.dxf: 6 wall lines, 2 doors, 7 steps, 1 drop, 1 column, 5 named places; 13.300 x 3.000 m." in ran.err
    assert "2 pieces drawn over another" in ran.err and "2 ends of walls that meet nothing" in ran.err
    assert run("room", fight, sample_media / "floor" / "room.csv").code == 0
    assert floor(fight) == Floor(cleaned(LINES).lines, PLACES, ROOM, drawn_in="salt_stair.dxf")
    assert run("undo", fight).code == 0 and floor(fight).room is None
    assert run("undo", fight).code == 0 and open_document(fight).sequence.floor is None


def test_the_answers_for_programs(run: Run, fight: Path, sample_media: Path) -> None:
    told = json.loads(run("plan", fight, sample_media / "floor" / "plan.csv", "--json").out)
    assert told["lines"] == {"wall": 6, "door": 2, "column": 1, "step": 7, "drop": 1}
    assert told["size"] == [13.3, 3.0] and told["unit"] == "m"
    assert [row["found"] for row in told["found"]] == ["overlap", "overlap", "open wall", "open wall"]
    assert json.loads(run("room", fight, "--length", "16", "--width", "9", "--json").out)["width"] == 9.0
    assert json.loads(run("room", fight, "--remove", "--json").out) is None


def test_places_that_the_plan_lacks_and_what_goes_with_the_old_one_are_said(
    run: Run, fight: Path, tmp_path: Path, sample_media: Path
) -> None:
    assert run("plan", fight, sample_media / "floor" / "plan.csv").code == 0
    assert run("room", fight, "--length", "16", "--width", "9").code == 0
    opened = open_document(fight)
    save(opened, with_laid(opened.sequence, (Laid(),)))
    (tmp_path / "other.csv").write_text("kind,x1,y1,x2,y2,name\nwall,0,0,5,0,\nplace,1,1,,,stair\n")
    ran = run("plan", fight, tmp_path / "other.csv")
    assert "corridor, first door, narrow stretch, second door" in ran.err
    assert "The plan from plan.csv is replaced" in ran.err and "fit the new plan again" in ran.err
    assert floor(fight).laid == ()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--unit", "parsec"), "'parsec' is not a unit"),
        (("--layers", "WALLS=wall"), "Nothing is drawn on a layer 'walls'"),
        (("--layers", "A-WALL"), "is not NAME=KIND"),
        (("--snap", "900"), "give --snap from 0 to 500 mm"),
        (("--snap", "wide"), "--snap"),
    ],
)
def test_what_cannot_be_asked_of_a_drawing(run: Run, fight: Path, sample_media: Path, arguments: tuple[str, str], said: str) -> None:
    before = fight.read_bytes()
    ran = run("plan", fight, sample_media / "floor" / "salt_stair.dxf", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert said in ran.err and len(ran.err.strip().splitlines()) == 1
    assert fight.read_bytes() == before


def test_files_and_rooms_that_cannot_be_are_one_sentence(run: Run, fight: Path, tmp_path: Path, sample_media: Path) -> None:
    dwg = tmp_path / "set.dwg"
    dwg.write_bytes(b"AC1032\0\0\0")
    for arguments, said in (
        (("plan", fight, dwg), "is a DWG drawing"),
        (("plan", fight, tmp_path / "none.dxf"), "cannot be read"),
        (("plan", fight, sample_media / "floor" / "plan.csv", "--unit", "mm"), "is a table"),
        (("plan", fight, sample_media / "floor" / "room.csv"), "is not a column of this table"),
        (("room", fight, "--length", "16"), "width is not known"),
        (("room", fight, "--length", "16", "--remove"), "one of the three"),
        (("room", fight, sample_media / "floor" / "plan.csv"), "is not a column of this table"),
    ):
        ran = run(*arguments)
        assert ran.code == 2 and said in ran.err and "fault of its own" not in ran.err, ran.err


def test_the_room_is_shown(run: Run, fight: Path) -> None:
    assert "There is no room" in run("room", fight).err
    run("room", fight, "--length", "16", "--width", "9", "--column", "4 3 0.4 0.4")
    assert "Room 16 x 9 m, 1 column" in run("room", fight).err
