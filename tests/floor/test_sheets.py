"""Sheets on paper, as a drawing and as tables, read back: PDF lines measured in millimetres of paper, DXF by ezdxf, CSV by csv."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import time
import xml.etree.ElementTree as Tree
from math import dist
from pathlib import Path

import ezdxf
import ezdxf.bbox
import numpy as np
import pytest
from floor.reading_pdf import page_size_mm, page_streams, strokes
from floor.salt_plan import ROOM, salt_floor
from floor.test_tape_out import DAY, LAID, salt_sheet, sheet_of
from msgspec.structs import replace

from previs.document.floor import Floor, LineKind, PlanLine, Room
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.floor.measuring_units import Units
from previs.floor.sheet_csv import POINT_COLUMNS, others_csv, points_csv
from previs.floor.sheet_dxf import layer_of, sheet_dxf
from previs.floor.sheet_folder import SheetsWanted, write_tape_outs
from previs.floor.sheet_full_size import full_size_pdf
from previs.floor.sheet_pdf import sheet_pdf
from previs.floor.sheet_scale import SheetPaper
from previs.floor.sheet_tiles import MOST_TILES, tiled
from previs.floor.tape_out import NO_FALL, TapeOut, tape_outs
from previs.progress import Step, Stopped

needs_reader = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext to read the pages back with")
PAPER = [
    # The largest usual scale at which the room of 16 x 9 m fits; ISO 216, and ANSI/ASME Y14.1 for Letter, in millimetres.
    (SheetPaper.A4, Units.METRIC, 75, (297, 210)),
    (SheetPaper.A3, Units.METRIC, 50, (420, 297)),
    (SheetPaper.LETTER, Units.IMPERIAL, 96, (279.4, 215.9)),
    (SheetPaper.LETTER, Units.METRIC, 75, (279.4, 215.9)),
    (SheetPaper.TABLOID, Units.IMPERIAL, 48, (431.8, 279.4)),
]


@pytest.mark.parametrize(("paper", "units", "scale", "size"), PAPER)
def test_the_plan_measures_what_it_should_at_its_scale(paper: SheetPaper, units: Units, scale: int, size: tuple[float, float]) -> None:
    data = sheet_pdf(salt_sheet(units), paper, None)
    assert page_size_mm(data, 0) == pytest.approx(size, abs=0.01)
    found = strokes(page_streams(data)[0])
    room = found[0].corners
    assert dist(room[0], room[1]) == pytest.approx(16_000 / scale, abs=0.01)
    assert dist(room[1], room[2]) == pytest.approx(9000 / scale, abs=0.01)
    # Every line of tape is on the page where it lies in the room, told from the room's own corner on paper.
    drawn = [np.round(np.subtract(stroke.corners, room[0]) * scale, 0).tolist() for stroke in found]
    for line in replace(salt_floor(), laid=(LAID,)).lines:
        expected = [[x + LAID.shift_x_mm, y + LAID.shift_y_mm] for x, y in line.points]
        expected += expected[:1] * line.closed
        assert any(len(one) == len(expected) and np.abs(np.subtract(one, expected)).max() <= 1 for one in drawn), line.name
    # And nothing is drawn beyond the paper.
    corners = np.array([corner for stroke in found for corner in stroke.corners])
    assert corners.min() > 0 and (corners < size).all()


def test_the_scale_bar_is_whole_metres_at_the_scale() -> None:
    found = strokes(page_streams(sheet_pdf(salt_sheet(), SheetPaper.A4, None))[0])
    bars = [one.corners for one in found if len(one.corners) == 5 and 1 < one.corners[2][1] - one.corners[0][1] < 2]
    assert len(bars) >= 4 and all(bar[1][0] - bar[0][0] == pytest.approx(1000 / 75, abs=0.01) for bar in bars)


def test_a_scale_given_is_kept_or_refused_in_one_sentence() -> None:
    room = strokes(page_streams(sheet_pdf(salt_sheet(), SheetPaper.A4, 120))[0])[0].corners
    assert dist(room[0], room[1]) == pytest.approx(16_000 / 120, abs=0.01)
    with pytest.raises(UseFault, match=r"does not fit on a4 at 1:50; the largest usual scale is 1:75\. Take that, larger paper"):
        sheet_pdf(salt_sheet(), SheetPaper.A4, 50)


def test_a_tall_room_is_drawn_on_a_standing_page_and_its_tables_lie() -> None:
    tall = replace(
        salt_floor(), room=Room(9000, 16_000, (0, 0), (9000, 0)), laid=(replace(LAID, turn_millidegrees=90_000, shift_x_mm=6000),)
    )
    data = sheet_pdf(sheet_of(tall), SheetPaper.A4, None)
    assert page_size_mm(data, 0) == pytest.approx((210, 297), abs=0.01) and page_size_mm(data, 1) == pytest.approx((297, 210), abs=0.01)


def test_the_swing_of_a_door_goes_to_the_side_told() -> None:
    found = strokes(page_streams(sheet_pdf(salt_sheet(), SheetPaper.A4, None))[0])
    swings = [np.subtract(one.corners, found[0].corners[0]) * 75 for one in found if one.width == 0.9 and len(one.corners) == 2]
    leaf, arc, second_leaf, second_arc = (one - (LAID.shift_x_mm, LAID.shift_y_mm) for one in swings[:4])
    # From the hinge at (5000, 850) the first door opens to its left, back into the corridor; the second to its right, onto the landing.
    assert np.abs(leaf - ((5000, 850), (4100, 850))).max() < 2 and np.abs(second_leaf - ((9500, 900), (10_300, 900))).max() < 2
    # The quarter circle leads from the latch to the end of the open leaf.
    assert np.abs(arc - ((5000, 1750), (4100, 850))).max() < 2 and np.abs(second_arc - ((9500, 1700), (10_300, 900))).max() < 2


@needs_reader
@pytest.mark.parametrize(("paper", "units", "scale", "size"), PAPER)
def test_every_number_is_on_the_plan_and_none_on_another(
    paper: SheetPaper, units: Units, scale: int, size: tuple[float, float], tmp_path: Path
) -> None:
    sheet = salt_sheet(units)
    boxes = words_on(sheet_pdf(sheet, paper, None), 1, tmp_path)
    labels, foot = {point.label for point in sheet.points}, size[1] * 72 / 25.4 - 100
    # Numbers are the tallest words of the drawing; head and foot of the page have others.
    numbers = [(word, box) for word, box in boxes if word in labels and box[1] > 62 and box[3] < foot and box[3] - box[1] > 8.9]
    assert sorted(int(word) for word, _ in numbers) == list(range(1, 33))
    for at, (word, box) in enumerate(numbers):
        for other, beside in numbers[at + 1 :]:
            apart = box[2] <= beside[0] or beside[2] <= box[0] or inked(box)[3] <= inked(beside)[1] or inked(beside)[3] <= inked(box)[1]
            assert apart, (word, other)


def inked(box: tuple[float, ...]) -> tuple[float, ...]:
    """The part of a word's box that figures cover: the reader gives the height of the whole face."""
    high = box[3] - box[1]
    return box[0], box[1] + 0.2 * high, box[2], box[3] - 0.2 * high


