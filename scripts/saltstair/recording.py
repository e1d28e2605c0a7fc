"""Renders and writes one tape: frames, sound, time code and rotation flag in the file; what is seen and heard is decided elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from fractions import Fraction
from multiprocessing import get_context
from pathlib import Path

import av
import cv2
import numpy as np
from scipy.signal import resample_poly

from .picture import Painter
from .production import Production
from .session import ShootingDay, Tape
from .slatehand import SlateHand
from .sound import RATE, soundtrack

_CHUNK = 12
_painter: Painter | None = None
_jobs: tuple[Production, Tape] | None = None


def _prepare(seed: int, day: ShootingDay, tape: Tape) -> None:
    global _painter, _jobs
    cv2.setNumThreads(1)
    made = Production(seed, day)
    show = made.shows[tape.session]
    _painter, _jobs = Painter(show, made.operators[tape.reel], SlateHand(show), tape.blur_px), (made, tape)


def _stored(img: np.ndarray, rotation: int) -> np.ndarray:
    """The frame as the chip delivers it: turned against the flag that will set it upright."""
    if rotation == 180:
        return cv2.rotate(img, cv2.ROTATE_180)
    if rotation == 90:
        return cv2.rotate(img, cv2.ROTATE_90_COUNTERCLOCKWISE)
    return img


def _render(numbers: list[int]) -> list[np.ndarray]:
    assert _painter is not None and _jobs is not None
    made, tape = _jobs
    clock = made.clocks[tape.reel]
    shutter = 0.5 * tape.rate[1] / tape.rate[0]
    return [_stored(_painter.frame(clock.hall_seconds(float(clock.frame_seconds(n))), shutter), tape.rotation) for n in numbers]


def _frames(made: Production, tape: Tape, count: int, processes: int) -> Iterator[np.ndarray]:
    chunks = [list(range(i, min(i + _CHUNK, count))) for i in range(0, count, _CHUNK)]
    if processes == 1:
        _prepare(made.seed, made.day, tape)
        for c in chunks:
            yield from _render(c)
        return
    with get_context("spawn").Pool(processes, _prepare, (made.seed, made.day, tape)) as pool:
        for images in pool.imap(_render, chunks):
            yield from images


def _set_rotation(path: Path, rotation: int) -> None:
    """Write the display matrix into the picture track's header; the muxer has no other door for it."""
    data = bytearray(path.read_bytes())
    at = data.find(b"tkhd")
    while at >= 0:
        version = data[at + 4]
        matrix = at + 4 + (40 if version == 0 else 52)
        width = int.from_bytes(data[matrix + 36 : matrix + 40], "big") >> 16
        if width:
            height = int.from_bytes(data[matrix + 40 : matrix + 44], "big") >> 16
            one, minus = 0x00010000, -0x00010000
            rows = {
                180: (minus, 0, 0, 0, minus, 0, width << 16, height << 16, 1 << 30),
                90: (0, one, 0, minus, 0, 0, height << 16, 0, 1 << 30),
            }[rotation]
            data[matrix : matrix + 36] = b"".join(int(v).to_bytes(4, "big", signed=True) for v in rows)
        at = data.find(b"tkhd", at + 4)
    path.write_bytes(data)


def record(made: Production, tape: Tape, folder: Path, processes: int = 2) -> Path:
    """Make one tape; it appears under its name only when whole."""
    folder.mkdir(parents=True, exist_ok=True)
    clock, show = made.clocks[tape.reel], made.shows[tape.session]
    path, part = folder / f"{tape.reel}.{tape.suffix}", folder / f"{tape.reel}.part.{tape.suffix}"
    count = len(clock.pts)
    with av.open(str(part), "w", options={"movflags": "+faststart"}) as out:
        if tape.start:
            out.metadata["timecode"] = tape.start
        video = out.add_stream("libx264", rate=clock.rate)
        video.width, video.height = tape.stored_px
        video.pix_fmt = "yuv420p"
        video.codec_context.time_base = clock.time_base
        video.time_base = clock.time_base
        video.codec_context.options = {
            "crf": str(tape.crf),
            "preset": "medium",
            "threads": "1",
            "g": str(round(float(clock.rate)) * 5),
            "bf": "0" if tape.variable else "2",
            "x264-params": "rc-lookahead=30",
        }
        audio = _sound_stream(out, tape) if tape.sound else None
        for n, img in enumerate(_frames(made, tape, count, processes)):
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(img), format="bgr24")
            frame.pts, frame.time_base = clock.pts[n], clock.time_base
            out.mux(video.encode(frame))
            if n % 120 == 0:
                print(f"{tape.reel}: frame {n} of {count}", file=sys.stderr, flush=True)
        out.mux(video.encode())
        if audio is not None:
            _write_sound(out, audio, soundtrack(show, tape, clock, made.seed), tape.microphone.stored_hz)
    if tape.rotation:
        _set_rotation(part, tape.rotation)
    part.replace(path)
    print(f"{tape.reel}: {path.stat().st_size / 1e6:.2f} MB", file=sys.stderr, flush=True)
    return path


def _sound_stream(out: av.container.OutputContainer, tape: Tape) -> av.AudioStream:
    """Compressed at the full rate; a recorder that stores less than that stores it as it is."""
    if tape.microphone.stored_hz != RATE:
        return out.add_stream("pcm_s16le", rate=tape.microphone.stored_hz, layout="mono")
    audio = out.add_stream("aac", rate=RATE, layout="mono")
    audio.codec_context.bit_rate = 72000
    return audio


def _write_sound(out: av.container.OutputContainer, audio: av.AudioStream, samples: np.ndarray, rate: int) -> None:
    whole, kind = np.clip(samples, -1, 1).astype(np.float32), "fltp"
    if rate != RATE:
        fewer = resample_poly(samples, 1, RATE // rate)
        whole, kind = np.round(np.clip(fewer, -1, 1) * 32767).astype(np.int16), "s16"
    for at in range(0, len(whole), 1024):
        frame = av.AudioFrame.from_ndarray(whole[None, at : at + 1024], format=kind, layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = rate, at, Fraction(1, rate)
        out.mux(audio.encode(frame))
    out.mux(audio.encode())
