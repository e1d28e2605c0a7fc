"""The sound of a whole cut, laid event by event in one pass; it reads arrays, opens no file and codes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

import numpy as np

from previs.media.events import Event, TapePicture
from previs.media.sound import SAMPLE_RATE, Samples, StoredSound, sample_at

_JOIN_SAMPLES = SAMPLE_RATE * 2 // 1000
_SINC_HALF_WIDTH = 16
_RESAMPLED_AT_ONCE = 4096
_BEEP_HERTZ = 1000
_BEEP_LEVEL = 0.25

SoundOf = Callable[[TapePicture], Samples | StoredSound]


def lay_sound(events: Sequence[Event], rate: Fraction, sound_of: SoundOf) -> Iterator[Samples]:
    """The cut's sound in blocks, (samples, 2) at 48 kHz, together of exactly the cut's length to the nearest sample.

    At speed 1 samples are copied as they are; at other forward speeds they are played faster or slower, pitch and all, so
    that a hit stays on its frame; frozen and backward shots are silent. Sound crosses over under a transition, at equal
    power. A sound lead moves the place where one event's sound gives way to the next, and nothing else. At a straight cut
    the incoming sound comes in over the 2 ms *before* the cut, so that a hit on the first frame keeps its full level.
    """
    pictures = [sample_at(frame, rate) for frame in _start_frames(events)]
    # Where each event's sound begins, and the end: as its picture, but for sound leads.
    starts = [sample_at(frame - event.sound_lead_frames, rate) for frame, event in zip(_start_frames(events), events, strict=False)]
    starts.append(pictures[-1])
    # The end of an event's sound is done only when it is known what comes in there.
    last = np.zeros((starts[0], 2), np.float32)
    for number, event in enumerate(events):
        start, end = starts[number], starts[number + 1]
        early = start - pictures[number]
        laid = _heard(event, early, end - start, rate, sound_of)
        if event.transition:
            length = min(sample_at(event.transition.frames, rate), end - start)
            before = events[number - 1] if number else None
            going = _heard(before, start - pictures[number - 1], length, rate, sound_of) if before else np.zeros((length, 2), np.float32)
            angle = ((np.arange(length) + 0.5) / length * (np.pi / 2))[:, None]
            laid[:length] = going * np.cos(angle) + laid[:length] * np.sin(angle)
        elif number:
            length = min(_JOIN_SAMPLES, len(last))
            coming = _heard(event, early - length, length, rate, sound_of)
            share = ((np.arange(length, dtype=np.float32) + 0.5) / length)[:, None]
            tail = last[len(last) - length :]
            tail += (coming - tail) * share
        yield last
        last = laid
    length = min(_JOIN_SAMPLES, len(last))
    last[len(last) - length :] *= np.linspace(1, 0, length, dtype=np.float32)[:, None]
    yield last


def beep(frames: int, rate: Fraction) -> Samples:
    """A 1 kHz tone of `frames` frames, faded over 2 ms at both ends."""
    length = sample_at(frames, rate)
    tone = _BEEP_LEVEL * np.sin(2 * np.pi * _BEEP_HERTZ * np.arange(length) / SAMPLE_RATE)
    edge = np.minimum(1, (np.minimum(np.arange(length), np.arange(length)[::-1]) + 0.5) / _JOIN_SAMPLES)
    return np.repeat((tone * edge).astype(np.float32)[:, None], 2, axis=1)


def _start_frames(events: Sequence[Event]) -> list[int]:
    starts = [0]
    for event in events:
        starts.append(starts[-1] + event.frames)
    return starts


def _heard(event: Event, offset: int, count: int, rate: Fraction, sound_of: SoundOf) -> Samples:
    """`count` samples of an event's sound from `offset` samples after its start; it may reach outside the event."""
    picture = event.picture
    if not event.sound or not isinstance(picture, TapePicture) or picture.speed <= 0:
        return np.zeros((count, 2), np.float32)
    sound = sound_of(picture)
    if picture.speed == 1:
        return _taken(sound, sample_at(picture.first_frame, rate) + offset, count)
    return _resampled(sound, Fraction(picture.first_frame) / rate * SAMPLE_RATE + picture.speed * offset, picture.speed, count)


def _taken(sound: Samples | StoredSound, first: int, count: int) -> Samples:
    """`count` rows from row `first`, silence where the sound has none."""
    taken = np.zeros((count, 2), np.float32)
    start, end = max(first, 0), min(first + count, len(sound))
    if start < end:
        taken[start - first : end - first] = sound[start:end]
    return taken


def _resampled(sound: Samples | StoredSound, first: Fraction, speed: Fraction, count: int) -> Samples:
    """Row n is the sound at `first` + n x `speed`, through a windowed sinc that also holds back what would fold over."""
    spread = max(1.0, float(speed))
    half = int(np.ceil(_SINC_HALF_WIDTH * spread))
    made = np.empty((count, 2), np.float32)
    for done in range(0, count, _RESAMPLED_AT_ONCE):
        length = min(_RESAMPLED_AT_ONCE, count - done)
        # The whole part is split off exactly first, so that an hour into a tape there is no rounding left to hear.
        origin = first + done * speed
        whole = origin.__floor__()
        at = float(origin - whole) + np.arange(length) * float(speed)
        nearest = np.floor(at).astype(np.int64)
        reach = np.arange(1 - half, half + 1)
        near = _taken(sound, whole + 1 - half, int(nearest[-1]) + 2 * half)
        distance = (at - nearest)[:, None] - reach[None, :]
        window = np.cos(np.clip(distance / half, -1, 1) * (np.pi / 2)) ** 2
        weight = (np.sinc(distance / spread) / spread * window).astype(np.float32)
        rows = nearest[:, None] + (reach + half - 1)[None, :]
        made[done : done + length] = np.einsum("nk,nkc->nc", weight, near[rows])
    return made
