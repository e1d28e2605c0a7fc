"""The shapes of wipes by their number in an edit list, as the order in which the incoming picture uncovers the raster."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from previs.document.wipes import drawn_listed
from previs.faults import UseFault
from previs.media.raster import Raster

_Field = NDArray[np.float64]

# x and y run from 0 at the left and at the top to 1.
_SHAPES: dict[int, Callable[[_Field, _Field], _Field]] = {
    1: lambda x, _: x,
    2: lambda _, y: y,
    3: lambda x, y: np.maximum(x, y),
    4: lambda x, y: np.maximum(1 - x, y),
    5: lambda x, y: np.maximum(1 - x, 1 - y),
    6: lambda x, y: np.maximum(x, 1 - y),
    21: lambda x, _: np.abs(2 * x - 1),
    22: lambda _, y: np.abs(2 * y - 1),
    41: lambda x, y: (x + y) / 2,
    42: lambda x, y: (1 - x + y) / 2,
    101: lambda x, y: np.maximum(np.abs(2 * x - 1), np.abs(2 * y - 1)),
    102: lambda x, y: (np.abs(2 * x - 1) + np.abs(2 * y - 1)) / 2,
}


def check_wipe(number: int) -> None:
    """Raise `UseFault` when the wipe cannot be drawn."""
    if number not in _SHAPES:
        raise UseFault(f"Wipe {number:03d} cannot be drawn here; use a dissolve, or one of these: {drawn_listed()}.")


def wipe_order(number: int, raster: Raster) -> NDArray[np.float64]:
    """For each pixel (height, width) the share of the wipe, 0 to 1, at which the incoming picture reaches it.

    `document/wipes.py` says what each number looks like. Raises `UseFault` for any other number.
    """
    check_wipe(number)
    x = (np.arange(raster.width) + 0.5) / raster.width
    y = (np.arange(raster.height) + 0.5) / raster.height
    return _SHAPES[number](*np.meshgrid(x, y))
