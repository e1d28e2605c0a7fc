"""What a tape lets hear and see, worked out once and kept in the cache: onset curves, blows, slates, motion, waveform; no marks."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previs.analysis.carrying import Evidence
from previs.analysis.motion import MotionCurve, Stop, motion_curve, sudden_stops
from previs.analysis.onsets import LIKELY, Impulse, OnsetCurves, claps, impulses, landings, onset_curves
from previs.clock import Timebase
from previs.cut.wording import counted
from previs.media.frames import FrameReader
from previs.media.opening import cache_gone, from_cache
from previs.media.raster import Raster
from previs.media.sound import SAMPLE_RATE, StoredSound, tape_sound
from previs.media.workcopy import TapeToCopy, WorkCopy, make_work_copies
from previs.media.workers import Tick, run_jobs
from previs.progress import Report
from previs.replacing import replacing

WAVE_A_SECOND = 100
"""Values a second of the waveform."""

_VERSION = 4
_LOOK_AT_PX = 192
# A slate within this time of a strike is that strike.
_SAME_SECONDS = 0.02
# From this confidence on a strike needs no movement to be believed.
_PLAIN = 0.75
_SEEN_SECONDS = 0.12


@dataclass(frozen=True, slots=True)
class Signals:
    """What is known of one tape. Moments are seconds from its first picture.

    `waveform` is (n, 2), the lowest and the highest sample in each hundredth of a second; it has no rows without sound.
    """

    curves: OnsetCurves
    strikes: tuple[Impulse, ...]
    slates: tuple[Impulse, ...]
    landings: tuple[Impulse, ...]
    motion: MotionCurve
    stops: tuple[Stop, ...]
    waveform: NDArray[np.float32]

    @property
    def evidence(self) -> Evidence:
        """What `carry` looks at: everything that strikes but the slates, what lands, what stops dead."""
        struck = [one for one in self.strikes if not self._is_slate(one)]
        return Evidence.of(struck, self.landings, [(stop.at_seconds, stop.confidence) for stop in self.stops])

    @property
    def hits(self) -> tuple[Impulse, ...]:
        """What is likely to be a hit, in order of time: by sound; by sudden stops on a tape without sound.

        What is heard faintly or dully counts only where movement stops dead with it.
        """
        if not len(self.waveform):
            return tuple(Impulse(stop.at_seconds, stop.drop, 0.0, 0.0, stop.confidence) for stop in self.stops)
        struck = [one for one in self.strikes if one.confidence >= LIKELY and not self._is_slate(one)]
        sure = [one for one in struck if one.confidence >= _PLAIN]
        seen = [one for one in (*struck, *self.landings) if one not in sure and self._stops_at(one.at)]
        return tuple(sorted((*sure, *seen), key=lambda one: one.at))

    def _stops_at(self, moment: float) -> bool:
        return any(abs(stop.at_seconds - moment) <= _SEEN_SECONDS for stop in self.stops)

    def _is_slate(self, one: Impulse) -> bool:
        return any(abs(one.at - slate.at) < _SAME_SECONDS for slate in self.slates)


def signals_of(tapes: Sequence[TapeToCopy], timebase: Timebase, raster: Raster, cache_dir: Path, report: Report) -> list[Signals]:
    """The signals of all `tapes` in order; missing work copies are made first, then two tapes are looked at at a time.

    Raises `UseFault` and `MediaFault` as `probe` does. What is finished stays in the cache when the work is stopped.
    """
    copies = make_work_copies(tapes, timebase, raster, cache_dir, report)
    missing = [
        _Job(tape.path, copy, cache_dir)
        for tape, copy in zip(tapes, copies, strict=True)
        if _restored(_place(copy, cache_dir), copy) is None
    ]
    if missing:
        unique = list({job.copy.fingerprint: job for job in missing}.values())
        run_jobs(_look, unique, sum(job.copy.frames for job in unique), f"looking at {counted(len(unique), 'tape')}", report)
    found = []
    for copy in copies:
        restored = _restored(_place(copy, cache_dir), copy)
        if restored is None:
            raise cache_gone(cache_dir)
        found.append(restored)
    return found


@dataclass(frozen=True, slots=True)
class _Job:
    path: Path
    copy: WorkCopy
    cache_dir: Path


def _look(job: _Job, tick: Tick) -> None:
    with from_cache(job.cache_dir):
        _look_at(job, tick)


def _look_at(job: _Job, tick: Tick) -> None:
    sound = tape_sound(job.path, job.cache_dir, job.copy.fingerprint)
    curves = onset_curves(np.asarray(sound))
    struck = impulses(np.asarray(sound), curves)
    motion = motion_curve(_small_pictures(job.copy, tick), job.copy.rate)
    with replacing(_place(job.copy, job.cache_dir)) as temporary, temporary.open("wb") as file:
        np.savez(
            file,
            bright=curves.bright,
            dull=curves.dull,
            bandwidth=curves.bandwidth_hz,
            strikes=_as_rows(struck),
            slates=_as_rows([one for one in claps(struck, curves) if one.confidence >= LIKELY]),
            landings=_as_rows(landings(curves, struck)),
            energy=motion.energy,
            change=motion.change,
            waveform=_waveform(sound),
        )


def _small_pictures(copy: WorkCopy, tick: Tick) -> Iterator[NDArray[np.uint8]]:
    with FrameReader(copy.path, copy.index, threads=1, size_px=_small_size(copy)) as reader:
        for frame in range(copy.frames):
            tick()
            yield reader.picture(frame)


def _small_size(copy: WorkCopy) -> tuple[int, int]:
    with FrameReader(copy.path, copy.index, threads=1) as reader:
        shown = reader.frame(0)
        return _LOOK_AT_PX, max(2, round(_LOOK_AT_PX * shown.height / shown.width / 2) * 2)


def _waveform(sound: StoredSound) -> NDArray[np.float32]:
    each = SAMPLE_RATE // WAVE_A_SECOND
    whole = len(sound) // each
    mono = np.asarray(sound[: whole * each]).mean(axis=1).reshape(whole, each) if whole else np.zeros((0, each), np.float32)
    return np.stack([mono.min(axis=1), mono.max(axis=1)], axis=1).astype(np.float32) if whole else np.zeros((0, 2), np.float32)


def _as_rows(found: Sequence[Impulse]) -> NDArray[np.float64]:
    rows = [(one.at, one.strength, one.brightness, one.decay_seconds, one.confidence) for one in found]
    return np.array(rows, dtype=np.float64).reshape(-1, 5)


def _place(copy: WorkCopy, cache_dir: Path) -> Path:
    rate: Fraction = copy.rate
    return cache_dir / "signals" / f"{copy.fingerprint}.{rate.numerator}-{rate.denominator}.{_VERSION}.npz"


def _restored(place: Path, copy: WorkCopy) -> Signals | None:
    try:
        # From memory, since numpy leaves a file open that turns out not to be one of its own.
        with np.load(io.BytesIO(place.read_bytes()), allow_pickle=False) as kept:
            motion = MotionCurve(copy.rate, kept["energy"], kept["change"])
            found = [tuple(Impulse(*map(float, row)) for row in kept[name]) for name in ("strikes", "slates", "landings")]
            curves = OnsetCurves(kept["bright"], kept["dull"], float(kept["bandwidth"]))
            return Signals(curves, found[0], found[1], found[2], motion, sudden_stops(motion), kept["waveform"])
    except Exception:  # missing, or damaged in whatever way: made anew
        return None
