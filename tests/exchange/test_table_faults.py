"""Every fault of a table is named with table, row and column, all of them at once, and nothing of the table is read."""

from __future__ import annotations

import datetime
import io
import zipfile
from fractions import Fraction
from pathlib import Path

import fights
import openpyxl
import pandas as pd
import pytest
from msgspec.structs import replace

from previs.document.model import Card, Cut, Footage, Sequence, Shot
from previs.exchange.tables import TableFaults, fight_table, read_fight, read_marks, read_takes, takes_table, write_table
from previs.faults import UseFault

HEADERS = {
    "fight": "phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note",
    "takes": "take,tape,in,out,slate,rating,tempo,phrases,camera,size,angle,movement,screen_left,faces,performers,note,from",
    "hits": "take,move,at",
    "treatments": "tape,in,out,kind,role,note",
}


def sequence() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)), fights.phrase(2, range(4, 6))),
        tapes=(fights.tape("A1", start_frame=86400), fights.tape("B1")),
        takes=(fights.take("T1", {1: 1, 2: 2}), fights.take("T2", {4: 30}, phrases=(2, 2), start=20, end=40)),
        treatments=(fights.treatment(1, 2),),
    )


def faults(tmp_path: Path, kind: str, *rows: str, ending: str = ".csv") -> list[tuple[int | None, str, str]]:
    path = tmp_path / f"{kind}{ending}"
    text = "\n".join((HEADERS[kind], *rows)) + "\n"
    if ending == ".csv":
        path.write_bytes(text.encode())
    else:
        pd.read_csv(io.StringIO(text), dtype=str, keep_default_na=False).to_excel(path, index=False)
    with pytest.raises(TableFaults) as caught:
        read_marks([path], sequence())
    assert all(fault.table == path.name for fault in caught.value.faults)
    return [(fault.row, fault.column, fault.sentence) for fault in caught.value.faults]


def fight_row(**cells: str) -> str:
    usual = {"phrase": "1", "move": "1", "label": "cut", "attacker": "O", "defender": "R", "upper_hand": "level"}
    return ",".join((usual | cells).get(column, "") for column in HEADERS["fight"].split(","))


def take_row(**cells: str) -> str:
    usual = {"take": "T1", "tape": "A1", "in": "0s", "out": "60s", "phrases": "1", "size": "wide"}
    return ",".join((usual | cells).get(column, "") for column in HEADERS["takes"].split(","))


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize(
    ("cells", "column", "said"),
    [
        ({"phrase": ""}, "phrase", "is blank"),
        ({"phrase": "one"}, "phrase", "'one' is not a whole number"),
        ({"move": "1.5"}, "move", "'1.5' is not a whole number"),
        ({"move": "-1"}, "move", "'-1' is not a whole number from 0"),
        ({"label": ""}, "label", "is blank"),
        ({"attacker": ""}, "attacker", "is blank"),
        ({"defender": "O"}, "defender", "'O' is the attacker too"),
        ({"attacker": "r"}, "defender", "'R' is written 'r' further up"),
        ({"attacker": "Level"}, "attacker", "cannot be the name of a role"),
        ({"attacker": "a=b"}, "attacker", "cannot be the name of a role"),
        ({"upper_hand": ""}, "upper_hand", "is blank"),
        ({"upper_hand": "Q"}, "upper_hand", "no role of this fight 'Q'; known: level, O, R"),
        ({"optional": "perhaps"}, "optional", "'perhaps' is neither yes nor no"),
        ({"breath": "24"}, "breath", "'24' is not a time"),
        ({"breath": "00:00:01:24"}, "breath", "has frame 24"),
    ],
)
def test_fight_cells(tmp_path: Path, ending: str, cells: dict[str, str], column: str, said: str) -> None:
    found = faults(tmp_path, "fight", fight_row(**cells), ending=ending)
    assert [(row, where) for row, where, sentence in found if said in sentence] == [(2, column)]


