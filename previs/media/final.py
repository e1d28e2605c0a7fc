"""The small movie for sending: one pass of ffmpeg over a finished picture and its sound; it changes no frame's time."""

from __future__ import annotations

import errno
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import ffmpeg
import imageio_ffmpeg
import numpy as np

from previs.media.index import frame_clock
from previs.media.opening import MediaFault
from previs.media.sound import SAMPLE_RATE, StoredSound
from previs.progress import Report, Step

_OLDEST_VERSION = 6


def squeeze(picture: Path, sound: StoredSound, rate: Fraction, frames: int, label: str, out: Path, report: Report) -> None:
    """Code the movie `picture` again, small, with `sound`, into `out`; as many frames, at the same times, as it has.

    Raises `MediaFault` with ffmpeg's own words when it fails, `OSError` when the disk is full; on a stop ffmpeg is ended.
    """
    with _raw_sound(sound, out) as raw:
        movie = ffmpeg.input(str(picture))
        track = ffmpeg.input(str(raw), f="f32le", ar=SAMPLE_RATE, ac=2)
        settings = {
            "c:v": "libx264",
            "preset": "medium",
            "crf": 23,
            "pix_fmt": "yuv420p",
            "fps_mode": "passthrough",
            "video_track_timescale": frame_clock(rate)[0],
            "movie_timescale": SAMPLE_RATE,
            "c:a": "aac",
            "b:a": "160k",
            "map_metadata": -1,
            "metadata:s:v:0": f"timecode={label}",
            "movflags": "+faststart",
        }
        graph = ffmpeg.output(movie.video, track.audio, str(out), **settings)
        graph = graph.global_args("-nostdin", "-nostats", "-loglevel", "error", "-progress", "pipe:1")
        _run(graph.compile(cmd=_binary(), overwrite_output=True), frames, report)


@contextmanager
def _raw_sound(sound: StoredSound, beside: Path) -> Iterator[Path]:
    raw = beside.with_suffix(".f32")
    try:
        with raw.open("wb") as file:
            for first in range(0, len(sound), SAMPLE_RATE):
                np.clip(sound[first : first + SAMPLE_RATE], -1, 1).astype("<f4").tofile(file)
        yield raw
    finally:
        raw.unlink(missing_ok=True)


def _run(command: list[str], frames: int, report: Report) -> None:
    said: list[str] = []
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace") as process:
        try:
            for line in process.stdout or ():
                if (counted := re.fullmatch(r"frame=\s*(\d+)\s*", line)) is not None:
                    report(Step(min(int(counted[1]), frames), frames, "squeezing the movie"))
                elif not re.match(r"[\w.]+=", line):
                    said.append(line.strip())
        except BaseException:
            process.kill()
            raise
    if process.returncode:
        if any(os.strerror(errno.ENOSPC) in line for line in said):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        raise MediaFault(f"ffmpeg could not make the movie: {'; '.join(said[-3:]) or 'no reason given'}.")


@lru_cache(maxsize=1)
def _binary() -> str:
    """The system's ffmpeg when it is new enough to keep frame times, else the one that comes with this program."""
    installed = shutil.which("ffmpeg")
    if installed:
        says = subprocess.run([installed, "-version"], capture_output=True, text=True, check=False).stdout
        version = re.match(r"ffmpeg version n?(\d+)", says)
        if version and int(version[1]) >= _OLDEST_VERSION:
            return installed
    return str(imageio_ffmpeg.get_ffmpeg_exe())
