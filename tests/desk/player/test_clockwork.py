from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from previs.clock import RATES, Span
from previs.desk.player.clockwork import SPEEDS, Run, faster, shown_at, slower

MOMENTS = st.fractions(0, 1000, max_denominator=10**9)


@given(st.sampled_from(RATES), st.sampled_from(SPEEDS), st.integers(0, 500), MOMENTS, MOMENTS)
def test_a_frame_is_on_from_its_moment_up_to_the_next(rate: object, speed: Fraction, first: int, began: Fraction, passed: Fraction) -> None:
    fps = rate.fps  # type: ignore[attr-defined]
    frame = Run(first, began, speed, fps).frame(began + passed)
    assert (frame - first) / (speed * fps) <= passed < (frame - first + 1) / (speed * fps)


def test_it_ends_on_the_last_frame() -> None:
    run = Run(10, Fraction(0), Fraction(1), Fraction(24))
    assert shown_at(run, Fraction(1), 35).frame == 34 and not shown_at(run, Fraction(1), 35).ended
    assert shown_at(run, Fraction(25, 24), 35) == shown_at(run, Fraction(100), 35)
    assert shown_at(run, Fraction(100), 35).ended


@given(st.integers(0, 90), st.integers(0, 80), st.integers(1, 20), st.integers(0, 1000))
def test_a_loop_counts_round(first: int, begin: int, length: int, passed: int) -> None:
    loop = Span(begin, begin + length)
    shown = shown_at(Run(first, Fraction(0), Fraction(1), Fraction(1)), Fraction(passed), 100, loop)
    expected = first
    for _ in range(passed):
        expected += 1
        if expected == loop.end_exclusive:
            expected = loop.start
        if expected >= 100:
            expected = 99
            break
    assert shown.frame == expected


def test_speeds_are_steps_with_ends() -> None:
    assert [faster(one) for one in SPEEDS] == [*SPEEDS[1:], SPEEDS[-1]]
    assert [slower(one) for one in SPEEDS] == [SPEEDS[0], *SPEEDS[:-1]]
