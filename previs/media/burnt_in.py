"""Words burnt into pictures: lines at the top and the bottom within safe margins, over a darkened band; it chooses no words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from previs.media.lettering import PLAIN, Face, face

Rgb = NDArray[np.uint8]

MARGIN_SHARE = 0.05
"""Free of words on every side, as a share of the picture: the title safe area in use (common practice, no source)."""
_SIZE_SHARE = 0.045
_LEAST_PX = 12
_BAND = 0.45


def burnt_in(picture: Rgb, top: tuple[str, ...] = (), bottom: tuple[str, ...] = ()) -> Rgb:
    """The picture (height, width, 3) with lines of words; a line that is too wide is made smaller, then cut. A new array."""
    made = picture.copy()
    height = made.shape[0]
    size = max(_LEAST_PX, round(height * _SIZE_SHARE))
    step, margin = round(size * 1.35), round(height * MARGIN_SHARE)
    for lines, first in ((top, margin), (bottom, height - margin - step * len(bottom))):
        if lines:
            band = made[max(0, first - size // 3) : first + step * len(lines)]
            band[:] = (band * _BAND).astype(np.uint8)
    canvas = Image.fromarray(made)
    draw = ImageDraw.Draw(canvas)
    left = round(made.shape[1] * MARGIN_SHARE)
    for lines, first in ((top, margin), (bottom, height - margin - step * len(bottom))):
        for number, words in enumerate(lines):
            letters, shown = _fitting(words, size, made.shape[1] - 2 * left)
            draw.text((left, first + number * step), shown, fill=(245, 242, 230), font=letters)
    return np.asarray(canvas)


def _fitting(words: str, size: int, width: int) -> tuple[Face, str]:
    plain = " ".join(words.split())
    while size > _LEAST_PX and face(PLAIN, size).getlength(plain) > width:
        size -= 1
    while plain and face(PLAIN, size).getlength(plain) > width:
        plain = plain[:-1]
    return face(PLAIN, size), plain
