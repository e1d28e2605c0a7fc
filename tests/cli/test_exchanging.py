"""Exchange through the command line: a list goes out, comes back changed, and is compared and imported; captions and shot lists."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import zipfile
from pathlib import Path
from urllib.parse import unquote

import openpyxl
import opentimelineio as otio
import pandas as pd
import pytest
from cli_types import Job, Run
from msgspec.structs import replace

from previs.document.model import Footage
from previs.document.store import open_document, save


@pytest.fixture
def listed(job: Job, run: Run) -> Path:
    """The job with a cut v1, and its edit list."""
    assert run("assemble", job.file).code == 0
    path = job.folder / "v1.edl"
    assert run("edl", job.file, "-o", path).code == 0
    return path


def test_our_own_list_comes_back_as_the_same_cut(job: Job, run: Run, listed: Path) -> None:
    ran = run("compare", job.file, listed, "--json")
    assert ran.code == 0, ran.err
    assert {row["change"] for row in json.loads(ran.out)} == {"kept"}
    assert ran.err.startswith("All 2 shots of cut v1 are kept as they were.\nCut v1 lasts 00:00:05:12 (132 frames); the list lasts ")
    ran = run("import-edl", job.file, listed, "--name", "v5", "--strict", "--json")
    assert ran.code == 0, ran.err
    sequence = open_document(job.file).sequence
    first, second = sequence.cut("v1"), sequence.cut("v5")
    assert json.loads(ran.out) == {"cut": "v5", "shots": len(first.shots), "frames": first.frames, "remarks": []}
    assert [(shot.frames, shot.picture, shot.transition) for shot in second.shots] == [
        (shot.frames, shot.picture, shot.transition) for shot in first.shots
    ]


def test_a_changed_list_is_told_of_and_changes_nothing(job: Job, run: Run, listed: Path) -> None:
    sequence = open_document(job.file).sequence
    shots = sequence.cut("v1").shots
    last = shots[-1]
    assert isinstance(last.picture, Footage)
    edited = replace(sequence.cut("v1"), name="edited", shots=(*shots[:-1], replace(last, frames=last.frames - 5)))
    opened = open_document(job.file)
    save(opened, replace(opened.sequence, cuts=(*opened.sequence.cuts, edited)))
    returned = job.folder / "returned.edl"
    assert run("edl", job.file, "--cut", "edited", "-o", returned).code == 0
    before = job.file.read_bytes()
    ran = run("compare", job.file, returned, "--cut", "v1")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert len(lines) == len(shots) + 1
    assert "tail 5 frames shorter" in lines[-1]
    assert all(line.startswith("kept") for line in lines[1:-1])
    assert f"{len(shots) - 1} of the {len(shots)} shots of cut v1 " in ran.err
    assert "5 frames shorter." in ran.err
    table = run("compare", job.file, returned, "--cut", "v1", "--csv")
    assert [row["details"] for row in csv.DictReader(io.StringIO(table.out))][-1] == "tail 5 frames shorter"
    # Both lengths are said whatever form the rows have.
    assert "5 frames shorter." in table.err and "5 frames shorter." in run("compare", job.file, returned, "--cut", "v1", "--json").err
    assert job.file.read_bytes() == before


def test_an_unknown_reel_is_refused_or_becomes_a_card(job: Job, run: Run, listed: Path) -> None:
    foreign = job.folder / "foreign.edl"
    text = re.sub(r"FROM CLIP NAME: .*", "FROM CLIP NAME: quay", listed.read_text())
    foreign.write_text(re.sub(r"^(001  )(\w+) ", r"\1QUAY ", text, flags=re.MULTILINE))
    reel = re.search(r"^001  (\w+) ", text, flags=re.MULTILINE)
    assert reel is not None
    before = job.file.read_bytes()
    ran = run("import-edl", job.file, foreign)
    assert ran.code == 2
    assert "reel QUAY" in ran.err
    assert job.file.read_bytes() == before
    ran = run("import-edl", job.file, foreign, "--cards-for-unknown")
    assert ran.code == 0, ran.err
    assert "Event 001 became a card" in ran.err
    assert [cut.name for cut in open_document(job.file).sequence.cuts] == ["v1", "v2"]
    assert "unknown reel QUAY" in run("compare", job.file, foreign, "--cut", "v1").out
    for verb, options in (("compare", ("--cut", "v1")), ("import-edl", ())):
        ran = run(verb, job.file, foreign, "--reel", f"quay={reel[1]}", *options)
        assert ran.code == 0, ran.err
        assert "QUAY" not in ran.out + ran.err.replace("'", "").partition("Cut")[2]
        assert run(verb, job.file, foreign, "--reel", "QUAY", *options).code == 2
    first = [sequence.shots[0] for sequence in open_document(job.file).sequence.cuts]
    assert first[2].picture == first[0].picture


def test_files_of_other_kinds_and_folders_are_refused_by_name(job: Job, run: Run, listed: Path) -> None:
    for verb, name, said in (("captions", "v1.srt", "name it v1.vtt"), ("otio", "v1.xml", "name it v1.otio")):
        ran = run(verb, job.file, "-o", job.folder / name)
        assert (ran.code, said in ran.err, (job.folder / name).exists()) == (2, True, False)
    (job.folder / "sub").mkdir()
    ran = run("edl", job.file, "-o", job.folder / "sub")
    assert (ran.code, ran.err) == (2, f"previs: {job.folder / 'sub'} is a folder; give the name of the file to write into it as well.\n")
    ran = run("import-otio", job.file, listed, "--name", "v9")
    assert (ran.code, "'previs import-edl'" in ran.err) == (2, True)
    assert run("otio", job.file, "-o", job.folder / "v1.otio").code == 0
    ran = run("import-edl", job.file, job.folder / "v1.otio")
    assert (ran.code, "'previs import-otio'" in ran.err) == (2, True)


def test_a_timeline_names_its_media_from_where_it_is_written(job: Job, run: Run, listed: Path) -> None:
    folder = job.folder / "for" / "the editor"
    assert run("otio", job.file, "-o", folder / "v1.otio").code == 0
    timeline = otio.adapters.read_from_file(str(folder / "v1.otio"))
    urls = {clip.media_reference.target_url for clip in timeline.find_clips()}
    found = {(folder / unquote(url)).resolve() for url in urls}
    assert found <= {clip.path.resolve() for clip in job.tapes.values()}
    assert not any(url.startswith("/") for url in urls)


def test_a_damaged_list_is_read_with_issues_and_refused_strictly(job: Job, run: Run, listed: Path) -> None:
    damaged = job.folder / "damaged.edl"
    damaged.write_bytes(listed.read_bytes() + b"998  X  V  Z  00:00:00:00 00:00:01:00 01:30:00:00 01:30:01:00\r\n")
    ran = run("compare", job.file, damaged)
    assert ran.code == 0
    assert "damaged.edl, line " in ran.err
    assert "'Z' is no transition" in ran.err
    ran = run("compare", job.file, damaged, "--strict")
    assert ran.code == 2
    assert "was read strictly" in ran.err
    assert ran.out == ""


def test_a_timeline_goes_out_and_comes_back(job: Job, run: Run, listed: Path) -> None:
    path = job.folder / "v1.otio"
    ran = run("otio", job.file, "-o", path, "--json")
    assert json.loads(ran.out) == {"file": str(path), "bytes": path.stat().st_size}
    assert otio.adapters.read_from_file(str(path)).duration().value == 132
    ran = run("import-otio", job.file, path, "--name", "v5", "--json")
    assert ran.code == 0, ran.err
    sequence = open_document(job.file).sequence
    assert sequence.cut("v5") == replace(sequence.cut("v1"), name="v5")
    assert run("import-otio", job.file, path, "--name", "v5").code == 2
    assert run("undo", job.file).code == 0
    assert [cut.name for cut in open_document(job.file).sequence.cuts] == ["v1"]


def test_captions_with_and_without_a_leader(job: Job, run: Run, listed: Path) -> None:
    path = job.folder / "v1.vtt"
    assert run("captions", job.file, "-o", path).code == 0
    plain = path.read_text(encoding="utf-8")
    assert plain.startswith("WEBVTT\n\nphrase 1\n00:00:00.000 --> ")
    assert all(f"\n{number} " in plain for number in range(1, 6))
    assert run("captions", job.file, "-o", path, "--leader").code == 0
    led = path.read_text(encoding="utf-8")
    # Every time is below ten seconds, so eight more (the countdown of the published movie) shows in the seconds alone.
    assert led == re.sub(r"00:00:0(\d)\.", lambda time: f"00:00:{int(time[1]) + 8:02d}.", plain)


def test_a_shot_list_as_workbook_and_as_csv(job: Job, run: Run, listed: Path) -> None:
    book = job.folder / "shots.xlsx"
    assert run("shots", job.file, "-o", book).code == 0
    rows = {what: json.loads(run("list", job.file, what, "--json").out) for what in ("shots", "treatments", "moves")}
    sheets = pd.read_excel(book, sheet_name=None, dtype=object, na_filter=False)
    assert list(sheets) == ["shots", "treatments", "moves", "about"]
    for what, wanted in rows.items():
        blanked = [{name: "" if value is None else value for name, value in row.items()} for row in wanted]
        assert sheets[what].to_dict("records") == blanked
    table = job.folder / "shots.csv"
    assert run("shots", job.file, "-o", table).code == 0
    assert [row["record in"] for row in csv.DictReader(io.StringIO(table.read_text()))] == [row["record in"] for row in rows["shots"]]
    with (job.folder / "shots_treatments.csv").open(newline="") as text:
        assert [row["kind"] for row in csv.DictReader(text)] == [row["kind"] for row in rows["treatments"]]
    assert run("shots", job.file, "-o", job.folder / "shots.pdf").code == 2


def test_a_shot_list_cannot_run_as_a_formula_and_its_columns_can_be_read(job: Job, run: Run, listed: Path) -> None:
    opened = open_document(job.file)
    first, *others = opened.sequence.phrases
    risky = replace(first, moves=(replace(first.moves[0], label="=1+2"), *first.moves[1:]))
    save(opened, replace(opened.sequence, phrases=(risky, *others)))
    book = job.folder / "shots.xlsx"
    assert run("shots", job.file, "-o", book).code == 0
    opened_book = openpyxl.load_workbook(book)
    cells = [cell for sheet in opened_book.worksheets for row in sheet.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert "'=1+2" in [cell.value for cell in cells]
    shots = opened_book["shots"]
    column = next(cell.column_letter for cell in shots[1] if cell.value == "record in")
    assert shots.column_dimensions[column].width >= len("01:00:00:00")
    assert all(isinstance(cell.value, str) for cell in shots[column])


def test_a_workbook_has_its_head_and_its_page_and_no_date_but_the_files(job: Job, run: Run, listed: Path) -> None:
    book = job.folder / "shots.xlsx"
    os.utime(job.file, (1_000_000_000, 1_000_000_000))
    assert run("shots", job.file, "-o", book).code == 0
    with zipfile.ZipFile(book) as parts:
        assert {part.date_time for part in parts.infolist()} == {(2001, 9, 9, 1, 46, 40)}
        dates = re.findall(rb"<dcterms:\w+ [^>]*>([^<]*)<", parts.read("docProps/core.xml"))
    assert dates == [b"2001-09-09T01:46:40Z"] * 2
    opened = openpyxl.load_workbook(book)
    assert opened.properties.title == "The Salt Stair, cut v1"
    for sheet in opened.worksheets:
        assert (sheet.page_setup.orientation, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == ("landscape", 1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.print_title_rows == "$1:$1"
        head = f"The Salt Stair, cut v1: {sheet.title}. 00:00:05:12, target 00:00:05:12. An out is the frame after the last."
        assert sheet.oddHeader.left.text == head
    about = {row[0].value: row[1].value for row in opened["about"].iter_rows(min_row=2)}
    assert (about["length"], about["against target"]) == ("00:00:05:12", "its target to the frame")
    speeds = [cell.value for column in opened["shots"].iter_cols() if column[0].value == "speed" for cell in column[1:]]
    assert speeds and all(isinstance(speed, int | float) for speed in speeds)


@pytest.mark.parametrize("verb", ["compare", "import-edl", "otio", "import-otio", "captions", "shots"])
def test_every_verb_has_help_with_an_example(run: Run, verb: str) -> None:
    ran = run(verb, "--help")
    assert ran.code == 0
    assert f"Example: previs {verb} " in ran.out


@pytest.mark.parametrize("verb", ["compare", "import-edl", "import-otio"])
def test_a_file_that_is_not_there_is_a_fault_of_use(job: Job, run: Run, listed: Path, verb: str) -> None:
    ran = run(verb, job.file, job.folder / "none")
    assert (ran.code, ran.out) == (2, "")
    assert "cannot be read" in ran.err
