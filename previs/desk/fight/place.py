"""The Fight place."""

from __future__ import annotations

from previs.desk.place import Place
from previs.desk.words import tr


class FightPlace(Place):
    """The Fight place."""

    ident = "fight"

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Fight")
