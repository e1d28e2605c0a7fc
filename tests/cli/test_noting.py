"""The verb notes: reviewers' files in, lists out, answers kept; each merge or answer one step that can be undone."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from cli_types import Job, Run
from msgspec.structs import replace
from review.making_notes import file_text, note_at

from previs.document.notes import Drawing, Note, NoteKind, Shape
from previs.document.store import open_document

HOSTILE = '=HYPERLINK("http://x")\x1b[2J\u202e<script>alert(1)</script>'


@pytest.fixture
def cut(job: Job, run: Run) -> Job:
    assert run("assemble", job.file).code == 0
    return job


def save(job: Job, name: str, *notes: Note, cut: str = "v1", title: str = "The Salt Stair") -> Path:
    place = job.folder / name
    place.write_bytes(file_text(title, cut, notes))
    return place


def made(job: Job, frame: int, ident: str, **more: object) -> Note:
    value = open_document(job.file).sequence
    return note_at(value, value.cut("v1"), frame, ident, **more)


@pytest.fixture
def mara(cut: Job) -> Path:
    return save(
        cut,
        "mara.json",
        made(cut, 30, "mara-1", kind=NoteKind.LONGER, text="hold the look", frames=6),
        made(cut, 60, "mara-2", kind=NoteKind.UNCLEAR, text="does it land?", move=3, drawings=(Drawing(Shape.CIRCLE, 1, 2, 3, 4),)),
        replace(made(cut, 0, "mara-3", kind=NoteKind.SAFETY, text="who spots the leap?"), shot="", reel="", tape_frame=None),
    )


@pytest.fixture
def joss(cut: Job) -> Path:
    return save(
        cut, "joss.json", made(cut, 90, "joss-1", reviewer="Joss", kind=NoteKind.SHORTER, text=HOSTILE, written="2026-11-25T11:00:00Z")
    )


def listed(run: Run, job: Job, *options: object) -> list[dict[str, Any]]:
    ran = run("notes", job.file, "--json", *options)
    assert ran.code == 0, ran.err
    return json.loads(ran.out)  # type: ignore[no-any-return]


def test_two_reviewers_files_come_in_whole_and_twice_is_nothing(cut: Job, run: Run, mara: Path, joss: Path) -> None:
    ran = run("notes", cut.file, mara, joss)
    assert ran.code == 0, ran.err
    assert "4 notes new, 0 written again, 0 known already; shots and times are those of cut v1." in ran.err
    assert "01:00:01:06" in ran.out and "the same frames" in ran.out and "whole cut" in ran.out
    assert "Caution: A safety worry is settled with the stunt coordinator" in ran.err
    before = cut.file.read_bytes()
    again = run("notes", cut.file, joss, mara)
    assert again.code == 0
    assert "0 notes new, 0 written again, 4 known already." in again.err
    assert cut.file.read_bytes() == before
    # All of it is one step.
    assert run("undo", cut.file).err.strip() == "undone: take in 4 notes"
    assert open_document(cut.file).sequence.notes == ()


def test_what_was_entered_is_what_is_kept(cut: Job, run: Run, mara: Path, joss: Path) -> None:
    run("notes", cut.file, mara, joss)
    found = {note["ident"]: note for note in listed(run, cut)}
    assert set(found) == {"mara-1", "mara-2", "mara-3", "joss-1"}
    assert found["joss-1"]["text"] == HOSTILE
    assert found["mara-1"] | {"found": None} == {
        "ident": "mara-1",
        "cut": "v1",
        "reviewer": "Mara",
        "written": "2026-11-25T10:00:00Z",
        "kind": "longer",
        "text": "hold the look",
        "shot": made(cut, 30, "x").shot,
        "first_frame": 30,
        "frames": 6,
        "reel": made(cut, 30, "x").reel,
        "tape_frame": made(cut, 30, "x").tape_frame,
        "move": None,
        "drawings": [],
        "state": "open",
        "answer": "",
        "mark": "mara-1",
        "found": None,
    }
    place = found["mara-1"]["found"]
    assert (place["how"], place["at"], place["record_frame"], place["frames"]) == ("the same frames", "01:00:01:06", 30, 6)
    assert found["mara-2"]["drawings"] == [{"shape": "circle", "from_x": 1, "from_y": 2, "to_x": 3, "to_y": 4}]


def test_nothing_that_a_note_says_steers_the_terminal(cut: Job, run: Run, joss: Path) -> None:
    for ran in (run("notes", cut.file, joss), run("notes", cut.file), run("notes", cut.file, "--done", "joss")):
        assert not any(sign in ran.out + ran.err for sign in ("\x1b", "\u202e"))
        assert "HYPERLINK" in ran.out + ran.err


def test_lists_are_narrowed_by_state_kind_and_reviewer(cut: Job, run: Run, mara: Path, joss: Path) -> None:
    run("notes", cut.file, mara, joss)
    assert run("notes", cut.file, "--done", "mara-1", "--answer", "held for 12 frames more").code == 0
    assert {note["ident"] for note in listed(run, cut, "--open")} == {"mara-2", "mara-3", "joss-1"}
    assert {note["ident"] for note in listed(run, cut, "--kind", "unclear hit")} == {"mara-2"}
    assert {note["ident"] for note in listed(run, cut, "--reviewer", "joss")} == {"joss-1"}
    ran = run("notes", cut.file)
    assert "held for 12 frames more" in ran.out
    assert "4 notes, 3 open, 0 homeless. Shots and times are those of cut v1." in ran.err
    ran = run("notes", cut.file, "--reviewer", "Nobody")
    assert (ran.code, ran.err) == (2, "previs: No note is by 'Nobody'; notes are by Mara, Joss.\n")


def test_answers(cut: Job, run: Run, mara: Path) -> None:
    run("notes", cut.file, mara)
    assert run("notes", cut.file, "--decline", "mara-2").code == 2
    assert run("notes", cut.file, "--decline", "mara-2", "--answer", "it is a feint").code == 0
    note = next(note for note in listed(run, cut) if note["ident"] == "mara-2")
    assert (note["state"], note["answer"]) == ("declined", "it is a feint")
    assert run("undo", cut.file).err.strip() == "undone: decline a note of Mara"
    assert run("notes", cut.file, "--done", "mara-2").code == 0
    assert run("notes", cut.file, "--reopen", "mara-2", "--json").code == 0
    assert next(note for note in listed(run, cut) if note["ident"] == "mara-2")["state"] == "open"
    assert "no note with the mark 'zz'" in run("notes", cut.file, "--done", "zz").err


def test_a_note_goes_with_the_cut_or_is_homeless(cut: Job, run: Run, mara: Path) -> None:
    run("notes", cut.file, mara)
    value = open_document(cut.file).sequence
    number = next(n for n, shot in enumerate(value.cut("v1").shots, start=1) if shot.ident == made(cut, 30, "x").shot)
    assert run("cuts", cut.file, "copy", "v1", "v2").code == 0
    assert run("edit", cut.file, "v2", "remove", number).code == 0
    ran = run("notes", cut.file)
    # Two of the notes are on that shot.
    assert ran.out.count("homeless") == 2 and "2 homeless" in ran.err
    assert next(note for note in listed(run, cut) if note["ident"] == "mara-1")["found"] is None
    assert next(note for note in listed(run, cut, "--cut", "v1") if note["ident"] == "mara-1")["found"]["record_frame"] == 30


def test_notes_about_hits_are_listed_by_move_with_every_take(cut: Job, run: Run, mara: Path) -> None:
    run("notes", cut.file, mara)
    ran = run("notes", cut.file, "--on-moves")
    assert ran.out.splitlines()[0].split()[:3] == ["move", "label", "takes"]
    assert "thrust" in ran.out and "A1, B1" in ran.out and "does it land?" in ran.out
    assert "hold the look" not in ran.out


def test_sheets_of_notes_hold_no_formula(cut: Job, run: Run, mara: Path, joss: Path) -> None:
    run("notes", cut.file, mara, joss)
    for ending in ("csv", "xlsx", "pdf"):
        ran = run("notes", cut.file, "-o", cut.folder / f"notes.{ending}")
        assert ran.code == 0, ran.err
    rows = list(csv.DictReader(io.StringIO((cut.folder / "notes.csv").read_text())))
    assert [row["note"] for row in rows if row["reviewer"] == "Joss"] == ["'" + HOSTILE]
    book = openpyxl.load_workbook(cut.folder / "notes.xlsx")
    assert book.sheetnames == ["about", "open", "answered", "moves"]
    cells = [cell for page in book for line in page.iter_rows() for cell in line]
    assert any("HYPERLINK" in str(cell.value) for cell in cells)
    assert all(cell.data_type != "f" for cell in cells)
    assert (cut.folder / "notes.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--done", "a", "--decline", "b"), "one thing at a time"),
        (("--done", "a", "--open"), "one thing at a time"),
        (("mara.json", "--open"), "one thing at a time"),
        (("--answer", "x"), "--answer goes with --done or --decline"),
        (("nowhere.json",), "nowhere.json cannot be read (No such file or directory)"),
        (("-o", "x.txt"), "end its name in .pdf, .xlsx or .csv"),
        (("--kind", "praise"), "--kind cannot be 'praise'"),
        (("--cut", "v9"), "There is no cut 'v9'"),
    ],
)
def test_what_is_refused(cut: Job, run: Run, options: tuple[str, ...], said: str) -> None:
    ran = run("notes", cut.file, *options)
    assert ran.code == 2
    assert said in ran.err
    assert ran.err.startswith("previs: ") and ran.err.count("\n") == 1


def test_notes_on_another_sequence_or_cut_want_a_word_more(cut: Job, run: Run) -> None:
    other = save(cut, "other.json", made(cut, 30, "o1"), title="Another")
    refused = run("notes", cut.file, other)
    assert refused.code == 2 and "These notes are on 'Another'" in refused.err and refused.err.endswith(" (--anyway).\n")
    assert run("notes", cut.file, other, "--anyway").code == 0
    gone = save(cut, "gone.json", made(cut, 30, "o2"), cut="v9")
    assert "These notes are on cut 'v9'" in run("notes", cut.file, gone).err
    assert run("notes", cut.file, gone, "--anyway").code == 0


def test_without_notes_and_without_a_cut(job: Job, run: Run) -> None:
    ran = run("notes", job.file)
    assert (ran.code, ran.out) == (0, "(nothing)\n")
    assert ran.err == "0 notes, 0 open, 0 homeless.\n"


def test_a_report_is_two_pages_with_stills_of_the_phrases(cut: Job, run: Run, mara: Path) -> None:
    run("notes", cut.file, mara)
    out = cut.folder / "report.pdf"
    ran = run("report", cut.file, "-o", out)
    assert ran.code == 0, ran.err
    assert f"{out} is written: two pages on cut v1, with 3 open notes." in ran.err
    assert "Caution: A safety worry is settled" in ran.err
    content = out.read_bytes()
    assert len(re.findall(rb"/Type\s*/Page(?!s)", content)) == 2
    # The chart and a still of the first hit of each of the two phrases.
    assert len(re.findall(rb"/Subtype\s*/Image", content)) == 3
    run("report", cut.file, "-o", out)
    assert out.read_bytes() == content


def test_a_report_without_tapes_says_so_and_is_written(cut: Job, run: Run) -> None:
    file = cut.folder / "elsewhere" / "stair.previs"
    file.parent.mkdir()
    text = cut.file.read_text(encoding="utf-8")
    file.write_text(re.sub(r'"path": "[^"]*"', '"path": "away.mp4"', text), encoding="utf-8")
    ran = run("report", file, "-o", cut.folder / "report.pdf")
    assert ran.code == 0, ran.err
    assert "No stills from tape" in ran.err
    assert (cut.folder / "report.pdf").exists()


def test_a_report_is_a_pdf_of_a_cut_that_is_there(cut: Job, run: Run) -> None:
    ran = run("report", cut.file, "-o", "report.txt")
    assert (ran.code, ran.err) == (2, "previs: A report is a .pdf, and report.txt is not; name it report.pdf.\n")
    assert "There is no cut 'v9'" in run("report", cut.file, "--cut", "v9", "-o", "report.pdf").err
