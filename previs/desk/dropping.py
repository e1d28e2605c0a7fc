"""What is dropped on a place of the desk, as files of this computer; addresses of anything else count as nothing."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtGui import QDropEvent

_LONGEST_PATH = 32_767
"""Signs of a path that Windows takes; other systems take fewer."""


def files_in(event: QDropEvent) -> tuple[Path, ...]:
    """The files that a drag brings, in its order; no file is called by what holds a NUL, or by more than any system takes."""
    data = event.mimeData()
    names = [url.toLocalFile() for url in data.urls() if url.isLocalFile()] if data else []
    return tuple(Path(name) for name in names if 0 < len(name) <= _LONGEST_PATH and "\0" not in name)
