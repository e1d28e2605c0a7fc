"""What the desk remembers from one day to the next: window, looks, last place and file; never anything of the document."""

from __future__ import annotations

import math
import os
from pathlib import Path

from PyQt6.QtCore import QByteArray, QSettings


class Memory:
    """Small values by name, kept in the person's settings folder, or in `PREVIS_DESK_MEMORY` when that names a file."""

    def __init__(self, place: Path | None = None) -> None:
        given = place or (Path(os.environ["PREVIS_DESK_MEMORY"]) if "PREVIS_DESK_MEMORY" in os.environ else None)
        form = QSettings.Format.IniFormat
        self._kept = QSettings(str(given), form) if given else QSettings(form, QSettings.Scope.UserScope, "previs", "desk")

    def text(self, name: str, otherwise: str = "") -> str:
        """A remembered text; one with a NUL is none: it may be opened as a file."""
        value = self._kept.value(name, otherwise)
        return value if isinstance(value, str) and "\0" not in value else otherwise

    def number(self, name: str, otherwise: float) -> float:
        """A remembered number; whatever else stands there counts as nothing."""
        try:
            number = float(self.text(name) or otherwise)
        except ValueError:
            return otherwise
        return number if math.isfinite(number) else otherwise

    def state(self, name: str) -> QByteArray:
        """A remembered state of a widget, empty when there is none."""
        value = self._kept.value(name)
        return value if isinstance(value, QByteArray) else QByteArray()

    def keep(self, name: str, value: str | float | QByteArray) -> None:
        """Remember a value."""
        self._kept.setValue(name, value if isinstance(value, QByteArray) else str(value))
