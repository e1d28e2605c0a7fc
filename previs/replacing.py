"""Writing a file whole or not at all; it knows nothing of what is written."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from previs.faults import Fault, UseFault

_LONGEST_NAME = 255
"""Bytes of a name that usual file systems take."""
_LONGEST_BEGINNING = 100


def named_with(path: Path, ending: str) -> str:
    """The name that a file would have with this ending, to advise it; also for a path that names nothing or a folder."""
    return f"{path.stem or 'name'}{ending}"


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Give a temporary path beside `path`, with the same suffix, that takes its place when the block ends well.

    On any exception, `Stopped` included, the temporary file is removed and `path` is as it was.
    Raises `UseFault` for a path that is a folder, `Fault` when the folder cannot be written or the disk is full.
    """
    if _too_long(path):
        raise UseFault(f"{path.name} is too long for the name of a file; give a shorter one.")
    if path.is_dir():
        raise UseFault(f"{path} is a folder; give the name of the file to write into it as well.")
    # Two programs that fill one cache, or two pieces of work of one program, do not write into each other's file. Of a long
    # name a part, so that this one is not too long where that one is not.
    begun = path.stem.encode(errors="surrogateescape")[:_LONGEST_BEGINNING].decode(errors="ignore")
    temporary = path.with_name(f".{begun}.{os.getpid()}.{threading.get_ident()}.part{path.suffix}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        yield temporary
        temporary.replace(path)
    except Exception as error:
        # The media library's own errors carry a reason as the system's do, but are not all OSErrors. What goes wrong
        # with a tape that is read meanwhile has become a fault before it gets here.
        reason = getattr(error, "strerror", None)
        if not isinstance(error, OSError) and reason is None:
            raise
        raise Fault(f"{path} cannot be written ({reason or error}); free some space or choose another folder.") from error
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def _too_long(path: Path) -> bool:
    return len(path.name.encode(errors="surrogateescape")) > _LONGEST_NAME


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file whole or not at all, and give back where; raises as `replacing` does."""
    with replacing(path) as temporary:
        temporary.write_bytes(content)
    return path
