"""What a tape hears: room, claps, wood on wood, soles and breath, each late by its distance; it draws nothing."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.ndimage import gaussian_filter1d
from scipy.signal import butter, lfilter, resample_poly, sosfilt

from .choreography import Choreography
from .clocks import Clock
from .clutter import strays, talk
from .optics import board_place
from .session import Microphone, Tape
from .story import ROLES
from .timeline import PlayedPass, rng_for

RATE = 48000
SOUND_SPEED = 343.0


def _band(x: np.ndarray, low: float, high: float) -> np.ndarray:
    return sosfilt(butter(2, [low, high], "bandpass", fs=RATE, output="sos"), x)


def _ring(rng: np.random.Generator, freqs: list[float], decays: list[float], gains: list[float], seconds: float) -> np.ndarray:
    t = np.arange(int(seconds * RATE)) / RATE
    out = np.zeros_like(t)
    for f, d, g in zip(freqs, decays, gains, strict=True):
        out += g * np.exp(-t / d) * np.sin(2 * np.pi * f * t + rng.uniform(0, 0.6))
    return out


def clack(rng: np.random.Generator, strength: float) -> np.ndarray:
    """Two ash staffs meeting: a hard click, then two or three wooden modes that differ from hit to hit."""
    base = rng.uniform(620, 900)
    freqs = [base, base * rng.uniform(1.9, 2.2), base * rng.uniform(3.0, 3.6), base * rng.uniform(5.0, 6.2)]
    body = _ring(rng, freqs, [0.030, 0.020, 0.012, 0.007], [0.55, 0.45, 0.38, 0.30], 0.22)
    t = np.arange(int(0.006 * RATE)) / RATE
    click = rng.normal(size=len(t)) * np.exp(-t / 0.0012)
    body[: len(click)] += click * 0.9
    return body * strength * 0.85


def clap(rng: np.random.Generator) -> np.ndarray:
    """The board's stick: sharper and brighter than a staff, with nothing before it."""
    t = np.arange(int(0.09 * RATE)) / RATE
    out = rng.normal(size=len(t)) * np.exp(-t / 0.0045) + 0.5 * np.sin(2 * np.pi * 1450 * t) * np.exp(-t / 0.010)
    return out * 0.75


def thud(rng: np.random.Generator, strength: float) -> np.ndarray:
    """A checked blow on a padded coat: no edge at all."""
    t = np.arange(int(0.14 * RATE)) / RATE
    rise = np.clip(t / 0.006, 0, 1)
    return (
        rise
        * (0.8 * np.sin(2 * np.pi * 78 * t) + 0.25 * gaussian_filter1d(rng.normal(size=len(t)), 30) * 8)
        * np.exp(-t / 0.03)
        * strength
        * 0.4
    )


def footfall(rng: np.random.Generator, weight: float) -> np.ndarray:
    """A soft sole on boards."""
    t = np.arange(int(0.12 * RATE)) / RATE
    knock = np.sin(2 * np.pi * rng.uniform(70, 110) * t) * np.exp(-t / 0.022)
    slap = _band(rng.normal(size=len(t)), 200, 1400) * np.exp(-t / 0.012)
    return np.clip(t / 0.002, 0, 1) * (0.16 * knock + 0.07 * slap) * weight


def scuff(rng: np.random.Generator, seconds: float) -> np.ndarray:
    """A sole that slides before it lifts."""
    n = int(seconds * RATE)
    return _band(rng.normal(size=n), 500, 2600) * np.hanning(n) * 0.010


def breath(rng: np.random.Generator, seconds: float, out: bool) -> np.ndarray:
    """Air in or out of an open mouth."""
    n = int(seconds * RATE)
    low, high = (450, 1700) if out else (800, 2600)
    return _band(rng.normal(size=n), low, high) * np.hanning(n) ** 1.3 * (0.030 if out else 0.018)


def _reverb(x: np.ndarray, rng: np.random.Generator, strength: float) -> np.ndarray:
    """A bare hall: sparse early reflections and a dull tail, well under the direct sound."""
    out = x.copy()
    for delay, gain in ((0.013, 0.20), (0.021, 0.16), (0.034, 0.12), (0.047, 0.09), (0.071, 0.06)):
        n = int((delay + rng.uniform(-0.002, 0.002)) * RATE)
        dull = lfilter([0.45], [1, -0.55], x[:-n])
        out[n:] += strength * gain * dull
    return out


def clap_place(show: Choreography, p: PlayedPass) -> np.ndarray:
    """Where the stick falls on the board."""
    return board_place(show, p) + np.array([0, -0.4, 1.5])


