"""The waveform and the motion curve of a tape as lines for so many pixels; it paints nothing."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from previs.desk.chart.scale import Scale
from previs.media.signals import WAVE_A_SECOND, Signals

Heights = NDArray[np.float64]
_LOUD_PERCENTILE, _LIVELY_PERCENTILE = 99.8, 99.5


def wave_columns(signals: Signals, scale: Scale, fps: Fraction) -> tuple[Heights, Heights] | None:
    """The lowest and the highest sound in each pixel of the scale, -1 to 1 of the tape's loud passages; None without sound."""
    wave = signals.waveform
    if not len(wave):
        return None
    loud = max(float(np.percentile(np.abs(wave).max(axis=1), _LOUD_PERCENTILE)), 1e-4)
    low = _columns(wave[:, 0].astype(np.float64), np.minimum, scale, WAVE_A_SECOND / float(fps))
    high = _columns(wave[:, 1].astype(np.float64), np.maximum, scale, WAVE_A_SECOND / float(fps))
    return np.clip(low / loud, -1, 1), np.clip(high / loud, -1, 1)


def motion_columns(signals: Signals, scale: Scale) -> Heights:
    """How much moves in each pixel of the scale, 0 to 1: the root of its share of the tape's lively passages."""
    energy = signals.motion.energy.astype(np.float64)
    if not len(energy):
        return np.zeros(max(int(scale.width), 0))
    lively = max(float(np.percentile(energy, _LIVELY_PERCENTILE)), 1e-4)
    # The root keeps a slow take readable beside a leap on the same tape.
    return np.sqrt(np.clip(_columns(energy, np.maximum, scale, 1.0) / lively, 0, 1))


def _columns(values: Heights, over: np.ufunc, scale: Scale, each_frame: float) -> Heights:
    """The extreme of `values`, of which a frame has `each_frame`, in each pixel; 0 beyond their end."""
    width = max(int(scale.width), 1)
    edges = ((scale.first + np.arange(width) / scale.each) * each_frame).astype(np.int64)
    inside = (edges >= 0) & (edges < len(values))
    found = np.zeros(width)
    if inside.any():
        starts = edges[inside]
        part = values[: int(starts[-1] + max(1.0, each_frame / scale.each)) + 1]
        found[inside] = over.reduceat(part, starts)
    return found
