"""`previs check` and `previs pace` on a small fight, from the tapes to the chart on disk."""

from __future__ import annotations

import csv
import json

import pytest
from cli_types import Job, Run

from previs.fight.findings import Code


@pytest.fixture
def cut_job(job: Job, run: Run) -> Job:
    ran = run("assemble", job.file, "--name", "v1")
    assert ran.code == 0, ran.err
    return job


def test_check_is_0_until_an_error_stands_and_then_1(cut_job: Job, run: Run) -> None:
    ran = run("check", cut_job.file)
    assert ran.code == 0 and "0 errors" in ran.err
    assert run("edit", cut_job.file, "v1", "trim-tail", "1", "6").code == 0
    ran = run("check", cut_job.file, "--cut", "v1")
    assert ran.code == 1 and "1 error," in ran.err
    assert "C14 length-off-target" in ran.out and "The cut is 6 frames longer than its target." in ran.out


def test_check_answers_programs_with_places(cut_job: Job, run: Run) -> None:
    assert run("edit", cut_job.file, "v1", "remove", "1").code == 0
    ran = run("check", cut_job.file, "--json")
    told = json.loads(ran.out)
    assert ran.code == 1 and told["errors"] >= 1
    assert {"severity": "error", "finding": "C01 move-never-seen", "shot": None, "at": "", "record_frame": None}.items() <= next(
        one for one in told["findings"] if one["what"] == "Move 1 is never seen."
    ).items()
    placed = [one for one in told["findings"] if one["shot"] is not None]
    assert all(one["at"].count(":") == 3 and one["record_frame"] >= 0 for one in placed)
    assert told["warnings"] == sum(one["severity"] == "warning" for one in told["findings"])


def test_check_without_a_cut_says_how_to_make_one(job: Job, run: Run) -> None:
    ran = run("check", job.file)
    assert (ran.code, ran.err) == (2, "previs: There is no cut yet; assemble one first.\n")


def test_pace_tells_the_figures_in_words_and_draws_nothing_unasked(cut_job: Job, run: Run) -> None:
    before = sorted(cut_job.folder.iterdir())
    ran = run("pace", cut_job.file)
    assert ran.code == 0
    assert "Cut v1 lasts 00:00:05:12, its target to the frame." in ran.out
    assert "5 hits, 0.91 a second." in ran.out
    assert "Upper hand: Odile" in ran.out and "All 5 turns of the written fight are seen as planned." in ran.out
    assert sorted(cut_job.folder.iterdir()) == before


def test_pace_answers_programs(cut_job: Job, run: Run) -> None:
    told = json.loads(run("pace", cut_job.file, "--json").out)
    assert (told["frames"], len(told["hits"])) == (132, 5)
    assert told["average_seconds"] == pytest.approx(132 / 24 / told["shots"])
    assert sum(one["frames"] for one in told["each_shot"]) == sum(one["frames"] for one in told["sizes"]) == 132
    assert sum(told["upper_hand"]["shares"].values()) == pytest.approx(1)


@pytest.mark.parametrize(("suffix", "begins"), [("svg", b"<?xml"), ("png", b"\x89PNG"), ("PDF", b"%PDF")])
def test_pace_draws_the_step_chart(cut_job: Job, run: Run, suffix: str, begins: bytes) -> None:
    chart = cut_job.folder / f"pace.{suffix}"
    ran = run("pace", cut_job.file, "--cut", "v1", "-o", chart)
    assert ran.code == 0 and f"{chart} is written." in ran.err
    assert chart.read_bytes().startswith(begins)


def test_pace_writes_each_shot_as_a_table(cut_job: Job, run: Run) -> None:
    table = cut_job.folder / "pace.csv"
    assert run("pace", cut_job.file, "-o", table).code == 0
    with table.open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    assert [row["frames"] for row in rows] == ["85", "47"] and rows[-1]["record out"] == "01:00:05:12"
    assert [row["moves"] for row in rows] == ["1-3", "4-5"] and rows[0]["upper hand"].startswith("level > Odile")
    assert rows[0]["record in"] == "01:00:00:00" and rows[0]["shot"] == "1"
    assert sum(float(row["frames"]) for row in rows) == 132


def test_pace_counts_black_apart_and_says_how_a_dissolve_counts(cut_job: Job, run: Run) -> None:
    assert run("edit", cut_job.file, "v1", "fade-out", "2", "12").code == 0
    out = run("pace", cut_job.file).out
    assert "2 shots and 1 black, 21.8 shots a minute" in out
    assert "A shot that dissolves or wipes in is counted from the middle of its transition. Black is no shot" in out
    assert "black" not in next(line for line in out.splitlines() if line.startswith("Kinds of shot needed"))
    assert "Cut v1: 2 shots and 1 black" in run("list", cut_job.file, "shots").err


def test_check_says_what_it_looks_for(run: Run) -> None:
    out = run("check", "--help").out
    assert all(code.value in out for code in Code)


def test_pace_refuses_another_kind_of_file_before_it_tells_anything(cut_job: Job, run: Run) -> None:
    ran = run("pace", cut_job.file, "-o", cut_job.folder / "pace.doc")
    assert ran.code == 2 and ran.out == "" and ".svg, .png, .pdf or .csv" in ran.err
    assert not (cut_job.folder / "pace.doc").exists()
