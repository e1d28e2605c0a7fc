"""Where the media are: paths that move with the folder, and tapes found again by what is in them."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import msgspec
import pytest
from document.drawn import plain_sequence

from previs.document.model import Card, Sequence, Tape
from previs.document.paths import find_moved, locate, match_by_content, relinked, stored_path
from previs.faults import UseFault
from previs.progress import Step


def content(path: Path) -> str:
    """Stands for the fingerprint of the media room."""
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise UseFault(f"{path} cannot be read.") from error


def tape(reel: str, path: str, holds: bytes) -> Tape:
    return msgspec.structs.replace(plain_sequence().tapes[0], reel=reel, path=path, fingerprint=sha256(holds).hexdigest())


def with_tapes(*tapes: Tape) -> Sequence:
    return msgspec.structs.replace(plain_sequence(), tapes=tapes, takes=(), treatments=(), cuts=())


@pytest.fixture
def document(tmp_path: Path) -> Path:
    (tmp_path / "show" / "edit").mkdir(parents=True)
    return tmp_path / "show" / "edit" / "salt.previs"


def put(path: Path, holds: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(holds)
    return path


@pytest.mark.parametrize(
    ("media", "stored"),
    [
        ("edit/A1.mp4", "A1.mp4"),
        ("edit/tapes/day 1/A1.mp4", "tapes/day 1/A1.mp4"),
        ("tapes/A1.mp4", "../tapes/A1.mp4"),
        ("edit/../tapes/A1.mp4", "../tapes/A1.mp4"),
    ],
)
def test_media_of_the_production_are_stored_relative(document: Path, media: str, stored: str) -> None:
    file = document.parent.parent / media
    assert stored_path(file, document) == stored
    there = locate(document, tape("A1", stored, b""))
    assert there.is_absolute() and ".." not in there.parts
    assert there == document.parent.parent / media.replace("edit/../", "")
    assert locate(document, Card("the fall", image=stored)) == there


def test_media_on_another_volume_are_stored_absolute(document: Path) -> None:
    assert stored_path(Path("/raid-of-nobody/A1.mp4"), document) == "/raid-of-nobody/A1.mp4"
    assert locate(document, tape("A1", "/raid-of-nobody/A1.mp4", b"")) == Path("/raid-of-nobody/A1.mp4")


def test_a_name_given_from_the_working_folder_is_stored_the_same(document: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(document.parent.parent)
    assert stored_path(Path("tapes/A1.mp4"), document) == "../tapes/A1.mp4"
    assert stored_path(Path("tapes/A1.mp4"), Path("edit/salt.previs")) == "../tapes/A1.mp4"


def test_a_production_moved_as_a_whole_finds_its_tapes(document: Path, tmp_path: Path) -> None:
    there = put(tmp_path / "show" / "tapes" / "A1.mp4", b"one")
    one = tape("A1", stored_path(there, document), b"one")
    (tmp_path / "show").rename(tmp_path / "archive")
    assert locate(tmp_path / "archive" / "edit" / "salt.previs", one).read_bytes() == b"one"


def test_a_folder_linked_into_the_production_stays_in_there(document: Path, tmp_path: Path) -> None:
    put(tmp_path / "raid" / "A1.mp4", b"one")
    (document.parent / "tapes").symlink_to(tmp_path / "raid")
    assert stored_path(document.parent / "tapes" / "A1.mp4", document) == "tapes/A1.mp4"


def test_relinked_changes_the_paths_and_nothing_else(document: Path) -> None:
    sequence = with_tapes(tape("A1", "old/A1.mp4", b"one"), tape("B1", "old/B1.mp4", b"two"))
    changed = relinked(sequence, {"B1": document.parent / "new" / "x.mp4"}, document)
    assert [one.path for one in changed.tapes] == ["old/A1.mp4", "new/x.mp4"]
    assert msgspec.structs.replace(changed, tapes=sequence.tapes) == sequence
    with pytest.raises(UseFault, match="no tape with reel name 'C1'"):
        relinked(sequence, {"C1": document}, document)


def test_moved_tapes_are_found_by_content_under_any_name(document: Path, tmp_path: Path) -> None:
    here = put(document.parent / "tapes" / "C1.mp4", b"three")
    moved = put(tmp_path / "backup" / "deep" / "down" / "renamed.mov", b"one")
    put(tmp_path / "backup" / "B1.mp4", b"another recording of the same name")
    sequence = with_tapes(
        tape("A1", "tapes/A1.mp4", b"one"), tape("B1", "tapes/B1.mp4", b"two"), tape("C1", stored_path(here, document), b"three")
    )
    steps: list[Step] = []
    search = find_moved(sequence, document, [tmp_path / "backup"], content, steps.append)
    assert search.found == {"A1": moved} and search.missing == ("B1",)
    assert search.remarks == (f"A1 is at {moved}.",)
    looking_at = [(step.done, step.total, step.doing) for step in steps if step.doing.startswith("Looking at")]
    assert looking_at == [(0, 2, "Looking at B1.mp4"), (1, 2, "Looking at renamed.mov")]
    # In a folder of a million files there is a way out before the first of them is looked at.
    assert steps[0].doing == "Looking in backup"
    assert locate(document, relinked(sequence, search.found, document).tape("A1")) == moved


def test_another_file_in_a_tapes_place_is_not_taken_for_it(document: Path, tmp_path: Path) -> None:
    put(document.parent / "tapes" / "A1.mp4", b"a new recording with the old name")
    moved = put(tmp_path / "backup" / "A1.mp4", b"one")
    search = find_moved(with_tapes(tape("A1", "tapes/A1.mp4", b"one")), document, [tmp_path / "backup"], content)
    assert search.found == {"A1": moved}


def test_when_every_tape_is_in_its_place_no_folder_is_searched(document: Path) -> None:
    put(document.parent / "A1.mp4", b"one")
    search = find_moved(with_tapes(tape("A1", "A1.mp4", b"one")), document, [Path("/no/such/folder")], content)
    assert (search.found, search.missing, search.remarks) == ({}, (), ("Every tape is in its place.",))


def test_of_several_copies_the_nearest_is_taken_and_said(document: Path, tmp_path: Path) -> None:
    far = put(tmp_path / "a far" / "away" / "disk" / "A1.mp4", b"one")
    near = put(tmp_path / "show" / "edit" / "old" / "copy of A1.mp4", b"one")
    wanted = [tape("A1", "tapes/A1.mp4", b"one")]
    search = match_by_content(wanted, document, [far, near], content)
    assert search.found == {"A1": near}
    assert search.remarks == (f"A1 is at {near}; the nearest of 2 copies, the others at {far}.",)
    same_name = put(near.with_name("A1.mp4"), b"one")
    assert match_by_content(wanted, document, [far, near, same_name], content).found == {"A1": same_name}
    assert match_by_content(wanted, document, [same_name, near, far], content).found == {"A1": same_name}


def test_one_recording_under_two_reels_is_found_for_both(document: Path, tmp_path: Path) -> None:
    file = put(tmp_path / "one.mp4", b"one")
    search = match_by_content([tape("A1", "a", b"one"), tape("A2", "b", b"one")], document, [file], content)
    assert search.found == {"A1": file, "A2": file} and search.missing == ()


def test_files_that_cannot_be_read_are_passed_over_and_counted(document: Path, tmp_path: Path) -> None:
    file = put(tmp_path / "one.mp4", b"one")
    search = match_by_content([tape("A1", "a", b"one")], document, [tmp_path / "gone.mp4", file], content)
    assert search.found == {"A1": file} and search.remarks[-1] == "Passed over, since they could not be read: 1."


def test_a_tape_without_a_fingerprint_is_never_matched(document: Path, tmp_path: Path) -> None:
    unknown = msgspec.structs.replace(tape("A1", "a", b""), fingerprint="")
    search = match_by_content([unknown], document, [put(tmp_path / "A1.mp4", b"")], lambda file: "")
    assert search.found == {} and search.missing == ("A1",)
