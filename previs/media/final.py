"""Small pieces of picture for a movie that is sent: each coded again by ffmpeg, by itself and once, so that they join by their packets."""

from __future__ import annotations

import errno
import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path

import ffmpeg
import imageio_ffmpeg

from previs.media.index import frame_clock
from previs.media.join import Piece, join
from previs.media.opening import MediaFault, from_cache
from previs.media.workers import Tick
from previs.replacing import replacing

_OLDEST_VERSION = 6
# No B frames and headers free of the content, as in `encode.segment_codec`; one thread, since two pieces are coded at once.
_CODER = {
    "c:v": "libx264",
    "preset": "veryfast",
    "crf": 23,
    "bf": 0,
    "threads": 1,
    "x264-params": "stitchable=1:aud=1:open-gop=0",
    "pix_fmt": "yuv420p",
    "fps_mode": "passthrough",
    "map_metadata": -1,
}


@dataclass(frozen=True, slots=True)
class SmallPiece:
    """A piece of finished picture to be coded small into `place`."""

    piece: Piece
    rate: Fraction
    place: Path
    cache_dir: Path

    @property
    def frames(self) -> int:
        """How many frames the piece has."""
        return self.piece.frames


def small_pieces(pieces: Sequence[Piece], rate: Fraction, cache_dir: Path) -> list[SmallPiece]:
    """Where each piece is kept once it is small: the name follows from the movie it is of, its frames, and the coder."""
    coder = repr((sorted(_CODER.items()), _binary()))
    # A movie in the cache is named after what it shows.
    names = (blake2b(repr((coder, rate, one.path.name, one.first, one.frames)).encode(), digest_size=16).hexdigest() for one in pieces)
    return [SmallPiece(one, rate, cache_dir / "segments" / f"{name}.mp4", cache_dir) for one, name in zip(pieces, names, strict=True)]


def squeeze(job: SmallPiece, tick: Tick) -> Path:
    """Code one piece small into its place; as many frames, at the same times, as it has.

    Raises `MediaFault` with ffmpeg's own words when it fails, `OSError` when the disk is full; on a stop ffmpeg is ended.
    """
    ticks_a_second, _ = frame_clock(job.rate)
    with replacing(job.place) as temporary:
        alone = temporary.with_stem(f"{temporary.stem}.picture")
        try:
            with from_cache(job.cache_dir):
                join([job.piece], job.rate, None, alone, "00:00:00:00", lambda: None)
            settings = _CODER | {"g": round(job.rate * 2), "video_track_timescale": ticks_a_second}
            graph = ffmpeg.output(ffmpeg.input(str(alone)).video, str(temporary), **settings)
            graph = graph.global_args("-nostdin", "-nostats", "-loglevel", "error", "-progress", "pipe:1")
            _run(graph.compile(cmd=_binary()[0], overwrite_output=True), tick)
        finally:
            alone.unlink(missing_ok=True)
    return job.place


def _run(command: list[str], tick: Tick) -> None:
    said: list[str] = []
    done = 0
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace") as process:
        try:
            for line in process.stdout or ():
                if (counted := re.fullmatch(r"frame=\s*(\d+)\s*", line)) is not None:
                    for _ in range(done, int(counted[1])):
                        tick()
                    done = max(done, int(counted[1]))
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
def _binary() -> tuple[str, str]:
    """The system's ffmpeg when it is new enough to keep frame times, else the one that comes with this program; and its version."""
    installed = shutil.which("ffmpeg")
    if installed:
        says = _version(installed)
        version = re.match(r"ffmpeg version n?(\d+)", says)
        if version and int(version[1]) >= _OLDEST_VERSION:
            return installed, says
    brought = str(imageio_ffmpeg.get_ffmpeg_exe())
    return brought, _version(brought)


def _version(binary: str) -> str:
    return subprocess.run([binary, "-version"], capture_output=True, text=True, check=False).stdout.partition("\n")[0]
