"""The sequence files that were open last, newest first, as the desk remembers them; it opens none."""

from __future__ import annotations

from pathlib import Path

from previs.desk.memory import Memory

MOST_RECENT = 8
_NAME = "recent files"


def recent_files(memory: Memory) -> tuple[Path, ...]:
    """Those that are still there."""
    return tuple(path for path in _kept(memory) if path.is_file())


def keep_recent(memory: Memory, path: Path) -> None:
    """Remember that this file was opened now."""
    # One that is away now stays remembered: its drive may be connected again tomorrow.
    others = [one for one in _kept(memory) if one != path]
    memory.keep(_NAME, "\n".join(map(str, (path, *others)[:MOST_RECENT])))


def _kept(memory: Memory) -> list[Path]:
    return [Path(line) for line in memory.text(_NAME).split("\n") if line]
