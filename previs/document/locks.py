"""Who has a document open: a small file beside it that a person can read; it does not guard the bytes, `store.save` does."""

from __future__ import annotations

import errno
import getpass
import os
import re
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from previs.document.store import clear_leftovers, put_as_new, real_path
from previs.faults import FULL, Fault

_CLAIM = re.compile(
    r"This document is open in previs\.\nuser: (.+)\nmachine: (.+)\nprocess: (\d{1,10})\nprocess started: (.+)\nsince: (.+)\n", re.ASCII
)
_UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Claim:
    """Who holds a document, on which machine and in which process, since when.

    `process_started` tells the process from a later one that was given the same number.
    """

    who: str
    host: str
    pid: int
    process_started: str
    since: str


def lock_path(path: Path) -> Path:
    """The lock of a document, a hidden file beside it."""
    real = real_path(path)
    return real.with_name(f".{real.name}.lock")


@contextmanager
def holding(path: Path, who: str, host: str, pid: int, now: datetime) -> Iterator[None]:
    """Hold a document while it is open for editing, and clear away what a killed save left behind.

    Raises `Fault` when somebody else holds it, saying who, where and since when, or when the lock cannot be read or
    written. The lock of a process that is gone, on this same `host`, is taken over.
    """
    lock = lock_path(path)
    claim = Claim(_one_line(who), _one_line(host), pid, process_start(pid) or _UNKNOWN, now.isoformat(timespec="seconds"))
    try:
        _take(lock, claim, path)
    except OSError as error:
        raise Fault(f"{path} cannot be held for editing ({error.strerror}); {_advice(error)}.") from error
    try:
        clear_leftovers(real_path(path))
        yield
    finally:
        # Somebody may have removed the lock by hand and another program taken the document since: theirs stays.
        if _content(lock) == _written(claim):
            lock.unlink(missing_ok=True)


@contextmanager
def holding_here(path: Path) -> Iterator[None]:
    """Hold a document for this process and its user; in all else as `holding`."""
    with holding(path, who=_who(), host=socket.gethostname(), pid=os.getpid(), now=datetime.now(UTC)):
        yield


def left_behind(path: Path) -> Claim | None:
    """The claim of a program that had the document open on this machine and ended without closing it."""
    try:
        content = _content(lock_path(path))
    except OSError:  # whoever holds the document next will say it
        return None
    claim = None if content is None else _read(content)
    return claim if claim and _is_gone(claim, _one_line(socket.gethostname())) else None


def process_start(pid: int) -> str | None:
    """When a process of this machine started, as the system counts it, or None when there is no such process."""
    if Path("/proc/self/stat").exists():
        try:
            about = Path(f"/proc/{pid}/stat").read_text(errors="replace")
        except (FileNotFoundError, ProcessLookupError):
            return None
        # Field 22, counted from behind the name, which may hold blanks and brackets; ticks count from the last start-up.
        fields = about.rpartition(")")[2].split()
        ticks = fields[19]
        return None if fields[0] == "Z" else f"{ticks} ticks after {Path('/proc/sys/kernel/random/boot_id').read_text().strip()}"
    try:
        shown = subprocess.run(["ps", "-o", "lstart=", "-p", str(pid)], capture_output=True, text=True, check=False)
    except FileNotFoundError:
        # No way to ask here: such a process is taken to be running, so that no lock is taken over wrongly.
        return _UNKNOWN
    return shown.stdout.strip() or None


def _take(lock: Path, claim: Claim, path: Path) -> None:
    if _claimed(lock, claim):
        return
    content = _content(lock)
    if content is not None:
        held = _read(content)
        if held is None:
            raise Fault(f"The lock of {path} cannot be read; make sure that nobody has it open, then remove {lock} and try again.")
        if not _is_gone(held, claim.host):
            raise Fault(
                f"{path} is open: {held.who} has it since {held.since} on {held.host} (process {held.pid}); wait until it is closed there."
            )
        _remove_stale(lock, content)
    if not _claimed(lock, claim):
        raise Fault(f"{path} was opened by another program a moment ago; try again.")


def _claimed(lock: Path, claim: Claim) -> bool:
    """Put the lock in place whole, in one step that fails when there is one."""
    # A name that `clear_leftovers` knows.
    draft = lock.with_name(f"{lock.name}.{os.urandom(6).hex()}.saving")
    try:
        with draft.open("xb") as file:
            file.write(_written(claim))
            file.flush()
            os.fsync(file.fileno())
        try:
            return put_as_new(draft, lock)
        except FileNotFoundError:
            # Whoever has taken the document meanwhile has cleared the draft away as a leftover.
            return False
    finally:
        draft.unlink(missing_ok=True)


def _remove_stale(lock: Path, stale: bytes) -> None:
    """Take away a lock that was found stale, but not one that another program has set since."""
    # Only systems that can tell a dead process come here, and those have it.
    import fcntl

    try:
        with lock.open("rb") as file:
            # Of several programs that found it stale, one at a time may look whether it is still the one in place. While
            # it is open, no new lock can be taken for it; and its own holder, who could remove it too, is dead.
            fcntl.flock(file, fcntl.LOCK_EX)
            if file.read() == stale and os.path.samestat(os.fstat(file.fileno()), lock.stat()):
                lock.unlink()
    except FileNotFoundError:
        return


def _is_gone(held: Claim, host: str) -> bool:
    if held.host != host:
        return False
    started = process_start(held.pid)
    # Where the system could not be asked, a process of that number counts as the one that holds the document.
    return started is None or (_UNKNOWN not in (started, held.process_started) and started != held.process_started)


def _written(claim: Claim) -> bytes:
    return (
        f"This document is open in previs.\nuser: {claim.who}\nmachine: {claim.host}\nprocess: {claim.pid}\n"
        f"process started: {claim.process_started}\nsince: {claim.since}\n"
    ).encode()


def _content(lock: Path) -> bytes | None:
    try:
        return lock.read_bytes()
    except FileNotFoundError:
        return None


def _read(content: bytes) -> Claim | None:
    match = _CLAIM.fullmatch(content.decode(errors="replace"))
    return Claim(match[1], match[2], int(match[3]), match[4], match[5]) if match else None


def _advice(error: OSError) -> str:
    if error.errno in FULL:
        return "make room on its disk and try again"
    if error.errno == errno.ENAMETOOLONG:
        return "give it a shorter name, since files of longer names stand beside it"
    return "check that its folder may be written to"


def _one_line(name: str) -> str:
    """A name that cannot break the lock's own lines, nor its encoding."""
    return " ".join(name.encode(errors="replace").decode().split()) or _UNKNOWN


def _who() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return f"user {os.getuid()}"
