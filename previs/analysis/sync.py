"""How two tapes that ran together lie against each other, by what both heard or saw; sets of tapes are in `sessions`.

A match says that moment `t` of the first tape is moment `t * (1 + drift_ppm / 1e6) + offset` of the second, both in
seconds. Sound is aligned by phase-weighted cross-correlation (Knapp & Carter, The generalized correlation method for
estimation of time delay, IEEE TASSP 24(4), 1976, doi 10.1109/TASSP.1976.1162830): first coarsely, windows of one tape
against the whole of the other, then finely, window by window along both, so that the drift of the clocks shows.

What is aligned is what was heard: a microphone 10 m further away hears 29 ms later, and no correlation knows that. For the
same reason `drift_ppm` is that of the clocks only from some minutes on: in less, fighters who walk through the room
shift their sound by as much, and it is what brings both sounds together best.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from previs.analysis.onsets import SAMPLE_RATE, Sound

RATE = 8000
"""Samples a second at which sound is compared; 48 kHz was measured to buy nothing."""

LOCKED, LOST = 10.0, 7.0
"""Peak over deviation: above the first every lock was right, wrong ones scored up to 7.2 (measured, see the README of the tests)."""

LARGEST_DRIFT = 2e-4
"""Clocks of recorders stay within some tens of parts in a million of each other; ten times that is no clock."""
LARGEST_WALK_SECONDS = 0.020
"""By how much people who walk change the difference of two paths of sound: 7 m of it."""

_Floats = NDArray[np.float64]
_COARSE_SECONDS, _COARSE_WINDOWS = 15.0, 6
_FINE_SECONDS, _FINE_EVERY_SECONDS, _LEAST_FINE_WINDOWS = 8.0, 30.0, 6
_FINE_REACH_SECONDS = 0.12
_INLIER_SECONDS = 0.001
_BAND_HZ = (250.0, 3600.0)
_LEAST_DRIFT_SECONDS = 20.0
_LEVEL_SECONDS = 0.1
_LARGEST_SPREAD_SECONDS = 0.010
_LEAST_AGREEING = 0.5


@dataclass(frozen=True, slots=True)
class Match:
    """How the second tape lies against the first, see the head of this module.

    `lock` is the peak of the correlation over its deviation, `confidence` 0 to 1; `spread_seconds` how far the single
    windows lie from the line through them; `overlap_seconds` how long both tapes ran; `by` is "sound" or "motion".
    """

    offset: float
    drift_ppm: float
    lock: float
    confidence: float
    spread_seconds: float
    overlap_seconds: float
    by: str

    def on_second(self, moment: float) -> float:
        """A moment of the first tape as one of the second."""
        return moment * (1 + self.drift_ppm / 1e6) + self.offset


@dataclass(frozen=True, slots=True)
class NoMatch:
    """That two tapes were not matched, with the reason in words and the best lock there was."""

    reason: str
    lock: float = 0.0


def for_sync(sound: Sound) -> _Floats:
    """A tape's sound (samples, channels) at 48 kHz as `sync_by_sound` wants it: one channel at `RATE`."""
    mono = sound @ np.full(sound.shape[1], 1 / sound.shape[1], np.float32) if sound.ndim == 2 else sound
    if not len(mono):
        return np.zeros(0)
    # Single precision is 24 bits, of which a microphone fills 16.
    small = np.asarray(scipy.signal.resample_poly(np.nan_to_num(np.asarray(mono, np.float32)), 1, SAMPLE_RATE // RATE))
    # Levelled, or the two loudest claps of any two tapes would be found to be one. What stands still between the blows
    # weighs too: leaving it out (3 times the middle level more) matched rare blows through each microphone's own
    # hiss, and five pairs of the sample's tapes that never ran together.
    power = scipy.ndimage.uniform_filter1d(small**2, round(_LEVEL_SECONDS * RATE))
    return np.asarray(small / np.sqrt(power + 1e-3 * power.mean() + 1e-30))


def sync_by_sound(first: _Floats, second: _Floats) -> Match | NoMatch:
    """Match two tapes by what they heard; both as `for_sync` makes them."""
    if min(len(first), len(second)) < 2 * RATE:
        return NoMatch("one of them holds less than two seconds of sound")
    if not (first.any() and second.any()):
        return NoMatch("one of them is silent")
    if len(first) > len(second):
        turned = sync_by_sound(second, first)
        return turned if isinstance(turned, NoMatch) else _turned(turned)
    coarse = _coarse(first, second)
    if coarse is None:
        return NoMatch("no two stretches of the one were heard in the same order on the other", 0.0)
    offset, lock = coarse
    if lock < LOST:
        return NoMatch("nothing that both heard stands out from the noise", lock)
    return _fine(first, second, offset, lock)


def _turned(match: Match) -> Match:
    drift = 1 / (1 + match.drift_ppm / 1e6) - 1
    return Match(
        -match.offset * (1 + drift), drift * 1e6, match.lock, match.confidence, match.spread_seconds, match.overlap_seconds, match.by
    )


def phase_correlation(first: _Floats, second: _Floats, rate: float, band_hz: tuple[float, float] = _BAND_HZ) -> tuple[_Floats, int]:
    """The phase-weighted correlation of two signals, and the index of lag 0; lag k: `second` has it k samples later."""
    size = scipy.fft.next_fast_len(len(first) + len(second), real=True)
    cross = np.conj(scipy.fft.rfft(first, size)) * scipy.fft.rfft(second, size)
    frequencies = np.fft.rfftfreq(size, 1 / rate)
    magnitude = np.abs(cross)
    weighted = np.where(
        (frequencies >= band_hz[0]) & (frequencies <= band_hz[1]) & (magnitude > 0), cross / np.maximum(magnitude, 1e-30), 0
    )
    lags = scipy.fft.irfft(weighted, size)
    before = len(first) - 1
    return np.concatenate([lags[-before:], lags[: len(second)]]) if before else lags[: len(second)], before


def peak_lag(correlation: _Floats, zero: int, near: float | None = None, reach: float = 0.0) -> tuple[float, float]:
    """The lag of the highest peak, between samples by a parabola, and the peak over the deviation of the rest."""
    low, high = 0, len(correlation)
    if near is not None:
        low = max(0, int(np.floor(zero + near - reach)))
        high = min(len(correlation), int(np.ceil(zero + near + reach)) + 1)
        if high - low < 3:
            return np.nan, 0.0
    top = low + int(np.argmax(correlation[low:high]))
    deviation = float(correlation.std())
    lag = float(top - zero)
    if 0 < top < len(correlation) - 1:
        left, middle, right = correlation[top - 1 : top + 2]
        bend = left - 2 * middle + right
        lag += float(0.5 * (left - right) / bend) if bend < 0 else 0.0
    return lag, float(correlation[top] / deviation) if deviation > 0 else 0.0


def _coarse(first: _Floats, second: _Floats) -> tuple[float, float] | None:
    """Offset in seconds on which several windows of the first tape agree, and their best lock; None when none do."""
    size = min(len(first), round(_COARSE_SECONDS * RATE))
    starts = np.unique(np.linspace(0, len(first) - size, _COARSE_WINDOWS).round().astype(int))
    found: list[tuple[float, float, float]] = []
    for start in starts:
        window = first[start : start + size]
        if not window.any():
            continue
        lags, zero = phase_correlation(window, second, RATE)
        lag, lock = peak_lag(lags, zero)
        found.append(((lag - start) / RATE, lock, start / RATE))
    if not found:
        return None
    # Windows agree when their offsets differ by no more than the clocks can have drifted apart between them.
    best: tuple[float, float] | None = None
    best_score = 0.0
    for offset, _, at in found:
        agreeing = [other for one, other, place in found if abs(one - offset) <= 0.004 + LARGEST_DRIFT * abs(place - at)]
        if len(agreeing) >= min(2, len(found)) and sum(agreeing) > best_score:
            best_score, best = sum(agreeing), (offset, max(agreeing))
    return best


def _fine(first: _Floats, second: _Floats, offset: float, lock: float) -> Match | NoMatch:
    begin, end = max(0.0, -offset), min(len(first) / RATE, len(second) / RATE - offset)
    overlap = end - begin
    if overlap < 2:
        return NoMatch("they ran together for less than two seconds", lock)
    length = min(_FINE_SECONDS, overlap)
    count = max(_LEAST_FINE_WINDOWS, round(overlap / _FINE_EVERY_SECONDS)) if overlap > length else 1
    places, lags, locks = [], [], []
    last = offset
    for place in np.linspace(begin, end - length, count):
        # The last lag tells where to look next, so that drift never runs out of reach.
        lag, strength = _window_lag(first, second, place, length, last)
        if strength >= LOST:
            places.append(place + length / 2)
            lags.append(lag)
            locks.append(strength)
            last = lag
    if not places:
        return NoMatch("they agree as a whole but in no single stretch", lock)
    if len(places) < _LEAST_AGREEING * count:
        return NoMatch(f"only {len(places)} of {count} stretches agree", lock)
    return _line(np.array(places), np.array(lags), count, max(lock, float(np.median(locks))), overlap)


def _window_lag(first: _Floats, second: _Floats, place: float, length: float, near: float) -> tuple[float, float]:
    """The lag in seconds of one window, looked for around `near`."""
    start, size = round(place * RATE), round(length * RATE)
    reach = round(_FINE_REACH_SECONDS * RATE)
    other = max(0, start + round(near * RATE) - reach)
    window, against = first[start : start + size], second[other : other + size + 2 * reach]
    if len(against) < size // 2 or not (window.any() and against.any()):
        return np.nan, 0.0
    correlation, zero = phase_correlation(window, against, RATE)
    expected = start + near * RATE - other
    lag, strength = peak_lag(correlation, zero, expected, reach)
    return (lag + other - start) / RATE, strength


def _line(places: _Floats, lags: _Floats, count: int, lock: float, overlap: float) -> Match | NoMatch:
    """The line through the windows' lags: robust slope first (Theil-Sen), then least squares on what lies near it."""
    slope = float(scipy.stats.theilslopes(lags, places)[0]) if len(places) > 2 and np.ptp(places) >= _LEAST_DRIFT_SECONDS else 0.0
    level = float(np.median(lags - slope * places))
    away = np.abs(lags - level - slope * places)
    near = away <= np.clip(3 * float(np.median(away)), _INLIER_SECONDS, _LARGEST_SPREAD_SECONDS)
    if near.sum() < _LEAST_AGREEING * count:
        return NoMatch(f"only {near.sum()} of {count} stretches agree", lock)
    if near.sum() > 2 and np.ptp(places[near]) >= _LEAST_DRIFT_SECONDS:
        (slope, level), covariance = _least_squares(places[near], lags[near])
        # A drift that the windows cannot tell from none is none.
        if abs(slope) < 2 * covariance:
            slope, level = 0.0, float(np.mean(lags[near]))
    elif near.any():
        slope, level = 0.0, float(np.median(lags[near]))
    if abs(slope) > LARGEST_DRIFT + LARGEST_WALK_SECONDS / overlap:
        return NoMatch(f"the clocks would have to drift by {slope * 1e6:.0f} parts in a million", lock)
    spread = float(np.sqrt(np.mean((lags[near] - level - slope * places[near]) ** 2)))
    agreeing = float(near.sum() / count)
    confidence = float(np.clip((lock - LOST) / (LOCKED - LOST), 0, 1) * agreeing)
    return Match(level, slope * 1e6, lock, confidence, spread, overlap, "sound")


def _least_squares(places: _Floats, lags: _Floats) -> tuple[tuple[float, float], float]:
    """Slope and level, and the standard error of the slope."""
    middle = places.mean()
    away = places - middle
    slope = float((away @ lags) / (away @ away))
    level = float(lags.mean() - slope * middle)
    rest = lags - level - slope * places
    return (slope, level), float(np.sqrt((rest @ rest) / max(1, len(places) - 2) / (away @ away)))


def sync_by_motion(first: _Floats, second: _Floats, rate: float) -> Match | NoMatch:
    """Match two tapes by when there is movement: their motion curves at one rate, pictures a second.

    Good to a fraction of a picture and blind to drift; tapes of different passes of one fight move alike, so a match
    is believed only when it stands well out from every other.
    """
    if min(len(first), len(second)) < 4 * rate:
        return NoMatch("one of them holds less than four seconds of picture")
    one, other = _levelled(first, rate), _levelled(second, rate)
    if not (one.any() and other.any()):
        return NoMatch("nothing moves on one of them")
    correlation, zero, overlaps = _overlapped(one, other, round(4 * rate))
    lag, _ = peak_lag(correlation, zero)
    height = float(correlation.max())
    apart = np.abs(np.arange(len(correlation)) - zero - lag) > rate / 2
    second_best = float(correlation[apart].max()) if apart.any() else 0.0
    lock = height / max(1e-9, float(correlation[overlaps].std()))
    overlap = min(len(first), len(second) - lag) / rate - max(0.0, -lag) / rate
    if height < 0.35:
        return NoMatch("their movements do not go together anywhere", lock)
    if height < 1.15 * max(second_best, 0):
        return NoMatch("their movements go together in more than one way", lock)
    confidence = float(np.clip((height - 0.3) / 0.4, 0, 1) * np.clip((height / max(second_best, 1e-9) - 1) / 0.5, 0, 1))
    return Match(lag / rate, 0.0, lock, confidence, 0.5 / rate, overlap, "motion")


def _levelled(curve: _Floats, rate: float) -> _Floats:
    """The curve in a scale on which a small stir counts too, without its slow course."""
    values = np.log1p(20 * np.nan_to_num(np.asarray(curve, np.float64)))
    width = max(3, round(4 * rate))
    slow = np.convolve(np.pad(values, width // 2, mode="edge"), np.ones(width) / width, "valid")[: len(values)]
    return np.asarray(values - slow)


def _overlapped(first: _Floats, second: _Floats, least: int) -> tuple[_Floats, int, NDArray[np.bool_]]:
    """The correlation coefficient at every lag with at least `least` pictures in common, 0 elsewhere; and lag 0's index."""
    size = scipy.fft.next_fast_len(len(first) + len(second), real=True)

    def correlated(one: _Floats, other: _Floats) -> _Floats:
        lags = scipy.fft.irfft(np.conj(scipy.fft.rfft(one, size)) * scipy.fft.rfft(other, size), size)
        return np.concatenate([lags[-(len(first) - 1) :], lags[: len(second)]])

    ones = np.ones(len(first)), np.ones(len(second))
    common = np.round(correlated(*ones))
    power = np.sqrt(np.maximum(correlated(first**2, ones[1]) * correlated(ones[0], second**2), 1e-12))
    enough = common >= least
    # A short overlap reaches a high coefficient by chance; the root of its share of the shorter curve weighs that.
    weight = np.sqrt(np.clip(common / min(len(first), len(second)), 0, 1))
    return np.where(enough, correlated(first, second) / power * weight, 0.0), len(first) - 1, enough
