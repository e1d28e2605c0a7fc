"""What a tape is: size, rate, rotation, sound, time code; read once from its packets and first frames, never guessed from its name."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import cast

from av.audio.stream import AudioStream
from av.container import InputContainer
from av.video.stream import VideoStream

from previs.clock import Rate
from previs.media.index import FrameIndex, frame_index
from previs.media.opening import MediaFault, opened, picture_stream, sound_stream

_FIELD_ORDER_PROGRESSIVE = 1
LONGEST_SECONDS = 24 * 3600
"""Time code counts a day; what says that it lasts longer is damaged, and its work copy would fill the disk."""


@dataclass(frozen=True, slots=True)
class SoundFacts:
    """The first sound track: samples a second, and channels."""

    codec: str
    sample_rate: int
    channels: int


@dataclass(frozen=True, slots=True)
class TapeFacts:
    """What a tape is. Sizes in pixels, times in exact seconds.

    `rotation` is the turn to the left, in degrees (0, 90, 180, 270), that sets the stored picture upright;
    `width` and `height` are upright and in square pixels. `rate` is the listed rate nearest to the average, for labels;
    `variable` is True when no one rate fits every frame. `start_label` is the time code written in the file, or None.
    `sound_offset` is the first sound sample's time less the first picture's.
    """

    path: Path
    container: str
    codec: str
    pixel_format: str
    bit_depth: int
    stored_width: int
    stored_height: int
    rotation: int
    sample_aspect: Fraction
    width: int
    height: int
    interlaced: bool
    rate: Rate
    average_fps: Fraction
    variable: bool
    frames: int
    duration: Fraction
    start_label: str | None
    start_drop: bool
    sound: SoundFacts | None
    sound_offset: Fraction


def probe(path: Path, cache_dir: Path | None = None) -> TapeFacts:
    """Read what a tape is; the index made on the way is kept in `cache_dir` when one is given.

    Raises `UseFault` for what is not a movie with a picture, and `MediaFault` for a movie that is damaged or cut short,
    with how many of its frames can be read.
    """
    index = frame_index(path, cache_dir)
    if index.duration > LONGEST_SECONDS:
        hours = index.duration // 3600
        raise MediaFault(f"{path} says that it lasts {hours} hours, and no tape lasts a day; make a new copy of it in another format.")
    with opened(path) as container:
        stream = picture_stream(container, path)
        _refuse_cut_short(path, index, header_counts=stream.frames > 0)
        first = next(container.decode(stream), None)
        if first is None:
            raise MediaFault(f"{path} has a picture track, but no frame of it can be decoded; copy it from the camera again.")
        rotation = first.rotation % 360
        if rotation % 90:
            raise MediaFault(f"{path} is to be shown turned by {rotation} degrees; turn it upright in the camera's own program first.")
        aspect = stream.sample_aspect_ratio or Fraction(1)
        width, height = upright_size(stream.width, stream.height, rotation, aspect)
        if min(width, height) < 1:
            raise MediaFault(f"{path} says that its picture is {width} x {height}, which is none; make a new copy of it in another format.")
        label = _start_label(container)
        sound = sound_stream(container)
        return TapeFacts(
            path=path,
            container=container.format.name,
            codec=stream.codec_context.name,
            pixel_format=first.format.name,
            bit_depth=max(component.bits for component in first.format.components),
            stored_width=stream.width,
            stored_height=stream.height,
            rotation=rotation,
            sample_aspect=aspect,
            width=width,
            height=height,
            interlaced=_interlaced(stream, first.interlaced_frame),
            rate=Rate.nearest(index.average_fps),
            average_fps=index.average_fps,
            variable=index.constant_rate is None,
            frames=index.frames,
            duration=index.duration,
            start_label=label,
            start_drop=label is not None and ";" in label,
            sound=SoundFacts(sound.codec_context.name, sound.sample_rate, sound.channels) if sound else None,
            sound_offset=_first_sound(path) - index.start if sound else Fraction(0),
        )


def upright_size(stored_width: int, stored_height: int, rotation: int, sample_aspect: Fraction) -> tuple[int, int]:
    """Width and height in square pixels of the picture as it is to be seen."""
    width = round(stored_width * sample_aspect)
    return (stored_height, width) if rotation % 180 else (width, stored_height)


def _refuse_cut_short(path: Path, index: FrameIndex, *, header_counts: bool) -> None:
    promised = index.promised_frames
    # A camera that is switched off may leave out the last frame or two that it counted.
    if promised and index.frames < promised - 2:
        count = f"{promised}" if header_counts else f"about {promised}"
        raise MediaFault(
            f"{path} is cut short: {index.frames} of {count} frames can be read; copy it from the camera again, "
            "or make a new movie of the part that plays."
        )


def _interlaced(stream: VideoStream, first_is_interlaced: bool) -> bool:
    return first_is_interlaced or stream.codec_context.field_order > _FIELD_ORDER_PROGRESSIVE


def _start_label(container: InputContainer) -> str | None:
    for metadata in (*(stream.metadata for stream in container.streams), container.metadata):
        if label := metadata.get("timecode"):
            return label
    return None


def _first_sound(path: Path) -> Fraction:
    # Decoded, not demuxed: the coder's own lead-in is marked to be thrown away, and only the decoder takes it off.
    with opened(path) as container:
        for packet in container.demux(cast(AudioStream, sound_stream(container))):
            for frame in packet.decode():
                if frame.pts is not None and frame.time_base is not None:
                    return Fraction(frame.pts * frame.time_base)
    return Fraction(0)
