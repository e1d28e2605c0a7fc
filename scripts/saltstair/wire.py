"""The pick line of the assisted leap: where it hangs and when it is in the picture; it lifts nobody by itself."""

from __future__ import annotations

import numpy as np

from .choreography import Choreography
from .optics import Operator

PICK_HEIGHT = 4.5
_BEFORE, _AFTER = 0.9, 0.7


def wire_on(show: Choreography, hall: np.ndarray) -> np.ndarray:
    """Whether the line is taut and clipped on at hall times."""
    on = np.zeros(len(hall), bool)
    for hit, flight in show.flights():
        if hit.move.kind == "leap":
            on |= (hall >= flight.take_off - _BEFORE) & (hall <= flight.landing + _AFTER)
    return on


def wire_ends(show: Choreography, hall: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Harness point between the shoulder blades, and the pick point under the roof."""
    poses = show.poses("Odile", hall)
    back = poses.joints["chest"] - poses.frames["chest_forward"] * 0.13 + poses.frames["trunk"] * 0.02
    top = back.copy()
    top[:, 0] = -5.9 + (back[:, 0] + 5.9) * 0.35
    top[:, 1] = 0.15
    top[:, 2] = PICK_HEIGHT
    return back, top


def wire_seen(operator: Operator, hall: np.ndarray) -> np.ndarray:
    """Whether any of the line falls into the picture at hall times."""
    seen = wire_on(operator.show, hall)
    idx = np.flatnonzero(seen)
    if not len(idx):
        return seen
    low, high = wire_ends(operator.show, hall[idx])
    w, h = operator.tape.upright_px
    for n, i in enumerate(idx):
        points = low[n] + (high[n] - low[n]) * np.linspace(0, 1, 40)[:, None]
        px, depth = operator.view(float(hall[i])).project(points)
        seen[i] = bool(((px[:, 0] > 0) & (px[:, 0] < w) & (px[:, 1] > 0) & (px[:, 1] < h) & (depth > 0.1)).any())
    return seen
