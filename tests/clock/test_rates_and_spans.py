"""The rates by all their names, and half-open spans."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.clock import RATES, Rate, Span, TapeSpan
from previs.faults import UseFault


def test_the_rates_of_the_standard() -> None:
    # SMPTE ST 12-1:2014, abstract: 60, 59.94, 50, 48, 47.95, 30, 29.97, 25, 24 and 23.98.
    assert [rate.name for rate in RATES] == ["23.976", "24", "25", "29.97", "30", "47.952", "48", "50", "59.94", "60"]
    for text in ("60", "59.94", "50", "48", "47.95", "30", "29.97", "25", "24", "23.98"):
        assert abs(Rate.parse(text).fps - Fraction(text)) < Fraction(5, 1000)
    assert [str(rate.fps) for rate in RATES if rate.fps.denominator != 1] == ["24000/1001", "30000/1001", "48000/1001", "60000/1001"]
    assert [rate.name for rate in RATES if rate.may_drop] == ["29.97", "59.94"]


@pytest.mark.parametrize("rate", RATES, ids=str)
def test_a_rate_is_read_by_its_name_and_by_its_fraction(rate: Rate) -> None:
    assert Rate.parse(rate.name) == Rate.parse(str(rate)) == Rate.parse(f" {rate.fps} ") == rate
    assert rate.frame_seconds * rate.fps == 1
    assert rate.nominal - 1 < rate.fps <= rate.nominal


@pytest.mark.parametrize("text", ["", "26", "23.97", "0", "-24", "24.0", "24fps", "nan", "30/1", "29.97df"])
def test_any_other_rate_is_refused(text: str) -> None:
    with pytest.raises(UseFault, match=r"is not a frame rate that time code can count; use one of 23\.976, 24, 25"):
        Rate.parse(text)


@pytest.mark.parametrize(
    ("measured", "name"),
    [("29.5", "29.97"), ("30", "30"), ("24.4", "24"), ("12", "23.976"), ("240", "60"), ("23.98", "23.976")],
)
def test_the_nearest_rate_labels_a_phone_tape(measured: str, name: str) -> None:
    assert Rate.nearest(Fraction(measured)).name == name


SPANS = st.tuples(st.integers(-40, 40), st.integers(0, 30)).map(lambda pair: Span(pair[0], pair[0] + pair[1]))


@given(SPANS, SPANS)
def test_spans_meet_in_the_frames_that_both_hold(one: Span, other: Span) -> None:
    both = [frame for frame in range(-50, 80) if one.holds(frame) and other.holds(frame)]
    met = one.meet(other)
    assert list(range(met.start, met.end_exclusive) if met else ()) == both
    assert met == other.meet(one)
    assert met is None or met.length == len(both) > 0


@given(SPANS, st.integers(-100, 100))
def test_a_shifted_span_keeps_its_length(span: Span, frames: int) -> None:
    assert span.shifted(frames).length == span.length
    assert span.shifted(frames).shifted(-frames) == span
    assert span.shifted(frames).start == span.start + frames


def test_stretches_of_tape_are_half_open_too() -> None:
    one, next_one = TapeSpan(Fraction(0), Fraction(1, 3)), TapeSpan(Fraction(1, 3), Fraction(1))
    assert one.meet(next_one) is None and not one.holds(Fraction(1, 3)) and next_one.holds(Fraction(1, 3))
    assert one.meet(TapeSpan(Fraction(1, 4), Fraction(2))) == TapeSpan(Fraction(1, 4), Fraction(1, 3))
    assert next_one.length == Fraction(2, 3)


@pytest.mark.parametrize("kind", [Span, TapeSpan])
def test_a_span_cannot_end_before_it_starts(kind: type[Span] | type[TapeSpan]) -> None:
    with pytest.raises(ValueError, match="before its start"):
        kind(2, 1)
    assert kind(2, 2).length == 0 and not kind(2, 2).holds(2)
