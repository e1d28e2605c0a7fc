"""Reading the fight and the marks through the command line: what is replaced, added, left out; and the cast."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_types import Job, Run

from previs.document.store import open_document

ONE = "tape,in,out,kind,role,note\nFILM,10:00:02:00,10:00:03:00,rig removal,Odile,\n"


def table(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_what_a_table_replaces_is_said_and_comes_back(job: Job, run: Run) -> None:
    before = job.file.read_bytes()
    ran = run("marks", job.file, table(job.folder, "t1.csv", ONE))
    assert ran.code == 0
    assert ran.err == "2 treatments replaced by 1; 'previs undo' brings them back.\n3 takes with 10 hits, 1 treatment.\n"
    run("undo", job.file)
    assert job.file.read_bytes() == before


def test_the_same_tables_again_replace_nothing(job: Job, run: Run, tables: dict[str, Path]) -> None:
    ran = run("marks", job.file, tables["takes"], tables["hits"], tables["treatments"])
    assert ran.err == "3 takes with 10 hits, 2 treatments.\n"
    tables["hits"].write_text(tables["hits"].read_text().replace("C1,5,f101\n", ""))
    assert "1 of 10 hits gone or changed, so that there are 9 now" in run("marks", job.file, tables["hits"]).err


def test_marks_are_added_once(job: Job, run: Run) -> None:
    one = table(job.folder, "t1.csv", ONE)
    assert run("marks", job.file, one, "--add").err == "3 takes with 10 hits, 3 treatments.\n"
    after = job.file.read_bytes()
    assert run("marks", job.file, one, "--add").code == 0
    assert job.file.read_bytes() == after
    takes = job.folder / "takes.csv"
    more = takes.read_text().splitlines()[0] + "\nC2,PAL,f20,f170,2,3,1,2,C,wide,80,,Odile,,,\n"
    hits = "take,move,at\nC2,4,f76\nC2,5,f102\nC1,4,f75\n"
    ran = run("marks", job.file, "--add", table(job.folder, "takes2.csv", more), table(job.folder, "hits2.csv", hits))
    assert ran.err == "4 takes with 12 hits, 3 treatments.\n"


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("takes", "A1,FILM,10:00:00:12,10:00:07:00,1,4,1,1-2,A,full,0,,,,,", "take A1 is there already and is another one"),
        ("hits", "C1,4,f76", "take C1 has a hit of move 4 at another moment already"),
        ("hits", "C2,4,f76", "there is no take 'C2'"),
    ],
)
def test_marks_that_cannot_be_added(job: Job, run: Run, tables: dict[str, Path], name: str, text: str, said: str) -> None:
    before = job.file.read_bytes()
    header = tables[name].read_text().splitlines()[0]
    ran = run("marks", job.file, "--add", table(job.folder, "more.csv", f"{header}\n{text}\n"))
    assert ran.code == 2
    assert said in ran.err
    assert job.file.read_bytes() == before


def test_each_verb_reads_its_own_tables_and_says_so_in_one_sentence(job: Job, run: Run, tables: dict[str, Path]) -> None:
    before = job.file.read_bytes()
    ran = run("marks", job.file, tables["fight"])
    assert (ran.code, ran.err) == (2, "previs: fight.csv: is a fight table; read it with 'previs fight'.\n")
    ran = run("fight", job.file, tables["takes"])
    assert (ran.code, ran.err) == (2, "previs: takes.csv: is a takes table; read it with 'previs marks'.\n")
    assert job.file.read_bytes() == before
    tables["fight"].write_text(tables["fight"].read_text().replace("high cut", "higher cut"))
    ran = run("fight", job.file, tables["fight"], tables["takes"])
    assert ran.err.startswith("1 of 5 moves gone or changed, so that there are 5 now")


def test_rows_of_tapes_that_are_not_there_are_left_out_when_asked(job: Job, run: Run, tables: dict[str, Path]) -> None:
    tables["takes"].write_text(tables["takes"].read_text() + "D1,DAY02,f10,f180,1,5,1,2,C,close,80,,Odile,,,\n" * 1)
    tables["hits"].write_text(tables["hits"].read_text() + "D1,4,f75\nD1,5,f101\n")
    tables["treatments"].write_text(tables["treatments"].read_text() + "DAY02,1s,2s,rig removal,Odile,\nDAY03,1s,2s,rig removal,Odile,\n")
    every = tables["takes"], tables["hits"], tables["treatments"]
    before = job.file.read_bytes()
    ran = run("marks", job.file, *every)
    assert ran.code == 2
    assert "there is no tape 'DAY02'" in ran.err and "Tapes DAY02, DAY03 are not in the file: take in what is missing" in ran.err
    assert job.file.read_bytes() == before
    ran = run("marks", job.file, "--known-tapes", *every)
    assert ran.code == 0
    assert ran.err.splitlines() == [
        "Left out 3 rows, of tapes that are not in the file: DAY02 (2), DAY03 (1).",
        "Left out 2 rows, of takes that are not in the file: D1 (2).",
        "3 takes with 10 hits, 2 treatments.",
    ]
    assert job.file.read_bytes() == before


def test_the_same_fault_in_many_rows_is_one_line_and_another_tape_of_the_same_kind_is_not_suggested(job: Job, run: Run) -> None:
    renamed = run("tape", job.file, "PAL", "--rename", "SSB03")
    assert renamed.code == 0
    rows = "".join(f"SSB01,{second}s,{second + 1}s,rig removal,Odile,\n" for second in range(20))
    ran = run("marks", job.file, table(job.folder, "t.csv", "tape,in,out,kind,role,note\n" + rows))
    assert len(ran.err.splitlines()) == 2
    assert "or leave its rows out with --known-tapes.\n" in ran.err
    assert "t.csv rows 2, 3, 4, 5, 6, 7, 8, 9 and 12 more, column tape: there is no tape 'SSB01'" in ran.err
    assert "did you mean" not in ran.err
    assert "did you mean 'FILM'?\n" in run("marks", job.file, table(job.folder, "t.csv", ONE.replace("FILM", "FLIM"))).err


def test_the_cast_is_listed_and_performers_outside_it_are_told_of(job: Job, run: Run) -> None:
    assert "Pim Oster plays Odile on B1, and is neither its actor nor a double" in run("cast", job.file, "Odile", "Juno Vale").err
    assert run("cast", job.file, "Odile", "Juno Vale", "--double", "Pim Oster").err == "Odile is Juno Vale, doubled by Pim Oster.\n"
    assert "Juno Vale  Pim Oster" in run("cast", job.file).out
    assert json.loads(run("cast", job.file, "--json").out) == [
        {"role": "Odile", "actor": "Juno Vale", "doubles": "Pim Oster", "takes": 2},
        {"role": "Reeve", "actor": "", "doubles": "", "takes": 1},
    ]
    before = open_document(job.file).sequence.cast
    for words, said in (
        ("Reeve", "Say who plays Reeve"),
        ("Odile A --double A", "cannot play Odile and double Odile too"),
        ("Nobody A", "no role"),
    ):
        ran = run("cast", job.file, *words.split())
        assert (ran.code, ran.err.count("\n")) == (2, 1)
        assert said in ran.err
    assert open_document(job.file).sequence.cast == before
