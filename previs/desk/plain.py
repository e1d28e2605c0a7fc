"""Labels and tips that show a text as it was written: Qt takes one that looks like markup for markup, and loads what that names."""

from __future__ import annotations

from html import escape

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QWidget


class PlainLabel(QLabel):
    """A label without markup."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)


def tip(text: str) -> str:
    """The text for a tip, which cannot be told to be plain."""
    return f'<p style="white-space: pre-wrap">{escape(text)}</p>' if "<" in text or "&" in text else text
