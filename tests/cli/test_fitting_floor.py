"""Fitting the set's plan into the room through the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_types import Run
from cut.small_cut import a_cut
from floor.salt_plan import ROOM, salt_floor
from msgspec.structs import replace

from previs.document.floor import Laid, Room
from previs.document.store import create, open_document


def _file(folder: Path, room: Room | None) -> Path:
    file = folder / "salt.previs"
    create(file, replace(a_cut(), floor=replace(salt_floor(), room=room)))
    return file


def test_the_plan_is_laid_and_taken_back_by_undo(run: Run, tmp_path: Path) -> None:
    file = _file(tmp_path, ROOM)
    ran = run("fit", file)
    assert ran.code == 0, ran.err
    assert ran.out.startswith("All of the plan fits, not turned") and "never for building or rigging" in ran.out
    floor = open_document(file).sequence.floor
    assert floor is not None and floor.laid == (Laid(0, 1350, 3200),)
    assert run("undo", file).code == 0
    floor = open_document(file).sequence.floor
    assert floor is not None and floor.laid == ()


def test_sections_are_kept_and_answered_in_json(run: Run, tmp_path: Path) -> None:
    file = _file(tmp_path, Room(9000, 6000, (0, 0), (9000, 0)))
    ran = run("fit", file, "--sections", "--json")
    assert ran.code == 0, ran.err
    facts = json.loads(ran.out)
    floor = open_document(file).sequence.floor
    assert floor is not None and [laid.name for laid in floor.laid] == [laid["name"] for laid in facts["laid"]] != []
    assert facts["missing"] == [{"lacking": "length", "missing_mm": 5300}]


def test_who_lays_a_part_is_told_of_sections(run: Run, tmp_path: Path) -> None:
    ran = run("fit", _file(tmp_path, Room(9000, 6000, (0, 0), (9000, 0))))
    assert ran.code == 0 and "--sections" in ran.err
    assert "the room is 530.0 cm too short" in ran.out


def test_a_turn_that_is_kept_is_given_in_degrees(run: Run, tmp_path: Path) -> None:
    ran = run("fit", _file(tmp_path, ROOM), "--keep-turn", "-170.5", "--json")
    assert ran.code == 0, ran.err
    assert [laid["turn"] for laid in json.loads(ran.out)["laid"]] == [189.5]


@pytest.mark.parametrize(
    ("words", "says"), [((), "no rehearsal room yet"), (("--keep-turn", "nan"), "is no turn"), (("--keep-turn", "left"), "cannot be read")]
)
def test_what_cannot_be_done_is_one_sentence_and_changes_nothing(run: Run, tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    file = _file(tmp_path, None)
    before = file.read_bytes()
    ran = run("fit", file, *words)
    assert ran.code == 2 and says in ran.err and ran.err.count("\n") == 1
    assert file.read_bytes() == before
