"""Opening and saving a sequence's file so that nothing is ever lost; who holds it is not its business (see `locks`).

A save writes the whole text beside the file, forces it to disk, keeps the outgoing file as a version, and puts the
new one in its place in one step. A program killed at any moment leaves the old or the new file, whole.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from previs.document.invariants import faults_in
from previs.document.model import Sequence
from previs.document.text import LARGEST_TEXT, DocumentFault, from_text, to_text
from previs.faults import FORBIDDEN, FULL, Fault, UseFault

_VERSION = re.compile(r"\d{4,12}\.previs", re.ASCII)

VERSIONS_KEPT = 10
"""How many outgoing files are kept beside the document, the newest ones."""


_NO_LINKS = frozenset({errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK})


@dataclass(frozen=True, slots=True)
class Opened:
    """A sequence with the file that it came from; `stamp` tells whether that file has changed on disk since.

    `doubt` is a sentence when a save was made and the disk would not say that it will last; empty as a rule.
    """

    sequence: Sequence
    path: Path
    stamp: str
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Version:
    """One kept version: its number, rising with each save, and its file."""

    number: int
    path: Path


def open_document(path: Path) -> Opened:
    """Read a document. `path` of the result is absolute, with symbolic links followed.

    Raises `UseFault` when the file is not there or may not be read, `DocumentFault` when it is not a sound document.
    """
    real = real_path(path)
    content = _content(real)
    try:
        text = content.decode()
    except UnicodeDecodeError as error:
        raise DocumentFault(f"{path} is not a previs document: its byte {error.start} is not UTF-8 text; open another file.") from error
    return Opened(from_text(text, str(path)), real, _stamp(content))


def create(path: Path, sequence: Sequence) -> Opened:
    """Write a new document; raises `UseFault` when there is a file of that name already, `Fault` when it cannot be written."""
    real, content = real_path(path), _checked(sequence, path)
    with _explained(real), _written_beside(real, content, mode=None) as written:
        if not put_as_new(written, real):
            raise UseFault(f"{path} is there already and is left as it is; choose another name or move it away.")
    return Opened(sequence, real, _stamp(content), _doubt(real))


def save(opened: Opened, sequence: Sequence) -> Opened:
    """Put `sequence` in the place of the file that was opened, and keep the outgoing file as a version.

    Nothing is written when the file holds this very sequence already. Raises `Fault` when the file on disk is not the
    one that was opened any more, or when it cannot be written; the file on disk is then as it was.
    """
    path, content = opened.path, _checked(sequence, opened.path)
    stamp = _stamp(content)
    if _stamp_on_disk(path) == stamp:
        return Opened(sequence, path, stamp)
    _refuse_newer(opened)
    with _explained(path):
        mode = stat.S_IMODE(path.stat().st_mode)
        if not mode & 0o222 or not os.access(path, os.W_OK):
            raise Fault(f"{path} is set to read-only, so nothing was saved; allow writing to it, or save under another name.")
        with _written_beside(path, content, mode) as written:
            # As late as can be: only the moment up to the replace is left for another program to come between.
            _refuse_newer(opened)
            _keep_outgoing(path)
            written.replace(path)
    return Opened(sequence, path, stamp, _doubt(path))


def versions_folder(path: Path) -> Path:
    """Where the kept versions of a document are: a folder beside it."""
    return path.with_name(path.name + ".versions")


def kept_versions(path: Path) -> tuple[Version, ...]:
    """The kept versions of a document, oldest first; none when it was never saved twice."""
    folder = versions_folder(real_path(path))
    try:
        return _versions_in(folder)
    except OSError as error:
        raise UseFault(f"{folder} cannot be read ({error.strerror}); check who may read it, and the disk.") from error


def put_as_new(written: Path, path: Path) -> bool:
    """Give a file written beside it the name `path` in one step; False, with nothing changed, where a file stands."""
    try:
        # A link fails where a file stands; a rename would put itself in that file's place.
        os.link(written, path)
    except FileExistsError:
        return False
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        try:
            path.touch(exist_ok=False)
        except FileExistsError:
            return False
        written.replace(path)
    return True


def clear_leftovers(path: Path) -> None:
    """Remove what a killed save left behind; only whoever holds the document may call this (see `locks.holding`)."""
    for leftover in path.parent.iterdir():
        if leftover.name.startswith(f".{path.name}.") and leftover.name.endswith(".saving"):
            leftover.unlink(missing_ok=True)
    if (folder := versions_folder(path)).is_dir():
        for leftover in folder.glob(".*.saving"):
            leftover.unlink(missing_ok=True)


def real_path(path: Path) -> Path:
    """The file itself, absolute, behind any symbolic links; raises `UseFault` for links that lead in a circle."""
    try:
        return path.resolve()
    except (OSError, RuntimeError) as error:
        raise UseFault(f"{path} is a symbolic link that leads in a circle; open the file itself.") from error


def _content(path: Path) -> bytes:
    """The bytes of a document's file; a pipe or a device, which would never end, is refused before it is opened."""
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            raise UseFault(f"{path} is not a file; open a previs document.")
        if about.st_size > LARGEST_TEXT:
            raise DocumentFault(f"{path} is larger than {LARGEST_TEXT // 1024**2} MB, which no previs document is; open another file.")
        return path.read_bytes()
    except FileNotFoundError as error:
        ending = path.with_name(f"{path.name}.previs")
        hint = f"{ending.name} is there; give its whole name." if ending.exists() else "check the name, or begin a new sequence."
        raise UseFault(f"There is no file {path}; {hint}") from error
    except OSError as error:
        raise UseFault(f"{path} cannot be read ({error.strerror}); check who may read it, and the disk.") from error