def words_on(data: bytes, page: int, folder: Path) -> list[tuple[str, tuple[float, ...]]]:
    """The words of a page with their boxes in points, y from the top, by a reader that has nothing to do with the writer."""
    (folder / "sheet.pdf").write_bytes(data)
    order = ["pdftotext", "-bbox", "-f", str(page), "-l", str(page), "sheet.pdf", "-"]
    told = subprocess.run(order, cwd=folder, capture_output=True, check=True).stdout.decode("utf-8")
    words = Tree.fromstring(told).iter("{http://www.w3.org/1999/xhtml}word")
    return [(one.text or "", tuple(float(one.attrib[side]) for side in ("xMin", "yMin", "xMax", "yMax"))) for one in words]


@needs_reader
@pytest.mark.parametrize("units", Units)
def test_the_pages_say_what_is_to_be_read_and_heeded(units: Units, tmp_path: Path) -> None:
    (tmp_path / "sheet.pdf").write_bytes(sheet_pdf(salt_sheet(units), SheetPaper.LETTER, None))
    told = subprocess.run(["pdftotext", "-layout", "sheet.pdf", "-"], cwd=tmp_path, capture_output=True, check=True).stdout.decode()
    flat = " ".join(told.split())
    for said in (
        "Tape-out: The Salt Stair", "25 November 2026", NO_FALL, "not for building or rigging", "qualified riggers and local codes",
        "7 steps, each", "Right angles", "Diagonals", "Doors", "Tape to bring", "common practice", "salt cart", "quay",
    ):  # fmt: skip
        assert said in flat, said
    assert ("1:75" if units is Units.METRIC else '1/8" = 1 ft (1:96)') in flat
    # Point 9, the salt cart's corner at (7900, 4075): 8.889 m from A and 9.066 m from B (by hand), as each is read.
    assert ("8.890 m" in flat and "9.065 m" in flat) if units is Units.METRIC else ("29' 2\"" in flat and "29' 9\"" in flat)