def heard_seconds(clock: Clock, hall: float, where: np.ndarray) -> float:
    """Tape time at which something that happens at `where` reaches the microphone, which sits on the lens."""
    return clock.tape_seconds(hall + float(np.linalg.norm(where - np.array(clock.tape.position))) / SOUND_SPEED)


# The second camera on a session hears the same events, and they cost more than the mixing.
@lru_cache(maxsize=2)
def _events(show: Choreography, seed: int) -> list[tuple[float, np.ndarray, np.ndarray]]:
    """Everything that sounds in the hall: time, place, waveform; the same for every tape that runs."""
    rng = rng_for(seed, show.session.name, "sound")
    events: list[tuple[float, np.ndarray, np.ndarray]] = []
    for p in show.passes:
        events.append((p.clap, clap_place(show, p), clap(rng)))
    for c in show.contacts:
        if c.sound == "clack":
            events.append((c.at, c.point, clack(rng, c.strength)))
        elif c.sound == "thud":
            events += [(c.at, c.point, thud(rng, c.strength)), (c.at + 0.02, c.point, breath(rng, 0.22, True) * 2.5)]
        else:
            events.append((c.at, c.point, footfall(rng, 2.6)))
    for role in ROLES:
        for at, spot, weight in show.footing[role].footfalls():
            events.append((at, np.array(spot), footfall(rng, min(weight, 1.0))))
        for step in show.footing[role].steps[::3]:
            events.append((step.begin - 0.05, np.array(step.spot), scuff(rng, float(rng.uniform(0.08, 0.18)))))
        events += _breaths(show, role, rng)
    return events + strays(show, seed) + talk(show, seed)


def _breaths(show: Choreography, role: str, rng: np.random.Generator) -> list[tuple[float, np.ndarray, np.ndarray]]:
    found = []
    for p in show.passes:
        for begin, end in p.breaths:
            at = begin + float(rng.uniform(0.0, 0.2))
            mouth = show.poses(role, np.array([at])).joints["chin"][0]
            while at < end + 0.5:
                found += [(at, mouth, breath(rng, 0.34, True)), (at + 0.42, mouth, breath(rng, 0.30, False))]
                at += float(rng.uniform(0.78, 0.95))
    return found


def soundtrack(show: Choreography, tape: Tape, clock: Clock, seed: int) -> np.ndarray:
    """Mono samples in the tape's own clock, -1 to 1."""
    seconds = float(clock.frame_seconds(len(clock.pts) - 1)) + 1 / float(clock.rate)
    n = int(seconds * RATE)
    mix = np.zeros(n + RATE)
    lens = np.array(tape.position)
    for at, where, wave in _events(show, seed):
        distance = float(np.linalg.norm(where - lens))
        start = heard_seconds(clock, at, where) * RATE
        whole = int(np.floor(start))
        part = start - whole
        # A fraction of a sample is worth keeping: camera sync is tested against these tapes.
        late = np.append(wave, 0.0) * (1 - part) + np.append(0.0, wave) * part
        a, b = max(whole, 0), min(whole + len(late), len(mix))
        if b > a:
            mix[a:b] += late[a - whole : b - whole] * min(1.0, 2.6 / max(distance, 1.0))
    rng, mic = rng_for(seed, tape.reel, "room"), tape.microphone
    mix, gain = _reverb(mix, rng, mic.echo)[:n], 10 ** (mic.gain_db / 20)
    room = gaussian_filter1d(rng.normal(size=n), 14) * mic.room * gain + rng.normal(size=n) * mic.hiss + _hum(n, mic)
    return _carried(np.tanh((mix * gain + room) * 1.15), mic)


def _hum(n: int, mic: Microphone) -> np.ndarray:
    """Mains hum; a bad cable brings the partials too."""
    t, out = np.arange(n) / RATE, np.zeros(n)
    for k in range(1, mic.hum_partials + 1):
        out += mic.hum / k * np.sin(2 * np.pi * (mic.hum_hz * k) * t)
    return out


def _carried(x: np.ndarray, mic: Microphone) -> np.ndarray:
    """What is left of the sound on the tape: the microphone's band, and no more than the stored rate can hold."""
    if mic.band_hz:
        x = _band(x, *mic.band_hz)
    if mic.stored_hz == RATE:
        return x
    return resample_poly(resample_poly(x, 1, RATE // mic.stored_hz), RATE // mic.stored_hz, 1)[: len(x)]
