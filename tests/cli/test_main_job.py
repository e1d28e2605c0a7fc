"""The main job through the command line: tapes and tables in, a cut, an edit list, lists and a movie out."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from fractions import Fraction

import pytest
from cli_types import Job, Run
from clips import Clip, read_number
from msgspec.structs import replace

from previs.clock import frame_played
from previs.cut.placing import place
from previs.document.model import Footage, Settings
from previs.document.store import open_document, save
from previs.media import FrameReader, frame_index

VERBS = (
    "new",
    "ingest",
    "relink",
    "fight",
    "marks",
    "cast",
    "list",
    "assemble",
    "why",
    "edl",
    "publish",
    "info",
    "set",
    "tape",
    "check",
    "pace",
    "compare",
    "otio",
    "captions",
    "shots",
)


def shown_by_tape(clip: Clip, grid_frame: int) -> int:
    """The number on the last picture of the tape that has begun at the grid frame's moment."""
    moment = Fraction(grid_frame, 24)
    number = max(index for index, begins in enumerate(clip.times) if begins <= moment)
    return round(clip.times[number] * clip.rate)


@pytest.mark.parametrize("quality", ["draft", "originals"])
def test_the_movie_shows_for_every_frame_the_tape_frame_that_the_cut_names(job: Job, run: Run, quality: str) -> None:
    opened = open_document(job.file)
    save(opened, replace(opened.sequence, settings=Settings(wanted_shot_seconds=Fraction(1))))
    assert run("assemble", job.file, "--name", "v1").code == 0
    movie = job.folder / "out" / "cut.mp4"
    ran = run("publish", job.file, "-o", movie, "--quality", quality, "--json")
    assert ran.code == 0, ran.err
    sequence = open_document(job.file).sequence
    cut = sequence.cut("v1")
    assert json.loads(ran.out)["frames"] == cut.frames == 132
    assert len({shot.picture.take for shot in cut.shots if isinstance(shot.picture, Footage)}) == 3
    index = frame_index(movie)
    assert index.frames == 132
    with FrameReader(movie, index) as reader:
        for one in place(sequence, cut):
            assert one.source is not None
            clip = job.tapes[one.source.tape.reel]
            for k in range(one.shot.frames):
                wanted = shown_by_tape(clip, frame_played(one.source.first_frame, one.source.speed, k))
                assert read_number(reader.picture(one.record.start + k)) == wanted, (one.number, k)


def test_lists_answer_in_columns_csv_and_json_alike(job: Job, run: Run) -> None:
    run("assemble", job.file)
    for what in ("tapes", "takes", "moves", "hits", "shots", "treatments", "cuts"):
        plain, table, program = run("list", job.file, what), run("list", job.file, what, "--csv"), run("list", job.file, what, "--json")
        rows = json.loads(program.out)
        assert rows
        assert len(plain.out.splitlines()) == len(rows) + 1
        read = list(csv.DictReader(io.StringIO(table.out)))
        assert [list(row) for row in read] == [list(row) for row in rows]
    moves = json.loads(run("list", job.file, "moves", "--json").out)
    assert [row["move"] for row in moves] == [1, 2, 3, 4, 5]
    landings = [row["lands at"] for row in moves]
    assert landings == sorted(landings)
    assert all(landings)


def test_the_edit_list_is_written_and_reads_as_the_shots_do(job: Job, run: Run) -> None:
    run("assemble", job.file)
    target = job.folder / "cut.edl"
    assert run("edl", job.file, "-o", target).code == 0
    lines = target.read_bytes().decode("ascii").split("\r\n")
    assert lines[0] == "TITLE: The Salt Stair v1"
    events = [line for line in lines if line[:3].isdigit()]
    shots = json.loads(run("list", job.file, "shots", "--json").out)
    assert [(line[53:64], line[65:76]) for line in events] == [(row["record in"], row["record out"]) for row in shots]


def test_why_names_the_take_and_the_next_best(job: Job, run: Run) -> None:
    run("cast", job.file, "Odile", "Juno Vale", "--double", "Pim Oster")
    run("assemble", job.file)
    told = run("why", job.file, 1).out
    assert "Take " in told
    assert "It costs" in told
    assert run("why", job.file, 99).err.startswith("previs: Cut v1 has shots 1 to ")
    assert run("why", job.file, 99).code == 2


def test_moved_tapes_are_found_again_by_content(job: Job, run: Run) -> None:
    elsewhere = job.folder / "backup" / "day one"
    elsewhere.mkdir(parents=True)
    copy = elsewhere / "renamed.bin"
    copy.write_bytes(job.tapes["FILM"].path.read_bytes())
    text = job.file.read_text()
    job.file.write_text(text.replace("film.mp4", "gone.mp4"))
    assert json.loads(run("info", job.file, "--json").out)["tapes missing"] == 1
    assert run("publish", job.file, "-o", job.folder / "x.mp4").code == 2
    assert run("relink", job.file, job.folder / "backup").code == 0
    assert open_document(job.file).sequence.tape("FILM").path == "backup/day one/renamed.bin"
    assert json.loads(run("info", job.file, "--json").out)["tapes missing"] == 0


def test_work_copies_may_be_deleted_at_any_time(job: Job, run: Run) -> None:
    run("assemble", job.file)
    first, second = job.folder / "1.mp4", job.folder / "2.mp4"
    assert run("publish", job.file, "-o", first, "--quality", "draft").code == 0
    for cached in sorted((job.folder / "stair.previs.cache").rglob("*"), reverse=True):
        cached.rmdir() if cached.is_dir() else cached.unlink()
    assert run("publish", job.file, "-o", second, "--quality", "draft").code == 0
    assert frame_index(first).frames == frame_index(second).frames == 132


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_help_with_an_example(run: Run, verb: str) -> None:
    ran = run(verb, "--help")
    assert ran.code == 0
    assert f"Example: previs {verb} " in ran.out


def test_true_exit_codes_as_a_program_of_its_own(job: Job) -> None:
    def program(*arguments: object) -> subprocess.CompletedProcess[str]:
        call = [sys.executable, "-c", "from previs.cli.app import main; main()", *map(str, arguments)]
        return subprocess.run(call, capture_output=True, text=True, check=False)

    assert program("info", job.file).returncode == 0
    assert program("info", job.folder / "none.previs").returncode == 2
    assert program("list", job.file, "nonsense").returncode == 2
    assert program().returncode in (0, 2)
    failed = program("publish", job.file, "-o", "/dev/null/x.mp4")
    assert failed.returncode in (1, 2)
    assert "Traceback" not in failed.stderr
