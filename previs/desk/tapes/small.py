"""Stills small enough for a line of a list, without bars above and below; it makes none itself."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QPixmap

from previs.desk.player.stills import Stills

_MADE_PX = 128
"""As small as a still of a wide picture can be made without bars: 64 pixels are the least that it is high."""


def small_still(stills: Stills, reel: str, frame: int, width_px: int) -> QPixmap | None:
    """The still at this width, or None while it is being made."""
    made = stills.still(reel, frame, _MADE_PX)
    return made.scaledToWidth(width_px, Qt.TransformationMode.SmoothTransformation) if made else None
