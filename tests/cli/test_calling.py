"""`previs sheets`, `setups`, `who`, `recast` and `flights` on a small fight, from the tapes to the files on disk."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import openpyxl
import pytest
from cli_types import Job, Run

FLIGHTS = "tape,role,take_off,landing,height,distance,rise,note\nFILM,Odile,10:00:05:20,10:00:06:12,0.5,,0.4,the leap\n"


@pytest.fixture
def cut_job(job: Job, run: Run) -> Job:
    for arguments in (("assemble", job.file, "--name", "v1"), ("cast", job.file, "Odile", "Juno Vale", "--double", "Pim Oster")):
        ran = run(*arguments)
        assert ran.code == 0, ran.err
    assert run("cast", job.file, "Reeve", "Abel Quist").code == 0
    return job


def test_sheets_writes_every_department_in_every_kind_of_file(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "sheets" / "today"
    ran = run("sheets", cut_job.file, "-o", folder)
    assert ran.code == 0 and ran.out == "", ran.err
    names = {path.name for path in folder.iterdir()}
    for department in ("rigging", "props", "wardrobe", "mats", "load"):
        assert {f"v1_{department}.pdf", f"v1_{department}.xlsx"} <= names
    assert {"v1_rigging_wires.csv", "v1_rigging_places.csv", "v1_props_props.csv", "v1_mats_landings.csv", "v1_load_load.csv"} <= names
    assert "this sheet sizes nothing" in ran.err and ran.err.count("Caution: ") == 5
    assert openpyxl.load_workbook(folder / "v1_rigging.xlsx").sheetnames == ["about", "wires", "places", "unseen"]
    with (folder / "v1_rigging_wires.csv").open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    # The cut was told to last 132 frames with all five moves, so the leap is in it, on FILM or on PAL.
    assert [row["move"] for row in rows if row["move"]] == ["5"]
    assert (folder / "v1_rigging.pdf").read_bytes().startswith(b"%PDF")


def test_one_department_on_letter(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "sheets"
    assert run("sheets", cut_job.file, "--cut", "v1", "--department", "Props", "--paper", "letter", "-o", folder).code == 0
    assert {path.name.split("_")[1].split(".")[0] for path in folder.iterdir()} == {"props"}
    assert b"/MediaBox [ 0 0 792 612 ]" in (folder / "v1_props.pdf").read_bytes()
    assert run("sheets", cut_job.file, "--department", "props", "-o", folder).code == 0
    assert b"/MediaBox [ 0 0 841.8898 595.2756 ]" in (folder / "v1_props.pdf").read_bytes()


def test_a_cuts_name_never_leads_out_of_the_folder(cut_job: Job, run: Run) -> None:
    assert run("assemble", cut_job.file, "--name", "../Ü v2/x").code == 0
    folder = cut_job.folder / "sheets"
    assert run("sheets", cut_job.file, "--department", "load", "-o", folder).code == 0
    assert sorted(path.name for path in folder.iterdir()) == ["_Ü_v2_x_load.pdf", "_Ü_v2_x_load.xlsx", "_Ü_v2_x_load_load.csv"]


def test_setups_on_screen_in_json_and_as_files(cut_job: Job, run: Run) -> None:
    told = json.loads(run("setups", cut_job.file, "--json").out)
    assert sum(one["frames"] for one in told) == 132
    assert "corridor" in run("setups", cut_job.file).out
    for ending, begins in (("pdf", b"%PDF"), ("xlsx", b"PK"), ("csv", b"place,on the left")):
        ran = run("setups", cut_job.file, "-o", cut_job.folder / f"setups.{ending}")
        assert ran.code == 0 and "No stills" not in ran.err, ran.err
        assert (cut_job.folder / f"setups.{ending}").read_bytes().startswith(begins)
    assert (cut_job.folder / "setups.pdf").read_bytes().count(b"/Subtype /Image") >= 1


def test_setups_does_without_the_stills_of_a_tape_that_is_away(cut_job: Job, run: Run) -> None:
    document = cut_job.file.read_text("utf-8")
    cut_job.file.write_text(document.replace("film.mp4", "gone.mp4").replace("pal.mov", "gone.mov"), "utf-8")
    ran = run("setups", cut_job.file, "-o", cut_job.folder / "setups.pdf")
    assert ran.code == 0 and "No stills from tape" in ran.err and "previs relink" in ran.err
    assert (cut_job.folder / "setups.pdf").exists()


def test_who_does_what_as_table_json_and_csv(cut_job: Job, run: Run) -> None:
    told = json.loads(run("who", cut_job.file, "--json").out)
    assert {one["move"] for one in told} == {1, 2, 3, 4, 5} and {one["role"] for one in told} == {"Odile", "Reeve"}
    rows = list(csv.DictReader(io.StringIO(run("who", cut_job.file, "--csv").out)))
    assert [{key: str(value) for key, value in one.items()} for one in told] == rows
    ran = run("who", cut_job.file, "--cut", "v1")
    assert ran.out.startswith("shot") and "Odile: the actor has to do" in ran.err


def test_recast_answers_on_one_screen(cut_job: Job, run: Run) -> None:
    ran = run("recast", cut_job.file, "--role", "Odile", "--cannot", "4-5")
    assert ran.code == 0, ran.err
    assert ran.out.startswith("Odile in cut v1, when Juno Vale cannot do moves 4-5:")
    assert "Shots that change (1): 2.\n" in ran.out and "Moves that takes exist for: none.\n" in ran.out
    # The take that the cut uses names nobody, and the other one has Juno Vale herself.
    assert "Impossible with the footage there is: 4-5.\n" in ran.out
    told = json.loads(run("recast", cut_job.file, "--role", "Odile", "--actor-only", "--json").out)
    parts = json.loads(run("who", cut_job.file, "--json").out)
    others = [one["move"] for one in parts if one["role"] == "Odile" and one["done by"] != "actor"]
    assert [one["move"] for one in told] == others
    ran = run("recast", cut_job.file, "--role", "Reeve", "--actor-only", "--from", "Extreme_Close")
    assert ran.code == 0 and "Nothing has to change in the shots of this cut." in ran.out


WRONG = [
    (("recast", "--role", "Odile"), "Ask one thing"),
    (("recast", "--role", "Odile", "--actor-only", "--cannot", "4"), "Ask one thing"),
    (("recast", "--role", "Odile", "--cannot", "4", "--from", "close"), "--from goes with --actor-only"),
    (("recast", "--role", "Odile", "--actor-only", "--from", "tight"), "'tight' is no shot size; the sizes are extreme wide, wide"),
    (("recast", "--role", "Odile", "--cannot", "four"), "'four' names no moves"),
    (("recast", "--role", "Odile", "--cannot", "5-4"), "'5-4' names no moves"),
    (("recast", "--role", "Odile", "--cannot", ","), "',' names no moves"),
    (("recast", "--role", "Odile", "--cannot", "99"), "Odile has no part in move 99"),
    (("recast", "--role", "Wren", "--actor-only"), "no role 'Wren'; known: Odile, Reeve"),
    (("setups", "-o", "setups.doc"), "end its name in .pdf, .xlsx or .csv"),
    (("setups", "--cut", "v9"), "There is no cut 'v9'"),
    (("who", "--cut", "v9"), "There is no cut 'v9'"),
    (("sheets", "--cut", "v9", "-o", "sheets"), "There is no cut 'v9'"),
]


def test_wrong_use_is_one_sentence_and_writes_nothing(cut_job: Job, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(cut_job.folder)
    before = sorted(Path().iterdir())
    for arguments, sentence in WRONG:
        ran = run(arguments[0], cut_job.file, *arguments[1:])
        assert (ran.code, ran.out) == (2, ""), arguments
        assert sentence in ran.err and ran.err.count("\n") == 1, ran.err
        assert sorted(Path().iterdir()) == before


def test_sheets_refuses_a_file_for_a_folder(cut_job: Job, run: Run) -> None:
    ran = run("sheets", cut_job.file, "-o", cut_job.file)
    assert ran.code == 2 and "is a file; name a folder" in ran.err


def test_flights_are_read_and_told_for_pictures_only(cut_job: Job, run: Run) -> None:
    ran = run("flights", cut_job.file)
    assert ran.code == 0 and "(nothing)" in ran.out
    table = cut_job.folder / "flights.csv"
    table.write_text(FLIGHTS, encoding="utf-8")
    ran = run("marks", cut_job.file, table)
    assert ran.code == 0 and ", 1 flight." in ran.err, ran.err
    ran = run("flights", cut_job.file)
    # Free flight to 0.5 m, landing 0.4 m up: 0.3193 + 0.1428 s = 11.1 frames of 24; marked are 16.
    assert "Longer than a free flight to the marked height by 4 to 6 frames" in ran.out
    assert "Never use them for rigging" in ran.err
    (told,) = json.loads(run("flights", cut_job.file, "--json").out)
    assert (told["tape"], told["role"], told["take-off"], told["note"]) == ("FILM", "Odile", "10:00:05:20", "the leap")
    assert told["seconds"] == pytest.approx(16 / 24, abs=1e-3)
