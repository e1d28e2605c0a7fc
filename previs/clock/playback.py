"""Which tape frame a shot shows at each of its frames, forwards, backwards, fast, slow or frozen.

All counts are frames of the sequence rate, on the tape's own grid (frame n of a tape begins n / rate seconds
after its first picture). One rule serves the player, the work copies, the renderer and the edit list:
the shot's frame k shows the tape frame `first + sign * floor(k * |speed|)`.
"""

from __future__ import annotations

from fractions import Fraction

from previs.clock.spans import Span, TapeSpan


def frame_played(first_frame: int, speed: Fraction, k: int) -> int:
    """The tape frame shown at the shot's frame `k`; `k` may lie outside the shot, to look at its handles."""
    travelled = (abs(speed) * k).__floor__()
    return first_frame + travelled if speed >= 0 else first_frame - travelled


def span_played(first_frame: int, speed: Fraction, frames: int) -> Span:
    """The tape frames touched by the first `frames` frames of a shot, in tape order; `frames` is at least 1."""
    ends = first_frame, frame_played(first_frame, speed, frames - 1)
    return Span(min(ends), max(ends) + 1)


def frames_showing(tape: Span, first_frame: int, speed: Fraction, frames: int) -> Span | None:
    """The shot's own frames, of its first `frames`, that show a tape frame in `tape`; None when none does."""
    if speed == 0:
        return Span(0, frames) if tape.holds(first_frame) else None
    # Distances along the direction of play, so that one formula serves forwards and backwards.
    if speed > 0:
        nearest, past = tape.start - first_frame, tape.end_exclusive - first_frame
    else:
        nearest, past = first_frame - tape.end_exclusive + 1, first_frame - tape.start + 1
    step = abs(speed)
    return Span(0, frames).meet(Span((nearest / step).__ceil__(), (past / step).__ceil__()))


def first_grid_frame(moment: Fraction, fps: Fraction) -> int:
    """The first frame of the sequence-rate grid at which `moment` seconds of tape has come: ceil(t x fps)."""
    return (moment * fps).__ceil__()


def grid_span(tape: TapeSpan, fps: Fraction) -> Span:
    """The sequence-rate grid frames whose picture lies in a stretch of tape (its start a picture's own time)."""
    return Span(first_grid_frame(tape.start, fps), first_grid_frame(tape.end_exclusive, fps))
