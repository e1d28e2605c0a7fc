"""Plans and rooms as tables: read, refused by row and column, and written back without loss."""

from __future__ import annotations

from pathlib import Path

import pytest
from floor.salt_plan import LINES, PLACES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from previs.document.floor import LineKind, NamedPlace, PlanLine
from previs.exchange.table_files import TableFaults, write_table
from previs.floor.metres import metres_mm
from previs.floor.plan_table import plan_frame, read_plan_table

HEAD = "kind,x1,y1,x2,y2,points,name,height,hinge,opens\n"


def table(folder: Path, text: str, head: str = HEAD) -> Path:
    path = folder / "plan.csv"
    path.write_text(head + text, encoding="utf-8")
    return path


def faults(folder: Path, text: str, head: str = HEAD) -> list[str]:
    with pytest.raises(TableFaults) as told:
        read_plan_table(table(folder, text, head))
    return [str(fault) for fault in told.value.faults]


def test_each_kind_of_row(tmp_path: Path) -> None:
    text = (
        "wall,0,0,5,0,,,,,\n"
        'wall,,,,,"0 0; 4 0; 4 3; 0 3; 0 0",store,,,\n'
        "door,5,0.85,5,1.75,,first door,,second,left\n"
        "Step,0,0,0,\u22122.5 m,,,0.17,,\n"
        'drop,0,"0,5",3,"0,5",,quay,2.4,,\n'
        "column,1,1,1.4,1.3,,,,,\n"
        "column,,,,,1 1; 2 1; 2 2,cart,,,\n"
        "place,2.5,1.3,,,,corridor,,,\n"
    )
    lines, places = read_plan_table(table(tmp_path, text))
    assert lines == (
        PlanLine(LineKind.WALL, ((0, 0), (5000, 0))),
        PlanLine(LineKind.WALL, ((0, 0), (4000, 0), (4000, 3000), (0, 3000)), True, "store"),
        PlanLine(LineKind.DOOR, ((5000, 1750), (5000, 850)), name="first door", opens_left=True),
        PlanLine(LineKind.STEP, ((0, 0), (0, -2500)), height_mm=170),
        PlanLine(LineKind.DROP, ((0, 500), (3000, 500)), name="quay", height_mm=2400),
        PlanLine(LineKind.COLUMN, ((1000, 1000), (1400, 1000), (1400, 1300), (1000, 1300)), True),
        PlanLine(LineKind.COLUMN, ((1000, 1000), (2000, 1000), (2000, 2000)), True, "cart"),
    )
    assert places == (NamedPlace("corridor", (2500, 1300)),)


def test_a_sketch_needs_few_columns(tmp_path: Path) -> None:
    lines, _ = read_plan_table(table(tmp_path, "wall;0;0;5,2;0\n", "kind;x1;y1;x2;y2\n"))
    assert lines == (PlanLine(LineKind.WALL, ((0, 0), (5200, 0))),)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("roof,0,0,5,0,,,,,", "row 2, column kind: 'roof' is not one of: wall"),
        (",0,0,5,0,,,,,", "row 2, column kind: is blank"),
        ("wall,0,0,5,,,,,,", "row 2, column y2: is blank"),
        ("wall,0,0,five,0,,,,,", "row 2, column x2: 'five' is not a length"),
        ("wall,0,0,nan,0,,,,,", "row 2, column x2: 'nan' is not a length"),
        ("wall,0,0,99999,0,,,,,", "row 2, column x2: '99999' is not a length from -10000 to 10000 m"),
        ("wall,0,0,0,0,,,,,", "row 2, column x2: the line has no length"),
        ("wall,0,0,5,0,1 1; 2 2,,,,", "row 2, column x1: the row has points as well"),
        ('wall,,,,,"0,0; 5,0",,,,', "row 2, column points: '0,0' is not a point"),
        ("wall,,,,,1 1,,,,", "row 2, column points: the line has no length"),
        ("wall,,,,,0 0; 1 1 1,,,,", "row 2, column points: '1 1 1' is not a point"),
        ("wall,0,0,5,0,,,2.4,,", "row 2, column height: is for steps and drops"),
        ("drop,0,0,5,0,,,-2.4,,", "row 2, column height: '-2.4' is not above nothing"),
        ("wall,0,0,5,0,,,,first,", "row 2, column hinge: is for doors"),
        ("door,0,0,5,0,,,,third,", "row 2, column hinge: 'third' is not one of: first, second"),
        ("door,0,0,5,0,,,,,inwards", "row 2, column opens: 'inwards' is not one of: left, right"),
        ("door,,,,,0 0; 1 0; 1 1,,,,", "row 2, column points: a door is one straight opening"),
        ("place,1,1,,,,,,,", "row 2, column name: is blank"),
        ("place,1,1,2,2,,corridor,,,", "row 2, column x2: a place is one spot"),
    ],
)
def test_what_cannot_be_is_said_by_row_and_column(tmp_path: Path, row: str, said: str) -> None:
    assert any(said in fault for fault in faults(tmp_path, row + "\n")), faults(tmp_path, row + "\n")


def test_all_faults_are_told_at_once_and_a_table_without_lines_is_none(tmp_path: Path) -> None:
    assert len(faults(tmp_path, "roof,0,0,5,0,,,,,\nwall,0,0,x,y,,,,,\n")) == 3
    assert "holds no line" in faults(tmp_path, "place,1,1,,,,corridor,,,\n")[0]
    assert "column colour: is not a column" in faults(tmp_path, "wall,0\n", "kind,colour\n")[0]
    assert any("kind: is missing" in fault for fault in faults(tmp_path, "0,0\n", "x1,y1\n"))


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_the_set_is_written_and_read_back_without_loss(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"plan{ending}"
    write_table(plan_frame(LINES, PLACES), path)
    assert read_plan_table(path) == (LINES, PLACES)


WHOLE = st.integers(-10_000_000, 10_000_000)
NAMES = st.text(st.characters(categories=("L", "N"), max_codepoint=0x24F), max_size=8)


@st.composite
def plan_lines(draw: st.DrawFn) -> PlanLine:
    kind = draw(st.sampled_from(LineKind))
    door = kind is LineKind.DOOR
    spots = tuple(draw(st.lists(st.tuples(WHOLE, WHOLE), min_size=2, max_size=2 if door else 5, unique=True)))
    closed = len(spots) > 2 and (kind is LineKind.COLUMN or draw(st.booleans()))
    high = draw(st.none() | st.integers(1, 9000)) if kind in (LineKind.STEP, LineKind.DROP) else None
    return PlanLine(kind, spots, closed, draw(NAMES), high, draw(st.none() | st.booleans()) if door else None)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(plan_lines(), min_size=1, max_size=6), st.lists(st.builds(NamedPlace, NAMES.filter(bool), st.tuples(WHOLE, WHOLE)), max_size=3)
)
def test_any_plan_comes_back_from_its_table(tmp_path: Path, lines: list[PlanLine], places: list[NamedPlace]) -> None:
    write_table(plan_frame(tuple(lines), tuple(places)), tmp_path / "any.csv")
    assert read_plan_table(tmp_path / "any.csv") == (tuple(lines), tuple(places))


@pytest.mark.parametrize(
    ("text", "mm"), [("0.85", 850), ("0,85 m", 850), (".5", 500), ("\u22121", -1000), ("1.0004", 1000), ("10000", 10**7), ("10001", None),
                     ("", None), ("1e3", None), ("٣", None), ("1 2", None), ("85cm", None)],
)  # fmt: skip
def test_metres(text: str, mm: int | None) -> None:
    assert metres_mm(text) == mm
