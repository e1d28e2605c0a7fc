"""Publishing a cut as one movie that has every frame and every sample in its place; what is in the cut is not decided here."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain
from pathlib import Path
from typing import Literal, TypeVar

import numpy as np

from previs.clock import Timebase
from previs.cut.wording import counted
from previs.faults import Fault, UseFault
from previs.media.burnt import Burning, burn
from previs.media.cards import BEEP_SECONDS_BEFORE, LEADER_SECONDS, card_picture
from previs.media.encode import PictureCodec, all_key_codec, segment_codec, sending_codec
from previs.media.events import Black, CardPicture, Event, TapePicture
from previs.media.final import SmallPiece, small_pieces, squeeze
from previs.media.fingerprint import fingerprint
from previs.media.index import frame_index
from previs.media.join import Piece, join
from previs.media.opening import MediaFault, cache_gone, from_cache, opened
from previs.media.probe import probe
from previs.media.raster import Raster
from previs.media.render import Drawn, Leader, RenderJob, Segment, Side, TapeSource, render_segment
from previs.media.sound import SAMPLE_RATE, Samples, sample_at, stored, tape_sound
from previs.media.soundtrack import beep as beep_sound
from previs.media.soundtrack import lay_sound
from previs.media.strips import Words
from previs.media.wipes import check_wipe
from previs.media.workcopy import TapeToCopy, find_work_copy, make_work_copies
from previs.media.workers import Tick, run_jobs
from previs.progress import Report, Step, silent
from previs.replacing import replacing

Quality = Literal["draft", "final", "originals"]
_Job = TypeVar("_Job", RenderJob, SmallPiece)

_BEEP_FRAMES = 2


@dataclass(frozen=True, slots=True)
class Published:
    """A finished movie: its frames with the leader's, its sound samples at 48 kHz, and the time code of its first frame."""

    path: Path
    frames: int
    samples: int
    start_label: str


def publish(
    events: Sequence[Event],
    timebase: Timebase,
    start_frame: int,
    out_path: Path,
    *,
    cache_dir: Path,
    quality: Quality = "draft",
    raster: Raster | None = None,
    leader: bool = False,
    beep: bool = True,
    words: Callable[[int], Words] | None = None,
    report: Report = silent,
) -> Published:
    """Write the cut to `out_path` (.mp4 or .mov), H.264 and AAC at the sequence's rate; return what was written and checked.

    `draft` copies packets of the work copies (made first when missing; large, at once), `final` is small, for sending,
    `originals` renders from the tapes. The first event's first frame carries `start_frame` as time code. A leader of 8 seconds
    goes before it, with a beep 2 seconds before the first picture. With `words`, those that it gives for each
    frame, counted from the cut's first, are burnt in, and the movie is coded small for sending whatever the quality. A stop
    or a fault leaves no movie behind and an older one in place. Raises `UseFault` for events that cannot be and `MediaFault`
    for tapes that cannot be read.
    """
    raster = raster or Raster()
    _check(events, out_path)
    rate = timebase.rate.fps
    marks = _marks(events)
    if quality == "originals":
        codec, sources = segment_codec(raster, rate), _originals(marks, cache_dir)
    else:
        codec, sources = all_key_codec(raster, rate), _work_copies(marks, events, timebase, raster, cache_dir, report)
    segments = list(_segments(events, timebase, raster, cache_dir))
    leader_frames = LEADER_SECONDS * timebase.rate.nominal if leader else 0
    if leader:
        segments.insert(0, Segment(leader_frames, Side(Leader(timebase.rate.nominal), 0)))
    pieces = _pieces(segments, codec, sources, cache_dir, report)
    if quality == "final" and words is None:
        pieces = _squeezed(pieces, rate, cache_dir, report)
    before = [_leader_sound(timebase, with_beep=beep)] if leader else []
    laid = lay_sound(events, rate, lambda tape: tape_sound(tape.path, cache_dir, marks[tape.path]))
    sound = stored(chain(before, laid), cache_dir)
    frames = sum(segment.frames for segment in segments)
    label = timebase.label(timebase.wrap(start_frame - leader_frames))
    done = 0

    def tick() -> None:
        nonlocal done
        report(Step(done, frames, "joining the cut"))
        done += 1

    with replacing(out_path) as temporary:
        if words is None:
            with from_cache(cache_dir):
                join(pieces, rate, sound, temporary, label, tick)
        else:
            picture_only = temporary.with_stem(f"{temporary.stem}.picture")
            try:
                with from_cache(cache_dir):
                    join(pieces, rate, None, picture_only, label, tick)
                burn(picture_only, Burning(words, leader_frames, frames), sound, sending_codec(raster, rate), label, temporary, report)
            finally:
                picture_only.unlink(missing_ok=True)
        _check_written(temporary, frames, len(sound), rate)
        report(Step(frames, frames, "done"))
    return Published(out_path, frames, len(sound), label)


