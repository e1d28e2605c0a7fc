"""The small movie for sending with words burnt in: a finished picture decoded once, lettered and coded again, frame by frame."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import av

from previs.media.encode import PictureCodec, PictureWriter, SoundWriter
from previs.media.frames import FrameReader
from previs.media.index import constant_index, frame_clock
from previs.media.sound import SAMPLE_RATE, Samples, sample_at
from previs.media.strips import StripPainter, Words
from previs.progress import Report, Step


@dataclass(frozen=True, slots=True)
class Burning:
    """What is burnt in: the words of each frame of the cut, and how many of the movie's frames stand before its first."""

    words: Callable[[int], Words]
    leader_frames: int
    frames: int


def burn(picture: Path, burning: Burning, sound: Samples, codec: PictureCodec, label: str, out: Path, report: Report) -> None:
    """Code the movie `picture` again into `out` with words on every frame but the leader's, and with `sound`.

    Frame k of it is frame k of `picture`; whether all came out is the caller's to check. A stop passes through.
    """
    painter = StripPainter(codec.raster)
    # A coarser clock of the whole movie would round its last sixteen samples of sound away.
    options = {
        "movflags": "+faststart",
        "video_track_timescale": str(frame_clock(codec.rate)[0]),
        "movie_timescale": str(SAMPLE_RATE),
    }
    index = constant_index(codec.rate, burning.frames)
    with FrameReader(picture, index) as reader, av.open(str(out), "w", options=options) as movie:
        shown = PictureWriter(movie, codec, {"timecode": label})
        heard = SoundWriter(movie, sound, "aac")
        for number in range(burning.frames):
            report(Step(number, burning.frames, "burning words in"))
            frame, own = reader.frame(number), number - burning.leader_frames
            shown.write(painter.paint(frame, burning.words(own)) if own >= 0 else frame)
            heard.write_to(sample_at(shown.written, codec.rate))
        shown.finish()
        heard.finish()
