"""The folder of the file, of the outputs or of the history removed under a program: one sentence, and it goes on where it can."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from document.drawn import plain_sequence

from previs.document.history import history_folder
from previs.document.sitting import Sitting
from previs.document.store import create, open_document, versions_folder
from previs.faults import Fault
from previs.replacing import filling, replacing, write_whole


def test_the_document_s_folder_goes_and_comes_back(tmp_path: Path) -> None:
    folder = tmp_path / "show"
    folder.mkdir()
    create(folder / "salt.previs", plain_sequence())
    with Sitting(folder / "salt.previs") as sitting:
        folder.rename(tmp_path / "away")
        with pytest.raises(Fault, match=r"cannot be written \(No such file or directory\), so the edit was not made; check .*history\."):
            sitting.edit(lambda _: plain_sequence("second"), "set the title")
        assert sitting.sequence == plain_sequence()
        (tmp_path / "away").rename(folder)
        assert sitting.edit(lambda _: plain_sequence("second"), "set the title") is None
        sitting.undo()
    assert open_document(folder / "salt.previs").sequence == plain_sequence()


def test_a_program_closes_well_whose_folder_is_gone_for_good(tmp_path: Path) -> None:
    folder = tmp_path / "show"
    folder.mkdir()
    create(folder / "salt.previs", plain_sequence())
    with Sitting(folder / "salt.previs"):
        shutil.rmtree(folder)
    assert not folder.exists()


def test_history_and_versions_deleted_under_a_sitting_cost_the_way_back_and_no_edit(tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence("0"))
    with Sitting(path) as sitting:
        sitting.edit(lambda _: plain_sequence("1"), "title 1")
        shutil.rmtree(history_folder(path))
        shutil.rmtree(versions_folder(path))
        assert sitting.edit(lambda _: plain_sequence("2"), "title 2") is None
        assert sitting.undo().what == "title 2" and sitting.sequence.title == "1"
        with pytest.raises(Fault, match="There is nothing to undo"):
            sitting.undo()
    assert open_document(path).sequence.title == "1"


def test_the_folder_of_an_output_goes_while_it_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    with (
        pytest.raises(Fault, match=r"cannot be written .*its folder went away: bring it back"),
        replacing(folder / "a") as part,
    ):
        part.write_bytes(b"half")
        shutil.rmtree(folder)
    with pytest.raises(Fault, match="its folder went away"), filling(folder / "stills") as making:
        (making / "1.png").write_bytes(b"half")
        shutil.rmtree(folder)
    assert not folder.exists()
    write_whole(folder / "a", b"whole")
    assert (folder / "a").read_bytes() == b"whole"
