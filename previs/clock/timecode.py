"""SMPTE time code labels to frame counts and back, drop-frame included; no dates, no user bits.

Rule, SMPTE ST 12-1 as read in several public accounts (the clause text itself was not read): at 29.97
drop-frame the labels ;00 and ;01 of each minute's first second are left out, except in minutes 00, 10, 20,
30, 40 and 50; at 59.94 the first four, ;00 to ;03. A label counts frames of one day; there is none before
00:00:00:00 and none after 23:59:59 and its last frame.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from previs.clock.rates import Rate
from previs.faults import UseFault

_LABEL = re.compile(r"(\d{2}):(\d{2}):(\d{2})([:;])(\d{2})", re.ASCII)


class ClockFault(UseFault):
    """A time code label or frame count that cannot be."""


@dataclass(frozen=True, slots=True)
class Timebase:
    """A way of counting frames: a rate, and whether labels are dropped to keep up with the clock on the wall.

    Raises `ClockFault` when drop-frame is asked for at a rate that has none.
    """

    rate: Rate
    drop: bool = False

    def __post_init__(self) -> None:
        if self.drop and not self.rate.may_drop:
            raise ClockFault(f"Drop-frame time code exists at 29.97 and 59.94 only, not at {self.rate}.")

    @property
    def frames_per_day(self) -> int:
        """Labels from 00:00:00:00 to the last one of the day."""
        per_ten_minutes = 600 * self.rate.nominal - 9 * self._dropped_a_minute
        return 144 * per_ten_minutes

    @property
    def _dropped_a_minute(self) -> int:
        return self.rate.nominal // 15 if self.drop else 0

    def frame(self, label: str) -> int:
        """The frame count of a label such as `01:00:00:00` or, drop-frame, `01:00:00;00`.

        Raises `ClockFault` for a label that ST 12-1 does not have at this timebase. A drop-frame label is
        written with a semicolon before the frames; a colon there is read too, since many programs write one.
        """
        text = label.strip()
        match = _LABEL.fullmatch(text)
        if match is None:
            raise ClockFault(f"'{text}' is not time code; write it as hh:mm:ss:ff, for example 01:00:00:00.")
        hours, minutes, seconds, frames = (int(match[group]) for group in (1, 2, 3, 5))
        if match[4] == ";" and not self.drop:
            raise ClockFault(
                f"'{text}' is drop-frame time code (it has a semicolon), but this counts {self.rate} without drop; "
                "write a colon before the frames."
            )
        if hours > 23 or minutes > 59 or seconds > 59:
            raise ClockFault(f"'{text}' is past the clock: hours run to 23, minutes and seconds to 59.")
        if frames >= self.rate.nominal:
            raise ClockFault(
                f"'{text}' has frame {frames:02d}; at {self.rate} frames a second they run from 00 to {self.rate.nominal - 1}."
            )
        if seconds == 0 and minutes % 10 and frames < self._dropped_a_minute:
            raise ClockFault(
                f"'{text}' does not exist: drop-frame time code at {self.rate} leaves it out; "
                f"the minute begins at {hours:02d}:{minutes:02d}:00;{self._dropped_a_minute:02d}."
            )
        total_minutes = 60 * hours + minutes
        counted = (60 * total_minutes + seconds) * self.rate.nominal + frames
        return counted - self._dropped_a_minute * (total_minutes - total_minutes // 10)

    def label(self, frame: int) -> str:
        """The label of a frame count; raises `ClockFault` outside the day's frames (see `wrap`)."""
        if not 0 <= frame < self.frames_per_day:
            raise ClockFault(f"Frame {frame} has no time code: at {self.rate} a day's frames run from 0 to {self.frames_per_day - 1}.")
        dropped = self._dropped_a_minute
        per_minute = 60 * self.rate.nominal - dropped
        per_ten_minutes = 10 * per_minute + dropped
        tens, rest = divmod(frame, per_ten_minutes)
        # The first minute of ten keeps all its labels, so it is longer than the nine that follow.
        minutes_begun = max(0, (rest - dropped) // per_minute)
        counted = frame + dropped * (9 * tens + minutes_begun)
        seconds, frames = divmod(counted, self.rate.nominal)
        minutes, seconds = divmod(seconds, 60)
        hours, minutes = divmod(minutes, 60)
        return f"{hours:02d}:{minutes:02d}:{seconds:02d}{';' if self.drop else ':'}{frames:02d}"

    def wrap(self, frame: int) -> int:
        """A frame count brought back into the day, for tapes that run past midnight."""
        return frame % self.frames_per_day

    def duration(self, frames: int) -> str:
        """A length as a label, signed when negative: `-00:00:01:12`."""
        return f"-{self.label(-frames)}" if frames < 0 else self.label(frames)
