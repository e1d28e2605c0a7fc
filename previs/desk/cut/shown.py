"""Which frames the picture shows of a cut, and of a take that is tried in a shot's place; no Qt, no pictures."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from previs.clock import Span, frame_played, span_played
from previs.cut.choices import playing_speed
from previs.cut.stand_ins import StandIn
from previs.desk.player.strips import TapeStrip
from previs.document.model import Cut, Footage, Sequence


@dataclass(frozen=True, slots=True)
class Tried:
    """A stretch of tape to be played in the place of a shot, at a speed; at 0 its first frame stands."""

    strip: TapeStrip
    speed: Fraction


def tried(one: StandIn, sequence: Sequence, cut: Cut, number: int) -> Tried:
    """What is played of a stand-in: what the shot would show; of one that cannot stand in, its take from just before the hit."""
    frames = cut.shots[number - 1].frames
    picture = one.sequence.cut(cut.name).shots[number - 1].picture if one.sequence else None
    if isinstance(picture, Footage):
        first, speed = picture.first_frame, picture.speed
    else:
        speed = playing_speed(one.take.tempo, sequence.timebase.rate.fps)
        first = one.first_frame - frame_played(0, speed, sequence.settings.lead_frames)
    first = max(0, first)
    if speed < 0:
        # The player goes forwards only; what is seen of the take is the same.
        stretch = span_played(first, speed, frames)
        return Tried(TapeStrip(one.take.reel, max(0, stretch.start), stretch.length), -speed)
    return Tried(TapeStrip(one.take.reel, first, span_played(first, speed, frames).length), speed)


def shot_span(cut: Cut, number: int) -> Span | None:
    """The record frames of a shot, None when it is not there."""
    if not 1 <= number <= len(cut.shots):
        return None
    start = sum(shot.frames for shot in cut.shots[: number - 1])
    return Span(start, start + cut.shots[number - 1].frames)


def shot_at(cut: Cut, frame: int) -> int | None:
    """The number of the shot that has a record frame, None beyond the end."""
    at = 0
    for number, shot in enumerate(cut.shots, start=1):
        at += shot.frames
        if frame < at:
            return number
    return None


def laid_over(cut: Cut, frame: int) -> int | None:
    """The frame of the next shot that is laid over this one for comparison: only where this one is the last of its shot."""
    number = shot_at(cut, frame)
    span = shot_span(cut, number) if number else None
    last = span is not None and frame == span.end_exclusive - 1
    return frame + 1 if last and number and number < len(cut.shots) else None
