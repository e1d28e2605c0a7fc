"""Arrays in the cache, written as numpy writes them; what is not byte for byte as it was written here counts as not there."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray


def header(shape: tuple[int, ...], kind: DTypeLike) -> bytes:
    """The bytes ahead of an array's own; numpy leaves room in them, so they are as many for any count of rows."""
    held = io.BytesIO()
    numbers = np.dtype(kind)
    np.lib.format.write_array_header_1_0(held, {"descr": np.lib.format.dtype_to_descr(numbers), "fortran_order": False, "shape": shape})
    return held.getvalue()


def kept_array(place: Path, shape: tuple[int, ...], kind: DTypeLike) -> NDArray[Any] | None:
    """The array of this shape and kind in a file, or None where that holds anything else.

    Compared and not parsed: numpy's own reader warns on standard error of headers that look old to it.
    """
    ahead, numbers = header(shape, kind), np.dtype(kind)
    try:
        with place.open("rb") as file:
            if place.stat().st_size != len(ahead) + int(np.prod(shape)) * numbers.itemsize or file.read(len(ahead)) != ahead:
                return None
            return np.frombuffer(file.read(), numbers).reshape(shape)
    except (OSError, ValueError):
        return None
