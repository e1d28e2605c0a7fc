"""Moments as people write them, and tape time against frame counts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.clock import RATES, ClockFault, Rate, Timebase, parse_instant, parse_length, tape_frame_at, time_of_tape_frame

FILM, DF = Timebase(Rate.parse("24")), Timebase(Rate.parse("29.97"), drop=True)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("12.4s", Fraction(62, 5)),
        ("12.4 s", Fraction(62, 5)),
        ("0.000000001s", Fraction(1, 10**9)),
        ("7s", Fraction(7)),
        ("1001/30s", Fraction(1001, 30)),
        ("1001/30000 s", Fraction(1001, 30000)),
        ("0/7s", Fraction(0)),
        ("f310", Fraction(310, 24)),
        ("F 310", Fraction(310, 24)),
        ("00:00:01:12", Fraction(3, 2)),
        (" 00:00:01:12 ", Fraction(3, 2)),
    ],
)
def test_moments_as_people_write_them(text: str, seconds: Fraction) -> None:
    assert parse_instant(text, FILM) == seconds


@given(st.fractions(0, 10**6, max_denominator=10**9))
def test_a_fraction_of_a_second_loses_nothing(moment: Fraction) -> None:
    assert parse_instant(f"{moment}s", FILM) == moment


def test_time_code_is_counted_from_the_tapes_first_label() -> None:
    start = FILM.frame("10:00:00:00")
    assert parse_instant("10:00:02:06", FILM, start) == Fraction(9, 4)
    # A tape that runs past midnight.
    assert parse_instant("00:00:01:00", FILM, FILM.frame("23:59:59:00")) == 2
    assert parse_instant("00:01:00;02", DF, DF.frame("00:00:59;29")) == Fraction(1001, 30000)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1/0s", "divides by zero"),
        ("0/000s", "divides by zero"),
        ("1/30", "is not a time"),
        ("1.5/30s", "is not a time"),
        ("-1/30s", "is not a time"),
        ("1/-30s", "is not a time"),
        (f"1/{10**18}s", "is not a time"),
        (f"1/{'9' * 100_000}s", "is not a time"),
        ("12.4", "is not a time"),
        ("-3s", "is not a time"),
        ("1e3s", "is not a time"),
        ("infs", "is not a time"),
        ("nans", "is not a time"),
        (".5s", "is not a time"),
        ("f-3", "is not a time"),
        ("f3.5", "is not a time"),
        ("frame 3", "is not a time"),
        ("٣s", "is not a time"),
        ("", "is not a time"),
        ("00:00:01:24", "has frame 24"),
        ("00:00:01;12", "semicolon"),
    ],
)
def test_what_is_not_a_moment_is_refused(text: str, said: str) -> None:
    with pytest.raises(ClockFault, match=said):
        parse_instant(text, FILM)


@given(st.sampled_from(RATES), st.integers(0, 10**7))
def test_a_frame_is_on_screen_from_its_beginning_to_the_next(rate: Rate, frame: int) -> None:
    begins, just_before = time_of_tape_frame(frame, rate), time_of_tape_frame(frame + 1, rate) - Fraction(1, 10**12)
    assert tape_frame_at(begins, rate) == tape_frame_at(just_before, rate) == frame
    assert tape_frame_at(begins - Fraction(1, 10**12), rate) == frame - 1


@pytest.mark.parametrize(
    ("text", "frames"),
    [
        ("36", 36),
        ("f36", 36),
        ("-6", -6),
        ("+6", 6),
        ("-f6", -6),
        ("1.5s", 36),
        ("-0.5s", -12),
        ("0.52s", 12),
        ("00:00:01:12", 36),
        ("-00:00:00:06", -6),
    ],
)
def test_a_length_may_be_frames_seconds_or_time_code(text: str, frames: int) -> None:
    assert parse_length(text, FILM) == frames


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("soon", "is no length; write frames"),
        ("1.5", "is no length"),
        ("--6", "is no length"),
        ("", "is no length"),
        ("1/0s", "divides by zero"),
        ("00:00:00:24", "run from 00 to 23"),
        ("9999999s", "longer than a day"),
    ],
)
def test_what_is_no_length_is_said(text: str, said: str) -> None:
    with pytest.raises(ClockFault, match=said):
        parse_length(text, FILM)
