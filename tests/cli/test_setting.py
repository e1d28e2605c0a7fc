"""Setting the sequence's own settings and correcting tapes through the command line."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from cli_types import Run
from cut.small_cut import a_cut
from msgspec.structs import replace

from previs.document.store import create, open_document


@pytest.fixture
def file(tmp_path: Path) -> Path:
    create(tmp_path / "salt.previs", a_cut())
    return tmp_path / "salt.previs"


def test_settings_are_set_in_one_undoable_step_and_shown(run: Run, file: Path) -> None:
    first = file.read_bytes()
    words = "--target 48s --retiming 10% --breath 50% --lead 0.25s --wanted-shot 36 --least-shot f10 --handles 12 --raster 1920x1080"
    ran = run("set", file, *words.split(), "--title", "The Stair", "--start", "10:00:00:00")
    assert ran.code == 0, ran.err
    assert ran.err.count("\n") == 1
    assert "target is 00:00:48:00 (was 00:00:10:00)" in ran.err and "most retiming is 10% (was 8%)" in ran.err
    one = open_document(file).sequence
    assert (one.title, one.start_frame, one.target_frames) == ("The Stair", 10 * 86400, 48 * 24)
    assert (one.settings.most_retiming, one.settings.least_breath, one.settings.lead_frames) == (Fraction(1, 10), Fraction(1, 2), 6)
    assert (one.settings.wanted_shot_seconds, one.settings.least_shot_frames, one.settings.handle_frames) == (Fraction(3, 2), 10, 12)
    assert (one.settings.raster_width, one.settings.raster_height) == (1920, 1080)
    assert one.cuts == a_cut().cuts
    assert "most retiming       10%" in run("info", file).out
    assert json.loads(run("info", file, "--json").out)["settings"]["raster"] == "1920x1080"
    assert run("undo", file).err.startswith("undone: set target, title, start")
    assert file.read_bytes() == first


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("", "Say what to set"),
        ("--retiming 90%", "give 0% to 50%"),
        ("--retiming 10", "Write 10% for a percentage"),
        ("--breath 120%", "give 0% to 100%"),
        ("--lead 3s", "cannot be 72 frames; give 0 to 24"),
        ("--wanted-shot 0", "give 1 to 1440"),
        ("--target 0", "cannot be 0 frames"),
        ("--target never", "is no length"),
        ("--raster 1921x1080", "even numbers"),
        ("--raster big", "no size of a picture"),
        ("--start 01:00:00;00", "29.97 and 59.94 only"),
        ("--target 240", "nothing was changed"),
    ],
)
def test_settings_that_make_no_sense_are_refused(run: Run, file: Path, words: str, said: str) -> None:
    run("set", file, "--target", "00:00:10:00")
    before = file.read_bytes()
    ran = run("set", file, *words.split())
    assert (ran.code, ran.err.count("\n")) == (2, 1)
    assert said in ran.err
    assert file.read_bytes() == before


def test_a_tape_is_corrected_and_its_takes_and_marks_go_along(run: Run, file: Path) -> None:
    copy = file.with_name("salt.previs.cache") / "copies" / f"{a_cut().tape('A1').fingerprint}.x.mov"
    copy.parent.mkdir(parents=True)
    copy.touch()
    assert run("tape", file, "A1", "--camera", "Q").code == 0
    assert copy.exists()
    ran = run("tape", file, "A1", "--rename", "sta01", "--start", "02:00:00:00")
    assert "Tape STA01: camera Q, from 02:00:00:00 (time code from given)." in ran.err
    # The reel name and the time code stand in the work copy too.
    assert not copy.exists()
    one = open_document(file).sequence
    assert one.take("T1").reel == "STA01" and one.take("T1").hits == a_cut().take("T1").hits
    assert {mark.reel for mark in one.treatments} == {"STA01", "B1"}
    assert run("undo", file).err == "undone: correct tape A1\n"
    assert open_document(file).sequence.tape("A1").camera == "Q"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("A1", "Say what to correct"),
        ("A1 --remove", "Tape A1 stays: the file has 1 of its takes (T1) and 2 of its treatments"),
        ("A1 --remove --camera B", "give it alone"),
        ("A9 --camera B", "no tape with reel name 'A9'"),
        ("A1 --rename b1", "reel name B1 already"),
        ("A1 --rename TOOLONGNAME", "cannot be a reel name"),
        ("A1 --start 01:00:00:30", "run from 00 to 23"),
    ],
)
def test_a_tape_that_cannot_be_corrected_so(run: Run, file: Path, words: str, said: str) -> None:
    before = file.read_bytes()
    ran = run("tape", file, *words.split())
    assert (ran.code, ran.err.count("\n")) == (2, 1)
    assert said in ran.err
    assert file.read_bytes() == before


def test_a_tape_that_nothing_needs_is_taken_out(run: Run, file: Path) -> None:
    opened = open_document(file).sequence
    assert opened.tapes[-1].reel == "B1"
    bare = file.with_name("bare.previs")
    create(bare, replace(opened, takes=(), treatments=(), cuts=()))
    assert run("tape", bare, "B1", "--remove").code == 0
    assert [tape.reel for tape in open_document(bare).sequence.tapes] == ["A1"]