def _checked(sequence: Sequence, path: Path) -> bytes:
    """The sequence as bytes; refuses to write what could not be opened again."""
    if faults := faults_in(sequence):
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        raise UseFault(
            f"Nothing was saved and {path.name} is as it was: what was asked would leave something in it that cannot be, at "
            f"{faults[0]}{more}; ask for something else there."
        )
    content = to_text(sequence).encode()
    if len(content) > LARGEST_TEXT:
        raise UseFault(f"Nothing was saved to {path.name}: the sequence is larger than {LARGEST_TEXT // 1024**2} MB; divide it.")
    return content


def _stamp(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _stamp_on_disk(path: Path) -> str | None:
    """The stamp of the file as it is now; None when it is gone."""
    try:
        return _stamp(path.read_bytes())
    except FileNotFoundError:
        return None
    except OSError as error:
        raise Fault(f"{path} cannot be read ({error.strerror}), so nothing was saved; check who may read it, and the disk.") from error


def _refuse_newer(opened: Opened) -> None:
    path = opened.path
    now = _stamp_on_disk(path)
    if now is None:
        raise Fault(f"{path} was moved or deleted since it was opened, so nothing was saved; put it back, or save under another name.")
    if now != opened.stamp:
        raise Fault(
            f"{path} was changed on disk since it was opened, by {_owner(path)}{_changed_at(path)}, so nothing was "
            "saved; open it again and repeat the edit, or save under another name."
        )


def _changed_at(path: Path) -> str:
    """When a file was last written, as far as its date is one: a drive without a clock may give it any."""
    try:
        return f" at {datetime.fromtimestamp(path.stat().st_mtime, UTC):%Y-%m-%d %H:%M:%S} UTC"
    except (OSError, OverflowError, ValueError):
        return ""


def _owner(path: Path) -> str:
    try:
        return path.owner()
    except (KeyError, NotImplementedError, OSError):
        return f"user {path.stat().st_uid}"


@contextmanager
def _written_beside(path: Path, content: bytes, mode: int | None) -> Iterator[Path]:
    """A file in the same folder with this content, safe on disk; gone again at the end unless it was renamed."""
    written = path.with_name(f".{path.name}.{os.getpid()}-{os.urandom(4).hex()}.saving")
    try:
        with written.open("xb") as file:
            if mode is not None:
                written.chmod(mode)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        yield written
    finally:
        written.unlink(missing_ok=True)


def _keep_outgoing(path: Path) -> None:
    """The file as it is on disk becomes the newest version; the oldest beyond `VERSIONS_KEPT` go."""
    folder = versions_folder(path)
    folder.mkdir(exist_ok=True)
    kept = _versions_in(folder)
    # A save that was killed after this step has kept the outgoing file already.
    if not (kept and kept[-1].path.samefile(path)):
        version = folder / f"{kept[-1].number + 1 if kept else 1:04d}.previs"
        try:
            os.link(path, version)
        except OSError as error:
            if error.errno not in _NO_LINKS:
                raise
            with _written_beside(version, path.read_bytes(), mode=None) as copy:
                copy.replace(version)
        flush_folder(folder)
    for old in _versions_in(folder)[:-VERSIONS_KEPT]:
        old.path.unlink(missing_ok=True)


def _versions_in(folder: Path) -> tuple[Version, ...]:
    if not folder.exists():
        return ()
    found = [Version(int(file.stem), file) for file in folder.iterdir() if _VERSION.fullmatch(file.name)]
    return tuple(sorted(found, key=lambda version: version.number))


def _doubt(path: Path) -> str:
    """Have the new file's name written to the disk, and say so when the disk refuses: the save itself is made by now."""
    try:
        flush_folder(path.parent)
    except OSError as error:
        why = f"{path.name} is saved, but the disk did not confirm it ({error.strerror})"
        return f"{why}, so a loss of power now could undo it; check the disk, and keep a copy of the file elsewhere."
    return ""


def flush_folder(folder: Path) -> None:
    """Make the names in a folder as safe as the bytes of its files; systems that cannot open a folder do it themselves."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno != errno.EINVAL:  # what network folders answer that have no such thing
            raise
    finally:
        os.close(descriptor)


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    """Turns the system's errors into a `Fault` that says what became of the document."""
    try:
        yield
    except OSError as error:
        if error.errno in FULL:
            what = "the disk is full, or your share of it is; make room and save again"
        elif error.errno in FORBIDDEN:
            what = f"the folder {path.parent} may not be written to; allow it, or save in another folder"
        elif error.errno == errno.ENAMETOOLONG:
            what = "its name is too long for the files that stand beside it; give it a shorter one"
        elif error.errno == errno.ENOENT and not path.parent.exists():
            what = f"there is no folder {path.parent}; make it first"
        else:
            what = f"the system says '{error.strerror}'; check the disk, or save in another folder"
        raise Fault(f"{path.name} could not be saved, and what is on disk is whole: {what}.") from error
