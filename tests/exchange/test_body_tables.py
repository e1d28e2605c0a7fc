"""Flights and head boxes: out and in without loss, and each wrong cell told by row and column."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from fights import phrase, sequence, take, tape

from previs.document.model import Flight, HeadBox
from previs.exchange.tables import TableFaults, flights_table, heads_table, read_fight, read_marks, write_table

MADE = sequence(phrases=(phrase(1, range(1, 3)),), tapes=(tape(), tape("B1", rate="25", start_frame=90000)), takes=(take("A1-1", {1: 2}),))
FLIGHTS = "tape,role,take_off,landing,height,distance,rise,note\r\n"
HEADS = "tape,role,at,left,top,width,height\r\n"


def read(folder: Path, text: str, name: str = "body.csv"):
    (folder / name).write_text(text, encoding="utf-8", newline="")
    return read_marks([folder / name], MADE).sequence


def told(folder: Path, text: str) -> str:
    with pytest.raises(TableFaults) as found:
        read(folder, text)
    return str(found.value)


def test_flights_are_read_with_lengths_in_metres_or_none(tmp_path: Path) -> None:
    rows = 'A1,Odile,1.25s,00:00:02:00,0.85,"2,5 m",0.6,leap\r\nB1,Reeve,f25,f50,,,-1.5,\r\n'
    assert read(tmp_path, FLIGHTS + rows).flights == (
        Flight("A1", "Odile", Fraction(5, 4), Fraction(2), Fraction(17, 20), Fraction(5, 2), Fraction(3, 5), "leap"),
        Flight("B1", "Reeve", Fraction(1), Fraction(2), None, None, Fraction(-3, 2), ""),
    )


def test_heads_are_read_in_upright_pixels_and_may_hang_over_the_edge(tmp_path: Path) -> None:
    assert read(tmp_path, HEADS + "A1,Odile,f24,-5,40,31,44\r\n").heads == (HeadBox("A1", "Odile", Fraction(1), -5, 40, 31, 44),)


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_what_is_written_is_read_back(tmp_path: Path, ending: str) -> None:
    flights = FLIGHTS + 'A1,Odile,1/3s,2s,1.000001,,-0.5,"=SUM(1,2)"\r\nB1,Reeve,f25,f50,0,3,,\r\n'
    made = read(tmp_path, flights)
    made = read_marks([_written(tmp_path / "heads.csv", HEADS + "B1,Reeve,1.5s,1,2,3,4\r\n")], made).sequence
    write_table(flights_table(made), tmp_path / f"f.{ending}")
    write_table(heads_table(made), tmp_path / f"h.{ending}")
    again = read_marks([tmp_path / f"h.{ending}", tmp_path / f"f.{ending}"], MADE).sequence
    assert (again.flights, again.heads) == (made.flights, made.heads)
    assert made.flights[0].note == "=SUM(1,2)" and len(made.heads) == 1


def _written(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8", newline="")
    return path


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("Z9,Odile,1s,2s,,,,", "column tape: there is no tape 'Z9'"),
        ("A1,Odil,1s,2s,,,,", "column role: there is no role 'Odil'"),
        ("A1,Odile,2s,2s,,,,", "column landing: '2s' is not after take_off"),
        ("A1,Odile,1s,99s,,,,", "column landing: '99s' is not on tape A1"),
        ("A1,Odile,,2s,,,,", "column take_off: is blank"),
        ("A1,Odile,1s,2s,high,,,", "column height: 'high' is not a length from 0 to 1000 m"),
        ("A1,Odile,1s,2s,-1,,,", "column height: '-1' is not a length"),
        ("A1,Odile,1s,2s,,-1,,", "column distance: '-1' is not a length"),
        ("A1,Odile,1s,2s,,,1e3,", "column rise: '1e3' is not a length from -1000"),
        ("A1,Odile,1s,2s,1,,1.5,", "column rise: the landing, 1.5 m up, is above"),
    ],
)
def test_a_wrong_flight_is_told_by_its_cell(tmp_path: Path, row: str, sentence: str) -> None:
    assert f"body.csv row 2, {sentence}" in told(tmp_path, f"{FLIGHTS}{row}\r\n")


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("A1,Odile,60s,1,2,3,4", "column at: '60s' is the very end of tape A1"),
        ("A1,Odile,1s,1,2,0,4", "column width: '0' is not a whole number from 1"),
        ("A1,Odile,1s,1.5,2,3,4", "column left: '1.5' is not a whole number"),
        ("A1,Odile,1s,1,2,3,", "column height: is blank"),
        ("A1,Olaf,1s,1,2,3,4", "column role: there is no role 'Olaf'"),
    ],
)
def test_a_wrong_head_is_told_by_its_cell(tmp_path: Path, row: str, sentence: str) -> None:
    assert f"body.csv row 2, {sentence}" in told(tmp_path, f"{HEADS}{row}\r\n")


def test_a_fight_without_the_role_that_flies_is_refused(tmp_path: Path) -> None:
    made = read(tmp_path, FLIGHTS + "A1,Odile,1s,2s,,,,\r\n")
    made = read_marks([_written(tmp_path / "h.csv", HEADS + "A1,Odile,1s,1,2,3,4\r\n")], made).sequence
    fight = "phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note\r\n1,1,cut,Reeve,Wren,,,level,,,,\r\n"
    with pytest.raises(TableFaults) as found:
        read_fight(_written(tmp_path / "fight.csv", fight), made)
    assert "the flight on tape A1 is of 'Odile', who is no longer in the fight; give the flights table too." in str(found.value)
    assert "the head on tape A1 is of 'Odile', who is no longer in the fight; give the heads table too." in str(found.value)
