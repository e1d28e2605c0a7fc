"""Clips whose every frame tells its own number and whose sound clicks at known samples; made for the tests, never shipped."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import cv2
import imageio_ffmpeg
import numpy as np
from numpy.typing import NDArray

_BITS = 12
_COLUMNS = 4
_ROWS = _BITS // _COLUMNS
# Blocks stand in the middle of the picture, away from bars, and large enough for the smallest raster.
_LEFT, _TOP, _WIDTH, _HEIGHT = 0.2, 0.3, 0.6, 0.45

Rgb = NDArray[np.uint8]


@dataclass(frozen=True)
class Clip:
    path: Path
    frames: int
    rate: Fraction
    times: tuple[Fraction, ...]
    """Seconds from the first picture at which each frame begins."""
    clicks: tuple[Fraction, ...]
    """Seconds from the first picture at which the sound clicks."""
    first_number: int = 0


def numbered_picture(number: int, width: int, height: int) -> Rgb:
    """A grey picture with `number` in blocks (white is 1), in reach of any coder, and in figures for people."""
    picture = np.full((height, width, 3), (96, 120, 110), np.uint8)
    for bit in range(_BITS):
        row, column = divmod(bit, _COLUMNS)
        top, bottom = (int(height * (_TOP + _HEIGHT * edge / _ROWS)) for edge in (row, row + 1))
        left, right = (int(width * (_LEFT + _WIDTH * edge / _COLUMNS)) for edge in (column, column + 1))
        picture[top:bottom, left:right] = 235 if number >> bit & 1 else 16
    cv2.putText(picture, str(number), (width // 50 + 2, height // 6), cv2.FONT_HERSHEY_SIMPLEX, height / 240, (240, 240, 240), 1)
    return picture


def levels(picture: Rgb) -> NDArray[np.float64]:
    """The brightness, 0 to 255, of each of the twelve blocks of an upright picture without bars."""
    height, width = picture.shape[:2]
    found = []
    for bit in range(_BITS):
        row, column = divmod(bit, _COLUMNS)
        y = int(height * (_TOP + _HEIGHT * (row + 0.5) / _ROWS))
        x = int(width * (_LEFT + _WIDTH * (column + 0.5) / _COLUMNS))
        found.append(picture[y - 1 : y + 2, x - 1 : x + 2].mean())
    return np.array(found)


def read_number(picture: Rgb) -> int:
    """The number that a picture carries; raises `ValueError` when a block is neither black nor white."""
    seen = levels(picture)
    if ((seen > 80) & (seen < 170)).any():
        raise ValueError(f"no number can be read: {seen.round()}")
    return sum(1 << bit for bit, level in enumerate(seen) if level > 125)


def inner(picture: Rgb, width: int, height: int) -> Rgb:
    """The middle `width` x `height` of a picture, to look inside bars."""
    top, left = (picture.shape[0] - height) // 2, (picture.shape[1] - width) // 2
    return picture[top : top + height, left : left + width]


def make_clip(
    path: Path,
    *,
    frames: int = 60,
    rate: Fraction = Fraction(25),
    codec: str = "libx264",
    pixel_format: str = "yuv420p",
    size: tuple[int, int] = (320, 180),
    options: dict[str, str] | None = None,
    first_number: int = 0,
    kept: Sequence[int] | None = None,
    rotation: int = 0,
    sample_aspect: Fraction = Fraction(1),
    start_seconds: Fraction = Fraction(0),
    sound: str = "aac",
    sample_rate: int = 48000,
    layout: str = "stereo",
    click_frames: Sequence[int] = (),
    sound_delay: Fraction = Fraction(0),
    metadata: dict[str, str] | None = None,
    painter: Callable[[int, int, int], Rgb] = numbered_picture,
) -> Clip:
    """Write a clip. `kept` are the frames of the constant grid that are there (a phone leaves some out); the clicks sound
    at the start of `click_frames` of that grid; `rotation` is the turn to the left that sets the picture upright.
    `sound` is a coder's name, or empty for none. `sound_delay` is when the sound track begins, after the picture.
    """
    kept = list(range(frames)) if kept is None else list(kept)
    clock = Fraction(1, 90000)
    with av.open(str(path), "w") as movie:
        movie.metadata.update(metadata or {})
        picture = movie.add_stream(codec, rate=rate, options=options or {})
        picture.width, picture.height = size
        picture.pix_fmt = pixel_format
        picture.sample_aspect_ratio = sample_aspect
        if rotation:
            picture.set_display_rotation(rotation)
        # AVI counts frames and knows no finer clock.
        fine = path.suffix != ".avi"
        picture.codec_context.time_base = clock if fine else 1 / rate
        track = movie.add_stream(sound, rate=sample_rate, layout=layout) if sound else None
        upright = (size[1], size[0]) if rotation % 180 else size
        for number in kept:
            stored = np.rot90(painter(first_number + number, *upright), -(rotation // 90))
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(stored), "rgb24")
            moment = start_seconds + number / rate
            frame.time_base = picture.codec_context.time_base
            frame.pts = round(moment / frame.time_base)
            movie.mux(picture.encode(frame))
        movie.mux(picture.encode(None))
        clicks = tuple(Fraction(frame) / rate for frame in click_frames)
        if track is not None:
            length = round(Fraction(frames) / rate * sample_rate)
            wave = np.zeros(length + 100, np.float32)
            for click in clicks:
                at = round((click - sound_delay) * sample_rate)
                if 0 <= at < length:
                    # Positive only and short, so that its place is its peak.
                    wave[at : at + 24] = 0.9 * np.hanning(48)[24:]
            channels = 1 if layout == "mono" else 2
            offset = round((start_seconds + sound_delay) * sample_rate)
            for start in range(0, length, 1024):
                block = np.repeat(wave[start : min(start + 1024, length)][None], channels, 0)
                if sound.startswith("pcm_s16"):
                    frame_of_sound = av.AudioFrame.from_ndarray(
                        np.ascontiguousarray((block.T * 32767).astype(np.int16)).reshape(1, -1), "s16", layout
                    )
                else:
                    frame_of_sound = av.AudioFrame.from_ndarray(np.ascontiguousarray(block), "fltp", layout)
                frame_of_sound.sample_rate, frame_of_sound.pts = sample_rate, offset + start
                frame_of_sound.time_base = Fraction(1, sample_rate)
                movie.mux(track.encode(frame_of_sound))
            movie.mux(track.encode(None))
    times = tuple(Fraction(number - kept[0]) / rate for number in kept)
    return Clip(path, len(kept), rate, times, clicks, first_number)


def run_ffmpeg(*arguments: str) -> str:
    """Run the ffmpeg that the tests check against; returns what it complained of."""
    done = subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-y", "-nostdin", *arguments], capture_output=True, text=True, check=True
    )
    return done.stderr


def click_places(sound: NDArray[np.float32], sample_rate: int = 48000) -> list[float]:
    """The seconds at which clicks sound, each once, to the sample."""
    loud = np.abs(sound).max(axis=1)
    places: list[float] = []
    for at in np.flatnonzero(loud > 0.3):
        if not places or at / sample_rate - places[-1] > 0.02:
            places.append(float(at) / sample_rate)
    return places
