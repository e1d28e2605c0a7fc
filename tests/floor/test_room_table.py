"""The rehearsal room from tables and from words."""

from __future__ import annotations

from pathlib import Path

import pytest

from previs.document.floor import Floor, LineKind, PlanLine, Room
from previs.document.floor_faults import floor_faults
from previs.exchange.table_files import TableFaults
from previs.faults import UseFault
from previs.floor.room_table import WrittenRoom, read_room_table, room_facts, room_told, room_written

HEAD = "kind,x,y,length,width,points,margin,name\n"
COLUMN = PlanLine(LineKind.COLUMN, ((4000, 3000), (4400, 3000), (4400, 3500), (4000, 3500)), True)


def read(folder: Path, text: str) -> Room:
    path = folder / "room.csv"
    path.write_text(HEAD + text, encoding="utf-8")
    return read_room_table(path)


def test_a_room_with_columns(tmp_path: Path) -> None:
    room = read(tmp_path, "room,,,16,9.2,,0.6,\ndatum,0,0,,,,,\ndatum,16,0,,,,,\ncolumn,4,3,0.4,0.5,,,\ncolumn,,,,,8 4; 9 4; 8.5 5,,post\n")
    post = PlanLine(LineKind.COLUMN, ((8000, 4000), (9000, 4000), (8500, 5000)), True, "post")
    assert room == Room(16_000, 9200, (0, 0), (16_000, 0), (COLUMN, post), 600)
    assert not list(floor_faults(Floor(room=room), "floor"))
    assert room_told(room).startswith("Room 16 x 9.2 m, 2 columns, nothing laid nearer to walls and columns than 0.6 m")
    assert room_facts(room)["datum points"] == [[0.0, 0.0], [16.0, 0.0]]


def test_without_more_the_points_stand_in_the_corners(tmp_path: Path) -> None:
    assert read(tmp_path, "room,,,16,9,,,\n") == Room(16_000, 9000, (0, 0), (16_000, 0))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("room,,,16,,,,\n", "row 2, column width: is blank"),
        ("room,,,0,9,,,\n", "row 2, column length: is not above nothing"),
        ("room,,,16,9,,,\nroom,,,12,9,,,\n", "holds 2 rows 'room'"),
        ("datum,0,0,,,,,\n", "holds 0 rows 'room'"),
        ("room,,,16,9,,,\ndatum,0,0,,,,,\n", "holds 1 rows 'datum'"),
        ("room,,,16,9,,,\ncolumn,4,3,0.4,0,,,\n", "row 3, column length: a column has"),
        ("room,,,16,9,,,\ncolumn,,,,,1 1; 2 2,,\n", "row 3, column points: a column has three corners"),
        ("hall,,,16,9,,,\n", "row 2, column kind: 'hall' is not one of: room, datum, column"),
        ("room,,,16,9,,5,\n", "leaves no floor"),
        ("room,,,16,9,,,\ncolumn,15.9,3,0.4,0.4,,,\n", "The column at 15.9 3 is not in the room"),
        ("room,,,16,9,,,\ndatum,0,0,,,,,\ndatum,0,0,,,,,\n", "one and the same"),
        ("room,,,16,9,,,\ndatum,0,0,,,,,\ndatum,17,0,,,,,\n", "The second point to measure from, 17 0, is not in the room"),
    ],
)
def test_what_is_no_room(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises((TableFaults, UseFault)) as told:
        read(tmp_path, text)
    assert said in str(told.value)


def test_a_room_in_words_and_corrected_later() -> None:
    first = room_written(WrittenRoom(length="16", width="9,2 m"), None)
    assert first == Room(16_000, 9200, (0, 0), (16_000, 0))
    longer = room_written(WrittenRoom(length="18", columns=("4 3 0.4 0.5",)), first)
    assert longer == Room(18_000, 9200, (0, 0), (18_000, 0), (COLUMN,))
    moved = room_written(WrittenRoom(datum_a="0 0.5", datum_b="17,0.5", margin="0.3"), longer)
    assert moved == Room(18_000, 9200, (0, 500), (17_000, 500), (COLUMN,), 300)
    assert room_written(WrittenRoom(width="9"), moved).datum_b == (17_000, 500)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (WrittenRoom(length="16"), "room's width is not known yet"),
        (WrittenRoom(length="big", width="9"), "'big' is not a length"),
        (WrittenRoom(length="16", width="-9"), "is none; give length"),
        (WrittenRoom(length="16", width="9", margin="-1"), "is none; give length"),
        (WrittenRoom(length="16", width="9", datum_a="0"), "is not the first point"),
        (WrittenRoom(length="16", width="9", columns=("4 3 1",)), "is not a column"),
    ],
)
def test_words_that_are_no_room(written: WrittenRoom, said: str) -> None:
    with pytest.raises(UseFault, match=said):
        room_written(written, None)
