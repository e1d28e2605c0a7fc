"""Power lost at any moment: what is written is on the disk before it has its name, and the name before the next step."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest
from document.drawn import plain_sequence

from previs.document import store
from previs.document.locks import holding_here
from previs.document.sitting import Sitting
from previs.document.store import create, kept_versions, open_document, save
from previs.replacing import filling, replacing, write_whole


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The flushes, renames and links in their order: `flush NAME`, `name FROM as TO`, `link FROM as TO`."""
    seen: list[str] = []
    flush, rename, link = os.fsync, Path.replace, os.link

    def flushed(descriptor: int) -> None:
        kind = "folder" if stat.S_ISDIR(os.fstat(descriptor).st_mode) else "file"
        seen.append(f"flush {kind} {Path(f'/proc/self/fd/{descriptor}').readlink().name}")
        flush(descriptor)

    def renamed(path: Path, to: Path) -> Path:
        seen.append(f"name {Path(to).name}")
        return rename(path, to)

    def linked(path: Path, to: Path) -> None:
        seen.append(f"link {Path(to).name}")
        link(path, to)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(Path, "replace", renamed)
    monkeypatch.setattr(os, "link", linked)
    return seen


def without_marks(calls: list[str]) -> list[str]:
    """The calls with scratch files told by their ending alone."""
    return [" ".join((*call.split()[:-1], "scratch")) if call.endswith((".saving", ".part", ".part.csv")) else call for call in calls]


needs_proc = pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="names of open files are told by /proc")


@needs_proc
def test_a_save_is_on_the_disk_before_its_name_and_the_outgoing_file_is_kept_before_both(tmp_path: Path, calls: list[str]) -> None:
    opened = create(tmp_path / "salt.previs", plain_sequence())
    calls.clear()
    save(opened, plain_sequence("second"))
    assert without_marks(calls) == [
        "flush file scratch",
        "link 0001.previs",
        "flush folder salt.previs.versions",
        "name salt.previs",
        f"flush folder {tmp_path.name}",
    ]


@needs_proc
def test_the_step_back_is_on_the_disk_before_the_document(tmp_path: Path, calls: list[str]) -> None:
    create(tmp_path / "salt.previs", plain_sequence())
    with Sitting(tmp_path / "salt.previs") as sitting:
        calls.clear()
        sitting.edit(lambda _: plain_sequence("second"), "set the title")
    named = [call for call in calls if call.startswith("name ")]
    place = named.index("name salt.previs")
    assert "name coming" in named[:place] and "name position" in named[place:]
    coming = calls.index("name coming")
    assert calls[coming + 1] == "flush folder salt.previs.history" and calls.index("name salt.previs") > coming


@needs_proc
def test_any_other_file_is_on_the_disk_before_its_name_too(tmp_path: Path, calls: list[str]) -> None:
    write_whole(tmp_path / "list.csv", b"1,2\n")
    assert without_marks(calls) == ["flush file scratch", "name list.csv", f"flush folder {tmp_path.name}"]
    calls.clear()
    with filling(tmp_path / "stills") as making:
        (making / "1.png").write_bytes(b"picture")
    assert calls == ["flush file 1.png", "name 1.png"]


def test_what_power_cut_off_is_passed_over_and_cleared(tmp_path: Path) -> None:
    path = tmp_path / "salt.previs"
    opened = create(path, plain_sequence())
    save(opened, plain_sequence("second"))
    # As a disk leaves it on which the bytes and the new name had not come to rest yet.
    (tmp_path / ".salt.previs.4242-0badcafe.saving").write_bytes(path.read_bytes()[:200])
    (tmp_path / "salt.previs.versions" / ".0002.previs.4242-0badcafe.saving").write_bytes(b"")
    with holding_here(path):
        assert open_document(path).sequence == plain_sequence("second")
    assert [open_document(version.path).sequence for version in kept_versions(path)] == [plain_sequence()]
    assert sorted(entry.name for entry in tmp_path.rglob(".*")) == []


def test_a_save_whose_name_the_disk_does_not_confirm_is_told_as_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "salt.previs"
    create(path, plain_sequence())
    with Sitting(path) as sitting:
        flush = store.flush_folder

        def refuses(folder: Path) -> None:
            if folder == path.parent:
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            flush(folder)

        with monkeypatch.context() as patch:
            patch.setattr(store, "flush_folder", refuses)
            said = sitting.edit(lambda _: plain_sequence("second"), "set the title")
        assert said == (
            "salt.previs is saved, but the disk did not confirm it (Input/output error), so a loss of power now could undo it; "
            "check the disk, and keep a copy of the file elsewhere."
        )
        assert open_document(path).sequence == sitting.sequence == plain_sequence("second")
        # The next edit finds its own file, not another program's.
        assert sitting.edit(lambda _: plain_sequence("third"), "set the title") is None and not sitting.doubt
        sitting.undo()
        assert sitting.sequence == plain_sequence("second")


def test_a_movie_cut_off_under_its_scratch_name_is_cleared_by_the_next_into_the_folder(tmp_path: Path) -> None:
    with replacing(tmp_path / "a.mp4") as scratch:
        scratch.write_bytes(b"whole")
    # The same machine and a process that is gone.
    gone = tmp_path / scratch.name.replace(f"-{os.getpid()}-", "-4194304-")
    gone.write_bytes(b"ha")
    from previs import replacing as module

    module._cleared.clear()
    write_whole(tmp_path / "b.mp4", b"whole too")
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["a.mp4", "b.mp4"]
