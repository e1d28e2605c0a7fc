"""The sound of a cut, on arrays made by hand."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from previs.media import Black, Event, Samples, TapePicture, Transition
from previs.media.soundtrack import SoundOf, beep, lay_sound

RATE = Fraction(24)
FRAME = 2000
NOISE = np.random.default_rng(7).uniform(-0.5, 0.5, (FRAME * 240, 2)).astype(np.float32)


def _tape(first: int, speed: str = "1") -> TapePicture:
    return TapePicture(Path("a.mov"), "", "A", first, Fraction(speed))


def _noise(tape: TapePicture) -> Samples:
    return NOISE


def _laid(events: list[Event], rate: Fraction, sound_of: SoundOf) -> Samples:
    """All blocks as one."""
    return np.concatenate(list(lay_sound(events, rate, sound_of)))


def test_speed_one_is_copied_to_the_sample() -> None:
    laid = _laid([Event(10, _tape(5)), Event(10, _tape(100))], RATE, _noise)
    assert len(laid) == 20 * FRAME
    assert np.array_equal(laid[: 10 * FRAME - 96], NOISE[5 * FRAME : 15 * FRAME - 96])
    assert np.array_equal(laid[10 * FRAME : 20 * FRAME - 96], NOISE[100 * FRAME : 110 * FRAME - 96])


def test_a_cut_in_the_middle_of_a_take_that_plays_on_is_not_heard() -> None:
    joined = _laid([Event(10, _tape(5)), Event(10, _tape(15))], RATE, _noise)
    whole = _laid([Event(20, _tape(5))], RATE, _noise)
    assert np.abs(joined - whole).max() < 1e-6


@pytest.mark.parametrize("lead", [3, -4])
def test_a_sound_lead_moves_the_place_where_sound_gives_way_and_nothing_else(lead: int) -> None:
    laid = _laid([Event(10, _tape(5)), Event(10, _tape(100), sound_lead_frames=lead)], RATE, _noise)
    gives_way = (10 - lead) * FRAME
    assert len(laid) == 20 * FRAME
    assert np.array_equal(laid[: gives_way - 96], NOISE[5 * FRAME : 5 * FRAME + gives_way - 96])
    # The incoming sound stays in step with its picture, which begins at frame 10.
    assert np.array_equal(laid[gives_way : 20 * FRAME - 96], NOISE[100 * FRAME - lead * FRAME : 110 * FRAME - 96])


def test_sound_that_begins_after_the_first_picture_is_silent_until_then() -> None:
    laid = _laid([Event(10, _tape(5), sound_lead_frames=-4)], RATE, _noise)
    assert not laid[: 4 * FRAME].any()
    assert np.array_equal(laid[4 * FRAME : 10 * FRAME - 96], NOISE[9 * FRAME : 15 * FRAME - 96])


def test_a_hit_on_the_first_frame_keeps_its_level() -> None:
    sound = np.zeros((FRAME * 50, 2), np.float32)
    sound[30 * FRAME] = 1
    laid = _laid([Event(5, Black()), Event(5, _tape(30))], RATE, lambda tape: sound)
    assert laid[5 * FRAME, 0] == 1
    assert np.count_nonzero(laid[:, 0]) == 1


def test_a_straight_cut_does_not_pop() -> None:
    low, high = np.full((FRAME * 50, 2), -0.8, np.float32), np.full((FRAME * 50, 2), 0.8, np.float32)
    laid = _laid([Event(5, _tape(3)), Event(5, _tape(20))], RATE, lambda tape: low if tape.first_frame == 3 else high)
    assert np.abs(np.diff(laid[:, 0])).max() < 0.02


@pytest.mark.parametrize("speed", ["1.43", "1/2", "0.75", "2"])
def test_a_hit_stays_on_its_frame_at_other_speeds(speed: str) -> None:
    sound = np.zeros((FRAME * 200, 2), np.float32)
    sound[60 * FRAME : 60 * FRAME + 40] = 0.9
    laid = _laid([Event(30, _tape(50, speed))], RATE, lambda tape: sound)
    expected = 10 / Fraction(speed) * FRAME
    loudest = int(np.abs(laid[:, 0]).argmax())
    assert abs(loudest - expected) < 100


def test_faster_play_keeps_level_and_raises_pitch() -> None:
    tone = np.sin(2 * np.pi * 440 * np.arange(FRAME * 100) / 48000).astype(np.float32)
    laid = _laid([Event(24, _tape(10, "3/2"))], RATE, lambda tape: np.repeat(tone[:, None], 2, 1))
    middle = laid[4000:44000, 0]
    spectrum = np.abs(np.fft.rfft(middle * np.hanning(len(middle))))
    assert abs(spectrum.argmax() * 48000 / len(middle) - 660) < 2
    assert 0.97 < middle.max() < 1.03


def test_what_would_fold_over_at_double_speed_is_held_back() -> None:
    tone = np.sin(2 * np.pi * 18000 * np.arange(FRAME * 100) / 48000).astype(np.float32)
    laid = _laid([Event(24, _tape(10, "2"))], RATE, lambda tape: np.repeat(tone[:, None], 2, 1))
    assert np.abs(laid[4000:44000]).max() < 0.05


@pytest.mark.parametrize("event", [Event(5, _tape(9, "0")), Event(5, _tape(90, "-1")), Event(5, _tape(9), sound=False), Event(5, Black())])
def test_what_is_silent(event: Event) -> None:
    laid = _laid([event], RATE, _noise)
    assert laid.shape == (5 * FRAME, 2) and not laid.any()


def test_sound_crosses_over_under_a_dissolve_at_equal_power() -> None:
    ones = np.ones((FRAME * 100, 2), np.float32)
    laid = _laid([Event(10, _tape(0)), Event(10, _tape(50), Transition("dissolve", 6))], RATE, lambda tape: ones)
    middle = laid[13 * FRAME, 0]
    assert abs(middle - np.sqrt(2)) < 0.01
    assert abs(laid[10 * FRAME, 0] - 1) < 0.01 and laid[16 * FRAME, 0] == 1


def test_the_outgoing_tape_plays_on_under_a_dissolve_to_black() -> None:
    ramp = np.repeat((np.arange(FRAME * 100) / (FRAME * 100)).astype(np.float32)[:, None], 2, 1)
    laid = _laid([Event(10, _tape(0)), Event(4, Black(), Transition("dissolve", 4))], RATE, lambda tape: ramp)
    at = 12 * FRAME
    assert abs(laid[at, 0] - ramp[at, 0] * np.cos(np.pi / 4)) < 1e-3
    assert abs(laid[-1, 0]) < 1e-3


def test_the_tape_is_silent_before_its_start_and_after_its_end() -> None:
    short = np.ones((FRAME * 4, 2), np.float32)
    laid = _laid([Event(8, _tape(-2))], RATE, lambda tape: short)
    assert not laid[: 2 * FRAME].any() and not laid[6 * FRAME :].any()
    assert (laid[2 * FRAME : 6 * FRAME] == 1).all()


def test_lengths_add_up_at_a_rate_whose_frames_are_not_whole_samples() -> None:
    rate = Fraction(30000, 1001)
    laid = _laid([Event(7, _tape(0)), Event(11, _tape(3)), Event(1, _tape(9))], rate, _noise)
    assert len(laid) == round(19 * 1601.6)


def test_the_beep_is_two_frames_of_one_kilohertz() -> None:
    tone = beep(2, RATE)
    assert len(tone) == 2 * FRAME
    assert abs(np.abs(np.fft.rfft(tone[:, 0])).argmax() * 48000 / len(tone) - 1000) <= 48000 / len(tone)
    assert abs(tone[0, 0]) < 0.01