def test_fight_order(tmp_path: Path) -> None:
    rows = [
        fight_row(phrase="2", move="5", breath="f2"),
        fight_row(phrase="2", move="5"),
        fight_row(phrase="2", move="4"),
        "",
        fight_row(phrase="1", move="6"),
    ]
    found = faults(tmp_path, "fight", *rows)
    assert [(row, column) for row, column, _ in found] == [(2, "breath"), (3, "move"), (4, "move"), (6, "phrase")]
    said = ("move it to the last move of phrase 2", "move 5 is there twice", "move 4 follows move 5", "phrase 1 follows phrase 2")
    assert all(words in sentence for words, (_, _, sentence) in zip(said, found, strict=True))


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize(
    ("cells", "column", "said"),
    [
        ({"take": ""}, "take", "is blank"),
        ({"tape": "A11"}, "tape", "there is no tape 'A11'; known: A1, B1; did you mean 'A1'?"),
        ({"in": ""}, "in", "is blank"),
        ({"in": "12"}, "in", "'12' is not a time"),
        ({"in": "00:59:59:00"}, "in", "'00:59:59:00' is not on tape A1, which runs from 01:00:00:00 for 60.000 s"),
        ({"out": "01:01:00:01"}, "out", "'01:01:00:01' is not on tape A1"),
        ({"in": "01:00:00;00"}, "in", "is drop-frame"),
        ({"in": "20s", "out": "20s"}, "out", "'20s' is not after in, '20s'"),
        ({"rating": "6"}, "rating", "'6' is not a whole number from 0 to 5"),
        ({"tempo": "fast"}, "tempo", "'fast' is not a share"),
        ({"tempo": "0"}, "tempo", "'0' is not a share"),
        ({"tempo": "1/0"}, "tempo", "'1/0' is not a share"),
        ({"phrases": ""}, "phrases", "is blank"),
        ({"phrases": "3"}, "phrases", "there is no phrase 3; the fight has phrases 1 to 2"),
        ({"phrases": "2-1"}, "phrases", "'2-1' runs backwards"),
        ({"phrases": "01-Feb"}, "phrases", "a spreadsheet makes a date"),
        ({"size": ""}, "size", "is blank"),
        (
            {"size": "medium closee"},
            "size",
            "extreme wide, wide, full, medium wide, medium, medium close, close, extreme close; did you mean",
        ),
        ({"angle": "181"}, "angle", "'181' is not a whole number from -180 to 180"),
        ({"screen_left": "Odil"}, "screen_left", "there is no role 'Odil'; known: Odile, Reeve; did you mean 'Odile'?"),
        ({"faces": "Odile"}, "faces", "'Odile' is not ROLE=VALUE"),
        ({"faces": "Odile=half"}, "faces", "'half' is not one of: full, part, hidden"),
        ({"faces": "Nobody=full"}, "faces", "there is no role 'Nobody'"),
        ({"faces": "Odile=full;Odile=part"}, "faces", "'Odile' is there twice"),
        ({"performers": "Nobody=Juno Vale"}, "performers", "there is no role 'Nobody'"),
        ({"in": "1s", "from": "0.5s"}, "from", "'0.5s' is not within its take, 01:00:01:00 to 01:01:00:00"),
    ],
)
def test_take_cells(tmp_path: Path, ending: str, cells: dict[str, str], column: str, said: str) -> None:
    found = faults(tmp_path, "takes", take_row(take="T2", phrases="2"), take_row(**cells), ending=ending)
    # Of an unsound take nothing else is said: its old hits are not called homeless.
    assert [(row, where) for row, where, sentence in found if said in sentence] == [(3, column)]


