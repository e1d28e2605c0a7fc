"""Undo and redo: back byte for byte, after closing, after damage, and with the program killed before each of its calls."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from document.drawn import plain_sequence
from hypothesis import given, settings
from hypothesis import strategies as st

from previs.document.history import history_folder, record, redo, steps_from, undo
from previs.document.model import SCHEMA, Sequence
from previs.document.store import create, open_document, save
from previs.document.text import from_text, to_text
from previs.faults import Fault, UseFault


@pytest.fixture
def path(tmp_path: Path) -> Path:
    create(tmp_path / "salt.previs", plain_sequence("first"))
    return tmp_path / "salt.previs"


def edit(path: Path, sequence: Sequence, what: str = "an edit") -> str | None:
    opened = open_document(path)
    with record(path, to_text(opened.sequence), to_text(sequence), what) as remark:
        save(opened, sequence)
    return remark


def step(path: Path, direction: Callable[..., Any]) -> str:
    opened = open_document(path)
    with direction(path) as one:
        save(opened, from_text(one.text, "history"))
    return str(one.what)


def title(path: Path) -> str:
    return open_document(path).sequence.title


def states(path: Path) -> set[str]:
    return {file.name for file in history_folder(path).glob("*.z")}


def test_undo_and_redo_go_back_and_forth_and_say_what(path: Path) -> None:
    first = path.read_bytes()
    edit(path, plain_sequence("second"), "name it second")
    edit(path, plain_sequence("third"), "name it third")
    third = path.read_bytes()
    assert (step(path, undo), title(path)) == ("name it third", "second")
    assert (step(path, undo), path.read_bytes()) == ("name it second", first)
    assert (step(path, redo), title(path)) == ("name it second", "second")
    assert (step(path, redo), path.read_bytes()) == ("name it third", third)
    with pytest.raises(UseFault, match="nothing was undone"):
        step(path, redo)


def test_before_any_edit_there_is_nothing_to_undo_and_no_folder_is_made(path: Path) -> None:
    with pytest.raises(UseFault, match="no edit of it was recorded"):
        step(path, undo)
    assert not history_folder(path).exists()


def test_the_first_state_has_nothing_before_it(path: Path) -> None:
    edit(path, plain_sequence("second"))
    step(path, undo)
    with pytest.raises(UseFault, match="first state"):
        step(path, undo)
    assert title(path) == "first"


def test_a_step_knows_how_many_more_there_are(path: Path) -> None:
    for name in ("second", "third"):
        edit(path, plain_sequence(name))
    with undo(path) as back:
        save(open_document(path), from_text(back.text, "history"))
    with redo(path) as forth:
        pass
    assert (back.more, forth.more) == (1, 0)


def test_an_edit_that_changes_nothing_is_no_step(path: Path) -> None:
    edit(path, plain_sequence("first"))
    assert not history_folder(path).exists()


def test_a_new_edit_after_undo_drops_what_could_be_redone_with_its_texts(path: Path) -> None:
    for name in ("second", "third"):
        edit(path, plain_sequence(name))
    step(path, undo)
    edit(path, plain_sequence("other"))
    assert len(states(path)) == 3
    with pytest.raises(UseFault, match="nothing was undone"):
        step(path, redo)
    assert (step(path, undo), title(path)) == ("an edit", "second")


def test_a_state_that_comes_again_is_kept_once(path: Path) -> None:
    for name in ("second", "first", "second", "first"):
        edit(path, plain_sequence(name))
    assert len(states(path)) == 2
    for name in ("second", "first", "second", "first"):
        step(path, undo)
        assert title(path) == name


def test_a_document_changed_elsewhere_begins_a_new_history_and_says_so(path: Path) -> None:
    edit(path, plain_sequence("second"))
    save(open_document(path), plain_sequence("by hand"))
    with pytest.raises(UseFault, match="changed by something that keeps no history"):
        step(path, undo)
    assert title(path) == "by hand"
    assert len(states(path)) == 1
    assert edit(path, plain_sequence("next")) is None
    assert (step(path, undo), title(path)) == ("an edit", "by hand")


def test_an_edit_of_a_document_changed_elsewhere_says_that_history_begins_anew(path: Path) -> None:
    edit(path, plain_sequence("second"))
    save(open_document(path), plain_sequence("by hand"))
    remark = edit(path, plain_sequence("third"))
    assert remark is not None and "begins anew" in remark
    step(path, undo)
    assert title(path) == "by hand"
    with pytest.raises(UseFault, match="first state"):
        step(path, undo)


def test_a_document_only_laid_out_otherwise_is_still_the_same_state(path: Path) -> None:
    edit(path, plain_sequence("second"))
    path.write_text("\n" + path.read_text())
    assert step(path, undo) == "an edit"
    assert title(path) == "first"


def test_edits_made_with_an_older_previs_are_undone_by_this_one(path: Path) -> None:
    # What the older one writes is in the layout of its time.
    before = path.read_text().replace(f'"schema": {SCHEMA},', f'"schema": {SCHEMA - 1},')
    after = before.replace('"title": "first"', '"title": "second"')
    assert before != after
    with record(path, before, after, "an edit of old"):
        path.write_text(after)
    assert title(path) == "second"
    assert steps_from(path, to_text(open_document(path).sequence)) == ("an edit of old", None)
    assert edit(path, plain_sequence("third"), "an edit of now") is None
    assert step(path, undo) == "an edit of now" and title(path) == "second"
    assert step(path, undo) == "an edit of old" and title(path) == "first"
    assert step(path, redo) == "an edit of old" and title(path) == "second"


def test_a_deleted_history_is_nothing_to_undo_and_begins_again_with_the_next_edit(path: Path) -> None:
    edit(path, plain_sequence("second"))
    for file in history_folder(path).iterdir():
        file.unlink()
    history_folder(path).rmdir()
    with pytest.raises(UseFault, match="no edit of it was recorded"):
        step(path, undo)
    edit(path, plain_sequence("third"))
    step(path, undo)
    assert title(path) == "second"


@pytest.mark.parametrize(
    "damage",
    [b"", b"{", b"\xff\xfe", b'{"states": [], "edits": [], "at": 0}', b'{"states": ["../../x"], "edits": [], "at": 0}', b'{"at": 5}'],
)
def test_a_damaged_position_is_said_in_one_sentence_and_begun_anew(path: Path, damage: bytes) -> None:
    edit(path, plain_sequence("second"))
    (history_folder(path) / "position").write_bytes(damage)
    with pytest.raises(UseFault, match=r"cannot be read, .* begins anew"):
        step(path, undo)
    assert edit(path, plain_sequence("third")) is None
    step(path, undo)
    assert title(path) == "second"


@pytest.mark.parametrize("damage", [None, b"", b"nonsense", b"x\x9c\x03\x00\x00\x00\x00\x01"])
def test_a_damaged_text_is_never_put_in_the_place_of_the_document(path: Path, damage: bytes | None) -> None:
    edit(path, plain_sequence("second"))
    for file in history_folder(path).glob("*.z"):
        if damage is None:
            file.unlink()
        else:
            file.write_bytes(damage)
    with pytest.raises(UseFault, match="damaged"):
        step(path, undo)
    assert title(path) == "second"
    edit(path, plain_sequence("third"))
    assert step(path, undo) == "an edit"
    assert title(path) == "second"


def test_a_save_that_fails_is_no_step_and_keeps_what_could_be_redone(path: Path) -> None:
    edit(path, plain_sequence("second"))
    step(path, undo)
    opened = open_document(path)
    with pytest.raises(Fault, match="full"), record(path, to_text(opened.sequence), to_text(plain_sequence("third")), "fails"):
        raise Fault("the disk is full")
    assert (step(path, redo), title(path)) == ("an edit", "second")


def test_a_text_with_half_a_character_is_left_to_the_save_to_refuse(path: Path) -> None:
    with pytest.raises(UseFault, match="half a character"):
        edit(path, plain_sequence("\ud800"))
    assert title(path) == "first"


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="rights that bind this user")
def test_a_folder_that_may_not_be_written_to_is_said_before_anything_is_saved(path: Path) -> None:
    edit(path, plain_sequence("second"))
    history_folder(path).chmod(0o500)
    try:
        with pytest.raises(Fault, match=r"history .* cannot be written"):
            edit(path, plain_sequence("third"))
    finally:
        history_folder(path).chmod(0o700)
    assert title(path) == "second"


class Dead(BaseException):
    """What a killed program would be: from the n-th call on, nothing is done any more."""


def dying_before_call(number: int, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let the n-th change of the disk, and every later one, not happen; returns the calls that did."""
    done: list[str] = []
    targets = ((Path, "replace"), (Path, "unlink"), (Path, "mkdir"), (Path, "touch"), (os, "fsync"), (os, "link"))

    def watched(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def go(*arguments: Any, **named: Any) -> Any:
            if len(done) == number:
                raise Dead
            done.append(name)
            return call(*arguments, **named)

        return go

    for place, name in targets:
        monkeypatch.setattr(place, name, watched(name, getattr(place, name)))
    return done


@pytest.mark.parametrize("what", ["edit", "undo", "redo"])
def test_killed_before_any_call_document_and_history_agree_and_nothing_is_lost(tmp_path: Path, what: str) -> None:
    seen, number = [], 0
    while True:
        folder = tmp_path / f"{what}{number}"
        folder.mkdir()
        path = folder / "salt.previs"
        create(path, plain_sequence("first"))
        edit(path, plain_sequence("second"))
        edit(path, plain_sequence("third"))
        if what != "undo":
            step(path, undo)
        before = title(path)
        with pytest.MonkeyPatch.context() as patch:
            done = dying_before_call(number, patch)
            try:
                if what == "edit":
                    edit(path, plain_sequence("other"))
                else:
                    step(path, undo if what == "undo" else redo)
                alive = True
            except Dead:
                alive = False
        now = title(path)
        seen.append(now)
        # Whichever it is, the next program can go back to the very beginning.
        while title(path) != "first":
            step(path, undo)
        names = []
        while True:
            try:
                step(path, redo)
            except UseFault:
                break
            names.append(title(path))
        assert names == (["second", "other"] if now == "other" else ["second", "third"])
        if alive:
            break
        assert len(done) == number
        number += 1
    assert number > 10
    after = {"edit": "other", "undo": "second", "redo": "third"}[what]
    assert seen[0] == before and seen[-1] == after
    turned = seen.index(after)
    assert set(seen[:turned]) == {before} and set(seen[turned:]) == {after}


@given(st.lists(st.one_of(st.text(st.characters(codec="utf-8"), max_size=3), st.sampled_from(["undo", "redo"])), max_size=12))
@settings(deadline=None, max_examples=25)
def test_any_run_of_edits_undos_and_redos_is_what_a_list_of_states_would_give(run: list[str]) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "salt.previs"
        create(path, plain_sequence("first"))
        line, at = [path.read_bytes()], 0
        for one in run:
            if one in ("undo", "redo"):
                to = at + (1 if one == "redo" else -1)
                if 0 <= to < len(line):
                    step(path, undo if one == "undo" else redo)
                    at = to
                else:
                    with pytest.raises(UseFault):
                        step(path, undo if one == "undo" else redo)
            else:
                edit(path, plain_sequence(one))
                if path.read_bytes() != line[at]:
                    line, at = [*line[: at + 1], path.read_bytes()], at + 1
            assert path.read_bytes() == line[at]
        while at:
            step(path, undo)
            at -= 1
        assert path.read_bytes() == line[0]
