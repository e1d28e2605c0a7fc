"""The one door through which media files are opened: it owns closing and turns the library's errors into sentences."""

from __future__ import annotations

import errno
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


_AWAY = frozenset({errno.EIO, errno.ENOENT, errno.ESTALE, errno.ENODEV, errno.ENXIO, errno.ENOTCONN, errno.ETIMEDOUT, errno.EHOSTDOWN})


class MediaFault(Fault):
    """A movie file that is damaged, cut short or otherwise cannot serve."""


class Damaged(MediaFault):
    """A movie file whose bytes are not all there or not what they were."""


class WentAway(MediaFault):
    """A movie file that could be read before and cannot now: its drive or its share is gone, or it was written over."""

    def __init__(self, path: Path, reason: str | None) -> None:
        super().__init__(
            f"{path} cannot be read any more ({reason}); bring its drive or share back and try again: what is finished is kept."
        )


@contextmanager
def opened(path: Path) -> Iterator[InputContainer]:
    """The movie file, opened for reading and closed at the end of the block.

    Raises `UseFault` for what is not a movie and `MediaFault` for a damaged one, also when the damage shows only
    inside the block.
    """
    _refuse_what_is_no_file(path)
    try:
        # The whole path, since a name such as `take:1.mp4` alone would be taken for an address.
        container = av.open(str(path.absolute()), metadata_errors="replace")
    except av.FFmpegError as error:
        raise _fault_of_opening(path, error) from error
    try:
        if container.format.name in _NOT_MOVIES or container.format.name.endswith("_pipe"):
            raise UseFault(f"{path} is not a movie; name a movie file.")
        yield container
    except av.FFmpegError as error:
        if _is_of_another(error, path):
            raise
        raise fault_of_reading(path, error) from error
    finally:
        container.close()


def fault_of_reading(path: Path, error: av.FFmpegError) -> MediaFault:
    """What to say of a movie that was opened and then could not be read further."""
    if error.errno in _AWAY:
        return WentAway(path, error.strerror)
    return Damaged(f"{path} cannot be read to the end ({error.strerror}); copy it from the camera again.")


@contextmanager
def from_cache(folder: Path) -> Iterator[None]:
    """Around the reading of what was found in the cache `folder` before: raises `MediaFault` when it is not what it was any more."""
    try:
        yield
    except (UseFault, Damaged, WentAway, FileNotFoundError) as error:
        named = getattr(error, "filename", None)
        if isinstance(error, FileNotFoundError) and not (named and Path(named).is_relative_to(folder)):
            raise
        raise cache_gone(folder) from error


def cache_gone(folder: Path) -> MediaFault:
    """What to say when something in the cache was there a moment ago and is not, or is not what it was."""
    what = f"The cache {folder} was deleted or changed while it was in use"
    return MediaFault(f"{what}; try again, and what is missing is made anew, or delete the whole folder first.")


def _is_of_another(error: av.FFmpegError, path: Path) -> bool:
    """Whether an error is about another file, such as one that is being written meanwhile."""
    return bool(error.filename) and Path(error.filename).is_absolute() and Path(error.filename) != path.absolute()


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
    if not path.is_file():
        raise UseFault(f"{path} is no file but a pipe or a device, which may never end; name one movie file.")
    if path.stat().st_size == 0:
        raise UseFault(f"{path} is empty (0 bytes); copy it from the camera again.")


def _fault_of_opening(path: Path, error: av.FFmpegError) -> Fault:
    if error.errno in _AWAY:
        return WentAway(path, error.strerror)
    if not isinstance(error, av.InvalidDataError):
        return UseFault(f"{path} cannot be opened: {error.strerror}; check that you may read it.")
    try:
        with path.open("rb") as file:
            head = file.read(12)
    except OSError as gone:
        return WentAway(path, gone.strerror or str(gone))
    if head[4:8] in (b"ftyp", b"mdat", b"wide", b"free"):
        return Damaged(f"{path} is cut short: the table of its frames is missing; copy it from the camera again.")
    return UseFault(f"{path} is not a movie; name a movie file.")
