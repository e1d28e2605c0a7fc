"""A practice reel as a movie: takes at slow and full speed with counts burnt in and a beep on each hit; what to practise is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from previs.clock import Timebase, frame_played
from previs.faults import Fault
from previs.media.burnt_in import Rgb, burnt_in
from previs.media.encode import PictureWriter, SoundWriter, segment_codec
from previs.media.frames import FrameReader
from previs.media.index import frame_clock
from previs.media.opening import from_cache
from previs.media.raster import Raster, frame_of_rgb
from previs.media.sound import SAMPLE_RATE, Samples, sample_at
from previs.media.workcopy import WorkCopy
from previs.progress import Report, Step
from previs.replacing import replacing

TITLE_FRAMES_SECONDS = 2
_BEEP_SECONDS = 0.06
_GROUND = (38, 34, 30)
_ATTACK_HERTZ, _DEFEND_HERTZ = 1320.0, 880.0


@dataclass(frozen=True, slots=True)
class Called:
    """A count: the part's own frame on which it lands, its words, and whether the performer attacks (the higher beep)."""

    frame: int
    words: str
    attacks: bool


@dataclass(frozen=True, slots=True)
class ReelPart:
    """One run through a phrase: words for its title card, the work copy, tape frames as in a shot, and the counts."""

    title: tuple[str, ...]
    copy: WorkCopy
    first_frame: int
    speed: Fraction
    frames: int
    counts: tuple[Called, ...]


def title_frames(timebase: Timebase) -> int:
    """How long each title card stands."""
    return TITLE_FRAMES_SECONDS * timebase.rate.nominal


def write_reel(
    parts: Sequence[ReelPart], timebase: Timebase, raster: Raster, out_path: Path, report: Report, *, mirrored: bool = False, foot: str = ""
) -> int:
    """Write the reel to `out_path` (.mp4) and give back its number of frames; words are never mirrored.

    Between two hits the words are those of the hit to come, and change on the frame after it lands. A stop or a fault
    leaves no movie behind. Raises `MediaFault` for a work copy that cannot be read.
    """
    rate, cards = timebase.rate.fps, title_frames(timebase)
    total = sum(cards + part.frames for part in parts)
    options = {"video_track_timescale": str(frame_clock(rate)[0]), "movflags": "+faststart", "movie_timescale": str(SAMPLE_RATE)}
    done = 0
    with replacing(out_path) as temporary, av.open(str(temporary), "w", format="mp4", options=options) as movie:
        picture = PictureWriter(movie, segment_codec(raster, rate))
        sound = SoundWriter(movie, _beeps(parts, rate, cards, total), "aac")
        for part in parts:
            card = frame_of_rgb(_title(part, raster, foot))
            for _ in range(cards):
                picture.write(card)
            with from_cache(part.copy.path.parent.parent), FrameReader(part.copy.path, part.copy.index, threads=1) as reader:
                for k in range(part.frames):
                    report(Step(done, total, "making the practice reel"))
                    wanted = min(max(0, frame_played(part.first_frame, part.speed, k)), part.copy.frames - 1)
                    shown = reader.picture(wanted)
                    shown = np.ascontiguousarray(shown[:, ::-1]) if mirrored else shown
                    picture.write(frame_of_rgb(burnt_in(shown, (part.title[0],), (words_at(part.counts, k),))))
                    sound.write_to(sample_at(picture.written, rate))
                    done += 1
        picture.finish()
        sound.finish()
        if picture.written != total:
            raise Fault(f"The reel came out with {picture.written} frames instead of {total}; please report it.")
    return total


def words_at(counts: Sequence[Called], frame: int) -> str:
    """The words on a frame: those of the hit that lands on it or comes next; of the last one, from then on."""
    for count in counts:
        if frame <= count.frame:
            return count.words
    return counts[-1].words if counts else ""


def _title(part: ReelPart, raster: Raster, foot: str) -> Rgb:
    ground = np.full((raster.height, raster.width, 3), _GROUND, np.uint8)
    return burnt_in(ground, part.title, (foot,) if foot else ())


def _beeps(parts: Sequence[ReelPart], rate: Fraction, cards: int, total: int) -> Samples:
    """A short tone on the first sample of each frame on which a move lands, faded so that it does not click."""
    laid = np.zeros((sample_at(total, rate), 2), np.float32)
    length = round(_BEEP_SECONDS * SAMPLE_RATE)
    t = np.arange(length) / SAMPLE_RATE
    fade = np.minimum(1, np.minimum(np.arange(length) + 1, length - np.arange(length)) / 48)
    begin = 0
    for part in parts:
        begin += cards
        for count in part.counts:
            tone = (0.4 * fade * np.sin(2 * np.pi * (_ATTACK_HERTZ if count.attacks else _DEFEND_HERTZ) * t)).astype(np.float32)
            first = sample_at(begin + count.frame, rate)
            laid[first : first + length] += tone[: max(0, len(laid) - first), None]
        begin += part.frames
    return laid
