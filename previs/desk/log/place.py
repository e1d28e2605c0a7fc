"""The Log place."""

from __future__ import annotations

from previs.desk.place import Place
from previs.desk.words import tr


class LogPlace(Place):
    """The Log place."""

    ident = "log"

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Log")
