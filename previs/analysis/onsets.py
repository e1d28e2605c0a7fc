"""What strikes on a tape: impulses in its sound, each with its moment, its strength and its timbre; it names no moves.

Sound is (samples, channels) float at 48 kHz, as `media.tape_sound` gives it. Two curves of onset strength are kept:
`bright` is what rises above 6 kHz, where staffs and slates strike and speech is weak; `dull` is what rises below
1.2 kHz, where soles, pads and bodies land. Log spectral flux, window 1,024 and hop 256 samples, was measured to find
staff-like clacks in room tone and speech with F 0.99 and a bias below half a millisecond.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy
from numpy.typing import NDArray

Curve = NDArray[np.float32]
Sound = NDArray[np.float32]

SAMPLE_RATE = 48000
HOP_SAMPLES = 256
WINDOW_SAMPLES = 1024
BRIGHT_FROM_HZ = 6000.0
DULL_FROM_HZ, DULL_TO_HZ = 60.0, 1200.0
HOPS_A_SECOND = SAMPLE_RATE / HOP_SAMPLES

LEAST_APART_SECONDS = 0.045
"""Two impulses closer than this are one: a body and the boards under it."""
LEAST_STRENGTH = 6.0
"""In deviations above the floor; room tone, soles and breath stayed below 4 on the sample tapes."""
SURE_STRENGTH = 25.0
WEAK_SHARE, STRONG_SHARE = 0.2, 0.5
"""Of what is strong on a tape: below the first nothing counts, from the second on everything does; found on the sample tapes."""
LIKELY = 0.4
"""The confidence from which an impulse is proposed as a hit."""
BRIGHTNESS_FROM_HZ = 4000.0
MASKED_SECONDS = 0.12
MASKED_SHARE = 0.15
LEAST_LANDING = 23.0
"""In deviations of the dull curve; soles stayed below 22 on the sample tapes, landings of a whole body above 27."""
QUIET_AFTER_CLAP_SECONDS = 0.7

_NOTHING = 3e-4
_COMPRESSION = np.float32(1000.0)
_FLOOR_HOPS = 375
_FLOOR_STEP_HOPS = 94
_BLOCK_HOPS = 2048
_LOOK_BEFORE_SAMPLES = 720
_LOOK_AFTER_SAMPLES = 7200
_EDGE_SAMPLES = 24
_ATTACK_SAMPLES = 384


@dataclass(frozen=True, slots=True)
class OnsetCurves:
    """Onset strength over time, a value each `HOP_SAMPLES`, in deviations above the running noise floor, never below 0."""

    bright: Curve
    dull: Curve
    bandwidth_hz: float = SAMPLE_RATE / 2

    @property
    def seconds(self) -> float:
        """How long they last."""
        return len(self.bright) / HOPS_A_SECOND


@dataclass(frozen=True, slots=True)
class Impulse:
    """Something that strikes: its moment in seconds, strength in deviations, and how it sounds.

    `brightness` is the share of its energy above 4 kHz in the first 8 ms, `decay_seconds` the time in which its
    energy falls to a tenth. `confidence` is 0 to 1.
    """

    at: float
    strength: float
    brightness: float
    decay_seconds: float
    confidence: float


def onset_curves(sound: Sound) -> OnsetCurves:
    """The two curves of a tape's sound; both are empty when it has none. The mean of the channels is what is heard."""
    mono = sound.mean(axis=1) if sound.ndim == 2 else sound
    if len(mono) < WINDOW_SAMPLES:
        return OnsetCurves(np.zeros(0, np.float32), np.zeros(0, np.float32))
    mono = np.nan_to_num(mono)
    bandwidth = bandwidth_hz(mono)
    bright, dull = _flux(mono, min(BRIGHT_FROM_HZ, bandwidth / 2))
    return OnsetCurves(_above_floor(bright), _above_floor(dull), bandwidth)


def bandwidth_hz(mono: NDArray[np.float32]) -> float:
    """Up to which frequency the tape holds sound at all: a recorder at 8 kHz leaves nothing above 4 kHz."""
    at = np.linspace(0, max(0, len(mono) - WINDOW_SAMPLES), 400).astype(int)
    windows = np.stack([mono[one : one + WINDOW_SAMPLES] for one in at]) * np.hanning(WINDOW_SAMPLES)
    spectrum = np.abs(scipy.fft.rfft(windows, axis=1)).max(axis=0)
    held = np.flatnonzero(spectrum > spectrum.max() * _NOTHING)
    return float(held[-1] + 1) * SAMPLE_RATE / WINDOW_SAMPLES if len(held) else SAMPLE_RATE / 2


