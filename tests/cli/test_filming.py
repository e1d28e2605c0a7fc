"""`previs cameras` on a small fight: from the table to what is told, and every way to give it wrongly."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_types import Job, Run

from previs.document.floor import LineKind, PlanLine, Route, RoutePoint
from previs.document.floor_edits import with_plan, with_routes
from previs.document.sitting import Sitting
from previs.document.store import open_document

WALL = PlanLine(LineKind.WALL, ((-5000, 2000), (5000, 2000)))
# Camera A stands south of the pair and sees them; B north, beyond the wall and on the other side of the line.
TABLE = """camera,x,y,height,aim_x,aim_y,lens,sensor_width,phrases
A,0.5,-5,1.5,0.5,0,35,24.89,
B,0.5,5,1.5,0.5,0,50,24.89,1
"""


@pytest.fixture
def floored(job: Job, run: Run) -> Job:
    ways = [
        Route(role, phrase, tuple(RoutePoint((x, 0), move) for move in moves))
        for phrase, moves in ((1, (1, 2, 3)), (2, (4, 5)))
        for role, x in (("Odile", 0), ("Reeve", 1000))
    ]
    with Sitting(job.file) as sitting:
        sitting.edit(lambda sequence: with_routes(with_plan(sequence, (WALL,), (), "", (0, 0)), tuple(ways)), "a floor")
    (job.folder / "cameras.csv").write_text(TABLE, encoding="utf-8")
    return job


def test_cameras_are_read_and_told(floored: Job, run: Run) -> None:
    ran = run("cameras", floored.file, floored.folder / "cameras.csv")
    assert ran.code == 0, ran.err
    assert "Read: 2 places of cameras." in ran.err
    assert "On the real set a wall hides Odile and Reeve from camera B at moves 1-3." in ran.out
    assert "Cameras A and B look from opposite sides of the line at moves 1-3: Odile is on the left from A, Reeve from B" in ran.out
    assert "Take B1 of camera B, moves 1-3: marked medium, by geometry medium wide." in ran.out
    assert "1.75 m (an assumption)" in ran.err and "Caution: Figures of a drawing" in ran.err
    floor = open_document(floored.file).sequence.floor
    assert floor is not None and [one.name for one in floor.cameras] == ["A", "B"] and floor.lines == (WALL,)
    assert run("undo", floored.file).code == 0
    undone = open_document(floored.file).sequence.floor
    assert undone is not None and undone.cameras == () and undone.routes


def test_one_camera_alone_and_as_values(floored: Job, run: Run) -> None:
    assert run("cameras", floored.file, floored.folder / "cameras.csv").code == 0
    before = floored.file.read_bytes()
    ran = run("cameras", floored.file, "--camera", "B", "--json")
    told = json.loads(ran.out)
    assert ran.code == 0 and floored.file.read_bytes() == before
    assert [one["camera"] for one in told["cameras"]] == ["B"] and told["cameras"][0]["hidden floor %"] > 50
    assert [(row["move"], row["role"], row["behind"]) for row in told["moves"]][:2] == [(1, "Odile", "a wall"), (1, "Reeve", "a wall")]
    assert {one["take"] for one in told["differences"]} == {"B1"}
    assert len(told["line"]) == 1 and told["line"][0].startswith("Cameras A and B")


def test_guessed_ways_are_said_to_be(job: Job, run: Run) -> None:
    plan = job.folder / "plan.csv"
    plan.write_text(
        "kind,x1,y1,x2,y2,name\nwall,0,3,9,3,\nplace,1,1,,,corridor\nplace,4,1,,,first door\nplace,8,1,,,stair\n", encoding="utf-8"
    )
    assert run("plan", job.file, plan).code == 0
    (job.folder / "cameras.csv").write_text(TABLE, encoding="utf-8")
    ran = run("cameras", job.file, job.folder / "cameras.csv")
    assert ran.code == 0 and "Routes that are marked as guessed" in ran.err


def test_what_is_not_there_is_one_sentence(job: Job, floored: Job, run: Run, tmp_path: Path) -> None:
    ran = run("cameras", floored.file)
    assert ran.code == 2 and "There are no cameras on the plan yet" in ran.err
    assert run("cameras", floored.file, floored.folder / "cameras.csv").code == 0
    for arguments, said in (
        (("--camera", "Z"), "The plan has no camera 'Z'; known: A, B."),
        (("--cut", "v9"), "v9"),
        ((tmp_path / "none.csv",), "none.csv"),
    ):
        ran = run("cameras", floored.file, *arguments)
        assert ran.code == 2 and said in ran.err and "Traceback" not in ran.err, ran.err
        assert len(ran.err.strip().splitlines()) == 1
    empty = tmp_path / "empty.previs"
    assert run("new", empty, "--target", "00:00:05:00", "--title", "x").code == 0
    assert run("cameras", empty, floored.folder / "cameras.csv").code == 2


def test_a_broken_table_changes_nothing(floored: Job, run: Run) -> None:
    before = floored.file.read_bytes()
    (floored.folder / "cameras.csv").write_text(TABLE.replace("35", "0"), encoding="utf-8")
    ran = run("cameras", floored.file, floored.folder / "cameras.csv")
    assert ran.code == 2 and "cameras.csv row 2, column lens: '0' is not a length" in ran.err
    assert floored.file.read_bytes() == before
