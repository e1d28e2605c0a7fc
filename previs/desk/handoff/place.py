"""The Hand-off place."""

from __future__ import annotations

from previs.desk.place import Place
from previs.desk.words import tr


class HandoffPlace(Place):
    """The Hand-off place."""

    ident = "handoff"

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Hand-off")