def _flux(mono: NDArray[np.float32], bright_from_hz: float) -> tuple[Curve, Curve]:
    """How much the log spectrum rises from hop to hop, summed above and below; in blocks, so that memory stays small."""
    window = np.hanning(WINDOW_SAMPLES).astype(np.float32)
    frequencies = np.fft.rfftfreq(WINDOW_SAMPLES, 1 / SAMPLE_RATE)
    bands = (
        slice(int(np.searchsorted(frequencies, bright_from_hz)), len(frequencies)),
        slice(int(np.searchsorted(frequencies, DULL_FROM_HZ)), int(np.searchsorted(frequencies, DULL_TO_HZ))),
    )
    hops = len(mono) // HOP_SAMPLES
    found = np.zeros((2, hops), np.float32)
    last: list[NDArray[np.float32] | None] = [None, None]
    for first in range(0, hops, _BLOCK_HOPS):
        stop = min(hops, first + _BLOCK_HOPS)
        # Half a window on either side, so that a hop's spectrum is centred on it and does not depend on the block.
        begin, end = first * HOP_SAMPLES - WINDOW_SAMPLES // 2, (stop - 1) * HOP_SAMPLES + WINDOW_SAMPLES // 2
        part = np.pad(mono[max(0, begin) : min(len(mono), end)], (max(0, -begin), max(0, end - len(mono))))
        frames = np.lib.stride_tricks.sliding_window_view(part, WINDOW_SAMPLES)[::HOP_SAMPLES] * window
        spectrum = np.abs(scipy.fft.rfft(frames, axis=1)) * np.float32(2 / window.sum())
        for row, band in enumerate(bands):
            logs = np.log1p(_COMPRESSION * spectrum[:, band])
            before = np.vstack([logs[:1] if (known := last[row]) is None else known, logs[:-1]])
            found[row, first:stop] = np.maximum(logs - before, 0).mean(axis=1)
            last[row] = logs[-1:]
    return found[0], found[1]


def _above_floor(flux: Curve) -> Curve:
    """The curve in deviations above its running median; the deviation is robust, so that hits do not raise it."""
    if not flux.any():
        return flux
    middles = np.arange(0, len(flux), _FLOOR_STEP_HOPS)
    stretches = [flux[max(0, at - _FLOOR_HOPS) : at + _FLOOR_HOPS] for at in middles]
    medians = np.array([np.median(stretch) for stretch in stretches])
    spreads = np.array([1.4826 * np.median(np.abs(stretch - median)) for stretch, median in zip(stretches, medians, strict=True)])
    hops = np.arange(len(flux))
    # In digital silence there is no spread; a small share of the loudest rise stands in for it.
    spread = np.maximum(np.interp(hops, middles, spreads), max(1e-6, float(flux.max()) * 0.004))
    return np.asarray(np.maximum(flux - np.interp(hops, middles, medians), 0) / spread, np.float32)


def impulses(sound: Sound, curves: OnsetCurves) -> tuple[Impulse, ...]:
    """Everything on the tape that strikes bright enough to be a staff, a slate or a hand clap, in order of time.

    What is strong is told by the tape itself: speech and soles reach every fixed limit on a loud one. What comes within
    `MASKED_SECONDS` after one that is far stronger is its echo from the walls, and left out.
    """
    mono = sound.mean(axis=1) if sound.ndim == 2 else sound
    hops = peaks(curves.bright, LEAST_STRENGTH)
    strong = curves.bright[hops][curves.bright[hops] >= SURE_STRENGTH]
    level = float(np.percentile(strong, 80)) if len(strong) else SURE_STRENGTH
    found: list[Impulse] = []
    for hop in hops[curves.bright[hops] >= WEAK_SHARE * level]:
        one = _looked_at(mono, hop, float(curves.bright[hop]), level, min(BRIGHTNESS_FROM_HZ, curves.bandwidth_hz / 3))
        if not any(one.at - other.at < MASKED_SECONDS and one.strength < MASKED_SHARE * other.strength for other in found[-3:]):
            found.append(one)
    return tuple(found)


def landings(curves: OnsetCurves, bright: tuple[Impulse, ...]) -> tuple[Impulse, ...]:
    """What lands heavily without an edge: bodies and pads, by the dull curve, away from every bright impulse.

    A light sole reaches the same strength now and then, so these are never more than half sure.
    """
    struck = np.array([one.at for one in bright])
    found = []
    for hop in peaks(curves.dull, LEAST_LANDING):
        at = hop / HOPS_A_SECOND
        if not len(struck) or np.abs(struck - at).min() > MASKED_SECONDS:
            strength = float(curves.dull[hop])
            found.append(Impulse(at, strength, 0.0, 0.0, min(0.5, 0.5 * (strength - LEAST_LANDING) / LEAST_LANDING + 0.25)))
    return tuple(found)


