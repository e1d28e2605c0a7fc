"""Wrong inputs through the command line: one clear sentence each, the right exit code, and nothing changed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from cli_types import Job, Run
from clips import Clip, run_ffmpeg


def text_file(folder: Path, film: Path) -> Path:
    path = folder / "notes.mp4"
    path.write_text("this is not a movie\n" * 50)
    return path


def cut_short(folder: Path, film: Path) -> Path:
    """The table of frames stands at the end of the file, and is gone."""
    path = folder / "short.mp4"
    path.write_bytes(film.read_bytes()[: film.stat().st_size // 2])
    return path


def cut_short_with_table(folder: Path, film: Path) -> Path:
    whole = folder / "whole.mp4"
    run_ffmpeg("-i", str(film), "-c", "copy", "-movflags", "+faststart", str(whole))
    path = folder / "short.mp4"
    path.write_bytes(whole.read_bytes()[: whole.stat().st_size * 2 // 3])
    return path


def empty(folder: Path, film: Path) -> Path:
    path = folder / "empty.mp4"
    path.touch()
    return path


def sound_only(folder: Path, film: Path) -> Path:
    path = folder / "sound.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "sine=duration=1", "-c:a", "aac", str(path))
    return path


def missing(folder: Path, film: Path) -> Path:
    return folder / "nowhere.mp4"


def a_folder(folder: Path, film: Path) -> Path:
    return folder


@pytest.mark.parametrize(
    ("make", "said", "code"),
    [
        (missing, "There is no file", 2),
        (text_file, "is not a movie", 2),
        (cut_short, "cut short", 1),
        (cut_short_with_table, "frames can be read", 1),
        (empty, "is empty (0 bytes)", 2),
        (sound_only, "has no picture", 2),
        (a_folder, "is a folder", 2),
    ],
)
def test_tapes_that_cannot_be_taken_in(
    job: Job, run: Run, tmp_path: Path, make: Callable[[Path, Path], Path], said: str, code: int
) -> None:
    folder = tmp_path / "wrong"
    folder.mkdir()
    before = job.file.read_bytes()
    ran = run("ingest", job.file, make(folder, job.tapes["FILM"].path))
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err
    assert ran.err.startswith("previs: ")
    assert len(ran.err.strip().splitlines()) == 1
    assert job.file.read_bytes() == before


TABLE_FAULTS = [
    ("takes", "A1,FILM,", "A1,FLIM,", "row 2, column tape", "FILM"),
    ("takes", "10:00:08:00", "10:00:09:00", "row 2, column out", "runs from"),
    ("takes", "full,0,", "fullish,0,", "row 2, column size", "medium"),
    ("takes", "B1,PHONE", "A1,PHONE", "row 3, column take", "A1"),
    ("takes", "10:00:00:12,10:00:08:00", "10:00:00:24,10:00:08:00", "row 2, column in", "23"),
    ("hits", "A1,2,", "A1,99,", "row 3, column move", "99"),
    ("hits", "A1,2,", "A1,1,", "row 3", "1"),
    ("hits", "B1,1,1.9s", "B1,1,99s", "row 7, column at", ""),
    ("hits", "C1,4,f75", "C1,4,noon", "row 10, column at", "time code"),
    ("treatments", "rig removal", "rig removed", "row 2, column kind", "rig removal"),
    ("treatments", "rig removal,Odile", "rig removal,Nobody", "row 2, column role", "Odile"),
]


@pytest.mark.parametrize(("table", "old", "new", "place", "hint"), TABLE_FAULTS)
def test_marks_that_cannot_be(job: Job, run: Run, tables: dict[str, Path], table: str, old: str, new: str, place: str, hint: str) -> None:
    text = tables[table].read_text()
    assert old in text
    tables[table].write_text(text.replace(old, new, 1))
    before = job.file.read_bytes()
    ran = run("marks", job.file, tables["takes"], tables["hits"], tables["treatments"])
    assert ran.code == 2
    assert place in ran.err
    assert hint in ran.err
    assert job.file.read_bytes() == before


def test_a_table_that_is_not_utf8_says_where(job: Job, run: Run, tables: dict[str, Path]) -> None:
    tables["hits"].write_bytes(tables["hits"].read_bytes() + "A1,5,\xe9\n".encode("latin-1"))
    ran = run("marks", job.file, tables["takes"], tables["hits"])
    assert ran.code == 2
    assert "UTF-8" in ran.err


def test_a_tape_is_taken_in_once(job: Job, run: Run) -> None:
    # What an ingest that was stopped did not get to is done first.
    run("ingest", job.file, job.tapes["FILM"].path)
    ran = run("ingest", job.file, job.tapes["FILM"].path)
    assert ran.code == 2
    assert "in the file already, as reel FILM" in ran.err


@pytest.mark.parametrize(("reel", "said"), [("TOOLONGNAME", "cannot be a reel name"), ("BL", "keep for themselves"), ("film", "already")])
def test_reel_names_are_legal_and_free(job: Job, run: Run, tmp_path: Path, reel: str, said: str) -> None:
    other = tmp_path / "other.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=duration=1:size=160x90:rate=24", str(other))
    ran = run("ingest", job.file, other, "--reel", reel)
    assert ran.code == 2
    assert said in ran.err


def test_a_tape_without_sound_is_taken_in(job: Job, run: Run) -> None:
    assert "none" in run("list", job.file, "tapes").out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--rate", "26"), "not a frame rate"),
        (("--start", "01:00:00:24"), "run from 00 to 23"),
        (("--start", "01:00:00;00"), "29.97 and 59.94 only"),
        (("--target", "0s"), "is no length"),
        (("--target", "soon"), "is no length; write frames"),
    ],
)
def test_a_sequence_that_cannot_begin(run: Run, tmp_path: Path, arguments: tuple[str, str], said: str) -> None:
    ran = run("new", tmp_path / "x.previs", *arguments)
    assert ran.code == 2
    assert said in ran.err
    assert not (tmp_path / "x.previs").exists()


def test_a_file_that_is_there_is_not_begun_anew(job: Job, run: Run) -> None:
    before = job.file.read_bytes()
    assert run("new", job.file).code == 2
    assert job.file.read_bytes() == before


def test_publishing_without_a_cut_or_to_another_ending_is_said(job: Job, run: Run, shot_tapes: dict[str, Clip]) -> None:
    assert "There is no cut yet" in run("publish", job.file, "-o", job.folder / "x.mp4").err
    run("assemble", job.file)
    ran = run("publish", job.file, "-o", job.folder / "x.avi")
    assert ran.code == 2
    assert "must end in .mp4 or .mov" in ran.err
    assert "no cut 'v7'" in run("edl", job.file, "--cut", "v7", "-o", job.folder / "x.edl").err


@pytest.mark.parametrize("verb", ["captions", "edl", "notes", "otio", "pace", "publish", "report", "setups", "shots"])
def test_an_output_that_names_nothing_is_said_in_one_sentence(job: Job, run: Run, verb: str) -> None:
    assert run("assemble", job.file).code == 0
    ran = run(verb, job.file, "-o", ".")
    assert ran.code == 2 and ". " in ran.err and "fault of its own" not in ran.err, ran.err


def test_a_change_list_and_a_sequence_that_name_nothing_are_said_in_one_sentence(job: Job, run: Run) -> None:
    assert run("assemble", job.file).code == 0
    assert "name it name.txt" in run("changes", job.file, "v1", "v1", "-o", ".").err
    assert "call it name.previs" in run("new", ".").err
