"""The timestamp index: which frame of a tape is on screen at a moment, exactly; it decodes no more than the first frames.

Times are kept as the container's own ticks, relative to the first picture. A container may round times
(Matroska writes milliseconds): when a tick is at most an eighth of a frame and every frame lies within one tick of
n / rate for one rate, the tape is taken as constant and frame n begins at n / rate exactly. Otherwise the ticks are the times.
"""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import cast

import av
import numpy as np
from av.packet import Packet
from av.stream import Discard, Stream
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from previs.clock import RATES
from previs.media.fingerprint import fingerprint, must_be_unchanged
from previs.media.opening import MediaFault, opened, picture_stream
from previs.replacing import replacing

_VERSION = 1
# Enough to see past the reordering of any B-frame pyramid in use.
_FRAMES_LOOKED_AT = 16
# What these containers store is when a frame is shown; elsewhere it may be guessed from the order.
_STORING_TIMES = ("mov", "matroska")


@dataclass(frozen=True, slots=True, eq=False)
class FrameIndex:
    """Times of all frames of a tape, in order of showing.

    `ticks` (int64, one a frame, the first 0) count `time_base` seconds from the first picture, which the file stamps
    `start_tick`; `end_tick` is where the last frame ends. `keys` are the frames where decoding can begin.
    `constant_rate` is set when frame n begins at n / rate. `counted` means that the file's stamps do not follow the
    order of showing, so that a frame can be found only by counting from the first. `promised_frames` is what the
    file's header says, or None.
    """

    time_base: Fraction
    start_tick: int
    end_tick: int
    ticks: NDArray[np.int64]
    keys: NDArray[np.int64]
    constant_rate: Fraction | None
    counted: bool
    promised_frames: int | None

    @property
    def frames(self) -> int:
        """How many frames the tape shows; at least 1."""
        return len(self.ticks)

    @property
    def start(self) -> Fraction:
        """The first picture's time as the file stamps it, in seconds."""
        return self.start_tick * self.time_base

    @property
    def duration(self) -> Fraction:
        """Seconds from the first picture to the end of the last."""
        return self.frames / self.constant_rate if self.constant_rate else self.end_tick * self.time_base

    @property
    def average_fps(self) -> Fraction:
        """Frames a second over the whole tape."""
        return self.constant_rate or self.frames / self.duration

    def time_of(self, frame: int) -> Fraction:
        """Seconds from the first picture at which `frame` begins; raises `IndexError` outside the tape."""
        if not 0 <= frame < self.frames:
            raise IndexError(f"frame {frame} of a tape of {self.frames}")
        return frame / self.constant_rate if self.constant_rate else int(self.ticks[frame]) * self.time_base

    def frame_at(self, moment: Fraction) -> int:
        """The last frame that has begun at `moment` (seconds from the first picture); the first or last one outside."""
        if self.constant_rate:
            return min(max((moment * self.constant_rate).__floor__(), 0), self.frames - 1)
        begun = np.searchsorted(self.ticks, (moment / self.time_base).__floor__(), side="right")
        return max(int(begun) - 1, 0)

    def frame_shown(self, grid_frame: int, rate: Fraction) -> int:
        """The tape frame for frame `grid_frame` of the tape's own grid at the sequence's `rate`: the one at grid_frame / rate."""
        return self.frame_at(Fraction(grid_frame) / rate)

    def grid_frames(self, rate: Fraction) -> int:
        """How many frames of the sequence's `rate` begin before the tape ends."""
        return -(-self.duration * rate // 1)

    def key_before(self, frame: int) -> int:
        """The last frame at or before `frame` where decoding can begin."""
        return int(self.keys[max(int(np.searchsorted(self.keys, frame, side="right")) - 1, 0)])


def frame_clock(rate: Fraction) -> tuple[int, int]:
    """Ticks a second, and ticks a frame, of the movies made here; every frame of a listed rate lies on a whole tick."""
    return (rate.numerator, rate.denominator) if rate.denominator > 1 else (rate.numerator * 1000, 1000)


def constant_index(rate: Fraction, frames: int) -> FrameIndex:
    """The index of a work copy of `frames` key frames, known without reading the file."""
    ticks_a_second, step = frame_clock(rate)
    order = np.arange(frames, dtype=np.int64)
    return FrameIndex(Fraction(1, ticks_a_second), 0, frames * step, order * step, order, rate, False, frames)


def frame_index(path: Path, cache_dir: Path | None = None) -> FrameIndex:
    """The index of a tape, from the cache when it is there and whole, else read from the tape and cached.

    Reads every packet of the tape once. Raises `MediaFault` when no frame can be decoded, `UseFault` for what is not a movie.
    """
    if cache_dir is None:
        return _read(path)
    mark = fingerprint(path)
    cached = cache_dir / "index" / f"{mark}.{_VERSION}.npz"
    if (known := _restored(cached)) is not None:
        return known
    index = _read(path)
    # What was read of a tape that went away, or is still being copied here, must not be kept as the whole of it.
    must_be_unchanged(path, mark)
    with replacing(cached) as temporary:
        temporary.write_bytes(_stored(index))
    return index


@dataclass(slots=True)
class _Stamp:
    pts: int | None
    dts: int | None
    key: bool
    duration: int


def _read(path: Path) -> FrameIndex:
    stamps: list[_Stamp] = []
    head: list[VideoFrame] = []
    whole_packets = 0
    # The last tick that each stream reaches; a fraction for every packet would cost more than reading it.
    reached: dict[int, int] = {}
    with opened(path) as container:
        stream = picture_stream(container, path)
        wanted = stream.index
        stores_times = any(name in container.format.name.split(",") for name in _STORING_TIMES)
        if stream.frames:  # so that the length of the rest need not speak for it, and is not read
            for other in container.streams:
                if other.index != wanted:
                    other.discard = Discard.all
        for packet in container.demux():
            # A file cut short ends in half a packet.
            if not packet.size or packet.is_corrupt:
                continue
            pts, dts, length, number = packet.pts, packet.dts, packet.duration or 0, packet.stream_index
            latest = pts if pts is not None else dts
            if latest is not None and latest + length > reached.get(number, 0):
                reached[number] = latest + length
            if number == wanted:
                whole_packets += 1
                if stores_times and not head:
                    head = _decoded(packet)
                # An edit list hides frames by marking their packets.
                if not packet.is_discard:
                    stamps.append(_Stamp(pts, dts, packet.is_keyframe, length))
        bases = {number: container.streams[number].time_base or Fraction(0) for number in reached}
        read_to = max((ticks * bases[number] for number, ticks in reached.items()), default=Fraction(0))
        time_base = cast(Fraction, stream.time_base)
        declared = [stream.average_rate, stream.guessed_rate, stream.base_rate]
        promised_packets = stream.frames or _promised_by_length(whole_packets, read_to, container.duration)
    if not (head and _orderly(stamps)):
        with opened(path) as container:
            head = _first_frames(picture_stream(container, path), path)
    shown = [frame.pts for frame in head if frame.pts is not None]
    in_order = len(shown) == len(head) and all(before < after for before, after in pairwise(shown))
    counted = not in_order or any(stamp.pts is None for stamp in stamps)
    keys: list[int] = []
    if counted:
        moments = sorted(stamp.dts for stamp in stamps if stamp.dts is not None)
    else:
        moments = sorted({pts for stamp in stamps if (pts := stamp.pts) is not None and pts >= shown[0]})
        keys = [pts for stamp in stamps if stamp.key and (pts := stamp.pts) is not None and pts >= shown[0]]
    if not moments:
        raise MediaFault(f"{path} has a picture track without times; make a new copy of it in another format.")
    ticks = np.array(moments, dtype=np.int64)
    ticks -= ticks[0]
    end_tick = int(ticks[-1]) + _last_length(stamps, ticks)
    return FrameIndex(
        time_base=time_base,
        start_tick=moments[0],
        end_tick=end_tick,
        ticks=ticks,
        keys=np.unique(np.searchsorted(ticks, np.array([moments[0], *keys]) - moments[0])),
        constant_rate=_constant_rate(ticks, time_base, [rate for rate in declared if rate]),
        counted=counted,
        promised_frames=promised_packets - (whole_packets - len(moments)) if promised_packets else None,
    )


def _orderly(stamps: list[_Stamp]) -> bool:
    """Whether the packets say for themselves when each is shown: a key frame first, every time given, and none twice."""
    times = [stamp.pts for stamp in stamps]
    return bool(stamps) and stamps[0].key and None not in times and len(set(times)) == len(times)


def _first_frames(stream: VideoStream, path: Path) -> list[VideoFrame]:
    found: list[VideoFrame] = []
    for packet in stream.container.demux(stream):  # type: ignore[attr-defined]
        found += _decoded(packet)
        if len(found) >= _FRAMES_LOOKED_AT:
            break
    if not found:
        raise MediaFault(f"{path} has a picture track, but no frame of it can be decoded; copy it from the camera again.")
    return found


def _decoded(packet: Packet[Stream]) -> list[VideoFrame]:
    try:
        return cast(list[VideoFrame], packet.decode())
    except av.InvalidDataError:
        return []


def _promised_by_length(packets: int, read_to: Fraction, container_duration: int | None) -> int | None:
    """How many packets a header without a count speaks of, when it is at least a second longer than what could be read."""
    if not container_duration or not read_to or Fraction(container_duration, av.time_base) - read_to < 1:
        return None
    return round(packets * Fraction(container_duration, av.time_base) / read_to)


def _last_length(stamps: list[_Stamp], ticks: NDArray[np.int64]) -> int:
    last = max(stamps, key=lambda stamp: (stamp.pts if stamp.pts is not None else -1, stamp.dts or 0))
    if last.duration > 0:
        return last.duration
    return int(np.median(np.diff(ticks))) if len(ticks) > 1 else 1


def _constant_rate(ticks: NDArray[np.int64], time_base: Fraction, declared: list[Fraction]) -> Fraction | None:
    order = np.arange(len(ticks), dtype=np.int64)
    for rate in [*declared, *(listed.fps for listed in RATES)]:
        frame_ticks = 1 / rate / time_base
        if int(ticks[-1]) * frame_ticks.denominator >= 1 << 62 or len(ticks) * frame_ticks.numerator >= 1 << 62:
            continue
        # Whole numbers only: |tick - n x frame_ticks| <= 1, multiplied through by the denominator.
        off = np.abs(ticks * frame_ticks.denominator - order * frame_ticks.numerator)
        allowed = frame_ticks.denominator if frame_ticks >= 8 else 0
        if int(off.max()) <= allowed:
            return rate
    return None


def _stored(index: FrameIndex) -> bytes:
    facts = {
        "time_base": str(index.time_base),
        "start_tick": index.start_tick,
        "end_tick": index.end_tick,
        "constant_rate": str(index.constant_rate) if index.constant_rate else None,
        "counted": index.counted,
        "promised_frames": index.promised_frames,
    }
    buffer = io.BytesIO()
    np.savez_compressed(buffer, ticks=index.ticks, keys=index.keys, facts=np.array(json.dumps(facts)))
    return buffer.getvalue()


def _restored(cached: Path) -> FrameIndex | None:
    try:
        # From memory, since numpy leaves a file open that turns out not to be one of its own.
        with np.load(io.BytesIO(cached.read_bytes())) as stored:
            facts = json.loads(str(stored["facts"]))
            return FrameIndex(
                time_base=Fraction(facts["time_base"]),
                start_tick=facts["start_tick"],
                end_tick=facts["end_tick"],
                ticks=stored["ticks"],
                keys=stored["keys"],
                constant_rate=Fraction(facts["constant_rate"]) if facts["constant_rate"] else None,
                counted=facts["counted"],
                promised_frames=facts["promised_frames"],
            )
    except Exception:  # a cache may hold anything; whatever is wrong with it, the tape is read again
        return None
