"""Call sheets: what each department has to bring to a cut, as rows derived from cut x marks; it sizes and judges nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from enum import StrEnum

from previs.cut.pace import shot_places
from previs.cut.placing import Placed, moves_held, place
from previs.document.model import Cut, Move, Sequence
from previs.handoff import cautions, fight_load, rigging, wardrobe
from previs.handoff.sheets import Sheet, Table, head


class Department(StrEnum):
    """Who a call sheet is for."""

    RIGGING = "rigging"
    PROPS = "props"
    WARDROBE = "wardrobe"
    MATS = "mats"
    LOAD = "load"
