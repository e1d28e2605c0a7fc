"""Sounds of the hall that are no hit: things set down and people talking off camera; nothing of the fight."""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfilt

from .choreography import Choreography
from .timeline import rng_for

_RATE = 48000
_APART = 0.40
_CORNER = (1.2, 2.6, 1.4)

Event = tuple[float, np.ndarray, np.ndarray]


def _knock(rng: np.random.Generator) -> np.ndarray:
    """A box or a staff's butt set down on boards: lower and longer than a clack, with a weaker click."""
    t = np.arange(int(0.25 * _RATE)) / _RATE
    base = rng.uniform(170, 330)
    body = sum(g * np.exp(-t / d) * np.sin(2 * np.pi * base * k * t) for k, d, g in ((1, 0.05, 0.6), (2.3, 0.03, 0.35), (4.1, 0.012, 0.15)))
    return (body + 0.25 * rng.normal(size=len(t)) * np.exp(-t / 0.002)) * rng.uniform(0.35, 0.75)


def _syllable(rng: np.random.Generator) -> np.ndarray:
    """Half a consonant, half a vowel: noise, then a buzz through two resonances; speech-like, no words."""
    n, hiss = int(rng.uniform(0.12, 0.24) * _RATE), int(rng.uniform(0.03, 0.09) * _RATE)
    pitch = rng.uniform(105, 190) * (1 - 0.12 * np.arange(n) / n)
    buzz = (np.cumsum(pitch) / _RATE) % 1.0 - 0.5
    vowel = np.zeros(n)
    for centre in (rng.uniform(350, 800), rng.uniform(1000, 2200)):
        vowel += sosfilt(butter(1, [centre * 0.85, centre * 1.15], "bandpass", fs=_RATE, output="sos"), buzz)
    edge = sosfilt(butter(2, [2500, 9000], "bandpass", fs=_RATE, output="sos"), rng.normal(size=hiss))
    return np.concatenate([edge * np.hanning(hiss) * 0.06, vowel * np.hanning(n) ** 0.5 * 0.35]) * rng.uniform(0.5, 1.0)


def _clear(show: Choreography, at: float) -> bool:
    """Whether no clap or hit is so near that one could be taken for the other."""
    near = [p.clap for p in show.passes] + [c.at for c in show.contacts]
    return min(abs(at - t) for t in near) > _APART


def strays(show: Choreography, seed: int) -> list[Event]:
    """Knocks that a hit finder may fall for; the truth lists them by name."""
    rng, found = rng_for(seed, show.session.name, "strays"), []
    while len(found) < show.session.strays:
        at = float(rng.uniform(1.0, show.end - 1.0))
        if _clear(show, at):
            found.append((round(at, 5), np.array([rng.uniform(-6, 7), rng.uniform(1.5, 4.0), 0.1]), _knock(rng)))
    return sorted(found, key=lambda e: e[0])


def talk(show: Choreography, seed: int) -> list[Event]:
    """Somebody off camera who speaks in bursts; the truth does not list syllables."""
    rng, found, at = rng_for(seed, show.session.name, "talk"), [], 0.5
    while show.session.talk and at < show.end - 3.0:
        burst = float(rng.uniform(0.8, 2.2))
        until = at + burst
        while at < until:
            found.append((at, np.array(_CORNER), _syllable(rng)))
            at += float(rng.uniform(0.18, 0.30))
        at += burst * (1 / show.session.talk - 1) * float(rng.uniform(0.6, 1.4))
    return found
