"""The coders that make this program's movies, with settings that let their packets be joined; it chooses no frames."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import cast

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc

from previs.media.index import frame_clock
from previs.media.raster import Raster
from previs.media.sound import SAMPLE_RATE, Samples, StoredSound

_PCM_CHUNK = 4800


@dataclass(frozen=True, slots=True)
class PictureCodec:
    """How the picture is coded. Movies of equal `PictureCodec` can be joined by their packets."""

    raster: Raster
    rate: Fraction
    options: tuple[tuple[str, str], ...]

    @property
    def key(self) -> str:
        """Text that names the settings and the coder's version, for cache names."""
        return f"{self.raster} {self.rate} {self.options} av {av.__version__}"


def all_key_codec(raster: Raster, rate: Fraction) -> PictureCodec:
    """Every frame a key frame: fast to make, to look at in any order and to cut by packets; large."""
    return PictureCodec(
        raster,
        rate,
        (
            ("preset", "ultrafast"),
            ("crf", "20"),
            ("g", "1"),
            ("bf", "0"),
            ("threads", "1"),
            # `stitchable` keeps the headers free of the content; a delimiter tells two joined key frames apart.
            ("x264-params", "stitchable=1:aud=1:keyint=1:scenecut=0"),
        ),
    )


def segment_codec(raster: Raster, rate: Fraction) -> PictureCodec:
    """For rendering from the originals: good quality; no B frames, so that segments of any length join on the frame grid."""
    return PictureCodec(
        raster,
        rate,
        (
            ("preset", "veryfast"),
            ("crf", "18"),
            ("g", str(round(rate * 2))),
            ("bf", "0"),
            ("threads", "1"),
            ("x264-params", "stitchable=1:aud=1:open-gop=0"),
        ),
    )


def sending_codec(raster: Raster, rate: Fraction) -> PictureCodec:
    """Small, for sending; a key frame every second, so that a player goes back a frame without a wait."""
    return PictureCodec(raster, rate, (("preset", "medium"), ("crf", "23"), ("g", str(round(rate))), ("threads", "0")))


class PictureWriter:
    """Codes frames one after another into a stream of an open movie; frame n is stamped n / rate."""

    def __init__(self, movie: OutputContainer, codec: PictureCodec, metadata: dict[str, str] | None = None) -> None:
        ticks_a_second, self._step = frame_clock(codec.rate)
        self._movie = movie
        stream = movie.add_stream("libx264", rate=codec.rate, options=dict(codec.options))
        stream.width, stream.height, stream.pix_fmt = codec.raster.width, codec.raster.height, "yuv420p"
        context = stream.codec_context
        stream.time_base = Fraction(1, ticks_a_second)
        context.time_base = 1 / codec.rate
        context.colorspace, context.color_range = Colorspace.ITU709, ColorRange.MPEG
        context.color_primaries, context.color_trc = ColorPrimaries.BT709, ColorTrc.BT709
        stream.metadata.update(metadata or {})
        self._stream = stream
        self.written = 0

    def write(self, frame: VideoFrame) -> None:
        """Code one yuv420p frame of the codec's raster."""
        frame.pts, frame.time_base = self.written, self._stream.codec_context.time_base
        frame.pict_type = 0
        self.written += 1
        self._movie.mux(self._stream.encode(frame))

    def finish(self) -> None:
        """Hand out what the coder still holds."""
        self._movie.mux(self._stream.encode(None))


class SoundWriter:
    """Writes sound into a stream of an open movie, as far as asked for at a time so that picture and sound lie side by side."""

    def __init__(self, movie: OutputContainer, sound: Samples | StoredSound, coder: str, options: dict[str, str] | None = None) -> None:
        self._movie = movie
        self._stream = cast(AudioStream, movie.add_stream(coder, rate=SAMPLE_RATE, options=options or {}, layout="stereo"))
        if coder == "aac":
            self._stream.bit_rate = 192_000
        self._sound = sound
        self._pcm = coder == "pcm_s16le"
        self._written = 0

    def write_to(self, end_sample: int) -> None:
        """Write up to, not including, sample `end_sample`; silence where the sound has ended."""
        for block in _blocks(self._sound, self._written, end_sample):
            if self._pcm:
                whole = np.rint(np.clip(block, -1, 1) * 32767).astype(np.int16)
                frame = AudioFrame.from_ndarray(whole.reshape(1, -1), format="s16", layout="stereo")
            else:
                frame = AudioFrame.from_ndarray(np.ascontiguousarray(np.clip(block, -1, 1).T), format="fltp", layout="stereo")
            frame.sample_rate, frame.pts, frame.time_base = SAMPLE_RATE, self._written, Fraction(1, SAMPLE_RATE)
            self._written += len(block)
            self._movie.mux(self._stream.encode(frame))

    def finish(self) -> None:
        """Hand out what the coder still holds."""
        self._movie.mux(self._stream.encode(None))


def _blocks(sound: Samples | StoredSound, start: int, end: int) -> Iterator[Samples]:
    for first in range(start, end, _PCM_CHUNK):
        count = min(_PCM_CHUNK, end - first)
        block = np.zeros((count, 2), np.float32)
        heard = sound[first : first + count]
        block[: len(heard)] = heard
        yield block
