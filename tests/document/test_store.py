"""Opening, saving and keeping versions: what is written, what is refused, and that no failure loses anything."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from document.drawn import plain_sequence

from previs.document import store
from previs.document.model import Sequence
from previs.document.store import Opened, create, kept_versions, open_document, save
from previs.document.text import DocumentFault, to_text
from previs.faults import Fault, UseFault


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "salt.previs"


@pytest.fixture
def opened(path: Path) -> Opened:
    create(path, plain_sequence())
    return open_document(path)


def titled(title: str) -> Sequence:
    return plain_sequence(title)


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def refused(kind: type[Fault], work: Callable[[], object]) -> str:
    with pytest.raises(kind) as caught:
        work()
    assert type(caught.value) is kind
    sentence = str(caught.value)
    assert sentence.endswith(".") and "\n" not in sentence
    return sentence


def test_a_new_document_is_the_text_and_nothing_else(path: Path) -> None:
    made = create(path, plain_sequence())
    assert path.read_bytes() == to_text(plain_sequence()).encode()
    assert open_document(path) == made == Opened(plain_sequence(), path, made.stamp)
    assert names(path.parent) == ["salt.previs"]
    assert kept_versions(path) == ()


def test_a_new_document_never_takes_the_place_of_a_file(path: Path) -> None:
    path.write_text("shopping list")
    assert "salt.previs is there already and is left as it is" in refused(UseFault, lambda: create(path, plain_sequence()))
    assert path.read_text() == "shopping list" and names(path.parent) == ["salt.previs"]


def test_a_new_document_has_the_access_that_the_user_gives_new_files(path: Path) -> None:
    before = os.umask(0o027)
    try:
        create(path, plain_sequence())
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_saving_replaces_the_file_and_keeps_the_one_before(opened: Opened, path: Path) -> None:
    path.chmod(0o664)
    saved = save(opened, titled("second"))
    assert saved.sequence == titled("second")
    assert open_document(path) == saved
    assert stat.S_IMODE(path.stat().st_mode) == 0o664
    assert names(path.parent) == ["salt.previs", "salt.previs.versions"]
    (kept,) = kept_versions(path)
    assert kept.number == 1 and kept.path == path.parent / "salt.previs.versions" / "0001.previs"
    assert open_document(kept.path).sequence == opened.sequence


def test_ten_versions_are_kept_and_their_numbers_rise(opened: Opened, path: Path) -> None:
    for number in range(1, 15):
        opened = save(opened, titled(f"save {number}"))
    kept = kept_versions(path)
    assert [version.number for version in kept] == list(range(5, 15))
    # Version n is the file that save n sent out: the one of save n - 1.
    assert [open_document(version.path).sequence.title for version in kept] == [f"save {number}" for number in range(4, 14)]
    assert open_document(path).sequence.title == "save 14"


def test_the_count_of_versions_goes_past_9999_in_order(opened: Opened, path: Path) -> None:
    folder = store.versions_folder(path)
    folder.mkdir()
    (folder / "9999.previs").write_text(to_text(titled("long ago")))
    (folder / "notes.txt").write_text("not a version")
    opened = save(opened, titled("one"))
    save(opened, titled("two"))
    assert [version.number for version in kept_versions(path)] == [9999, 10000, 10001]
    assert (folder / "notes.txt").exists()


def test_saving_what_is_on_disk_already_does_nothing(opened: Opened, path: Path) -> None:
    before = path.stat()
    assert save(opened, plain_sequence()) == opened
    assert path.stat().st_ino == before.st_ino and names(path.parent) == ["salt.previs"]


def test_a_newer_file_on_disk_is_never_overwritten(opened: Opened, path: Path) -> None:
    other = open_document(path)
    save(other, titled("of another"))
    os.utime(path, (0, 1_772_373_720))
    sentence = refused(Fault, lambda: save(opened, titled("mine")))
    assert "was changed on disk since it was opened, by " in sentence and "at 2026-03-01 14:02:00 UTC" in sentence
    assert path.owner() in sentence and "open it again and repeat the edit, or save under another name" in sentence
    assert open_document(path).sequence == titled("of another")
    assert len(kept_versions(path)) == 1


def test_a_file_that_changes_while_it_is_being_saved_is_not_overwritten(
    opened: Opened, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync

    def other_program_saves(descriptor: int) -> None:
        real(descriptor)
        path.write_text(to_text(titled("of another")))

    monkeypatch.setattr(os, "fsync", other_program_saves)
    assert "was changed on disk" in refused(Fault, lambda: save(opened, titled("mine")))
    assert open_document(path).sequence == titled("of another") and names(path.parent) == ["salt.previs"]


def test_a_file_that_was_taken_away_is_not_made_again(opened: Opened, path: Path) -> None:
    path.rename(path.with_name("elsewhere.previs"))
    assert "was moved or deleted since it was opened" in refused(Fault, lambda: save(opened, titled("mine")))
    assert names(path.parent) == ["elsewhere.previs"]


def test_a_file_set_to_read_only_is_left_alone(opened: Opened, path: Path) -> None:
    path.chmod(0o444)
    assert "is set to read-only, so nothing was saved" in refused(Fault, lambda: save(opened, titled("mine")))
    assert open_document(path).sequence == plain_sequence() and names(path.parent) == ["salt.previs"]


def test_an_unsound_sequence_is_not_written(opened: Opened, path: Path) -> None:
    unsound = msgspec.structs.replace(plain_sequence(), target_frames=0)
    for work in (lambda: save(opened, unsound), lambda: create(path.with_name("new.previs"), unsound)):
        assert "$.target_frames: a target of 0 frames is not a length; ask for something else" in refused(UseFault, work)
    assert names(path.parent) == ["salt.previs"]


def test_a_link_is_followed_and_stays_a_link(opened: Opened, path: Path, tmp_path: Path) -> None:
    link = tmp_path / "desk" / "current.previs"
    link.parent.mkdir()
    link.symlink_to(path)
    through = open_document(link)
    assert through.path == path
    save(through, titled("through the link"))
    assert link.is_symlink() and open_document(path).sequence == titled("through the link")
    assert names(link.parent) == ["current.previs"]
    assert kept_versions(link) == kept_versions(path) != ()


def test_links_to_nowhere_and_in_a_circle_are_said_so(tmp_path: Path) -> None:
    (tmp_path / "a.previs").symlink_to(tmp_path / "b.previs")
    assert "There is no file" in refused(UseFault, lambda: open_document(tmp_path / "a.previs"))
    (tmp_path / "b.previs").symlink_to(tmp_path / "a.previs")
    assert "leads in a circle" in refused(UseFault, lambda: open_document(tmp_path / "a.previs"))


def test_what_cannot_be_opened_is_said_in_one_sentence(path: Path, tmp_path: Path) -> None:
    assert refused(UseFault, lambda: open_document(path)) == (f"There is no file {path}; check the name, or begin a new sequence.")
    path.with_name("near.previs").touch()
    near = path.with_name("near")
    assert refused(UseFault, lambda: open_document(near)) == f"There is no file {near}; near.previs is there; give its whole name."
    assert "is not a file" in refused(UseFault, lambda: open_document(tmp_path))
    os.mkfifo(tmp_path / "pipe")
    assert "is not a file" in refused(UseFault, lambda: open_document(tmp_path / "pipe"))
    path.write_bytes(b'{"title": "\xff"}')
    assert "its byte 11 is not UTF-8 text" in refused(DocumentFault, lambda: open_document(path))
    with path.open("wb") as file:
        file.truncate(store.LARGEST_TEXT + 1)
    assert "is larger than 64 MB" in refused(DocumentFault, lambda: open_document(path))
    path.write_text("{")
    sentence = refused(DocumentFault, lambda: open_document(path))
    assert sentence.startswith(f"{path} is not a previs document: line 1, column 2")


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    assert "there is no folder" in refused(Fault, lambda: create(tmp_path / "no" / "salt.previs", plain_sequence()))


BREAKS = [
    # what breaks, with which error, on which call to it, what is said
    ("os.fsync", errno.ENOSPC, 1, "the disk is full"),
    ("os.fsync", errno.EDQUOT, 1, "or your share of it is"),
    ("os.fsync", errno.EIO, 2, "the system says 'Input/output error'"),
    ("os.link", errno.EACCES, 1, "may not be written to"),
    ("pathlib.Path.chmod", errno.EROFS, 1, "may not be written to"),
    ("pathlib.Path.mkdir", errno.ENOSPC, 1, "the disk is full"),
    ("pathlib.Path.replace", errno.EIO, 1, "the system says 'Input/output error'"),
]


@pytest.mark.parametrize(("what", "number", "call", "said"), BREAKS)
def test_nothing_is_lost_when_the_system_refuses(
    what: str, number: int, call: int, said: str, opened: Opened, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = 0
    owner, _, name = what.rpartition(".")
    real = getattr(os if owner == "os" else Path, name)

    def breaks(*given: object, **named: object) -> object:
        nonlocal calls
        calls += 1
        if calls == call:
            raise OSError(number, os.strerror(number))
        return real(*given, **named)

    with monkeypatch.context() as patch:
        patch.setattr(what, breaks)
        sentence = refused(Fault, lambda: save(opened, titled("mine")))
    assert sentence.startswith("salt.previs could not be saved, and what is on disk is whole: ") and said in sentence
    assert not [name for name in names(path.parent) if "saving" in name]
    assert open_document(path).sequence == opened.sequence
    # Saving again, when the cause is gone, goes through and keeps the old file once.
    save(opened, titled("mine"))
    assert open_document(path).sequence == titled("mine")
    assert [open_document(version.path).sequence for version in kept_versions(path)] == [opened.sequence]


def test_an_interrupted_save_takes_its_scratch_file_away(opened: Opened, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(descriptor: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        save(opened, titled("mine"))
    assert names(path.parent) == ["salt.previs"]


def test_disks_without_hard_links_work_too(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*given: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", no_links)
    opened = create(path, plain_sequence())
    assert "is there already" in refused(UseFault, lambda: create(path, titled("mine")))
    opened = save(opened, titled("second"))
    save(opened, titled("third"))
    assert [open_document(version.path).sequence.title for version in kept_versions(path)] == ["The Salt Stair", "second"]
    assert open_document(path).sequence.title == "third" and names(path.parent) == ["salt.previs", "salt.previs.versions"]


def test_network_folders_that_cannot_be_forced_to_disk_are_no_fault(opened: Opened, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fsync

    def files_only(descriptor: int) -> None:
        if stat.S_ISDIR(os.fstat(descriptor).st_mode):
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", files_only)
    save(opened, titled("mine"))
    assert open_document(path).sequence == titled("mine")
