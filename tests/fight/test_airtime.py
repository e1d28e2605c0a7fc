"""Air time against published values, against a stepwise fall, and on the sample's measured flights."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from fights import phrase, sequence, tape
from hypothesis import given, settings
from hypothesis import strategies as st

from previs.document.model import Flight, Sequence
from previs.fight.airtime import GRAVITY, AirTime, air_time, free_height, free_heights, free_seconds

SAMPLE = Path(__file__).parents[2] / "sample_media"


def flown(take_off: str, landing: str, *, rate: str = "24", **more: str) -> AirTime:
    flight = Flight("A1", "Odile", Fraction(take_off), Fraction(landing), **{name: Fraction(value) for name, value in more.items()})
    return air_time(with_flight(flight, rate), flight)


def with_flight(flight: Flight, rate: str) -> Sequence:
    return sequence(phrases=(phrase(1, range(1, 3)),), tapes=(tape(rate=rate),), flights=(flight,))


@pytest.mark.parametrize(("metres", "seconds"), [(1, 0.4516), (2, 0.6387), (3, 0.7822), (5, 1.0098), (10, 1.4281)])
def test_a_fall_takes_the_published_time(metres: int, seconds: float) -> None:
    # t = sqrt(2 h / g), g 9.80665 m/s^2 (3rd CGPM, 1901).
    assert free_seconds(0, -metres) == pytest.approx(seconds, abs=5e-5)
    assert free_height(free_seconds(0, -metres), -metres) == pytest.approx(0, abs=1e-9)


def test_a_drop_of_half_a_metre_and_a_jump_as_in_the_textbook() -> None:
    # OpenStax College Physics, g 9.80 m/s^2: a 0.5 m drop in 0.32 s; off the ground at 1.37 m/s, 0.14 s up and 0.09 m high.
    assert round(free_seconds(0, -0.5), 2) == 0.32
    up = 1.37 / GRAVITY
    assert round(up, 2) == 0.14
    height = free_height(2 * up)
    # The book takes the rounded 0.14 s on: v t - g t^2 / 2 = 0.0958 m, which it gives with one figure.
    assert height == pytest.approx(1.37 * up - GRAVITY * up**2 / 2) and 0.09 <= height < 0.1


def test_a_thrown_rock_comes_as_high_as_in_the_textbook() -> None:
    # OpenStax College Physics, example 2.14: 13.0 m/s up, 8.62 m at g 9.80; 1.33 s to the top.
    assert free_height(2 * 13.0 / GRAVITY) == pytest.approx(13.0**2 / (2 * 9.80), rel=1e-3)
    assert round(free_height(2 * 13.0 / GRAVITY), 1) == 8.6
    # y(3 s) = -5.10 m: a flight of 3 s that lands 5.10 m below began at 13.0 m/s.
    assert free_height(3.0, -5.10) == pytest.approx(8.62, rel=2e-3)


@settings(deadline=None)
@given(height=st.floats(0.01, 20), landing=st.floats(-20, 1))
def test_height_and_time_are_each_other_undone(height: float, landing: float) -> None:
    rise = min(landing * height, height)
    assert free_height(free_seconds(height, rise), rise) == pytest.approx(height, rel=1e-9)


def test_time_is_that_of_a_fall_taken_in_small_steps() -> None:
    # Up at 4 m/s, landing 0.3 m higher: counted in steps of a hundred-thousandth of a second.
    step, speed, at, seconds, highest = 1e-5, 4.0, 0.0, 0.0, 0.0
    while speed > 0 or at > 0.3:
        at, speed, seconds = at + speed * step - GRAVITY * step**2 / 2, speed - GRAVITY * step, seconds + step
        highest = max(highest, at)
    assert free_seconds(highest, 0.3) == pytest.approx(seconds, abs=1e-4)


@settings(deadline=None)
@given(shortest=st.floats(0, 2), more=st.floats(0.001, 0.2), rise=st.floats(-3, 3))
def test_the_least_height_is_never_above_the_most(shortest: float, more: float, rise: float) -> None:
    least, most = free_heights(shortest, shortest + more, rise)
    between = [free_height(shortest + more * part / 20, rise) for part in range(1, 21)]
    assert least <= min(between) + 1e-9 and least <= most
    assert max(between) <= most * (1 + 1e-9) + 1e-9


def test_marks_that_may_be_one_moment_bound_no_height() -> None:
    assert "comes at least 3.06 m high" in flown("1", "1.04", rise_metres="0.6").sentence
    assert free_height(1e-200, 0.6) == float("inf")


def test_a_mark_is_known_to_one_picture_of_its_own_tape() -> None:
    coarse, fine = flown("1", "1.6", rate="24"), flown("1", "1.6", rate="50")
    for one, picture in ((coarse, 1 / 24), (fine, 1 / 50)):
        expected = (GRAVITY * (0.6 - picture) ** 2 / 8, GRAVITY * (0.6 + picture) ** 2 / 8)
        assert one.free_height_metres == pytest.approx(expected)


def test_speed_over_the_ground_is_told_when_the_distance_is() -> None:
    assert flown("1", "1.5").speed_metres_a_second is None
    least, most = flown("1", "1.5", distance_metres="2").speed_metres_a_second or (0, 0)
    assert (least, most) == pytest.approx((2 / (0.5 + 1 / 24), 2 / (0.5 - 1 / 24)))


def test_words_for_longer_shorter_and_alike() -> None:
    assert "As long as a free flight" in flown("1", "1.6", height_metres="0.441").sentence
    assert (
        "Longer than a free flight to the marked height by 4 to 6 frames"
        in flown("1", "1.86", height_metres="0.844", rise_metres="0.6").sentence
    )
    assert (
        "Shorter than a free flight to the marked height by 11 to 13 frames: check the marks"
        in flown("1", "1.4", height_metres="1").sentence
    )
    assert "marked height" not in flown("1", "1.6").sentence


def test_the_samples_vaults_are_free_and_its_leaps_are_not() -> None:
    told = [air for one in json.loads((SAMPLE / "truth/truth.json").read_text("utf-8"))["tapes"].values() for air in one["air"]]
    assert len(told) == 11
    for air in told:
        one = flown(str(air["take_off"]), str(air["landing"]), height_metres=str(air["apex_metres"]), rise_metres=str(air["rise_metres"]))
        least, most = one.longer_frames or (0.0, 0.0)
        if air["kind"] == "vault":
            assert least < 0 < most
        else:
            assert (least + most) / 2 == pytest.approx(5.3, abs=0.05) and "assisted or slowed" in one.sentence
