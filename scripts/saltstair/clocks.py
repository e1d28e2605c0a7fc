"""Tape time: when each frame of a recording was exposed and what label it carries; exact integers, no pictures."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from math import ceil

import numpy as np

from .session import Tape
from .timeline import rng_for

PHONE_TICKS = 90000


def _scattered(slots: int, period: int, rng: np.random.Generator) -> list[int]:
    """A phone drops single frames and stamps others late; both kinds together are about an eighth of all."""
    pts = [0]
    for n in range(1, slots):
        chance = float(rng.random())
        if chance < 0.07:
            continue
        late = int(rng.integers(90, 1300)) if chance < 0.13 else 0
        pts.append(n * period + late)
    return pts


def _bursts(slots: int, period: int, rng: np.random.Generator) -> list[int]:
    """Another phone: every stamp trembles, up to five frames go at once, and in dim light it takes every other frame only."""
    pts, missing = [0], 0
    for n in range(1, slots):
        late = int(rng.integers(0, 240))
        if missing == 0 and rng.random() < 0.012:
            missing = int(rng.integers(2, 6))
        dim = 0.40 < n / slots < 0.55 and n % 2 == 1
        if not missing and not dim:
            pts.append(n * period + late)
        missing = max(missing - 1, 0)
    return pts


class Clock:
    """Frame times of one tape and its relation to hall time."""

    def __init__(self, tape: Tape, hall_end: float, seed: int) -> None:
        self.tape = tape
        self.rate = Fraction(*tape.rate)
        self.scale = 1.0 + tape.drift_ppm * 1e-6
        length = (hall_end - 0.3 - tape.offset) * self.scale
        slots = int(length * float(self.rate))
        if not tape.variable:
            self.time_base = 1 / self.rate
            self.pts = list(range(slots))
            return
        self.time_base = Fraction(1, PHONE_TICKS)
        pattern = {"scattered": _scattered, "bursts": _bursts}[tape.drops]
        self.pts = pattern(slots, int(PHONE_TICKS / self.rate), rng_for(seed, tape.reel, "frames"))

    def frame_seconds(self, n: int) -> Fraction:
        """Time of frame n since the first frame."""
        return self.pts[n] * self.time_base

    def tape_seconds(self, hall: float) -> float:
        """Tape time of a moment in the hall."""
        return (hall - self.tape.offset) * self.scale

    def hall_seconds(self, tape: float) -> float:
        """Hall time of a moment on the tape."""
        return tape / self.scale + self.tape.offset

    def frame_at(self, tape_seconds: float) -> int:
        """The frame on show at a tape time: the last that started at or before it."""
        ticks = Fraction(tape_seconds).limit_denominator(10**9) / self.time_base
        return min(max(bisect_right(self.pts, ticks) - 1, 0), len(self.pts) - 1)

    def timecode(self, frame: int) -> str:
        """Label of a frame: start + floor(time x nominal rate), non-drop."""
        base = ceil(self.rate)
        number = int(self.frame_seconds(frame) * self.rate)
        if self.tape.start:
            h, m, s, f = (int(x) for x in self.tape.start.split(":"))
            number += ((h * 60 + m) * 60 + s) * base + f
        seconds, f = divmod(number, base)
        return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:{f:02d}"

    def mark(self, frame: int) -> str:
        """The frame as the logger of this tape writes it: time code, seconds or a frame count."""
        if self.tape.marks_in == "frames":
            return f"f{frame}"
        if self.tape.marks_in == "seconds":
            # Rounded up, because a mark rounded down would name the frame before.
            return f"{ceil(self.frame_seconds(frame) * 1000) / 1000:.3f}s"
        return self.timecode(frame)
