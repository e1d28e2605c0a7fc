"""Keyed values over time and how one eases into the next; it does not know what the values mean."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

SMOOTH, ACCELERATE, SETTLE, LINEAR = range(4)


def ease(u: np.ndarray, kind: np.ndarray) -> np.ndarray:
    """Share of the way done at share `u` of the time. A blow accelerates into contact, a recoil settles."""
    out = u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)
    out = np.where(kind == ACCELERATE, u**2.4, out)
    out = np.where(kind == SETTLE, 1.0 - (1.0 - u) ** 2.4, out)
    return np.where(kind == LINEAR, u, out)


def unit(v: np.ndarray) -> np.ndarray:
    """Vectors scaled to length one along the last axis."""
    v = np.asarray(v, float)
    return v / np.maximum(np.linalg.norm(v, axis=-1, keepdims=True), 1e-9)


def slerp(a: np.ndarray, b: np.ndarray, s: np.ndarray) -> np.ndarray:
    """Directions turned from `a` to `b` along the shorter arc."""
    cos = np.clip((a * b).sum(-1, keepdims=True), -0.9999, 0.9999)
    angle = np.arccos(cos)
    s = np.asarray(s)[..., None]
    return unit((np.sin((1 - s) * angle) * a + np.sin(s * angle) * b) / np.sin(angle))


class Track:
    """Rows of values at times; `into[i]` says how row i is reached from row i-1."""

    def __init__(self, times: Sequence[float], rows: Sequence[Sequence[float]], into: Sequence[int] | None = None) -> None:
        order = np.argsort(np.asarray(times, float), kind="stable")
        self.times = np.asarray(times, float)[order]
        self.rows = np.asarray(rows, float)[order]
        kinds = np.zeros(len(order), int) if into is None else np.asarray(into, int)
        self.into = kinds[order]

    def _segment(self, ts: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        high = np.clip(np.searchsorted(self.times, ts, side="right"), 1, len(self.times) - 1)
        low = high - 1
        span = np.maximum(self.times[high] - self.times[low], 1e-9)
        u = np.clip((ts - self.times[low]) / span, 0.0, 1.0)
        return low, high, ease(u, self.into[high])

    def at(self, ts: np.ndarray) -> np.ndarray:
        """Eased values at the times `ts`."""
        if len(self.times) == 1:
            return np.repeat(self.rows, len(ts), axis=0)
        low, high, s = self._segment(np.asarray(ts, float))
        return self.rows[low] + (self.rows[high] - self.rows[low]) * s[:, None]

    def direction_at(self, ts: np.ndarray) -> np.ndarray:
        """As `at`, for rows that are directions."""
        low, high, s = self._segment(np.asarray(ts, float))
        return slerp(unit(self.rows[low]), unit(self.rows[high]), s)
