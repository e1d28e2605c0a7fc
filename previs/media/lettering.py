"""The faces that words are drawn with in pictures: the plotting library brings them along, so every machine has the same."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from PIL import ImageFont

Face = ImageFont.FreeTypeFont

PLAIN, BOLD, FIGURES, BOLD_FIGURES = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf", "DejaVuSansMono.ttf", "DejaVuSansMono-Bold.ttf"


@lru_cache(maxsize=128)
def face(name: str, size_px: int) -> Face:
    """One of the four faces in a size in pixels."""
    from matplotlib import get_data_path  # only here, since it takes long to come

    return ImageFont.truetype(str(Path(get_data_path()) / "fonts" / "ttf" / name), size_px)
