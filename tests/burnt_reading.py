"""Reading a burnt-in time code back from a picture, by signs drawn here with Pillow and compared; it knows nothing of the painter."""

from __future__ import annotations

from pathlib import Path

import matplotlib as mpl
import numpy as np
from clips import Rgb
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

SIGNS = "0123456789:;"
BRIGHT = 165
_FACE = str(Path(mpl.get_data_path()) / "fonts" / "ttf" / "DejaVuSansMono-Bold.ttf")
_CELL = (24, 40)


def corner(picture: Rgb) -> NDArray[np.float64]:
    """The brightness of the bottom left of a picture, where the time code runs, within the safe margins."""
    height, width = picture.shape[:2]
    grey = picture.mean(axis=2)
    return grey[int(height * 0.87) : int(height * 0.95), int(width * 0.05) : int(width * 0.29)]


def ink_box(part: NDArray[np.float64]) -> tuple[int, int, int, int]:
    """Top, bottom, left and right (exclusive) of what is bright."""
    bright = part > BRIGHT
    rows, columns = np.flatnonzero(bright.any(axis=1)), np.flatnonzero(bright.any(axis=0))
    return int(rows[0]), int(rows[-1]) + 1, int(columns[0]), int(columns[-1]) + 1


def read_time_code(picture: Rgb) -> str:
    """The eleven signs of the time code; raises `AssertionError` when one is like none of the signs."""
    part = corner(picture)
    top, bottom, left, right = ink_box(part)
    # A semicolon hangs below the line, so the first figure alone says how tall figures are.
    empty = next(column for column in range(left, right) if not (part[:, column] > BRIGHT).any())
    top, bottom, _, _ = ink_box(part[:, :empty])
    # From the first figure's left to the last one's right there are ten advances and one figure's own width.
    signs = _drawn(bottom - top)
    advance = (right - left - signs["0"].shape[1]) / 10
    found = []
    for number in range(11):
        begin = left + number * advance
        cell = part[top - 1 : bottom + 1, max(0, round(begin) - 1) : round(begin + advance) + 1]
        likeness = {sign: _likeness(cell, drawn) for sign, drawn in signs.items()}
        best = max(likeness, key=lambda sign: likeness[sign])
        assert likeness[best] > 0.75, (number, likeness)
        found.append(best)
    return "".join(found)


def _drawn(height: int) -> dict[str, NDArray[np.float64]]:
    """Every sign in the size whose figures are as tall as those that were found."""
    size = next(size for size in range(6, 200) if _sign("0", size).shape[0] >= height)
    whole = {sign: _cell(sign, size) for sign in SIGNS}
    rows = np.flatnonzero(whole["0"].any(axis=1))
    cut = {sign: drawn[rows[0] : rows[-1] + 1] for sign, drawn in whole.items()}
    return {sign: drawn[:, np.flatnonzero(drawn.any(axis=0))[0] : np.flatnonzero(drawn.any(axis=0))[-1] + 1] for sign, drawn in cut.items()}


def _cell(sign: str, size: int) -> NDArray[np.float64]:
    canvas = Image.new("L", (2 * size, 2 * size))
    ImageDraw.Draw(canvas).text((size // 2, size // 2), sign, fill=255, font=ImageFont.truetype(_FACE, size))
    return np.asarray(canvas).astype(float)


def _sign(sign: str, size: int) -> NDArray[np.float64]:
    drawn = _cell(sign, size)
    rows = np.flatnonzero((drawn > 128).any(axis=1))
    return drawn[rows[0] : rows[-1] + 1]


def _likeness(cell: NDArray[np.float64], drawn: NDArray[np.float64]) -> float:
    """The best correlation of a sign, wherever in the cell it lies, with the cell; what is beside the sign must be dark."""
    best = -1.0
    height, width = drawn.shape
    for top in range(max(1, cell.shape[0] - height + 1)):
        for left in range(max(1, cell.shape[1] - width + 1)):
            laid = np.zeros_like(cell)
            shown = drawn[: cell.shape[0] - top, : cell.shape[1] - left]
            laid[top : top + shown.shape[0], left : left + shown.shape[1]] = shown
            if laid.std() and cell.std():
                best = max(best, float(np.corrcoef(laid.ravel(), cell.ravel())[0, 1]))
    return best
