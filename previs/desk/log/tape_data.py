"""What the tape sheet shows of one tape, as plain values: takes, hits, framings, treatments, evidence; no Qt."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from previs.analysis.motion import camera_breaks, still_spans
from previs.analysis.takes import REST_SECONDS, ProposedTake, proposed_takes
from previs.document.invariants import usable_grid_frames
from previs.document.model import Sequence, Take, Tape, Treatment
from previs.document.remembering import remembered
from previs.media.signals import WAVE_A_SECOND, Signals


@dataclass(frozen=True, slots=True)
class TapeData:
    """One tape. Frames are of its grid at the sequence rate."""

    tape: Tape
    fps: Fraction
    frames: int
    takes: tuple[Take, ...]
    treatments: tuple[Treatment, ...]

    def take_at(self, frame: int) -> Take | None:
        """The take that plays at a frame; of several the one that begins last."""
        moment = frame / self.fps
        playing = [take for take in self.takes if take.span.holds(moment)]
        return max(playing, key=lambda take: take.start, default=None)


@remembered(newest=2)
def tape_data(sequence: Sequence, reel: str) -> TapeData:
    """What is marked on a tape."""
    tape, fps = sequence.tape(reel), sequence.timebase.rate.fps
    takes = tuple(take for take in sequence.takes if take.reel == reel)
    return TapeData(tape, fps, usable_grid_frames(tape, fps), takes, tuple(one for one in sequence.treatments if one.reel == reel))


@remembered(newest=2)
def proposals(tape: Tape, signals: Signals) -> tuple[ProposedTake, ...]:
    """The takes that lie on a tape by what is heard and seen, as `previs detect` proposes them."""
    rests = still_spans(signals.motion, REST_SECONDS)
    return proposed_takes(float(tape.duration), signals.slates, signals.hits, camera_breaks(signals.motion), rests)


def wave_columns(signals: Signals, first_second: float, seconds_a_pixel: float, pixels: int) -> NDArray[np.float32]:
    """The lowest and highest sample under each pixel, (pixels, 2), scaled so that the tape's loudest is 1."""
    wave = signals.waveform
    columns = np.zeros((pixels, 2), np.float32)
    if not len(wave) or pixels < 1:
        return columns
    edges = ((first_second + np.arange(pixels + 1) * seconds_a_pixel) * WAVE_A_SECOND).astype(int)
    starts, ends = np.clip(edges[:-1], 0, len(wave) - 1), np.clip(np.maximum(edges[1:], edges[:-1] + 1), 1, len(wave))
    inside = (edges[:-1] >= 0) & (edges[:-1] < len(wave))
    lowest = np.minimum.reduceat(np.append(wave[:, 0], 0), np.stack([starts, ends], 1).ravel())[::2]
    highest = np.maximum.reduceat(np.append(wave[:, 1], 0), np.stack([starts, ends], 1).ravel())[::2]
    loudest = max(float(np.abs(wave).max()), 1e-6)
    columns[inside, 0], columns[inside, 1] = lowest[inside] / loudest, highest[inside] / loudest
    return columns


def motion_columns(signals: Signals, first_second: float, seconds_a_pixel: float, pixels: int) -> NDArray[np.float32]:
    """The movement under each pixel, (pixels,), scaled so that the tape's fastest is 1."""
    energy = signals.motion.energy
    if not len(energy) or pixels < 1:
        return np.zeros(max(pixels, 0), np.float32)
    at = ((first_second + np.arange(pixels) * seconds_a_pixel) * float(signals.motion.rate)).astype(int)
    inside = (at >= 0) & (at < len(energy))
    found = np.zeros(pixels, np.float32)
    found[inside] = energy[at[inside]] / max(float(energy.max()), 1e-6)
    return found
