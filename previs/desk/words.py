"""The one way in which the desk's words reach the screen, so that a translation can take their place."""

from __future__ import annotations

from PyQt6.QtCore import QCoreApplication


def tr(text: str, /, **parts: object) -> str:
    """A whole sentence or label in the person's language; `{name}` in it becomes the part of that name."""
    shown = QCoreApplication.translate("desk", text)
    return shown.format(**parts) if parts else shown
