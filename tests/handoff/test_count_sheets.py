"""Count sheets: every figure against its own recomputation, bytes that do not change, cells that cannot run, pages that fit."""

from __future__ import annotations

import csv
import datetime
import io
import re
from fractions import Fraction

import openpyxl
import pytest
from fights import phrase, sequence, take, tape, treatment
from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut.codes import with_codes
from previs.document.model import Card, Cut, Footage, Kind, Role, Sequence, Shot, Size
from previs.exchange.cmx3600 import write_edl
from previs.exchange.lists import as_csv_text
from previs.fight.checks import checks
from previs.handoff.contact_rows import contact_rows
from previs.handoff.count_rows import element_rows, frame_rows, pull_rows, settle_rows
from previs.handoff.count_sheets import CountTables, pdf_bytes, workbook_bytes
from previs.handoff.pull_log import Log, Planned, plan
from previs.handoff.pulls import pulls_of
from previs.handoff.sheet_files import Paper

FPS = 24
TODAY = datetime.date(2026, 3, 9)
TREATMENTS = (
    treatment(Fraction(31, 8), Fraction(19, 4)),
    treatment(Fraction(9, 2), Fraction(47, 5), kind=Kind.FACE_REPLACEMENT, role="Reeve"),
    treatment(1, 2, reel="B1", kind=Kind.RIG_REMOVAL),
)


def fight(note: str = "") -> Sequence:
    shots = (
        Shot("s1", 40, Footage("T1", 80)),
        Shot("s2", 30, Card("the fall")),
        Shot("s3", 50, Footage("T1", 96, Fraction(7, 5))),
        Shot("s4", 20, Footage("T2", 50, Fraction(-1))),
        Shot("s5", 12, Footage("T1", 400)),
    )
    made = sequence(
        phrases=(phrase(1, range(1, 3)),),
        tapes=(tape("A1", start_frame=5000), tape("B1")),
        takes=(take("T1", {1: 4}, size=Size.MEDIUM_WIDE), take("T2", {}, reel="B1")),
        treatments=tuple(changed(mark, note=note) for mark in TREATMENTS),
        cuts=(Cut("v1", shots, 200),),
    )
    return with_codes(made, "v1")


def planned_for(made: Sequence) -> tuple[Planned, ...]:
    return plan(made, pulls_of(made, made.cut("v1")), Log(made.title), ())


def label(frame: int) -> str:
    return f"{frame // FPS // 3600:02d}:{frame // FPS // 60 % 60:02d}:{frame // FPS % 60:02d}:{frame % FPS:02d}"


def test_every_figure_equals_a_count_frame_by_frame() -> None:
    made = fight()
    rows = element_rows(made, planned_for(made), {("010", "Reeve"): 212})
    found = []
    at, starts = 0, {"A1": 5000, "B1": 0}
    for number, shot in enumerate(made.cut("v1").shots, start=1):
        if isinstance(shot.picture, Footage):
            reel = made.take(shot.picture.take).reel
            shown = [frame_played(shot.picture.first_frame, shot.picture.speed, k) for k in range(shot.frames)]
            for mark in made.treatments:
                # A frame is treated when its moment on the tape lies in the marked stretch.
                hit = [k for k, frame in enumerate(shown) if mark.reel == reel and mark.start <= Fraction(frame, FPS) < mark.end_exclusive]
                if hit:
                    span = range(min(shown), max(shown) + 1)
                    inside = [frame for frame in span if mark.start <= Fraction(frame, FPS) < mark.end_exclusive]
                    base = 1001 + 8 - min(shown)
                    record = [label(86400 + at + k) for k in (hit[0], hit[-1] + 1)]
                    tape_time = [label(starts[reel] + frame) for frame in (inside[0], inside[-1] + 1)]
                    found.append((number, str(mark.kind), mark.role, *record, len(hit), *tape_time, base + inside[0], base + inside[-1]))
        at += shot.frames
    columns = ("shot", "kind", "role", "record in", "record out", "frames", "tape in", "tape out", "first", "last")
    assert sorted(tuple(row[column] for column in columns) for row in rows) == sorted(found)
    assert len(found) == 5
    heads = {(row["pull"], row["role"]): row["head px"] for row in rows}
    assert heads[("SALT_010_v001", "Reeve")] == 212
    assert heads[("SALT_010_v001", "Odile")] is None
    assert {row["replacement"] for row in rows if row["kind"] == "face replacement"} == {"look closely"}


