"""Whose turn it is to fill a folder of pulls: of several programs one at a time; what they fill it with is not its business."""

from __future__ import annotations

import errno
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from previs.faults import FULL, Fault
from previs.progress import Report, Step

_LOCK = ".pulls.lock"
_LOOK_EVERY_SECONDS = 0.1
_NO_LOCKS = frozenset({errno.ENOLCK, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EINVAL})


@contextmanager
def filled_alone(folder: Path, report: Report) -> Iterator[None]:
    """Wait until no other program fills the folder, and keep others waiting until the block ends; the wait can be stopped.

    Raises `Fault` when the folder cannot be written.
    """
    lock = folder / _LOCK
    try:
        while (held := _taken(lock)) is None:
            report(Step(0, 1, f"waiting for another program that fills {folder.name}"))
            time.sleep(_LOOK_EVERY_SECONDS)
    except OSError as error:
        advice = "free some space" if error.errno in FULL else "allow writing there"
        raise Fault(f"{folder} cannot be written ({error.strerror}); {advice}, or choose another folder.") from error
    with held:
        try:
            yield
        finally:
            lock.unlink(missing_ok=True)
            with suppress(OSError):  # a folder that nothing came into
                folder.rmdir()


def _taken(lock: Path) -> BinaryIO | None:
    """The lock's file, held until it is closed or its program ends; None while another program has it."""
    # Whoever had it takes an empty folder away with it.
    lock.parent.mkdir(parents=True, exist_ok=True)
    try:
        file = lock.open("ab")
    except FileNotFoundError:
        return None
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        # Whoever had it has taken it away at the end: what is held must be the file that others will find.
        if os.path.samestat(os.fstat(file.fileno()), lock.stat()):
            return file
    except (BlockingIOError, FileNotFoundError):
        pass
    except ImportError:  # a system without such locks
        return file
    except OSError as error:
        if error.errno not in _NO_LOCKS:
            file.close()
            raise
        return file
    file.close()
    return None
