"""The Cut place."""

from __future__ import annotations

from previs.desk.place import Place
from previs.desk.words import tr


class CutPlace(Place):
    """The Cut place."""

    ident = "cut"

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Cut")
