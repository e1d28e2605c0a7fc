"""The one door through which media files are opened: it owns closing and turns the library's errors into sentences."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import av
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.stream import Disposition
from av.video.stream import VideoStream

from previs.faults import Fault, UseFault

# The library opens plain text as a drawing in characters and a still as a film of one frame.
_NOT_MOVIES = ("tty", "image2")


class MediaFault(Fault):
    """A movie file that is damaged, cut short or otherwise cannot serve."""


@contextmanager
def opened(path: Path) -> Iterator[InputContainer]:
    """The movie file, opened for reading and closed at the end of the block.

    Raises `UseFault` for what is not a movie and `MediaFault` for a damaged one, also when the damage shows only
    inside the block.
    """
    _refuse_what_is_no_file(path)
    try:
        container = av.open(str(path), metadata_errors="replace")
    except av.FFmpegError as error:
        raise _fault_of_opening(path, error) from error
    try:
        if container.format.name in _NOT_MOVIES or container.format.name.endswith("_pipe"):
            raise UseFault(f"{path} is not a movie; name a movie file.")
        yield container
    except av.FFmpegError as error:
        raise MediaFault(f"{path} cannot be read to the end ({error.strerror}); copy it from the camera again.") from error
    finally:
        container.close()


def picture_stream(container: InputContainer, path: Path) -> VideoStream:
    """The first moving picture of a movie; raises `UseFault` when it has sound only. A cover image does not count.

    Raises `MediaFault` for a picture that there is no decoder for.
    """
    for stream in container.streams.video:
        if not stream.disposition & Disposition.attached_pic:
            if not _can_be_decoded(stream):
                raise MediaFault(f"{path} has a picture in a coding that cannot be read here; make a copy of it in another format.")
            return stream
    raise UseFault(f"{path} has no picture, only sound or data; name a movie file.")


def sound_stream(container: InputContainer) -> AudioStream | None:
    """The first sound track that there is a decoder for; None for a movie without one."""
    # The library leaves the decoder out of a stream that it knows none for, which its types do not say.
    return next((stream for stream in container.streams.audio if _can_be_decoded(stream)), None)


def _can_be_decoded(stream: AudioStream | VideoStream) -> bool:
    return getattr(stream, "codec_context", None) is not None


def _refuse_what_is_no_file(path: Path) -> None:
    if path.is_dir():
        raise UseFault(f"{path} is a folder; name one movie file.")
    if not path.exists():
        raise UseFault(f"There is no file {path}; check the name, or connect the drive that it is on.")
    if path.stat().st_size == 0:
        raise UseFault(f"{path} is empty (0 bytes); copy it from the camera again.")


def _fault_of_opening(path: Path, error: av.FFmpegError) -> Fault:
    if not isinstance(error, av.InvalidDataError):
        return UseFault(f"{path} cannot be opened: {error.strerror}; check that you may read it.")
    with path.open("rb") as file:
        head = file.read(12)
    if head[4:8] in (b"ftyp", b"mdat", b"wide", b"free"):
        return MediaFault(f"{path} is cut short: the table of its frames is missing; copy it from the camera again.")
    return UseFault(f"{path} is not a movie; name a movie file.")
