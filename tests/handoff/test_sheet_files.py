"""Sheets as files: the same bytes each time, nothing that runs as a formula, and nothing lost or beside the page."""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
import time
from pathlib import Path

import openpyxl
import pytest
from PIL import Image

from previs.handoff.cautions import DEFER, cautions
from previs.handoff.sheet_files import Paper, csv_bytes, workbook_bytes
from previs.handoff.sheet_pages import column_widths, pdf_bytes
from previs.handoff.sheets import Pictures, Sheet, Still, Table, Value

NASTY = ('=HYPERLINK("http://x")', "+1", "-2", "@SUM(A1)", "\tx", "'=1", "<b>a & b</b>", "Zoë Ōkami Þór", "line\nbreak", "")
STILL = Still("A1", 12)


def made(rows: tuple[tuple[Value, ...], ...], stills: tuple[Still | None, ...] = ()) -> Sheet:
    table = Table("wires", "Wires <in> the cut", ("shot", "note", "count"), rows, "None.", stills=stills)
    return Sheet("rigging", "Rigging", (("Sequence", "Salt & <Stair>"), ("Cut", "v1"), ("Date", "2026-11-25")), (table,), cautions("Mind."))


def nasty() -> Sheet:
    return made(tuple((number, text, None) for number, text in enumerate(NASTY)))


def picture(wide: int = 36, high: int = 64) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (wide, high), "#A8281E").save(held, "JPEG")
    return held.getvalue()


@pytest.mark.parametrize("paper", Paper)
def test_the_same_sheet_gives_the_same_bytes(paper: Paper, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = made((("1", "a", 1),), (STILL,))
    written = [pdf_bytes(sheet, paper, {STILL: picture()}), workbook_bytes(sheet), csv_bytes(sheet.tables[0])]
    later = time.time() + 400_000_000
    monkeypatch.setattr(time, "time", lambda: later)
    assert [pdf_bytes(sheet, paper, {STILL: picture()}), workbook_bytes(sheet), csv_bytes(sheet.tables[0])] == written


def test_a_workbook_carries_the_date_of_the_sheet_alone() -> None:
    properties = openpyxl.load_workbook(io.BytesIO(workbook_bytes(nasty()))).properties
    assert str(properties.created) == str(properties.modified) == "2026-11-25 00:00:00"


def test_no_cell_of_a_workbook_or_a_csv_runs_as_a_formula() -> None:
    sheet = nasty()
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(sheet)))
    assert book.sheetnames == ["about", "wires"]
    cells = [cell for page in book for row in page.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert cells and all(cell.data_type == "s" and not re.match(r"[=+\-@\t]", cell.value) for cell in cells)
    told = list(csv.reader(io.StringIO(csv_bytes(sheet.tables[0]).decode("utf-8"), newline="")))
    assert [row[1] for row in told[1:6]] == ["'" + text for text in NASTY[:5]]
    assert told[7][1] == "<b>a & b</b>" and told[9][1] == "line\nbreak"
    front = [[cell.value for cell in row] for row in book["about"].iter_rows()]
    assert ["Caution", DEFER] in front and ["Sequence", "Salt & <Stair>"] in front


def test_columns_fill_the_page_and_hold_their_longest_word() -> None:
    pdf_bytes(nasty(), Paper.A4, {})  # the faces are known from the first sheet on
    table = Table("t", "T", ("a", "much", "longer header"), (("x", "word " * 200, "y"), (1, None, "unbreakable-" * 3)), "None.")
    for width in (750.0, 400.0):
        widths = column_widths(table, width)
        assert sum(widths) == pytest.approx(width) and min(widths) > 0
    assert column_widths(table, 750.0)[1] == max(column_widths(table, 750.0))
    # When nothing fits, all shrink alike.
    crowded = Table("t", "T", tuple(f"c{n}" for n in range(40)), (("w" * 30,) * 40,), "None.")
    assert column_widths(crowded, 400.0) == pytest.approx([10.0] * 40)


def pages(data: bytes, folder: Path) -> list[str]:
    """The text of each page, by a reader that has nothing to do with the writer."""
    (folder / "sheet.pdf").write_bytes(data)
    ran = subprocess.run(["pdftotext", "-layout", "sheet.pdf", "-"], cwd=folder, capture_output=True, check=True)
    return ran.stdout.decode("utf-8").split("\f")[:-1]


needs_reader = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext to read the pages back with")


@needs_reader
@pytest.mark.parametrize("paper", Paper)
def test_a_long_sheet_goes_on_over_pages_and_loses_no_row(paper: Paper, tmp_path: Path) -> None:
    sheet = made(tuple((f"shot{n:03d}", "a note that goes on " * 8, n) for n in range(120)))
    told = pages(pdf_bytes(sheet, paper, {}), tmp_path)
    assert len(told) > 3 and all(f"page {n}" in text and "Salt & <Stair>" in text for n, text in enumerate(told, start=1))
    assert all("shot" in text and "count" in text for text in told), "the header stands on every page"
    assert re.findall(r"shot\d{3}", " ".join(told)) == [f"shot{n:03d}" for n in range(120)]
    assert DEFER in " ".join(told[0].split())


@needs_reader
@pytest.mark.parametrize("paper", Paper)
def test_a_cell_longer_than_a_page_and_a_word_wider_than_one_are_drawn(paper: Paper, tmp_path: Path) -> None:
    sheet = made((("1", "tale " * 4000, 1), ("2", "x" * 900, 2), ("3", "last", 3)))
    told = pages(pdf_bytes(sheet, paper, {}), tmp_path)
    assert "last" in told[-1]


@needs_reader
def test_a_still_that_is_missing_is_said_in_its_row(tmp_path: Path) -> None:
    there: Pictures = {STILL: picture(360, 20)}
    sheet = made((("1", "a", 1), ("2", "b", 2), ("3", "c", 3)), (STILL, None, Still("B1", 3)))
    told = "".join(pages(pdf_bytes(sheet, Paper.LETTER, there), tmp_path))
    assert told.count("no picture") == 2


def test_a_title_longer_than_the_foot_of_a_page_is_shortened_there() -> None:
    # The foot was cut by the four characters that were then put on again, for ever.
    sheet = made((("1", "a", 1),))
    long = Sheet(sheet.name, sheet.title, (("Sequence", "S" * 3000), *sheet.head[1:]), sheet.tables, sheet.cautions)
    assert pdf_bytes(long, Paper.LETTER, {}).startswith(b"%PDF")