@pytest.mark.parametrize("paper", [SheetPaper.A4, SheetPaper.A3])
def test_full_size_pages_hold_every_line_at_its_own_length(paper: SheetPaper) -> None:
    sheet = salt_sheet()
    pages = page_streams(full_size_pdf(sheet, paper))
    tiles = tiled(sheet, paper)
    assert len(pages) == len(tiles.tiles) + 1 <= MOST_TILES + 1
    taped = dict.fromkeys(LineKind, 0.0)
    for tile, stream in zip(tiles.tiles, pages[1:], strict=True):
        drawn = [one for one in strokes(stream) if one.width in (3.2, 2.4, 1.8, 1.3)]
        assert len(drawn) == len(tile.pieces)
        for stroke, (kind, start, end) in zip(drawn, tile.pieces, strict=True):
            # One millimetre of floor is one of paper, and pages that are joined edge to edge go on where the last one ended.
            assert dist(*stroke.corners) == pytest.approx(dist(start, end), abs=0.01)
            room = [(x - 10 + tile.at[0], y - 19 + tile.at[1]) for x, y in stroke.corners]
            assert np.abs(np.subtract(room, (start, end))).max() < 0.01
            taped[kind] += dist(*stroke.corners)
    assert taped[LineKind.STEP] == pytest.approx(21_000, abs=1) and taped[LineKind.DROP] == pytest.approx(3800, abs=1)
    assert taped[LineKind.WALL] == pytest.approx(next(need.net_mm for need in sheet.needs if need.kind is LineKind.WALL), abs=1)


def test_a_full_size_page_has_a_bar_to_check_the_print_by() -> None:
    for units, length in ((Units.METRIC, 100), (Units.IMPERIAL, 101.6)):
        found = strokes(page_streams(full_size_pdf(salt_sheet(units), SheetPaper.A4))[1])
        assert any(one.width == 1 and dist(one.corners[0], one.corners[-1]) == pytest.approx(length, abs=0.01) for one in found)


def test_far_too_many_full_size_pages_are_refused_in_one_sentence() -> None:
    wall = PlanLine(LineKind.WALL, ((0, 0), (900_000, 700_000)))
    long = sheet_of(Floor((wall,), room=Room(10**6, 10**6, (0, 0), (10**6, 0)), laid=(LAID,)))
    with pytest.raises(UseFault, match=r"the pages of a4 are far more than the 600 that are made; take larger paper with --paper"):
        full_size_pdf(long, SheetPaper.A4)


def test_the_drawing_read_by_ezdxf_is_the_room_in_millimetres() -> None:
    sheet = salt_sheet()
    drawing = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8")))  # type: ignore[attr-defined]
    assert drawing.header["$INSUNITS"] == 4 and not drawing.audit().errors
    space = drawing.modelspace()
    box = ezdxf.bbox.extents(space.query('LWPOLYLINE[layer=="ROOM"]'))
    assert box.size.x == 16_000 and box.size.y == 9000
    for kind in {line.kind for line in salt_floor().lines}:
        lines = sorted(tuple((round(x), round(y)) for x, y, *_ in one) for one in space.query(f'LWPOLYLINE[layer=="{layer_of(kind)}"]'))
        assert lines == sorted(
            tuple((x + LAID.shift_x_mm, y + LAID.shift_y_mm) for x, y in line.points) for line in salt_floor().lines if line.kind is kind
        )
    numbers = {one.dxf.text: one.dxf.insert for one in space.query('TEXT[layer=="NUMBERS"]')}
    assert set(numbers) == {*(str(n) for n in range(1, 33)), "A", "B"}
    assert all(dist(numbers[point.label].vec2, point.at) < 60 for point in sheet.points)
    assert {one.dxf.text for one in space.query('TEXT[layer=="WORDS"]')} >= {NO_FALL, "corridor"}


