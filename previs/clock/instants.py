"""Moments as people write them (time code, seconds, frames) and tape time against frame counts.

Two rules serve the whole program. Frame n of a count at rate r begins at n / r seconds. The frame shown at a
moment is the last one that has begun: floor(t x r).
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from previs.clock.rates import Rate
from previs.clock.timecode import ClockFault, Timebase

_SECONDS = re.compile(r"(\d{1,7}(?:\.\d{1,9})?)\s*s", re.ASCII)
_PARTS_OF_A_SECOND = re.compile(r"(\d{1,18})/(\d{1,18})\s*s", re.ASCII)
_FRAMES = re.compile(r"[fF]\s*(\d{1,9})", re.ASCII)
_BARE_FRAMES = re.compile(r"\d{1,9}", re.ASCII)


def time_of_tape_frame(frame: int, rate: Rate) -> Fraction:
    """Seconds at which frame `frame` of a count begins, exact."""
    return Fraction(frame) / rate.fps


def tape_frame_at(moment: Fraction, rate: Rate) -> int:
    """The frame that is on screen at `moment` seconds: the last that has begun."""
    return math.floor(moment * rate.fps)


def parse_instant(text: str, timebase: Timebase, start_frame: int = 0) -> Fraction:
    """Seconds from the first frame, exact, of a moment written as time code, `12.4s`, `1001/30s` or `f310`.

    Time code is read on `timebase`, where the first frame carries `start_frame`; a label before it is taken
    as past midnight. `f310` is frame 310 counted from 0 at the same rate. Raises `ClockFault` otherwise.
    """
    written = str(text).strip()
    if match := _SECONDS.fullmatch(written):
        return Fraction(match[1])
    if match := _PARTS_OF_A_SECOND.fullmatch(written):
        if int(match[2]) == 0:
            raise ClockFault(f"'{written}' divides by zero; write seconds as 12.4s or as a fraction such as 1001/30s.")
        return Fraction(int(match[1]), int(match[2]))
    if match := _FRAMES.fullmatch(written):
        return time_of_tape_frame(int(match[1]), timebase.rate)
    if ":" not in written and ";" not in written:
        raise ClockFault(f"'{written}' is not a time; write time code (hh:mm:ss:ff), seconds (12.4s) or a frame (f310).")
    return time_of_tape_frame(timebase.wrap(timebase.frame(written) - start_frame), timebase.rate)


def parse_length(text: str, timebase: Timebase) -> int:
    """A length or a distance in whole frames of `timebase`: `36`, `f36`, `1.5s` or `00:00:01:12`, with a sign if need be.

    Seconds are taken to the nearest frame. Raises `ClockFault` for anything else, and for more than a day.
    """
    written = str(text).strip()
    sign, bare = (-1, written[1:]) if written.startswith("-") else (1, written.removeprefix("+"))
    if _BARE_FRAMES.fullmatch(bare):
        frames = int(bare)
    elif any(form.fullmatch(bare) for form in (_SECONDS, _PARTS_OF_A_SECOND, _FRAMES)) or ":" in bare or ";" in bare:
        frames = round(parse_instant(bare, timebase) * timebase.rate.fps)
    else:
        raise ClockFault(f"'{written}' is no length; write frames (36), seconds (1.5s) or time code (00:00:01:12).")
    if frames > timebase.frames_per_day:
        raise ClockFault(f"'{written}' is longer than a day, which time code cannot count; give a shorter length.")
    return sign * frames
