"""Camera sync: known shifts and drifts come back, unlike tapes are refused with a reason, sets are made consistent."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from fights import phrase, sequence, take, tape
from heard_fights import heard
from msgspec.structs import replace
from scipy.signal import correlate

from previs.analysis.onsets import SAMPLE_RATE
from previs.analysis.sessions import moved, passes, sessions
from previs.analysis.sync import RATE, Match, NoMatch, for_sync, peak_lag, phase_correlation, sync_by_motion, sync_by_sound
from previs.document.model import Sync


def hall(seconds: float, seed: int) -> np.ndarray:
    """What could be heard in a hall: steps and blows at random times, in room tone, at 48 kHz."""
    dice = np.random.default_rng(seed)
    blows = np.cumsum(dice.uniform(0.4, 1.6, size=int(seconds)))
    return heard(seconds, [float(at) for at in blows if at < seconds - 1], noise=0.004, seed=seed)[:, 0].astype(float)


def recorded(sound: np.ndarray, begin: float, seconds: float, drift_ppm: float, noise: float, seed: int) -> np.ndarray:
    """The hall as a recorder hears it that starts at `begin`, whose clock runs fast by `drift_ppm`, with noise of its own."""
    dice = np.random.default_rng(seed)
    at = begin * SAMPLE_RATE + np.arange(round(seconds * SAMPLE_RATE)) / (1 + drift_ppm / 1e6)
    return (np.interp(at, np.arange(len(sound)), sound, left=0, right=0) + dice.normal(size=len(at)) * noise)[:, None].astype(np.float32)


def test_a_known_shift_of_published_size_comes_back_to_the_sample() -> None:
    """5 samples, as in pyminidsp's example of 1,024 samples rolled by 5 at 44.1 kHz; noise, as a tone is ambiguous at its period."""
    dice = np.random.default_rng(4)
    first = dice.normal(size=1024)
    for shift in (5, 10, 40, 200, 210, 400, 410, 500):
        lags, zero = phase_correlation(first, np.roll(np.pad(first, (0, 1024)), shift), 44100, (0, 22050))
        assert peak_lag(lags, zero)[0] == pytest.approx(shift, abs=0.01)


def test_the_sign_of_a_shift_is_scipys() -> None:
    dice = np.random.default_rng(5)
    first, second = dice.normal(size=500), np.zeros(800)
    second[120:620] = first
    theirs = int(np.argmax(correlate(second, first, "full"))) - (len(first) - 1)
    lags, zero = phase_correlation(first, second, RATE, (0, RATE / 2))
    assert theirs == 120
    assert peak_lag(lags, zero)[0] == pytest.approx(theirs, abs=0.01)


@pytest.mark.parametrize("noise", [0.0, 0.02])
def test_offset_within_two_milliseconds_and_drift_within_five_millionths(noise: float) -> None:
    sound = hall(320, 6)
    first = for_sync(recorded(sound, 0.0, 300, 0, noise, 7))
    second = for_sync(recorded(sound, 11.237, 300, 30, noise, 8))
    found = sync_by_sound(first, second)
    assert isinstance(found, Match)
    assert found.drift_ppm == pytest.approx(30, abs=5)
    for moment in (20.0, 150.0, 290.0):
        assert found.on_second(moment) == pytest.approx((moment - 11.237) * (1 + 30e-6), abs=0.002)
    assert found.confidence > 0.8
    back = sync_by_sound(second, first)
    assert isinstance(back, Match)
    assert back.on_second(found.on_second(100.0)) == pytest.approx(100.0, abs=0.002)


@pytest.mark.parametrize("seeds", [(11, 12), (13, 14), (15, 16)])
def test_tapes_of_different_halls_are_refused_with_a_reason(seeds: tuple[int, int]) -> None:
    found = sync_by_sound(*(for_sync(recorded(hall(60, seed), 0, 55, 0, 0.004, seed)) for seed in seeds))
    assert isinstance(found, NoMatch)
    assert found.reason


