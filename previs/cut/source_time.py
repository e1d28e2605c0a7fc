"""The time code that a tape's work copy carries: the count that edit lists and work copies share; no lists, no files.

A work copy counts at the sequence's timebase from the tape's own first label: its hours, minutes and seconds are kept,
its frames scaled down to the sequence rate. Counts that differ drift apart from there on, so wherever it matters the
tape's own time code is written beside it.
"""

from __future__ import annotations

from previs.clock import Timebase
from previs.document.model import Tape


def work_copy_start(tape: Tape, timebase: Timebase) -> int:
    """The frame count of a work copy's first frame, on the sequence's timebase.

    A label that drop-frame counting leaves out gives way to the next one that exists.
    """
    counting = tape.timebase
    label = counting.label(counting.wrap(tape.start_frame))
    seconds, frames = label[:8], int(label[9:])
    scaled = frames * timebase.rate.nominal // counting.rate.nominal
    left_out = timebase.rate.nominal // 15 if timebase.drop and seconds[6:] == "00" and int(seconds[3:5]) % 10 else 0
    return timebase.frame(f"{seconds}:{max(scaled, left_out):02d}")