def planned_length(frames: int, timebase: Timebase) -> str:
    """How long a card stands, as is written on it."""
    return f"{timebase.duration(frames)}   {frames} frames"


def _check(events: Sequence[Event], out_path: Path) -> None:
    if not events:
        raise UseFault("The cut is empty; put a shot into it before it is published.")
    if out_path.suffix.lower() not in (".mp4", ".mov"):
        raise UseFault(f"{out_path.name or out_path} must end in .mp4 or .mov.")
    for number, event in enumerate(events, 1):
        if event.frames < 1:
            raise UseFault(f"Event {number} has {event.frames} frames; give it at least one, or take it out.")
        change = event.transition
        if change and not 1 <= change.frames <= event.frames:
            raise UseFault(
                f"The {change.kind} into event {number} lasts {change.frames} frames, but the event has {event.frames}; shorten it."
            )
        if change and change.kind == "wipe":
            check_wipe(change.wipe)


def _marks(events: Sequence[Event]) -> dict[Path, str]:
    """The fingerprint of each tape; a tape that is away keeps the one it was logged with."""
    marks: dict[Path, str] = {}
    for event in events:
        tape = event.picture
        if not isinstance(tape, TapePicture):
            continue
        if tape.path not in marks:
            away = tape.fingerprint and not tape.path.exists()
            marks[tape.path] = tape.fingerprint if away else fingerprint(tape.path)
        if tape.fingerprint and tape.fingerprint != marks[tape.path]:
            raise MediaFault(f"{tape.path} is not the tape that was logged as {tape.reel}; put the right file there, or log it anew.")
    return marks


def _originals(marks: dict[Path, str], cache_dir: Path) -> dict[Path, TapeSource]:
    sources = {}
    for path, mark in marks.items():
        facts = probe(path, cache_dir)
        sources[path] = TapeSource(path, mark, None, facts.rotation, facts.sample_aspect)
    return sources


def _work_copies(
    marks: dict[Path, str], events: Sequence[Event], timebase: Timebase, raster: Raster, cache_dir: Path, report: Report
) -> dict[Path, TapeSource]:
    rate = timebase.rate.fps
    reels = {event.picture.path: event.picture.reel for event in events if isinstance(event.picture, TapePicture)}
    missing = [path for path, mark in marks.items() if find_work_copy(mark, rate, raster, cache_dir) is None]
    make_work_copies([TapeToCopy(path, reels[path]) for path in missing], timebase, raster, cache_dir, report)
    sources = {}
    for path, mark in marks.items():
        copy = find_work_copy(mark, rate, raster, cache_dir)
        if copy is None:
            raise cache_gone(cache_dir)
        sources[path] = TapeSource(copy.path, mark, copy.frames)
    return sources


def _segments(events: Sequence[Event], timebase: Timebase, raster: Raster, cache_dir: Path) -> Iterator[Segment]:
    """The cut in pieces of one kind: the transition into an event, then the rest of it."""
    before, before_frames = Side(Black(), 0).picture, 0
    for event in events:
        picture = event.picture
        if isinstance(picture, CardPicture):
            shown: TapePicture | Drawn | Black = Drawn(card_picture(picture, planned_length(event.frames, timebase), raster, cache_dir))
        else:
            shown = picture
        changing = event.transition.frames if event.transition else 0
        if changing:
            yield Segment(changing, Side(shown, 0), Side(before, before_frames), event.transition)
        if event.frames > changing:
            yield Segment(event.frames - changing, Side(shown, changing))
        before, before_frames = shown, event.frames


