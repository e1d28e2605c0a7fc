"""The verb pulls, run in this process: what it writes, saves and says, and what it refuses."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import av
import openpyxl
import pytest
from cli_types import Job, Run

from previs.document.store import open_document


@pytest.fixture
def cut_job(job: Job, run: Run) -> Job:
    assert run("assemble", job.file, "--name", "v1").code == 0
    return job


def codes(file: Path) -> list[str]:
    return [shot.code for shot in open_document(file).sequence.cut("v1").shots]


def test_pulls_are_made_with_everything_beside_them_and_then_kept(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "pulls"
    ran = run("pulls", cut_job.file, "--stills", "-o", folder, "--json")
    assert ran.code == 0, ran.err
    told = json.loads(ran.out)
    names = [pull["name"] for pull in told["pulls"]]
    assert names
    assert all(pull["is"] == "new" for pull in told["pulls"])
    papers = ("count.pdf", "count.xlsx", "elements.csv", "pulls.csv", "pulls.edl", "contact_1_of_1.png")
    wanted = {*names, *(f"{name}.mov" for name in names), "pulls.json", *(f"SALT_v1_{paper}" for paper in papers)}
    assert {path.name for path in folder.iterdir()} == wanted
    with (folder / "SALT_v1_pulls.csv").open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    for row in rows:
        with av.open(str(folder / f"{row['pull']}.mov")) as movie:
            assert sum(1 for _ in movie.decode(video=0)) == int(row["frames"]) + 1
    again = run("pulls", cut_job.file, "--stills", "-o", folder, "--json")
    assert {pull["is"] for pull in json.loads(again.out)["pulls"]} == {"kept"}
    assert json.loads(again.out)["made"] == []


def test_codes_are_saved_once_and_can_be_undone(cut_job: Job, run: Run) -> None:
    assert set(codes(cut_job.file)) == {""}
    ran = run("pulls", cut_job.file, "--no-movies", "-o", cut_job.folder / "pulls")
    assert ran.code == 0, ran.err
    assert "have codes now" in ran.err
    given = codes(cut_job.file)
    assert given == [f"{number * 10:03d}" for number in range(1, len(given) + 1)]
    saved = cut_job.file.read_bytes()
    assert "have codes now" not in run("pulls", cut_job.file, "--no-movies", "-o", cut_job.folder / "pulls").err
    assert cut_job.file.read_bytes() == saved
    assert run("undo", cut_job.file).code == 0
    assert set(codes(cut_job.file)) == {""}


def test_a_list_without_files_gives_no_version_away(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "pulls"
    assert run("pulls", cut_job.file, "--no-movies", "-o", folder).code == 0
    told = json.loads(run("pulls", cut_job.file, "-o", folder, "--json").out)
    assert {(pull["version"], pull["is"]) for pull in told["pulls"]} == {(1, "new")}
    assert len(told["made"]) == len(told["pulls"])


def test_after_another_cut_only_the_changed_is_made_and_what_fell_out_is_said(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "pulls"
    first = json.loads(run("pulls", cut_job.file, "--all", "-o", folder, "--json").out)
    assert run("edit", cut_job.file, "v1", "remove", "1").code == 0
    ran = run("pulls", cut_job.file, "--all", "-o", folder)
    assert ran.code == 0, ran.err
    gone = first["pulls"][0]["name"]
    assert f"{gone} is not wanted by cut v1 any more; its files stay in {folder}." in ran.err
    assert (folder / f"{gone}.mov").exists()
    assert "kept" in ran.out
    assert "new" not in ran.out


WRONG_USE = (
    (("--all", "--only", "rig removal"), "give one of the two"),
    (("--only", "digital double"), "has a digital double on screen"),
    (("--only", "wig"), "wig"),
    (("--cut", "v9"), "no cut 'v9'"),
    (("--movie", "avi"), "avi"),
)


def test_wrong_use_is_one_sentence_and_changes_nothing(cut_job: Job, run: Run) -> None:
    before = cut_job.file.read_bytes()
    for arguments, sentence in WRONG_USE:
        ran = run("pulls", cut_job.file, *arguments, "-o", cut_job.folder / "pulls")
        assert ran.code == 2, arguments
        assert sentence in ran.err
        assert "Traceback" not in ran.err
        assert not (cut_job.folder / "pulls").exists()
    assert cut_job.file.read_bytes() == before


def test_a_file_in_the_place_of_the_folder_and_no_cut_are_refused(job: Job, run: Run) -> None:
    place = job.folder / "taken"
    place.write_text("mine", encoding="utf-8")
    ran = run("pulls", job.file, "-o", place)
    assert (ran.code, place.read_text(encoding="utf-8")) == (2, "mine")
    assert "is a file" in ran.err
    ran = run("pulls", job.file, "-o", job.folder / "pulls")
    assert ran.code == 2
    assert "assemble one first" in ran.err


def test_only_one_kind_leaves_the_papers_of_all_alone(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "pulls"
    assert run("pulls", cut_job.file, "-o", folder).code == 0
    before = (folder / "SALT_v1_elements.csv").read_bytes()
    kind = next(csv.DictReader(before.decode().splitlines()))["kind"]
    ran = run("pulls", cut_job.file, "--only", kind, "--paper", "Letter", "-o", folder, "--json")
    assert ran.code == 0, ran.err
    assert json.loads(ran.out)["fell_out"] == []
    assert (folder / "SALT_v1_elements.csv").read_bytes() == before
    assert (folder / f"SALT_v1_{kind.replace(' ', '-')}_count.pdf").exists()


def test_one_shot_alone_is_pulled_with_a_count_sheet_of_its_own(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "pulls"
    ran = run("pulls", cut_job.file, "--shot", "2", "-o", folder, "--json")
    assert ran.code == 0, ran.err
    assert [pull["code"] for pull in json.loads(ran.out)["pulls"]] == ["020"]
    assert (folder / "SALT_v1_shot-020_count.pdf").exists() and (folder / "SALT_v1_shot-020_elements.csv").exists()
    for arguments, sentence in ((("--shot", "33"), "no shot 33"), (("--shot", "1", "--only", "digital double"), "has a digital double")):
        ran = run("pulls", cut_job.file, *arguments, "-o", folder)
        assert (ran.code, sentence in ran.err) == (2, True), ran.err


def test_what_is_out_of_date_is_told_before_anything_is_made_and_then_stands_on_the_count_sheet(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "pulls"
    ran = run("pulls", cut_job.file, "--all", "--look", "-o", folder)
    assert (ran.code, folder.exists(), set(codes(cut_job.file))) == (0, False, {""}), ran.err
    assert run("pulls", cut_job.file, "--all", "-o", folder).code == 0
    assert run("cuts", cut_job.file, "copy", "v1", "v2").code == 0
    assert run("edit", cut_job.file, "v2", "trim-tail", "2", "-5").code == 0
    assert run("edit", cut_job.file, "v2", "remove", "1").code == 0
    before = {path: path.read_bytes() for path in folder.iterdir()}
    looked = run("pulls", cut_job.file, "--all", "--look", "-o", folder)
    assert "changed  SALT_020_v002  Takes the place of SALT_020_v001." in looked.out
    assert "SALT_010_v001 is not wanted by cut v2" in looked.err and "Nothing was made" in looked.err
    assert {path: path.read_bytes() for path in folder.iterdir()} == before
    made = run("pulls", cut_job.file, "--all", "-o", folder)
    assert made.out == looked.out
    book = openpyxl.load_workbook(folder / "SALT_v2_all-shots_count.xlsx")
    assert [row[0] for row in book["not wanted now"].iter_rows(min_row=2, values_only=True)] == ["SALT_010_v001"]
    with (folder / "SALT_v2_all-shots_pulls.csv").open(encoding="utf-8", newline="") as text:
        remarks = {row["pull"]: row["remarks"] for row in csv.DictReader(text)}
    assert remarks["SALT_020_v002"].startswith("Takes the place of SALT_020_v001.")