def test_take_rows_that_clash(tmp_path: Path) -> None:
    rows = [take_row(), take_row(), take_row(**{"from": "4s", "in": "1s"}), take_row(**{"from": "3s"}), take_row(take="T2", phrases="2")]
    found = faults(tmp_path, "takes", *rows)
    assert [(row, column) for row, column, _ in found] == [(3, "take"), (4, "in")]
    found = faults(tmp_path, "takes", rows[0], take_row(**{"from": "4s"}), rows[3], rows[4])
    assert [(row, column) for row, column, _ in found] == [(4, "from")]
    assert "is not after the framing before it" in found[0][2]


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("T9,1,1s", "take", "there is no take 'T9'; known: T1, T2"),
        ("T1,9,1s", "move", "there is no move 9; the fight has moves 1 to 5"),
        ("T1,4,1s", "move", "move 4 is in phrase 2, but take T1 plays phrases 1 to 1"),
        ("T2,4,41s", "at", "'41s' is not within take T2, 01:00:20:00 to 01:00:40:00"),
        ("T2,4,40s", "at", "'40s' is not within take T2"),
        ("T2,4,61s", "at", "'61s' is not on tape A1"),
        ("T2,4,", "at", "is blank"),
    ],
)
def test_hit_cells(tmp_path: Path, ending: str, row: str, column: str, said: str) -> None:
    (found,) = faults(tmp_path, "hits", "T1,2,3s", row, ending=ending)
    assert found[:2] == (3, column)
    assert said in found[2]


def test_hits_that_clash(tmp_path: Path) -> None:
    found = faults(tmp_path, "hits", "T1,1,3s", "T1,1,4s", "T1,2,2s")
    assert [(row, column) for row, column, _ in found] == [(2, "at"), (3, "move")]
    assert "move 1 lands after move 2 here" in found[0][2]
    assert "move 1 has a hit on take T1 in row 2 already" in found[1][2]


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("C1,1s,2s,rig removal,Odile,", "tape", "there is no tape 'C1'"),
        ("A1,2s,1s,rig removal,Odile,", "out", "'1s' is not after in"),
        ("A1,1s,61s,rig removal,Odile,", "out", "'61s' is not on tape A1"),
        ("A1,1s,2s,rig remover,Odile,", "kind", "digital double, face replacement, rig removal; did you mean 'rig removal'?"),
        ("A1,1s,2s,rig removal,Nobody,", "role", "there is no role 'Nobody'; known: Odile, Reeve"),
        ("A1,1s,2s,rig removal,,", "role", "is blank"),
    ],
)
def test_treatment_cells(tmp_path: Path, ending: str, row: str, column: str, said: str) -> None:
    (found,) = faults(tmp_path, "treatments", "B1,1s,2s,digital double,Reeve,x", row, ending=ending)
    assert found[:2] == (3, column)
    assert said in found[2]


def raised(path: Path, value: Sequence | None = None) -> list[str]:
    with pytest.raises(TableFaults) as caught:
        read_marks([path], value or sequence())
    return str(caught.value).splitlines()


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("take,move,when", "row 1, column when: is not a column of this table"),
        ("take,move,at,mvoe", "row 1, column mvoe: is not a column of this table; did you mean 'move'?"),
        ("take,move,at,Move", "row 1, column move: is there twice"),
        ("take,move", "row 1, column at: is missing; the columns are take, move, at"),
        ("take,move,at,,x", "row 1, column number 4: is not a column"),
        ("colour,weight", "row 1: is the header of no table that is known"),
    ],
)
def test_headers(tmp_path: Path, header: str, said: str) -> None:
    path = tmp_path / "hits.csv"
    path.write_text(f"{header}\n{','.join('T1' for _ in header.split(','))}\n")
    assert any(line.startswith(f"hits.csv {said}") for line in raised(path))


