"""Lines of the plan as shapes that distances are asked of, many at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely

from previs.document.floor import PointMm

Shapes = Any
"""An array of shapely geometries, which has no types."""


def line_shapes(lines: Sequence[tuple[Sequence[PointMm], bool]]) -> Shapes:
    """A shape for each line, given by its points and whether it is closed."""
    runs = [[*points, points[0]] if closed else points for points, closed in lines]
    owners = np.repeat(np.arange(len(runs)), [len(run) for run in runs])
    places = np.array([point for run in runs for point in run], dtype=float).reshape(-1, 2)
    return shapely.linestrings(places, indices=owners)


def spot_shapes(spots: Iterable[PointMm]) -> Shapes:
    """A shape for each spot."""
    return shapely.points(np.array(list(spots), dtype=float).reshape(-1, 2))
