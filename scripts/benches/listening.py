"""Bench rows of what is heard: camera sync, hits and carrying, against scipy and librosa doing the same step on the same sound."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

import librosa
import numpy as np
from numpy.typing import NDArray
from scipy.signal import correlate, fftconvolve

from benches.media import timed
from benches.rows import Row
from previs.analysis.carrying import Carried, Evidence, Logged, carry
from previs.analysis.onsets import impulses, onset_curves
from previs.analysis.sync import for_sync, sync_by_sound
from previs.media.sound import SAMPLE_RATE

_Floats = NDArray[np.float32]
MINUTES = 5


def fought(seconds: float, blows: NDArray[np.float64]) -> _Floats:
    """A hall with steps and breath, and short bright blows at these moments, as mono 48 kHz sound."""
    dice = np.random.default_rng(0)
    sound = dice.normal(0, 0.004, round(seconds * SAMPLE_RATE)).astype(np.float32)
    for blow in blows:
        at = round(blow * SAMPLE_RATE)
        ring = np.exp(-np.arange(2400) / 300) * dice.normal(0, 0.5, 2400)
        sound[at : at + 2400] += ring.astype(np.float32)
    return sound


def heard_by(seed: int, sound: _Floats) -> _Floats:
    """What one camera hears of it: with echoes and a hiss of its own."""
    own = np.random.default_rng(seed)
    echoes = np.exp(-np.arange(2400) / 600) * own.normal(0, 0.05, 2400)
    echoes[0] = 1
    hiss = own.normal(0, 0.002, len(sound))
    return np.asarray(fftconvolve(sound, echoes)[: len(sound)] + hiss, np.float32)


def rows(runs: int) -> list[Row]:
    """Two recordings of five minutes, 3.25 s apart, and their blows."""
    dice = np.random.default_rng(1)
    blows = np.sort(dice.uniform(5, MINUTES * 60 - 5, 150))
    sound = fought(MINUTES * 60, blows)
    first, second = heard_by(2, sound), heard_by(3, sound[round(3.25 * SAMPLE_RATE) :])
    stereo = np.repeat(first[:, None], 2, axis=1)
    found: list[float] = []

    def ours() -> None:
        match = sync_by_sound(for_sync(np.repeat(first[:, None], 2, axis=1)), for_sync(np.repeat(second[:, None], 2, axis=1)))
        found.append(abs(abs(match.offset) - 3.25) if hasattr(match, "offset") else 99.0)

    def scipys() -> None:
        one, other = (librosa.resample(sound, orig_sr=SAMPLE_RATE, target_sr=8000) for sound in (first, second))
        whole = correlate(one, other, method="fft")
        found.append(abs((int(np.argmax(whole)) - (len(other) - 1)) / 8000 - 3.25))

    sync = [timed(ours) for _ in range(runs)], [timed(scipys) for _ in range(runs)]
    assert max(found) < 0.01, found
    heard: list[float] = []

    def our_hits() -> None:
        hits = impulses(stereo, onset_curves(stereo))
        heard.append(_found(np.array([hit.at for hit in hits]), blows))

    def librosas_hits() -> None:
        librosa.onset.onset_detect(y=first, sr=SAMPLE_RATE, hop_length=256, units="time")

    hits = [timed(our_hits) for _ in range(runs)], [timed(librosas_hits) for _ in range(runs)]
    assert min(heard) > 0.95, heard
    seconds = f"{MINUTES} minutes of sound"
    return [
        Row(
            f"offset of two cameras, {seconds}, with its drift", median(sync[0]), "scipy: resample and one correlation", median(sync[1]), 1
        ),
        Row(f"hits in {seconds}", median(hits[0]), "librosa onset_detect", median(hits[1]), 1),
        *carried_rows(runs),
    ]


@dataclass(frozen=True)
class FoughtTwice:
    """A logged take and one at 0.8 of its tempo: the moves' moments on both, and what was heard of each."""

    moments: NDArray[np.float64]
    there: NDArray[np.float64]
    sounds: tuple[_Floats, _Floats]

    @classmethod
    def of(cls, moves: int) -> FoughtTwice:
        """So many moves, 0.7 to 1.8 s apart on the first."""
        dice = np.random.default_rng(4)
        moments = 3 + np.cumsum(dice.uniform(0.7, 1.8, moves))
        there = 4 + np.cumsum(np.diff(moments, prepend=3) / 0.8 * dice.normal(1, 0.05, moves))
        first, second = (heard_by(seed, fought(blows[-1] + 3, blows)) for seed, blows in ((5, moments), (6, there)))
        return cls(moments, there, (first, second))

    def evidence(self) -> tuple[Evidence, Evidence]:
        """What is heard on both."""
        stereo = [np.repeat(sound[:, None], 2, axis=1) for sound in self.sounds]
        first, second = (Evidence.of(impulses(sound, onset_curves(sound)), (), ()) for sound in stereo)
        return first, second

    def carried(self, first: Evidence, second: Evidence) -> Carried:
        """The moves carried from the first to the second."""
        return carry(Logged(self.moments, first.at(self.moments)), second, 0, len(self.sounds[1]) / SAMPLE_RATE)


def carried_rows(runs: int) -> list[Row]:
    """Forty moves of a logged take, found on one at 0.8 of its tempo, from both their sounds; librosa warps one onto the other."""
    both = FoughtTwice.of(40)
    ours_right: list[float] = []
    librosas_right: list[float] = []

    def ours() -> None:
        carried = both.carried(*both.evidence())
        landed = np.full(len(both.moments), np.inf)
        landed[list(carried.found)] = carried.at
        ours_right.append(float(np.mean(np.abs(landed - both.there) < 0.05)))

    def librosas() -> None:
        strengths = [librosa.onset.onset_strength(y=sound, sr=SAMPLE_RATE, hop_length=512)[None] for sound in both.sounds]
        _, path = librosa.sequence.dtw(*strengths)
        path = path[::-1] * 512 / SAMPLE_RATE
        landed = np.interp(both.moments, path[:, 0], path[:, 1])
        librosas_right.append(float(np.mean(np.abs(landed - both.there) < 0.05)))

    took = [timed(ours) for _ in range(runs)], [timed(librosas) for _ in range(runs)]
    assert min(ours_right) > 0.95, ours_right
    right = f"{median(ours_right):.0%} within 50 ms against {median(librosas_right):.0%}"
    return [Row(f"40 moves carried to another take ({right})", median(took[0]), "librosa onset_strength and dtw", median(took[1]), 1)]


def _found(hits: NDArray[np.float64], blows: NDArray[np.float64]) -> float:
    return float(np.mean([np.abs(hits - blow).min() < 0.02 for blow in blows]))