def write(tmp_path: Path, name: str, data: bytes) -> Path:
    path = tmp_path / name
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.csv", b"", "is empty"),
        ("a.csv", b"\n\n ,\n", "is empty"),
        ("a.csv", b"take,move,at\n", "has no rows below its header"),
        ("a.csv", "take,move,at\nT1,1,1s\nÜ1,1,1s\n".encode("latin-1"), "line 3 has a byte that cannot be (byte 22 of the file); save it"),
        ("a.csv", "take,move,at\n".encode("utf-16"), "is not UTF-8: line 1"),
        ("a.csv", b"PK\x03\x04\x00\x00", "holds bytes that no text has"),
        ("a.csv", b'take,move,at\n"T1,1,1s\n', "quotation mark that is not closed"),
        ("a.csv", b"take,move,at\nT1,1,1s,4\n", "row 2: has something in cell 4, but the header has 3"),
        ("a.csv", b"take,move,at\n\nT1,1\n", "row 3: has 2 cells, but the header has 3"),
        ("a.csv", b"take,move,at\nT1,1,1s" + b",x" * 80 + b"\n", "has more than 64 cells in row 2"),
        ("a.csv", b"take,move,at\nT\x071,1,1s\n", "row 2, column take: character 2 is a control character (U+0007)"),
        ("a.csv", "take,move,at\nT\u202e1,1,1s\n".encode(), "row 2, column take: character 2 turns the direction of reading (U+202E)"),
        ("a.csv", b'take,move,at\n"T\n1",1,1s\n', "row 2, column take: character 2 is a control character (U+000A)"),
        ("a.csv", b"take,move,at\n" + b"T1,1,1s\n" * 20_001, "has more than 20,000 rows"),
        ("a.csv", b"take,move,at\n" + b" " * (20 * 1024 * 1024), "is larger than 20 MB"),
        ("a.xlsx", b"take,move,at\n", "is not a workbook that can be read"),
        ("a.xlsx", b"PK\x03\x04 damaged", "is not a workbook that can be read"),
        ("a.ods", b"x", "ends neither in .csv nor in .xlsx"),
    ],
)  # fmt: skip
def test_files_that_are_no_tables(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    (line,) = raised(write(tmp_path, name, data))
    assert line.startswith(name)
    assert said in line


def test_exactly_the_most_rows_are_read(tmp_path: Path) -> None:
    path = write(tmp_path, "a.csv", b"take,move,at\n" + b"T9,1,1s\n" * 20_000)
    assert raised(path) == ["a.csv rows 2, 3, 4, 5, 6, 7, 8, 9 and 19992 more, column take: there is no take 'T9'; known: T1, T2."]


def test_a_missing_file(tmp_path: Path) -> None:
    (line,) = raised(tmp_path / "none.csv")
    assert line == "none.csv: cannot be read (No such file or directory); check the name and the folder."


def test_a_workbook_that_unpacks_to_far_more_than_it_weighs(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * (201 * 1024 * 1024))
    assert path.stat().st_size < 1024 * 1024
    assert "unpacks to more than 200 MB" in raised(path)[0]


def test_a_zip_that_is_no_workbook(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("hello.txt", "x")
    assert "is not a workbook that can be read" in raised(path)[0]


def test_what_a_spreadsheet_makes_of_time_code(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (["take", "move", "at"], ["T1", 1, datetime.time(0, 0, 10)], ["T1", 2, datetime.datetime(2026, 2, 1)], ["T1", 3, 12.4]):
        sheet.append(row)
    path = tmp_path / "hits.xlsx"
    book.save(path)
    lines = raised(path)
    assert lines[0].startswith("hits.xlsx row 2, column at: the spreadsheet made a clock time of it (00:00:10); format the column as text")
    assert lines[1].startswith("hits.xlsx row 3, column at: the spreadsheet made a date of it")
    assert lines[2].startswith("hits.xlsx row 4, column at: '12.4' is not a time; write time code")
    assert len(lines) == 3


def test_everything_wrong_in_several_tables_is_said_at_once(tmp_path: Path) -> None:
    takes = write(tmp_path, "takes.csv", f"{HEADERS['takes']}\n{take_row(size='huge')}\n{take_row(take='T3', tape='Z')}\n".encode())
    hits = write(tmp_path, "hits.csv", b"take,move,at\nT1,1,1s\nT3,1,1s\nT4,1,1s\n")
    treatments = write(tmp_path, "treatments.csv", b"tape,in,out,kind,role,note\nA1,3s,2s,rig removal,Odile,\n")
    value = sequence()
    with pytest.raises(TableFaults) as caught:
        read_marks([treatments, hits, takes], value)
    # T1 and T3 are in doubt through their own faults, so their hits are not judged; T4 is in no table.
    assert [(fault.table, fault.row, fault.column) for fault in caught.value.faults] == [
        ("takes.csv", 2, "size"),
        ("takes.csv", 3, "tape"),
        ("hits.csv", 4, "take"),
        ("treatments.csv", 2, "out"),
    ]
    assert value == sequence()


def test_two_tables_of_one_kind(tmp_path: Path) -> None:
    paths = [write(tmp_path, name, b"take,move,at\nT1,1,1s\n") for name in ("a.csv", "b.csv")]
    with pytest.raises(TableFaults, match=r"b\.csv: is a hits table, and so is a\.csv"):
        read_marks(paths, sequence())


def homeless(tmp_path: Path, text: str, value: Sequence) -> list[str]:
    return [line.split(": ", 1)[1] for line in raised(write(tmp_path, "table.csv", text.encode()), value)]


def test_hits_without_a_home(tmp_path: Path) -> None:
    one, two = take_row(out="1.5s"), take_row(take="T2", phrases="1")
    assert homeless(tmp_path, f"{HEADERS['takes']}\n{one}\n{two}\n", sequence()) == [
        "the hit of move 2 on take T1 is no longer within it; give the hits table too.",
        "the hit of move 4 on take T2 is no longer in its phrases; give the hits table too.",
    ]
    assert homeless(tmp_path, f"{HEADERS['takes']}\n{take_row()}\n", sequence()) == [
        "take T2 is not in it and would lose its 1 hit; keep the take, or give the hits table too."
    ]
    takes = write(tmp_path, "takes.csv", f"{HEADERS['takes']}\n{one}\n".encode())
    hits = write(tmp_path, "hits.csv", b"take,move,at\nT1,1,1s\n")
    assert [take.name for take in read_marks([hits, takes], sequence()).sequence.takes] == ["T1"]


def test_marks_that_a_new_fight_leaves_without_a_home(tmp_path: Path) -> None:
    value = replace(sequence(), cuts=(Cut("v1", (Shot("a", 9, Card("x", 5)), Shot("b", 9, Footage("T1", 0))), 18),))
    row = fight_row(attacker="Reeve", defender="Aga", move="2")
    assert homeless(tmp_path, f"{HEADERS['fight']}\n{row}\n", value) == [
        "take T1 names 'Odile', who is no longer in the fight; give the takes table too.",
        "the hit of move 1 on take T1 is no longer in its phrases; give the hits table too.",
        "take T2 plays phrase 2, which is no longer in the fight; give the takes table too.",
        "take T2 names 'Odile', who is no longer in the fight; give the takes table too.",
        "the hit of move 4 on take T2 is no longer in its phrases; give the hits table too.",
        "card 1 of cut v1 stands for a move that is gone; keep the move in the table.",
        "the digital double on tape A1 is of 'Odile', who is no longer in the fight; give the treatments table too.",
    ]


def test_a_shot_whose_take_is_gone(tmp_path: Path) -> None:
    value = replace(sequence(), cuts=(Cut("v1", (Shot("a", 9, Footage("T1", 0)),), 9),))
    value = replace(value, takes=(fights.take("T1", {}),))
    found = homeless(tmp_path, f"{HEADERS['takes']}\n{take_row(take='T9')}\n", value)
    assert found == ["shot 1 of cut v1 is of take T1, which is gone; keep the take in the table."]


def test_a_table_cannot_be_written_where_it_could_not_be_read(tmp_path: Path) -> None:
    with pytest.raises(UseFault, match="ends neither"):
        write_table(fight_table(sequence()), tmp_path / "fight.txt")
    value = replace(sequence(), takes=(replace(sequence().takes[0], performers=(replace_performer("a;b"),)),))
    with pytest.raises(UseFault, match="cannot stand in a table"):
        takes_table(value)
    with pytest.raises(UseFault, match="control character"):
        write_table(pd.DataFrame({"note": ["bell \x07"]}), tmp_path / "t.xlsx")


def replace_performer(name: str) -> object:
    return replace(sequence().takes[0].performers[0], performer=name)


def test_one_reader_is_not_given_another_table(tmp_path: Path) -> None:
    path = write(tmp_path, "hits.csv", b"take,move,at\nT1,1,1s\n")
    with pytest.raises(TableFaults, match=r"hits\.csv: is a hits table, and not a fight table; give the right file\.$"):
        read_fight(path, sequence())
    with pytest.raises(TableFaults, match="is a hits table, and not a takes table"):
        read_takes(path, sequence())
    assert sequence().takes[0].start == Fraction(0)
