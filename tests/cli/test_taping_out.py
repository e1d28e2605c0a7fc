"""`previs tapeout` from a sequence file with a floor to the files on disk, and every way in which it cannot."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest
from cli_types import Run
from floor.salt_plan import ROOM, salt_floor
from msgspec.structs import replace

from previs.document.floor import Floor, Laid
from previs.document.sitting import save_step
from previs.document.store import open_document

NAMES = {"tapeout.pdf", "tapeout.dxf", "tapeout_points.csv", "tapeout_others.csv"}


@pytest.fixture
def file(tmp_path: Path, run: Run) -> Path:
    path = tmp_path / "salt.previs"
    assert run("new", path, "--target", "48s", "--title", "The Salt Stair").code == 0
    with_floor(path, replace(salt_floor(), laid=(Laid(0, 1300, 2500),)))
    return path


def with_floor(path: Path, floor: Floor | None) -> None:
    opened = open_document(path)
    save_step(opened, replace(opened.sequence, floor=floor), "a floor")


def test_a_sheet_is_written_and_told(file: Path, run: Run) -> None:
    before = file.read_bytes()
    folder = file.parent / "out" / "today"
    ran = run("tapeout", file, "-o", folder)
    assert ran.code == 0 and ran.out == "", ran.err
    assert {one.name for one in folder.iterdir()} == NAMES
    assert "32 points to lay, 31.295 m to walk from A; a tape misread by 10 mm puts no point off by more than 18 mm." in ran.err
    assert "taped drop: no fall here" in ran.err.lower() and "not for building or rigging" in ran.err
    assert (folder / "tapeout.pdf").read_bytes().startswith(b"%PDF") and file.read_bytes() == before
    assert str(date.today()) in (folder / "tapeout.dxf").read_text("utf-8")


def test_options_are_heeded(file: Path, run: Run) -> None:
    folder = file.parent / "out"
    ran = run("tapeout", file, "-o", folder, "--units", "IMPERIAL", "--paper", "letter", "--scale", "1:192", "--full-size")
    assert ran.code == 0, ran.err
    assert {one.name for one in folder.iterdir()} == {*NAMES, "tapeout_full_size.pdf"}
    assert b"/MediaBox [ 0 0 792 612 ]" in (folder / "tapeout.pdf").read_bytes() and "' " in (folder / "tapeout_points.csv").read_text(
        "utf-8"
    )
    assert "102' 8\" to walk" in ran.err


def test_only_its_own_files_are_replaced_and_older_ones_are_told(file: Path, run: Run) -> None:
    folder = file.parent / "out"
    folder.mkdir()
    for name in ("notes.txt", "tapeout_2.pdf", "tapeout_plan.pdf", "tapeout.pdf"):
        (folder / name).write_text("mine")
    ran = run("tapeout", file, "-o", folder)
    assert ran.code == 0 and "Of an earlier call there is still tapeout_2.pdf in" in ran.err
    assert [(folder / name).read_text() for name in ("notes.txt", "tapeout_2.pdf", "tapeout_plan.pdf")] == ["mine"] * 3
    assert (folder / "tapeout.pdf").read_bytes().startswith(b"%PDF")


def test_sections_are_a_sheet_each(file: Path, run: Run) -> None:
    half = ((-100, -300), (6000, -300), (6000, 3000), (-100, 3000)), ((5000, -300), (14_000, -300), (14_000, 3000), (5000, 3000))
    with_floor(file, replace(salt_floor(), laid=(Laid(0, 1300, 2500, half[0], "../corridor"), Laid(0, -3000, 2500, half[1], "stair"))))
    folder = file.parent / "out"
    ran = run("tapeout", file, "-o", folder)
    assert ran.code == 0 and "Section 2 of 2: " in ran.err
    assert {one.name for one in folder.iterdir()} == {name.replace("tapeout", f"tapeout_{n}") for name in NAMES for n in (1, 2)}


@pytest.mark.parametrize(
    ("floor", "said"),
    [
        (None, "previs: There is no plan of the set yet; read one with 'previs plan salt.previs DRAWING'.\n"),
        (Floor(room=ROOM), "previs: There is no plan of the set yet; read one with 'previs plan salt.previs DRAWING'.\n"),
        (replace(salt_floor(), room=None), "previs: There is no rehearsal room yet; give one with 'previs room salt.previs'.\n"),
        (salt_floor(), "previs: The plan is not fitted into the room yet; say 'previs fit salt.previs'.\n"),
    ],
)
def test_what_is_missing_is_one_sentence(file: Path, run: Run, floor: Floor | None, said: str) -> None:
    with_floor(file, floor)
    ran = run("tapeout", file, "-o", file.parent / "out")
    assert (ran.code, ran.out, ran.err) == (2, "", said) and not (file.parent / "out").exists()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--scale", "1:10"), "does not fit on a4 at 1:10; the largest usual scale is 1:75"),
        (("--scale", "large"), "'large' is no scale"),
        (("--paper", "b5"), "b5"),
        (("--units", "cubits"), "cubits"),
    ],
)
def test_wrong_options_write_nothing(file: Path, run: Run, options: tuple[str, str], said: str) -> None:
    ran = run("tapeout", file, "-o", file.parent / "out", *options)
    assert ran.code == 2 and said in ran.err and len(ran.err.strip().splitlines()) == 1 and not (file.parent / "out").exists()


def test_a_file_for_a_folder_and_a_file_that_is_none(file: Path, run: Run) -> None:
    (file.parent / "out").write_text("mine")
    ran = run("tapeout", file, "-o", file.parent / "out")
    assert ran.code == 2 and "is a file; name a folder for the sheets." in ran.err and (file.parent / "out").read_text() == "mine"
    assert run("tapeout", file.parent / "none.previs", "-o", file.parent / "new").code == 2


def test_a_folder_that_cannot_be_written_is_one_sentence(file: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_arguments: object, **_more: object) -> None:
        raise PermissionError(13, "Permission denied", "out")

    folder = file.parent / "out"
    folder.mkdir()
    if os.geteuid():
        folder.chmod(0o500)
    else:
        # Root may write anywhere.
        monkeypatch.setattr(Path, "write_bytes", refused)
    ran = run("tapeout", file, "-o", folder)
    folder.chmod(0o700)
    assert ran.code == 1 and "cannot be written (Permission denied)" in ran.err and len(ran.err.strip().splitlines()) == 1
    assert list(folder.iterdir()) == []
