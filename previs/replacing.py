"""Writing a file, or a folder of files, whole or not at all; it knows nothing of what is written."""

from __future__ import annotations

import errno
import os
import re
import shutil
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import blake2b
from pathlib import Path

from previs.faults import FORBIDDEN, FULL, Fault, UseFault

_AWAY = frozenset({errno.ENOENT, errno.ENOTDIR, errno.ESTALE})
_MACHINE = blake2b(socket.gethostname().encode(errors="replace"), digest_size=4).hexdigest()
_TEMPORARY = re.compile(r"\..*\.([0-9a-f]{8})-(\d{1,10})-([0-9a-f]{8})\.part(\..*)?", re.ASCII | re.DOTALL)
# Signs of the name that a temporary file keeps, to be known by; whole, the name could grow longer than a folder takes.
_NAME_SIGNS = 40

_LONGEST_NAME = 255
"""Bytes of a name that usual file systems take."""

_in_use: set[str] = set()
_cleared: set[Path] = set()


def named_with(path: Path, ending: str) -> str:
    """The name that a file would have with this ending, to advise it; also for a path that names nothing or a folder."""
    return f"{path.stem or 'name'}{ending}"


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Give a temporary path beside `path`, with the same suffix, that takes its place, safe on disk, when the block ends well.

    On any exception, `Stopped` included, the temporary file is removed and `path` is as it was; what a killed program left
    is removed by the next that writes into the folder. Raises `UseFault` for a path that is a folder or whose name cannot
    be written as text, `Fault` when the folder cannot be written or the disk is full.
    """
    if not_text(path):
        raise UseFault(f"{path.name!r} holds a sign that no text can hold; choose another name.")
    if _too_long(path):
        raise UseFault(f"{path.name} is too long for the name of a file; give a shorter one.")
    with _explained(path), _temporary_beside(path, path.suffix) as temporary:
        if path.is_dir():
            raise UseFault(f"{path} is a folder; give the name of the file to write into it as well.")
        path.parent.mkdir(parents=True, exist_ok=True)
        _clear_leftovers(path.parent)
        try:
            yield temporary
            _flush(temporary)
            temporary.replace(path)
            with suppress(OSError):  # the name; a folder that cannot be opened is made safe by its own system
                _flush(path.parent)
        finally:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)


@contextmanager
def filling(folder: Path) -> Iterator[Path]:
    """A folder beside `folder` whose files go there when the block ends well, and are removed with it otherwise.

    Raises `Fault` as `replacing` does.
    """
    with _explained(folder), _temporary_beside(folder, "") as making:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _clear_leftovers(folder.parent)
        try:
            making.mkdir()
            yield making
            for file in making.iterdir():
                _flush(file)
            folder.mkdir(exist_ok=True)
            for file in sorted(making.iterdir()):
                file.replace(folder / file.name)
        finally:
            shutil.rmtree(making, ignore_errors=True)


def _too_long(path: Path) -> bool:
    return len(path.name.encode(errors="surrogateescape")) > _LONGEST_NAME


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file whole or not at all, and give back where; raises as `replacing` does."""
    with replacing(path) as temporary:
        temporary.write_bytes(content)
    return path


@contextmanager
def _temporary_beside(path: Path, suffix: str) -> Iterator[Path]:
    """A name that no other program or piece of work has, and that tells which program of which machine it is of."""
    mark = os.urandom(4).hex()
    _in_use.add(mark)
    try:
        # Absolute, since the media libraries take a name such as `take:1.mp4` alone for an address.
        yield path.absolute().with_name(f".{path.stem[:_NAME_SIGNS]}.{_MACHINE}-{os.getpid()}-{mark}.part{suffix}")
    finally:
        _in_use.discard(mark)


def _clear_leftovers(folder: Path) -> None:
    """Remove, at the first look into a folder, what programs of this machine left there when they were killed."""
    if folder in _cleared:
        return
    _cleared.add(folder)
    with suppress(OSError):
        for file in folder.iterdir():
            name = _TEMPORARY.fullmatch(file.name)
            if not name or name[1] != _MACHINE or name[3] in _in_use or not _is_gone(int(name[2])):
                continue
            if file.is_dir():
                shutil.rmtree(file, ignore_errors=True)
            else:
                with suppress(OSError):
                    file.unlink()


def _is_gone(process: int) -> bool:
    # A number can be given again: in a container every run may have the same.
    if process == os.getpid():
        return True
    if os.name != "posix":  # where to ask after a process could end it
        return False
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):  # a number beyond those that processes have
        return True
    except OSError:
        return False
    return False


def _flush(path: Path) -> None:
    """Have the bytes of a file, or the names in a folder, written to the disk itself: power may go at any moment."""
    descriptor = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def not_text(path: Path) -> bool:
    """Whether a path holds bytes that are no text: no document and no list can name it."""
    try:
        str(path).encode()
    except UnicodeEncodeError:
        return True
    return False


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    """Turns what the system says of writing `path` into a `Fault`; what it says of other files passes through."""
    try:
        yield
    except Exception as error:
        reason = getattr(error, "strerror", None)
        # The media library's own errors carry a reason as the system's do, but are not all OSErrors.
        if (not isinstance(error, OSError) and reason is None) or not _is_of(error, path):
            raise
        said = reason or "the disk took only a part of it"
        raise Fault(f"{path} cannot be written ({said}); {_advice(error)}.") from error


def _is_of(error: Exception, path: Path) -> bool:
    """Whether an error is about the file that is being written, its folder, or nothing that it names."""
    named = getattr(error, "filename", None)
    if not isinstance(named, str) or not Path(named).is_absolute():
        return True
    whole, other = path.absolute(), Path(named)
    ours = other.name == whole.name or other.name.startswith(f".{whole.stem[:_NAME_SIGNS]}.")
    return (ours and other.parent == whole.parent) or other in whole.parents or whole in other.parents


def _advice(error: Exception) -> str:
    number = getattr(error, "errno", None)
    # The writer of arrays gives no number, only how much the disk took.
    if number is None or number in FULL:
        return "free some space or choose another folder"
    if number in FORBIDDEN:
        return "allow writing there, or choose another folder"
    if number in _AWAY:
        return "its folder went away: bring it back, or try again and it is made anew"
    if number == errno.ENAMETOOLONG:
        return "choose a shorter name"
    return "check the disk, or choose another folder"
