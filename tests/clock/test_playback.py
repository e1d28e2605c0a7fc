"""Which tape frame a shot shows: the formulas against counting frame by frame."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from previs.clock import RATES, Rate, Span, TapeSpan, first_grid_frame, frame_played, frames_showing, grid_span, span_played

SPEEDS = st.fractions(-5, 5, max_denominator=50) | st.sampled_from([Fraction(0), Fraction(1), Fraction(-1), Fraction(1, 3), Fraction(-2)])
FIRST, FRAMES = st.integers(-50, 50), st.integers(1, 60)


def shown(first: int, speed: Fraction, frames: int) -> list[int]:
    """The tape frame under each frame of a shot, walked: the tape runs on by the speed and a frame shows until it is passed."""
    walked, travelled = [], Fraction(0)
    for _ in range(frames):
        whole = int(travelled)
        walked.append(first + whole if speed >= 0 else first - whole)
        travelled += abs(speed)
    return walked


def test_speeds_in_plain_numbers() -> None:
    assert shown(10, Fraction(1, 2), 5) == [10, 10, 11, 11, 12]
    for first, speed, frames, expected in (
        (10, Fraction(1), 4, [10, 11, 12, 13]),
        (10, Fraction(-1), 4, [10, 9, 8, 7]),
        (10, Fraction(1, 2), 5, [10, 10, 11, 11, 12]),
        (10, Fraction(-1, 2), 5, [10, 10, 9, 9, 8]),
        (10, Fraction(5, 2), 4, [10, 12, 15, 17]),
        (10, Fraction(0), 3, [10, 10, 10]),
    ):
        assert [frame_played(first, speed, k) for k in range(frames)] == expected


@given(FIRST, SPEEDS, FRAMES)
def test_each_frame_against_the_walk(first: int, speed: Fraction, frames: int) -> None:
    walked = shown(first, speed, frames)
    assert [frame_played(first, speed, k) for k in range(frames)] == walked
    assert span_played(first, speed, frames) == Span(min(walked), max(walked) + 1)


@given(FIRST, SPEEDS, st.integers(1, 30))
def test_handles_go_on_at_the_same_speed_before_the_shot(first: int, speed: Fraction, back: int) -> None:
    # Going back k frames is going forward k frames of the shot played the other way, but for the rounding of part frames.
    before, mirrored = frame_played(first, speed, -back), frame_played(first, -speed, back)
    if (speed * back).denominator == 1:
        assert before == mirrored
    else:
        assert abs(before - mirrored) == 1


@given(st.integers(-80, 80), st.integers(0, 60), FIRST, SPEEDS, FRAMES)
def test_frames_showing_a_stretch_of_tape_against_the_walk(start: int, length: int, first: int, speed: Fraction, frames: int) -> None:
    tape = Span(start, start + length)
    showing = [k for k, frame in enumerate(shown(first, speed, frames)) if tape.start <= frame < tape.end_exclusive]
    found = frames_showing(tape, first, speed, frames)
    assert list(range(found.start, found.end_exclusive) if found else ()) == showing
    assert found is None or found.length > 0


@given(st.sampled_from(RATES), st.fractions(0, 100, max_denominator=30000))
def test_the_first_grid_frame_is_the_first_that_begins_at_or_after_the_moment(rate: Rate, moment: Fraction) -> None:
    frame = first_grid_frame(moment, rate.fps)
    assert (frame - 1) / rate.fps < moment <= frame / rate.fps


@given(st.sampled_from(RATES), st.fractions(0, 3, max_denominator=3000), st.fractions(0, 2, max_denominator=3000))
def test_the_grid_frames_of_a_stretch_are_those_that_begin_in_it(rate: Rate, start: Fraction, length: Fraction) -> None:
    stretch = TapeSpan(start, start + length)
    begun = [frame for frame in range(320) if stretch.holds(frame / rate.fps)]
    span = grid_span(stretch, rate.fps)
    assert list(range(span.start, span.end_exclusive)) == begun
