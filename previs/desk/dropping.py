"""What is dropped on a place of the desk, as files of this computer; addresses of anything else count as nothing."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtGui import QDropEvent


def files_in(event: QDropEvent) -> tuple[Path, ...]:
    """The files that a drag brings, in its order; no file is called by what holds a NUL."""
    data = event.mimeData()
    names = [url.toLocalFile() for url in data.urls() if url.isLocalFile()] if data else []
    return tuple(Path(name) for name in names if name and "\0" not in name)