def test_too_little_or_no_sound_is_refused() -> None:
    some, none, short = np.ones(5 * RATE), np.zeros(5 * RATE), np.ones(RATE)
    assert isinstance(sync_by_sound(some, none), NoMatch)
    assert isinstance(sync_by_sound(some, short), NoMatch)
    assert isinstance(sync_by_motion(np.zeros(10), np.zeros(10), 24), NoMatch)
    assert isinstance(sync_by_motion(np.zeros(500), np.ones(500), 24), NoMatch)
    assert len(for_sync(np.zeros((0, 2), np.float32))) == 0


def moving(seed: int, seconds: float = 60, rate: int = 24) -> np.ndarray:
    dice = np.random.default_rng(seed)
    steps = dice.normal(size=round(seconds * rate)) ** 2
    return np.convolve(steps, np.hanning(9), "same") * 0.02


def test_motion_finds_a_shift_within_a_picture_and_refuses_strangers() -> None:
    one = moving(1)
    dice = np.random.default_rng(2)
    other = np.concatenate([moving(3, 5), one])[: len(one)] * 1.7 + dice.uniform(0, 0.03, size=len(one))
    found = sync_by_motion(one, other, 24)
    assert isinstance(found, Match)
    assert found.offset == pytest.approx(5, abs=1 / 24)
    assert isinstance(sync_by_motion(one, moving(9), 24), NoMatch)


def match(offset: float, confidence: float = 1.0) -> Match:
    return Match(offset, 0.0, 20.0, confidence, 0.0005, 60.0, "sound")


def test_three_tapes_are_made_consistent_and_a_contradiction_is_told() -> None:
    # B began 2 s and C 5 s after A: a moment t of A is t - 2 of B and t - 5 of C.
    good = {("A", "B"): match(-2), ("B", "C"): match(-3.004), ("A", "C"): match(-5)}
    found = sessions(("A", "B", "C", "D"), good)
    assert {one.reel: one.session for one in found.syncs} == {"A": "A", "B": "A", "C": "A"}
    offsets = {one.reel: float(one.offset) for one in found.syncs}
    assert offsets["A"] == 0
    assert offsets["B"] == pytest.approx(2, abs=0.002)
    assert offsets["C"] == pytest.approx(5, abs=0.003)
    assert not found.remarks
    wrong = sessions(("A", "B", "C"), {("A", "B"): match(-2), ("B", "C"): match(-3), ("A", "C"): match(-9, 0.4)})
    assert {one.reel: float(one.offset) for one in wrong.syncs}["C"] == pytest.approx(5, abs=1e-5)
    assert "not believed" in wrong.remarks[0]


def test_a_moment_goes_from_tape_to_tape_and_back() -> None:
    one, other = Sync("A", "A", Fraction(0)), Sync("B", "A", Fraction(11, 10), Fraction(35))
    there = moved(Fraction(40), one, other)
    assert float(there) == pytest.approx((40 - 1.1) * (1 + 35e-6), abs=1e-6)
    assert float(moved(there, other, one)) == pytest.approx(40, abs=2e-6)


def test_takes_of_one_action_are_one_pass() -> None:
    fight = sequence(
        phrases=(phrase(1, range(1, 3)),),
        tapes=(tape("A1"), tape("B1"), tape("C1")),
        takes=(
            take("A1-1", {1: 12}, start=10, end=20),
            take("A1-2", {1: 32}, start=30, end=40),
            take("B1-1", {}, reel="B1", start=8, end=19),
            take("C1-1", {}, reel="C1", start=8, end=19),
        ),
        syncs=(Sync("A1", "A1", Fraction(0)), Sync("B1", "A1", Fraction(2))),
    )
    assert [[one.name for one in group] for group in passes(fight)] == [["A1-1", "B1-1"], ["A1-2"], ["C1-1"]]
    assert [[one.name for one in group] for group in passes(replace(fight, syncs=()))] == [["A1-1"], ["A1-2"], ["B1-1"], ["C1-1"]]
