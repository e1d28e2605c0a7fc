"""The Tapes place."""

from __future__ import annotations

from previs.desk.place import Place
from previs.desk.words import tr


class TapesPlace(Place):
    """The Tapes place."""

    ident = "tapes"

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Tapes")
