"""Routes and reaches as tables: what is read, what is refused by row and column, and the way back."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor
from msgspec.structs import replace

from previs.document.floor import Reach, Route, RoutePoint
from previs.document.model import Sequence
from previs.exchange.table_files import TableFaults, write_table
from previs.floor.routes_table import reaches_table, read_ways, routes_table


@pytest.fixture
def fight(sample_media: Path) -> Sequence:
    return salt_fight(sample_media, salt_floor())[0]


def written(folder: Path, text: str, name: str = "routes.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def refused(path: Path, fight: Sequence) -> str:
    with pytest.raises(TableFaults) as caught:
        read_ways([path], fight)
    return str(caught.value)


def test_rows_become_routes_in_whole_millimetres(tmp_path: Path, fight: Sequence) -> None:
    text = 'role,phrase,x,y,move\nReeve,2,1.5,-0.25 m,7\nReeve,2,"2,0004",1,\nReeve,2,3,1,9\nOdile,1,0,0,1\n'
    read = read_ways([written(tmp_path, text)], fight)
    assert (read.routes, read.reaches) == (2, None)
    assert read.sequence.floor is not None
    assert read.sequence.floor.routes == (
        Route("Odile", 1, (RoutePoint((0, 0), 1),)),
        Route("Reeve", 2, (RoutePoint((1500, -250), 7), RoutePoint((2000, 1000)), RoutePoint((3000, 1000), 9))),
    )


def test_each_table_leaves_the_other_kind_alone(tmp_path: Path, fight: Sequence) -> None:
    one = read_ways([written(tmp_path, "role,phrase,x,y,move\nReeve,2,1,1,7\n")], fight).sequence
    two = read_ways([written(tmp_path, "weapon,reach\nstaff,1.2\n", "reaches.csv")], one).sequence
    assert two.floor is not None and one.floor is not None
    assert two.floor.routes == one.floor.routes
    assert two.floor.reaches == (Reach("staff", 1200),)


def test_every_fault_names_its_row_and_column(tmp_path: Path, fight: Sequence) -> None:
    text = (
        "role,phrase,x,y,move\n"
        "Rieve,1,1,1,1\n"
        "Reeve,9,1,1,\n"
        "Reeve,1,far,1,2\n"
        "Reeve,1,1,99999999,2\n"
        "Reeve,1,1,1,7\n"
        "Reeve,1,1,1,4\n"
        "Reeve,1,1,1,4\n"
        "Reeve,1,1,1,3\n"
        "Reeve,1,,1,5\n"
    )
    told = refused(written(tmp_path, text), fight).splitlines()
    expected = (
        ("row 2, column role", "no role 'Rieve'", "did you mean 'Reeve'"),
        ("row 3, column phrase", "no phrase '9'", "1, 2, 3, 4, 5, 6"),
        ("row 4, column x", "'far' is not a length"),
        ("row 5, column y", "'99999999' is not a length from -10000 to 10000 m"),
        ("row 6, column move", "move 7 is not in phrase 1, which has 1, 2, 3, 4, 5, 6"),
        ("row 8, column move", "move 4 is there twice"),
        ("row 9, column move", "move 3 follows move 4"),
        ("row 10, column x", "is blank"),
    )
    assert len(told) == len(expected)
    for line, parts in zip(told, expected, strict=True):
        assert all(part in line for part in parts), line


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("weapon,reach\nstaff,-1\n", "column reach: '-1' is not a length from 0 to 20 m"),
        ("weapon,reach\nstaff,1\nstaff,2\n", "'staff' is there twice"),
        ("weapon,reach\nspoon,1\n", "no weapon 'spoon'"),
        ("role,phrase,x,move\nReeve,1,1,1\n", "column y: is missing"),
        ("role,phrase,x,y,move\n", "has no rows"),
        ("colour,size\nred,3\n", "is not a column of this table"),
    ],
)
def test_what_is_no_table_of_ways_is_said(tmp_path: Path, fight: Sequence, text: str, said: str) -> None:
    assert said in refused(written(tmp_path, text), fight)


def test_one_broken_table_leaves_the_other_unread(tmp_path: Path, fight: Sequence) -> None:
    good, bad = written(tmp_path, "weapon,reach\nstaff,1\n", "reaches.csv"), tmp_path / "none.csv"
    with pytest.raises(TableFaults, match=r"none\.csv: cannot be read"):
        read_ways([good, bad], fight)
    with pytest.raises(TableFaults, match="is a second table of reaches"):
        read_ways([good, good], fight)


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_tables_come_back_as_they_were(tmp_path: Path, fight: Sequence, sample_media: Path, ending: str) -> None:
    there = read_ways([sample_media / "floor" / "routes.csv", sample_media / "floor" / "reaches.csv"], fight).sequence
    routes, reaches = tmp_path / f"routes{ending}", tmp_path / f"reaches{ending}"
    write_table(routes_table(there), routes)
    write_table(reaches_table(there), reaches)
    assert read_ways([reaches, routes], fight).sequence == there


def test_without_a_floor_the_tables_are_empty(fight: Sequence) -> None:
    bare = replace(fight, floor=None)
    assert isinstance(routes_table(bare), pd.DataFrame) and routes_table(bare).empty and reaches_table(bare).empty