def test_takeover_frames_stand_on_the_tape_where_the_marks_are() -> None:
    made = fight()
    told = 0
    for row in element_rows(made, planned_for(made)):
        if row["kind"] != "digital double":
            assert row["digital from"] is None
            continue
        told += 1
        pull = next(one.pull for one in planned_for(made) if one.entry.name == row["pull"])
        double = [n for n in range(pull.first, pull.last + 1) if 93 <= pull.tape.start + n - pull.first < 114]
        assert (row["digital from"], row["digital to"]) == (double[0], double[-1])
        assert row["performer until"] == (double[0] - 1 if double[0] > pull.first else None)
        assert row["performer from"] == (double[-1] + 1 if double[-1] < pull.last else None)
    assert told == 2


def test_a_pull_row_and_the_frames_of_a_shot_at_another_speed() -> None:
    made = fight()
    planned = planned_for(made)
    rows = {row["pull"]: row for row in pull_rows(made, planned)}
    assert list(rows) == ["SALT_010_v001", "SALT_030_v001", "SALT_040_v001"]
    row = rows["SALT_030_v001"]
    assert (row["speed"], row["shot frames"], row["frames"], row["last"]) == (1.4, 50, 69 + 16, 1001 + 84)
    assert (row["tape in"], row["tape out"]) == (label(5096), label(5096 + 69))
    assert "backwards from 1028" in str(rows["SALT_040_v001"]["remarks"])
    mapped = [line["pull frame"] for line in frame_rows(made, planned) if line["pull"] == "SALT_030_v001"]
    assert mapped == [1009 + k * 7 // 5 for k in range(50)]
    assert {line["pull"] for line in frame_rows(made, planned)} == {"SALT_030_v001", "SALT_040_v001"}


def test_an_element_tells_where_its_mark_goes_on_in_the_handles_and_what_the_actor_learns() -> None:
    made = changed(fight(), cast=(Role("Odile", "Juno Vale", ("Pim Oster",)), Role("Reeve", "Abel Quist", ())))
    fps = made.timebase.rate.fps
    rows = element_rows(made, planned_for(made))
    for row in rows:
        pull = next(one.pull for one in planned_for(made) if one.entry.name == row["pull"])
        element = next(one for one in pull.elements if (one.first, one.seen.treatment.role) == (row["first"], row["role"]))
        mark = element.seen.treatment
        at = {n: (pull.tape.start + n - pull.first) / fps for n in range(pull.first, pull.last + 1)}
        inside = [n for n in at if mark.start <= at[n] < mark.end_exclusive]
        assert (row["marked first"], row["marked last"]) == (inside[0], inside[-1])
        assert row["tape rate"] == "24 NDF"
    assert any(row["marked last"] != row["last"] for row in rows)
    # Move 1 lands while the digital double has Odile, and before the Reeve's face is replaced.
    assert {row["role"]: row["actor learns"] for row in rows if row["shot"] == 1} == {"Odile": "", "Reeve": "1"}


def test_a_contact_sheet_shows_the_frames_on_either_side_of_a_takeover_and_the_ends_of_any_other_mark() -> None:
    made = fight()
    by_pull = {one.entry.name: contact_rows(one) for one in planned_for(made)}
    first, second = by_pull["SALT_010_v001"]
    takeover = next(one.pull.elements[0].takeover for one in planned_for(made))
    assert takeover is not None
    assert first.shown[:2] == ((takeover.performer_until, "performer"), (takeover.digital_from, "digital"))
    assert "digital double: Odile" in first.caption and "look closely" in second.caption
    replaced = next(one.pull.elements[1] for one in planned_for(made))
    assert [number for number, _ in second.shown] == [replaced.first, (replaced.first + replaced.last) // 2, replaced.last]
    bare = plan(made, pulls_of(made, made.cut("v1"), untreated=True), Log(made.title), ())[-1]
    (only,) = contact_rows(bare)
    assert only.shown[0] == (bare.pull.cut_in, "") and only.shown[-1] == (bare.pull.cut_out, "") and "no treatment" in only.caption


def test_what_visual_effects_must_settle_is_what_the_checks_find_for_them() -> None:
    made = changed(fight(), cast=(Role("Odile", "Juno Vale", ("Pim Oster",)),))
    rows = settle_rows(made, made.cut("v1"))
    found = {one.sentence for one in checks(made, made.cut("v1")) if one.code.value[:3] in ("C08", "C09", "C15", "C17", "C18", "C20")}
    assert rows and {row["what"] for row in rows} == found
    assert all(row["code"] == f"{row['shot']:02d}0" for row in rows if row["shot"])


def test_no_cell_can_run_as_a_formula() -> None:
    made = fight(note='=HYPERLINK("x")\x07')
    rows = element_rows(made, planned_for(made))
    written = workbook_bytes({"elements": rows, "frames": []}, TODAY)
    assert written == workbook_bytes({"elements": rows, "frames": []}, TODAY)
    book = openpyxl.load_workbook(io.BytesIO(written))
    cells = [cell for line in book["elements"].iter_rows() for cell in line]
    assert all(cell.data_type != "f" for cell in cells)
    assert [cell.value for cell in cells if str(cell.value).startswith("'=HYPERLINK")]
    assert all(not field.startswith("=") for line in csv.reader(io.StringIO(as_csv_text(rows))) for field in line)
    assert [line[0].value for line in book["elements"].iter_rows(min_row=2)] == [row["pull"] for row in rows]


@pytest.mark.parametrize(("paper", "points"), [(Paper.A4, (841.89, 595.28)), (Paper.LETTER, (792, 612))])
def test_the_pdf_is_the_same_bytes_each_time_on_either_paper(paper: Paper, points: tuple[float, float]) -> None:
    made = fight(note="<b>& é")
    pulls, elements = pull_rows(made, planned_for(made)), element_rows(made, planned_for(made))

    def drawn(day: datetime.date = TODAY) -> bytes:
        return pdf_bytes("The Salt Stair", "24 frames a second", CountTables(pulls, elements), made_on=day, paper=paper)

    assert drawn() == drawn()
    assert drawn() != drawn(datetime.date(2026, 3, 10))
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", drawn())
    assert box is not None
    assert tuple(map(float, box.groups())) == pytest.approx(points, abs=0.01)


def test_a_pdf_of_many_pulls_and_endless_words_goes_over_pages() -> None:
    made = fight(note="word" * 5000)
    pulls, elements = pull_rows(made, planned_for(made)), element_rows(made, planned_for(made))
    pdf = pdf_bytes("x" * 300, "", CountTables(pulls * 20, elements * 20), made_on=TODAY)
    assert len(re.findall(rb"/Type /Page\b", pdf)) > 3
    assert pdf_bytes("A", "", CountTables(pulls, []), made_on=TODAY).startswith(b"%PDF")


def test_the_edit_list_holds_the_pulls_alone_at_their_place_in_the_cut() -> None:
    made = fight()
    names = {one.pull.placed.number: one.entry.name for one in planned_for(made)}
    (listed,) = write_edl(made, made.cut("v1"), names)
    (whole,) = write_edl(made, made.cut("v1"))
    events = [line[5:] for line in listed.text.split("\r\n") if re.match(r"\d{3}  ", line)]
    every = [line[5:] for line in whole.text.split("\r\n") if re.match(r"\d{3}  ", line)]
    assert events == [every[number - 1] for number in names]
    assert re.findall(r"FROM CLIP NAME: (\S+)", listed.text) == list(names.values())
    assert [line[:3] for line in listed.text.split("\r\n") if re.match(r"\d{3}  ", line)] == ["001", "002", "003"]
