"""What a player can show: a stretch of a tape or a whole cut, counted in frames from 0; no pictures, no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.document.invariants import usable_grid_frames
from previs.document.model import Sequence
from previs.exchange.lists import tape_label


@dataclass(frozen=True, slots=True)
class TapeStrip:
    """A stretch of a tape, in frames of its grid at the sequence rate; to the tape's end without `frames`."""

    reel: str
    first_frame: int = 0
    frames: int | None = None


@dataclass(frozen=True, slots=True)
class CutStrip:
    """A whole cut, in record frames."""

    cut: str


Strip = TapeStrip | CutStrip


def strip_frames(sequence: Sequence, strip: Strip) -> int:
    """How many frames it has; 0 for a tape or a cut that is not there."""
    if isinstance(strip, CutStrip):
        return next((cut.frames for cut in sequence.cuts if cut.name == strip.cut), 0)
    tape = next((tape for tape in sequence.tapes if tape.reel == strip.reel), None)
    if tape is None:
        return 0
    left = max(0, usable_grid_frames(tape, sequence.timebase.rate.fps) - strip.first_frame)
    return left if strip.frames is None else min(left, strip.frames)


def strip_label(sequence: Sequence, strip: Strip, frame: int) -> str:
    """The record time code of a cut's frame, or the tape's own time code at it; empty for a frame that is not there."""
    if not 0 <= frame < strip_frames(sequence, strip):
        return ""
    if isinstance(strip, CutStrip):
        timebase = sequence.timebase
        return timebase.label(timebase.wrap(sequence.start_frame + frame))
    return tape_label(sequence.tape(strip.reel), (strip.first_frame + frame) / sequence.timebase.rate.fps)