def _pieces(
    segments: Sequence[Segment], codec: PictureCodec, sources: dict[Path, TapeSource], cache_dir: Path, report: Report
) -> list[Piece]:
    pieces: list[Piece] = []
    jobs: list[RenderJob] = []
    for segment in segments:
        if (copied := _copied(segment, sources)) is not None:
            pieces.append(copied)
            continue
        jobs.append(job := RenderJob(segment, codec, sources, cache_dir))
        pieces.append(Piece(job.place, 0, segment.frames))
    _make_missing(render_segment, jobs, "rendering", report)
    return pieces


def _squeezed(pieces: Sequence[Piece], rate: Fraction, cache_dir: Path, report: Report) -> list[Piece]:
    jobs = small_pieces(pieces, rate, cache_dir)
    _make_missing(squeeze, jobs, "squeezing", report)
    return [Piece(job.place, 0, job.frames) for job in jobs]


def _make_missing(work: Callable[[_Job, Tick], Path], jobs: Sequence[_Job], doing: str, report: Report) -> None:
    """Do the jobs whose movie is not in the cache or not whole, each once."""
    missing = {job.place: job for job in jobs if not _is_whole(job.place, job.frames)}
    if missing:
        # The longest first, so that the two processes end together.
        longest_first = sorted(missing.values(), key=lambda job: -job.frames)
        what = f"{doing} {counted(len(missing), 'piece')}"
        run_jobs(work, longest_first, sum(job.frames for job in longest_first), what, report)


def _copied(segment: Segment, sources: dict[Path, TapeSource]) -> Piece | None:
    tape = segment.coming.picture
    if segment.transition or not isinstance(tape, TapePicture) or tape.speed != 1:
        return None
    source = sources[tape.path]
    first = tape.first_frame + segment.coming.first
    if source.copy_frames is None or first < 0 or first + segment.frames > source.copy_frames:
        return None
    return Piece(source.path, first, segment.frames)


def _is_whole(place: Path, frames: int) -> bool:
    if not place.exists():
        return False
    try:
        with opened(place) as movie:
            return movie.streams.video[0].frames == frames
    except (Fault, IndexError):  # a damaged segment is rendered anew
        return False


def _leader_sound(timebase: Timebase, *, with_beep: bool) -> Samples:
    nominal, rate = timebase.rate.nominal, timebase.rate.fps
    sound = np.zeros((sample_at(LEADER_SECONDS * nominal, rate), 2), np.float32)
    if with_beep:
        start = sample_at((LEADER_SECONDS - BEEP_SECONDS_BEFORE) * nominal, rate)
        tone = beep_sound(_BEEP_FRAMES, rate)
        sound[start : start + len(tone)] = tone
    return sound


def _check_written(path: Path, frames: int, samples: int, rate: Fraction) -> None:
    """Raise `MediaFault` unless the movie has just these frames, frame k at k / rate, and sound to its last sample."""
    index = frame_index(path)
    found = [int(tick) * index.time_base for tick in index.ticks]
    if index.frames != frames or index.start != 0 or any(time != k / rate for k, time in enumerate(found)):
        raise MediaFault(
            f"The movie came out with {index.frames} frames and the last at {float(found[-1]):.3f} s instead of {frames} frames and "
            f"{float((frames - 1) / rate):.3f} s, so it was thrown away; publish again, and report this if it comes back."
        )
    with opened(path) as movie:
        # The coder's lead-in is stamped before 0, and players take it off; the last packet is stamped to its true end.
        stamps = [
            (packet.pts or 0, packet.duration or 0, packet.time_base) for packet in movie.demux(movie.streams.audio[0]) if packet.size
        ]
    heard = max(((pts + length) * base * SAMPLE_RATE for pts, length, base in stamps), default=Fraction(0))
    if heard != samples or stamps[0][0] > 0:
        raise MediaFault(
            f"The movie's sound came out with {float(heard):.0f} samples instead of {samples}, so it was thrown away; publish again, "
            "and report this if it comes back."
        )
