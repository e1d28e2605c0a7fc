"""Who a cut is handed on to, by name; what goes into their folders is decided in `folders`, the director's in `review.handing`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path


class Folder(StrEnum):
    """Whose folder."""

    EDITORIAL = "editorial"
    EFFECTS = "visual effects"
    RIGGING = "rigging"
    PROPS = "props and wardrobe"
    FLOOR = "stunt floor"
    PERFORMERS = "performers"
    DIRECTOR = "director"


def place_of(folder: Folder, output: Path) -> Path:
    """Where a department's folder is in the folder of all folders."""
    return output / folder.value.replace(" ", "_")
