"""The cue sheet of the sample: a table for each role, cautions on it, the same bytes each time."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pytest
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor
from openpyxl import load_workbook

from previs.faults import UseFault
from previs.floor.cues import cues
from previs.floor.routes_table import read_ways
from previs.handoff.cue_sheets import cue_sheet, write_cues
from previs.handoff.sheet_files import Paper, workbook_bytes

MADE = date(2026, 3, 1)


def test_the_sheet_has_a_table_for_each_role_and_its_cautions(sample_media: Path) -> None:
    sequence, cut = salt_fight(sample_media, salt_floor())
    sequence = read_ways([sample_media / "floor" / "routes.csv"], sequence).sequence
    sheet = cue_sheet(sequence, cut, cues(sequence, cut), MADE)
    assert [table.title for table in sheet.tables] == ["Reeve", "Odile"]
    assert sheet.tables[1].rows[1] == (
        "on move 11", 2, 5, "back, then through the first door, which opens towards you (0.7 s after the hit)", 3.8, 1.3, "first door",
    )  # fmt: skip
    assert any("Defer to the stunt coordinator" in caution for caution in sheet.cautions)
    assert not any("not drawn by anybody" in caution for caution in sheet.cautions)
    book = load_workbook(io.BytesIO(workbook_bytes(sheet)))
    assert book.sheetnames == ["about", "role 1", "role 2"]


def test_a_sheet_of_guessed_routes_says_so(sample_media: Path) -> None:
    sequence, _ = salt_fight(sample_media, salt_floor())
    sheet = cue_sheet(sequence, None, cues(sequence, None), MADE)
    assert any("not drawn by anybody" in caution for caution in sheet.cautions)
    assert dict(sheet.head)["Cut"] == "none yet, so no times"


def test_files_are_the_same_each_time(sample_media: Path, tmp_path: Path) -> None:
    sequence, cut = salt_fight(sample_media, salt_floor())
    for ending in ("pdf", "xlsx", "csv", "txt"):
        files = [tmp_path / f"{name}.{ending}" for name in "ab"]
        for file in files:
            write_cues(sequence, cut, cues(sequence, cut), file, Paper.A4, MADE)
        assert files[0].read_bytes() == files[1].read_bytes()
    with pytest.raises(UseFault, match=r"end its name in \.pdf, \.xlsx, \.csv or \.txt"):
        write_cues(sequence, cut, (), tmp_path / "cues", Paper.A4, MADE)