def test_points_as_csv_are_the_points() -> None:
    sheet = salt_sheet()
    rows = list(csv.DictReader(io.StringIO(points_csv(sheet).decode("utf-8"), newline="")))
    assert tuple(rows[0]) == POINT_COLUMNS and [row["point"] for row in rows] == [str(n) for n in range(1, 33)]
    fixed = {"A": np.array(ROOM.datum_a), "B": np.array(ROOM.datum_b)}
    for row in rows:
        at = np.array([float(row["x_mm"]), float(row["y_mm"])])
        fixed[row["point"]] = at
        for held, exact, read in (("hold", "reads_mm", "reads"), ("hold_2", "reads_2_mm", "reads_2"), ("check_from", "check_mm", "check")):
            if row[held]:
                length = float(np.linalg.norm(at - fixed[row[held]]))
                assert float(row[exact]) == pytest.approx(length, abs=0.051)
                assert float(row[read].removesuffix(" m")) * 1000 == pytest.approx(length, abs=2.51)


def test_the_other_tables_as_csv_run_no_formula_and_keep_names() -> None:
    line = PlanLine(LineKind.DOOR, ((0, 0), (900, 0)), name='=HYPERLINK("x"), "hatch"\nÅ')
    sheet = sheet_of(Floor((line,), room=ROOM, laid=(LAID,)))
    told = list(csv.reader(io.StringIO(others_csv(sheet).decode("utf-8"), newline="")))
    assert ["doors", "'" + line.name, "1", "2", "0.900 m", "not known"] in [row[:6] for row in told]
    assert len({len(row) for row in told}) == 1
    texts = {one.dxf.text for one in ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8"))).modelspace().query("TEXT")}  # type: ignore[attr-defined]
    assert {"1", "2", "A", "B"} <= texts


@pytest.mark.parametrize("units", Units)
def test_the_same_sheet_gives_the_same_bytes(units: Units, monkeypatch: pytest.MonkeyPatch) -> None:
    def made() -> list[bytes]:
        sheet = salt_sheet(units)
        return [
            sheet_pdf(sheet, SheetPaper.A4, None),
            full_size_pdf(sheet, SheetPaper.A3),
            sheet_dxf(sheet),
            points_csv(sheet),
            others_csv(sheet),
        ]

    before = made()
    later = time.time() + 400_000_000
    monkeypatch.setattr(time, "time", lambda: later)
    assert made() == before


def crowded() -> TapeOut:
    """A ring of 120 points on a floor of 60 x 40 m, as a curve gives them, more than a small page has room for."""
    ring = tuple((round(20_000 + 3000 * np.cos(n * np.pi / 60)), round(10_000 + 3000 * np.sin(n * np.pi / 60))) for n in range(120))
    room = Room(60_000, 40_000, (0, 0), (60_000, 0))
    floor = Floor((PlanLine(LineKind.OTHER, ring, closed=True, name="N" * 300),), room=room, laid=(LAID,))
    return tape_outs(floor, "T" * 300, "x.previs", DAY, Units.METRIC)[0]


@needs_reader
def test_a_crowded_plan_is_drawn_and_numbers_without_room_are_told(tmp_path: Path) -> None:
    sheet = crowded()
    data = sheet_pdf(sheet, SheetPaper.A4, None)
    words = [word for word, _ in words_on(data, 1, tmp_path)]
    missing = {word for point in sheet.points if (word := point.label) not in words}
    assert not missing or "room" in words


def test_sheets_that_are_stopped_leave_nothing_half_written(tmp_path: Path) -> None:
    steps: list[Step] = []

    def stop(step: Step) -> None:
        steps.append(step)
        if step.done == step.total:
            raise Stopped

    laid = replace(salt_floor(), laid=(LAID,))
    made = replace(Sequence(title="Salt", rate_name="24", start_frame=0, target_frames=24), floor=laid)
    with pytest.raises(Stopped):
        write_tape_outs(made, tmp_path / "salt.previs", tmp_path / "out", SheetsWanted(), DAY, print, stop)
    assert [(step.done, step.total) for step in steps] == [(0, 1), (1, 1)] and not (tmp_path / "out").exists()
    write_tape_outs(made, tmp_path / "salt.previs", tmp_path / "out", SheetsWanted(), DAY, print)
    assert (tmp_path / "out" / "tapeout.pdf").stat().st_size > 5000
