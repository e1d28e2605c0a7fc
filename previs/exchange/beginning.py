"""A sequence begun from what a person writes: its title, rate, start time code and target; it makes no file."""

from __future__ import annotations

from pathlib import Path

from previs.clock import Rate, Timebase
from previs.document.model import Sequence
from previs.exchange.written import length_in_frames
from previs.faults import UseFault
from previs.replacing import named_with

ENDING = ".previs"
"""What the name of every sequence file ends in."""


def sequence_begun(file: Path, title: str, rate: str, start: str, target: str) -> Sequence:
    """The empty sequence that `file` is to hold, named after it where there is no title.

    A semicolon in `start` means drop-frame. Raises `UseFault` for a file of another ending, and for what cannot be counted so.
    """
    if file.suffix != ENDING:
        raise UseFault(f"A sequence file ends in .previs; call it {named_with(file, ENDING)}.")
    timebase = Timebase(Rate.parse(rate), ";" in start)
    return Sequence(
        title=title.strip() or file.stem,
        rate_name=timebase.rate.name,
        drop=timebase.drop,
        start_frame=timebase.frame(start),
        target_frames=length_in_frames(target, timebase),
    )


def begun_told(file: Path, sequence: Sequence) -> str:
    """What was begun, in one sentence."""
    timebase = sequence.timebase
    start, target = timebase.label(sequence.start_frame), timebase.label(sequence.target_frames)
    return f"{file} is begun: {timebase.rate} frames a second, from {start}, to last {target}."
