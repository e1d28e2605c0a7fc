"""`previs routes`, `cues` and `clearance` on a small fight that was cut, from the tables to the list on disk."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from cli_types import Job, Run

from previs.document.floor import Floor, LineKind, NamedPlace, PlanLine
from previs.document.floor_edits import with_plan
from previs.document.sitting import Sitting
from previs.document.store import open_document

LINES = (
    PlanLine(LineKind.WALL, ((3000, -2000), (3000, -450))),
    PlanLine(LineKind.WALL, ((3000, 450), (3000, 2000))),
    PlanLine(LineKind.DOOR, ((3000, -450), (3000, 450)), name="first door"),
    PlanLine(LineKind.DROP, ((0, -2000), (9000, -2000)), name="quay", height_mm=2400),
)
ROUTES = """role,phrase,x,y,move
Odile,1,1,0,1
Odile,1,2,0,2
Odile,1,4,0,3
Odile,2,4,0,
Odile,2,4,-1.2,5
Reeve,1,0,0,1
Reeve,1,1,0,3
Reeve,2,1,0,4
"""


@pytest.fixture
def floored(job: Job, run: Run) -> Job:
    assert run("assemble", job.file, "--name", "v1").code == 0
    with Sitting(job.file) as sitting:
        sitting.edit(lambda sequence: with_plan(sequence, LINES, (NamedPlace("stair", (5000, 0)),), "", (0, 0)), "a plan")
    return job


@pytest.fixture
def routed(floored: Job, run: Run) -> Job:
    (floored.folder / "routes.csv").write_text(ROUTES, encoding="utf-8")
    (floored.folder / "reaches.csv").write_text("weapon,reach\nstaff,1.2\n", encoding="utf-8")
    ran = run("routes", floored.file, floored.folder / "routes.csv", floored.folder / "reaches.csv")
    assert ran.code == 0 and "Read: 4 routes and the reach of 1 weapon." in ran.err, ran.err
    return floored


def test_routes_tell_speeds_and_their_sources(routed: Job, run: Run) -> None:
    ran = run("routes", routed.file, "--role", "Odile", "--json")
    told = json.loads(ran.out)
    assert told["cut"] == "v1" and told["metres"] == {"Odile": 4.2}
    ways = {(way["from move"], way["to move"]): way for way in told["ways"]}
    assert set(ways) == {(1, 2), (2, 3), (3, 5)}
    for way in ways.values():
        assert way["metres a second"] == pytest.approx(way["metres"] / way["seconds"], abs=0.01)
    ran = run("routes", routed.file)
    assert "gait" in ran.out and "Browning" in ran.err and "Reeve" in ran.out


def test_reading_routes_is_one_step_that_can_be_undone(routed: Job, run: Run) -> None:
    sequence = open_document(routed.file).sequence
    assert sequence.floor is not None and len(sequence.floor.routes) == 4
    assert run("undo", routed.file).code == 0
    undone = open_document(routed.file).sequence
    assert undone.floor is not None and not undone.floor.routes and undone.floor.lines == LINES


def test_cues_are_told_and_written(routed: Job, run: Run, tmp_path: Path) -> None:
    ran = run("cues", routed.file)
    assert ran.code == 0
    assert "after move 2 (phrase 1, count 2): through the first door" in ran.out
    assert "on move 3 (phrase 1, count 3): right" in ran.out
    assert "drop of 2.40 m at the quay, nearest 0.80 m (taped drop: no fall here)" in ran.out
    assert "Caution: " in ran.err
    output = tmp_path / "cues.csv"
    assert run("cues", routed.file, "-o", output).code == 0
    with output.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    assert [(row["role"], row["kind"], row["after move"]) for row in rows] == [
        ("Odile", "door", "2"),
        ("Odile", "turn", "3"),
        ("Odile", "drop", "3"),
    ]
    assert json.loads(run("cues", routed.file, "--json").out)["cues"][0]["x"] == 3.0


@pytest.mark.parametrize("ending", ["pdf", "xlsx", "txt"])
def test_cues_go_to_paper(routed: Job, run: Run, tmp_path: Path, ending: str) -> None:
    output = tmp_path / f"cues.{ending}"
    ran = run("cues", routed.file, "-o", output)
    assert ran.code == 0 and output.stat().st_size > 200
    if ending == "txt":
        assert "through the first door" in output.read_text(encoding="utf-8")


def test_a_route_through_a_wall_ends_with_1_and_its_place(routed: Job, run: Run) -> None:
    table = routed.folder / "wall.csv"
    table.write_text("role,phrase,x,y,move\nReeve,1,1,1,1\nReeve,1,4,1,3\n", encoding="utf-8")
    assert run("routes", routed.file, table).code == 0
    ran = run("cues", routed.file)
    assert ran.code == 1 and "Reeve's way goes through a wall at x 3.00 m, y 1.00 m, near stair, after move 1; move a spot" in ran.err


def test_clearance_tells_the_door(routed: Job, run: Run) -> None:
    ran = run("clearance", routed.file)
    assert ran.code == 0
    assert "the jamb of the first door stands 45 cm from Odile's way: 75 cm are missing for a staff that reaches 1.20 m" in ran.out
    assert "No reach is given for: wire." in ran.err and "Caution: " in ran.err and "estimate" in ran.err
    told = json.loads(run("clearance", routed.file, "--role", "Reeve", "--json").out)
    assert told["pinches"] == [] and told["without_reach"] == ["wire"]


def test_guessed_routes_say_so(floored: Job, run: Run) -> None:
    ran = run("routes", floored.file)
    assert ran.code == 0 and "guessed" in ran.out
    assert "not drawn by anybody" in ran.err and "moves 1-3" in ran.err
    assert "guessed" in run("cues", floored.file).out + run("clearance", floored.file).err


def test_without_a_cut_there_are_no_times(job: Job, run: Run) -> None:
    with Sitting(job.file) as sitting:
        sitting.edit(lambda sequence: with_plan(sequence, LINES, (NamedPlace("stair", (5000, 0)),), "", (0, 0)), "a plan")
    ran = run("routes", job.file)
    assert ran.code == 0 and "There is no cut yet, so no times" in ran.err
    assert json.loads(run("cues", job.file, "--json").out)["cut"] is None


@pytest.mark.parametrize("verb", ["routes", "cues", "clearance"])
def test_wrong_use_is_one_sentence(job: Job, run: Run, verb: str) -> None:
    for arguments, said in (
        ((), "There are no routes, and no move's place is a place of the plan"),
        (("--role", "Nobody"), "The fight has no role 'Nobody'; known: Odile, Reeve."),
    ):
        ran = run(verb, job.file, *arguments)
        assert ran.code == 2 and said in ran.err and ran.err.count("\n") == 1, ran.err
    assert open_document(job.file).sequence.floor in (None, Floor())


def test_wrong_files_are_one_sentence(routed: Job, run: Run) -> None:
    ran = run("cues", routed.file, "-o", "cues.doc")
    assert ran.code == 2 and "cues.doc is no list of cues" in ran.err
    ran = run("routes", routed.file, routed.folder / "none.csv")
    assert ran.code == 2 and "none.csv: cannot be read" in ran.err
    (routed.folder / "half.csv").write_bytes(b"role,phrase,x\nOd\xff")
    ran = run("routes", routed.file, routed.folder / "half.csv")
    assert ran.code == 2 and "is not UTF-8" in ran.err
    assert run("cues", routed.file, "--cut", "v9").code == 2
