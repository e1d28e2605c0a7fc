"""What a process and all that it began hold at a moment, as the system counts it: memory, threads, open files."""

from __future__ import annotations

import ctypes
import os
from contextlib import suppress
from pathlib import Path

_PAGE_BYTES = os.sysconf("SC_PAGESIZE")
_PROC = Path("/proc")


def tree_mb(pid: int) -> float:
    """The resident memory of a process and of all its children and theirs, in MB; what they share counts for each."""
    parents: dict[int, list[int]] = {}
    for entry in _PROC.glob("[0-9]*"):
        try:
            # A program's name may hold spaces and brackets.
            parent = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
        except (OSError, ValueError):
            continue
        parents.setdefault(parent, []).append(int(entry.name))
    found, waiting = 0.0, [pid]
    while waiting:
        one = waiting.pop()
        found += memory_mb(one)
        waiting += parents.get(one, [])
    return found


def memory_mb(pid: int | str = "self") -> float:
    """The resident memory of one process in MB; 0 when it is over."""
    try:
        return int((_PROC / str(pid) / "statm").read_text().split()[1]) * _PAGE_BYTES / 2**20
    except (OSError, ProcessLookupError):
        return 0.0


def held_mb() -> float:
    """This process's resident memory without what its allocator only keeps for later, which swings by tens of MB."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL("libc.so.6").malloc_trim(0)
    return memory_mb()


def threads() -> int:
    """How many threads this process has."""
    return len(list((_PROC / "self" / "task").iterdir()))


def open_files() -> int:
    """How many files, pipes and sockets this process holds open."""
    return len(list((_PROC / "self" / "fd").iterdir())) - 1
