"""`previs handoff` on a small fight: a folder for each department, all from one cut, and only those asked for."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_types import Job, Run


@pytest.fixture
def cut_job(job: Job, run: Run) -> Job:
    for arguments in (
        ("assemble", job.file, "--name", "v1"),
        ("cast", job.file, "Odile", "Juno Vale", "--double", "Pim Oster"),
        ("cast", job.file, "Reeve", "Abel Quist"),
    ):
        ran = run(*arguments)
        assert ran.code == 0, ran.err
    return job


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_every_department_gets_its_folder(cut_job: Job, run: Run) -> None:
    assert run("assemble", cut_job.file, "--name", "v2", "--target", "100").code == 0
    folder = cut_job.folder / "handoff"
    ran = run("handoff", cut_job.file, "--cut", "v2", "--since", "v1", "-o", folder)
    assert ran.code == 0, ran.err
    assert names(folder) == {"editorial", "visual_effects", "rigging", "props_and_wardrobe", "stunt_floor", "performers", "director"}
    named = f"{cut_job.file.stem}_v2"
    endings = (".mp4", ".edl", ".otio", ".vtt", "_shots.xlsx", "_pace.pdf", "_changes_since_v1.txt")
    assert names(folder / "editorial") == {f"{named}{ending}" for ending in endings}
    assert names(folder / "director") == {"index.html", "movie.mp4", "earlier.mp4"}
    assert "rehearsal footage" in (folder / "director" / "index.html").read_text("utf-8").lower()
    assert {"pulls.json"} <= names(folder / "visual_effects")
    assert {"v2_props.pdf", "v2_wardrobe.pdf"} <= names(folder / "props_and_wardrobe")
    assert {"v2_mats.pdf", "v2_load.pdf", "v2_setups.pdf"} <= names(folder / "stunt_floor")
    assert {"v2_Juno_Vale_moves.pdf", "v2_Juno_Vale_practice.mp4"} <= names(folder / "performers")
    assert "Cut v2 is handed on" in ran.err


def test_one_department_alone_and_wrong_use(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "handoff"
    assert run("handoff", cut_job.file, "-o", folder, "--to", "rigging", "--paper", "letter").code == 0
    assert names(folder) == {"rigging"}
    for arguments in (("--since", "v9"), ("--cut", "v9"), ("--to", "catering")):
        assert run("handoff", cut_job.file, "-o", folder, *arguments).code == 2
    assert run("handoff", cut_job.file, "-o", cut_job.file).code == 2
    assert run("handoff", cut_job.file, "-o", cut_job.file / "below", "--to", "director").code == 2


def test_a_cut_of_any_name_stays_in_its_folder(cut_job: Job, run: Run) -> None:
    assert run("cuts", cut_job.file, "copy", "v1", "../day 2/alt").code == 0
    folder = cut_job.folder / "handoff"
    ran = run("handoff", cut_job.file, "--since", "v1", "-o", folder, "--to", "editorial", "--to", "stunt floor")
    assert ran.code == 0, ran.err
    assert names(folder) == {"editorial", "stunt_floor"}
    assert all(path.is_file() for path in folder.glob("*/*"))


def test_the_director_sees_one_cut_alone_where_it_is_told_against_itself_and_without_the_words(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "handoff"
    ran = run("handoff", cut_job.file, "--since", "v1", "-o", folder, "--to", "director", "--no-confidential")
    assert ran.code == 0, ran.err
    assert names(folder / "director") == {"index.html", "movie.mp4"}
    assert "index.html is written, with cut v1;" in ran.err


def test_practice_refuses_what_cannot_be_practised(cut_job: Job, run: Run) -> None:
    folder = cut_job.folder / "practice"
    for arguments, sentence in (
        (("--performer", "Nobody"), "Nobody has nothing to learn in cut v1"),
        (("--speeds", "fast"), "'fast' are no speeds"),
        (("--speeds", "2"), "give shares from 1/10 to 1"),
        (("--since", "v9"), "There is no cut 'v9'"),
    ):
        ran = run("practice", cut_job.file, "-o", folder, *arguments)
        assert (ran.code, sentence in ran.err) == (2, True), ran.err
    assert run("practice", cut_job.file, "-o", folder, "--performer", "Juno Vale", "--no-movies", "--mirror").code == 0
    assert names(folder) == {"v1_Juno_Vale_moves.pdf", "v1_Juno_Vale_moves.xlsx"}
