"""The small movie for sending with words burnt in: a finished picture decoded once, lettered and coded again, frame by frame."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import av
from av.video.frame import VideoFrame

from previs.media.encode import PictureCodec, PictureWriter, SoundWriter
from previs.media.frames import FrameReader
from previs.media.index import constant_index, frame_clock
from previs.media.sound import SAMPLE_RATE, StoredSound, sample_at
from previs.media.strips import StripPainter, Words
from previs.progress import Report, Step

_AHEAD_FRAMES = 8


@dataclass(frozen=True, slots=True)
class Burning:
    """What is burnt in: the words of each frame of the cut, and how many of the movie's frames stand before its first."""

    words: Callable[[int], Words]
    leader_frames: int
    frames: int


def burn(picture: Path, burning: Burning, sound: StoredSound, codec: PictureCodec, label: str, out: Path, report: Report) -> None:
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

        def lettered(number: int) -> VideoFrame:
            own = number - burning.leader_frames
            return painter.paint(reader.frame(number), burning.words(own)) if own >= 0 else reader.frame(number)

        shown = PictureWriter(movie, codec, {"timecode": label})
        heard = SoundWriter(movie, sound, "aac")
        # On a stop the thread must have ended before the movie that it reads is closed.
        with closing(_ahead(lettered, burning.frames)) as every:
            for number, frame in enumerate(every):
                report(Step(number, burning.frames, "burning words in"))
                shown.write(frame)
                heard.write_to(sample_at(shown.written, codec.rate))
        shown.finish()
        heard.finish()


def _ahead(made: Callable[[int], VideoFrame], frames: int) -> Generator[VideoFrame, None, None]:
    """Every frame in order, made in a thread of its own a little ahead, so that the coder never waits for letters."""
    with ThreadPoolExecutor(1) as maker:
        waiting: deque[Future[VideoFrame]] = deque()
        try:
            for number in range(frames):
                waiting.append(maker.submit(made, number))
                if len(waiting) > _AHEAD_FRAMES:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            maker.shutdown(cancel_futures=True)