def claps(found: tuple[Impulse, ...], curves: OnsetCurves) -> tuple[Impulse, ...]:
    """The slates among the impulses: shorter and brighter than wood on wood, and nothing strikes for a moment after.

    `confidence` is then that of being a slate. On a tape without the highest frequencies brightness tells nothing, and
    the decay decides alone. No source; found on the sample tapes.
    """
    dull_tape = curves.bandwidth_hz < 2 * BRIGHT_FROM_HZ
    slates = []
    # Bright is told by the tape itself too: some staffs crack as sharply as a slate elsewhere.
    usual = float(np.median([one.brightness for one in found])) if len(found) >= 4 else 0.0
    least_bright = max(0.28, usual + 0.08)
    for number, one in enumerate(found):
        after = next((other.at - one.at for other in found[number + 1 :] if other.confidence >= LIKELY), np.inf)
        bright = 0.8 if dull_tape else float(np.clip((one.brightness - least_bright) / 0.12, 0, 1))
        short = float(np.clip((0.0125 - one.decay_seconds) / 0.003, 0, 1))
        if dull_tape:
            # A slate is among the strongest things on a tape; a thump of a foot decays as fast, but is not.
            confidence = min(bright, short) * float(np.clip((one.confidence - 0.8) / 0.15, 0, 1))
        else:
            # Either may be smudged by the room; both together never were.
            confidence = one.confidence * max(min(bright, short), 0.7 * bright * (short > 0))
        if after >= QUIET_AFTER_CLAP_SECONDS and confidence > 0:
            slates.append(replace(one, confidence=confidence))
    return tuple(slates)


def peaks(curve: Curve, least: float) -> NDArray[np.intp]:
    """The hops at which the curve is highest within `LEAST_APART_SECONDS` on either side, and at least `least`."""
    if not len(curve):
        return np.zeros(0, np.intp)
    around = 2 * round(LEAST_APART_SECONDS * HOPS_A_SECOND) + 1
    highest = (curve == scipy.ndimage.maximum_filter1d(curve, around)) & (curve >= least)
    # Of a flat top only the first hop counts.
    return np.flatnonzero(highest & ~np.concatenate([[False], highest[:-1]]))


def _looked_at(mono: NDArray[np.float32], hop: int, strength: float, level: float, bright_from_hz: float) -> Impulse:
    """The impulse at this hop: its moment is where the energy of its first edge has risen to a fifth of its peak."""
    begin = max(0, hop * HOP_SAMPLES - _LOOK_BEFORE_SAMPLES)
    part = mono[begin : begin + _LOOK_BEFORE_SAMPLES + _LOOK_AFTER_SAMPLES].astype(np.float64)
    edge = np.abs(np.diff(part, n=2, prepend=part[:1], append=part[-1:])) if len(part) > 2 else np.abs(part)
    smooth = scipy.ndimage.uniform_filter1d(edge**2, _EDGE_SAMPLES)
    top = int(np.argmax(smooth[: 2 * _LOOK_BEFORE_SAMPLES]))
    first = top
    while first > 0 and smooth[first - 1] > 0.2 * smooth[top]:
        first -= 1
    at = begin + first + _EDGE_SAMPLES // 2
    attack = mono[at : at + _ATTACK_SAMPLES].astype(np.float64)
    return Impulse(
        at=at / SAMPLE_RATE,
        strength=strength,
        brightness=_brightness(attack, bright_from_hz),
        decay_seconds=_decay_seconds(mono[at : at + _LOOK_AFTER_SAMPLES].astype(np.float64)),
        confidence=_confidence(strength, level),
    )


def _confidence(strength: float, level: float) -> float:
    """0 for what is weak on this tape, 1 from half of what is strong on it; the scale between is one of ratios."""
    return float(np.clip(np.log(strength / (WEAK_SHARE * level)) / np.log(STRONG_SHARE / WEAK_SHARE), 0, 1))


def _brightness(attack: NDArray[np.float64], from_hz: float) -> float:
    power = np.abs(np.fft.rfft(attack * np.hanning(len(attack) * 2)[len(attack) :])) ** 2 if len(attack) else np.zeros(1)
    above = np.fft.rfftfreq(len(attack), 1 / SAMPLE_RATE) > from_hz if len(attack) else np.zeros(1, bool)
    return float(power[above].sum() / power.sum()) if power.sum() > 0 else 0.0


def _decay_seconds(tail: NDArray[np.float64]) -> float:
    energy = scipy.ndimage.uniform_filter1d(tail**2, _ATTACK_SAMPLES // 4) if len(tail) else np.zeros(1)
    top = int(np.argmax(energy))
    below = np.flatnonzero(energy[top:] < 0.1 * energy[top])
    return float(below[0] / SAMPLE_RATE) if len(below) else len(tail) / SAMPLE_RATE
