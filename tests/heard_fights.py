"""Sound and evidence of small made-up fights for the tests of analysis: where everything strikes is known to the sample."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from previs.analysis.carrying import Evidence
from previs.analysis.onsets import SAMPLE_RATE

Floats = NDArray[np.float64]


def clack(dice: np.random.Generator) -> Floats:
    """Wood on wood: a click and a few modes that ring for some 30 ms."""
    t = np.arange(round(0.2 * SAMPLE_RATE)) / SAMPLE_RATE
    base = dice.uniform(600, 900)
    ring = sum(np.exp(-t / d) * np.sin(2 * np.pi * base * k * t) for k, d in ((1, 0.03), (2.1, 0.02), (3.3, 0.012)))
    return 0.4 * ring + np.where(t < 0.006, dice.normal(size=len(t)) * np.exp(-t / 0.0012), 0) * 0.9


def slate(dice: np.random.Generator) -> Floats:
    """A slate's stick: broad and very short."""
    t = np.arange(round(0.08 * SAMPLE_RATE)) / SAMPLE_RATE
    return dice.normal(size=len(t)) * np.exp(-t / 0.004) * 0.8


def heard(seconds: float, blows: list[float], slates: list[float] = [], *, noise: float = 0.002, seed: int = 1) -> NDArray[np.float32]:  # noqa: B006
    """A mono tape, (samples, 1), with these blows and slates over room noise."""
    dice = np.random.default_rng(seed)
    tape = dice.normal(size=round(seconds * SAMPLE_RATE)) * noise
    for kind, moments in ((clack, blows), (slate, slates)):
        for at in moments:
            wave, first = kind(dice), round(at * SAMPLE_RATE)
            tape[first : first + len(wave)] += wave[: max(0, len(tape) - first)]
    return tape.astype(np.float32)[:, None]


def evidence(blows: list[float], soft: list[float] = [], strays: dict[float, float] | None = None) -> Evidence:  # noqa: B006
    """Evidence of clear blows, of landings without a sound, and of stray noises with their strength."""
    every = sorted([(at, 1.0) for at in blows] + list((strays or {}).items()))
    strikes = np.array([at for at, _ in every]), np.array([sure for _, sure in every])
    landings = np.array(sorted(soft)), np.full(len(soft), 0.5)
    return Evidence(strikes, landings, (np.array(sorted([*blows, *soft])), np.full(len(blows) + len(soft), 0.7)))


def write_tape(path: Path, sound: NDArray[np.float32], rate: int = 24) -> Path:
    """A small movie, 128 x 72, on which a square jumps about, with this mono sound, as 16-bit PCM."""
    frames = len(sound) * rate // SAMPLE_RATE
    with av.open(str(path), "w") as movie:
        video = movie.add_stream("mpeg4", rate=rate)
        video.width, video.height, video.pix_fmt = 128, 72, "yuv420p"
        track = movie.add_stream("pcm_s16le", rate=SAMPLE_RATE, layout="mono")
        for number in range(frames):
            picture = np.full((72, 128, 3), 90, np.uint8)
            left = (number * 7) % 100
            picture[20:50, left : left + 20] = 220
            movie.mux(video.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        movie.mux(video.encode())
        whole = (np.clip(sound[:, 0], -1, 1) * 32767).astype(np.int16)
        for at in range(0, len(whole), 4800):
            frame = av.AudioFrame.from_ndarray(whole[None, at : at + 4800], format="s16", layout="mono")
            frame.sample_rate, frame.pts = SAMPLE_RATE, at
            movie.mux(track.encode(frame))
        movie.mux(track.encode())
    return path
