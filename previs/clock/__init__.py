"""Rates, time code and spans: exact arithmetic, nothing else."""

from previs.clock.instants import parse_instant, parse_length, tape_frame_at, time_of_tape_frame
from previs.clock.playback import first_grid_frame, frame_played, frames_showing, grid_span, span_played
from previs.clock.rates import RATES, Rate
from previs.clock.spans import Span, TapeSpan
from previs.clock.timecode import ClockFault, Timebase

__all__ = [
    "RATES",
    "ClockFault",
    "Rate",
    "Span",
    "TapeSpan",
    "Timebase",
    "first_grid_frame",
    "frame_played",
    "frames_showing",
    "grid_span",
    "parse_instant",
    "parse_length",
    "span_played",
    "tape_frame_at",
    "time_of_tape_frame",
]
