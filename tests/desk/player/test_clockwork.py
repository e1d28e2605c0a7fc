from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from previs.clock import RATES, Span
from previs.desk.player.clockwork import SPEEDS, Lead, Run, coming, faster, shown_at, slower

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


@given(st.integers(0, 99), st.integers(0, 80), st.integers(1, 20), st.booleans())
def test_what_is_coming_is_what_is_shown_then(frame: int, begin: int, length: int, looped: bool) -> None:
    loop = Span(begin, begin + length) if looped else None
    run = Run(frame, Fraction(0), Fraction(1), Fraction(1))
    shown = [shown_at(run, Fraction(passed), 100, loop) for passed in range(1, 17)]
    found = coming(frame, 100, loop, 16)
    assert list(found) == [one.frame for one in shown][: len(found)]
    assert len(found) == 16 or shown[len(found)].ended or shown[len(found)].frame in (*found, frame)


RUN = Run(0, Fraction(100), Fraction(1), Fraction(24))


def test_without_sound_the_silent_clock_leads() -> None:
    lead = Lead(RUN)
    assert [lead.moment(Fraction(now), None) for now in (100, 101, 110)] == [100, 101, 110] and not lead.lost


def test_a_sound_that_moves_leads_and_one_that_stands_still_gives_way_without_a_leap() -> None:
    lead = Lead(RUN)
    assert lead.moment(Fraction(102), Fraction(0)) == 100, "it is still waking up"
    assert lead.moment(Fraction(1021, 10), Fraction(1, 10)) == Fraction(1001, 10)
    assert lead.moment(Fraction(1025, 10), Fraction(1, 10)) == Fraction(1001, 10)
    assert not lead.lost
    assert lead.moment(Fraction(1026, 10), Fraction(1, 10)) == Fraction(1001, 10) and lead.lost
    assert lead.moment(Fraction(1036, 10), Fraction(9)) == Fraction(1011, 10), "what is lost stays lost"


def test_an_output_that_never_wakes_or_fails_at_once_does_not_hold_the_picture() -> None:
    lead = Lead(RUN)
    lead.moment(Fraction(100), Fraction(0))
    assert lead.moment(Fraction(103), Fraction(0)) == 100 and lead.lost
    assert lead.moment(Fraction(104), None) == 101
    lead = Lead(RUN)
    lead.moment(Fraction(101), Fraction(1, 2))
    assert lead.moment(Fraction(102), None) == Fraction(201, 2) and lead.lost
