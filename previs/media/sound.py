"""Sound kept on disk and read as one array: a tape's, in step with its picture, decoded once; it does not mix or cut."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from fractions import Fraction
from io import SEEK_CUR, BufferedIOBase, RawIOBase
from pathlib import Path
from tempfile import TemporaryFile
from threading import Lock
from typing import Any, cast
from weakref import finalize

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from numpy.typing import NDArray

from previs.media.fingerprint import fingerprint, must_be_unchanged
from previs.media.index import frame_index
from previs.media.kept import header
from previs.media.opening import cache_gone, opened, sound_stream
from previs.replacing import replacing

SAMPLE_RATE = 48000
"""Samples a second of all sound in this program."""

Samples = NDArray[np.float32]
"""Stereo sound, (samples, 2), full scale at -1 and 1."""

_ROW_BYTES = 8
_VERSION = 1
# Containers round the stamps of sound (Matroska to milliseconds); a step below this is rounding, above it a gap.
_GAP_SECONDS = Fraction(2, 1000)
_CHUNK_SAMPLES = 1 << 15


class StoredSound:
    """Sound in a file of the cache, (samples, 2), of which the rows asked for are read; it stays readable when the cache is deleted.

    It closes `file`. It is not mapped into memory, since a disk that fails under a mapping ends the whole program. A slice of rows raises
    `MediaFault` when the file fails or was cut short.
    """

    def __init__(self, file: RawIOBase | BufferedIOBase, first_byte: int, samples: int, cache_dir: Path) -> None:
        self._file, self._first_byte, self._cache_dir = file, first_byte, cache_dir
        self._lock = Lock()
        finalize(self, file.close)
        self.shape = (samples, 2)

    def __len__(self) -> int:
        return self.shape[0]

    def __getitem__(self, rows: slice) -> Samples:
        start, end, _ = slice(rows.start, rows.stop).indices(len(self))
        held = np.empty((max(0, end - start), 2), np.float32)
        left = memoryview(held.reshape(-1).view(np.uint8).data)
        try:
            with self._lock:
                self._file.seek(self._first_byte + start * _ROW_BYTES)
                while left:
                    taken = self._file.readinto(left)
                    if not taken:
                        raise cache_gone(self._cache_dir)
                    left = left[taken:]
        except OSError as error:
            raise cache_gone(self._cache_dir) from error
        return held

    def __array__(self, dtype: type | None = None, copy: bool | None = None) -> NDArray[Any]:
        return self[:] if dtype is None else self[:].astype(dtype)


def tape_sound(path: Path, cache_dir: Path, known_fingerprint: str = "") -> StoredSound:
    """The tape's sound at 48 kHz, stereo: sample n sounds n / 48000 seconds after the first picture.

    Sound before the first picture is left out; late sound and gaps are filled with silence, so it stays in step.
    A mono track sounds on both sides; more than two channels are mixed down. No rows when the tape has no sound.
    With `known_fingerprint` the cached sound serves even when the tape itself is away.
    Raises `UseFault` and `MediaFault` as `probe` does.
    """
    mark = known_fingerprint or fingerprint(path)
    cached = cache_dir / "sound" / f"{mark}.{_VERSION}.npy"
    if (known := _restored(cached, cache_dir)) is not None:
        return known
    index = frame_index(path, cache_dir)
    with replacing(cached) as temporary, temporary.open("wb") as file:
        file.write(_header(0))
        written = 0
        for block in _at_48k(path, index.start, index.duration):
            if block.any():
                file.write(np.ascontiguousarray(block, dtype=np.float32).data)
            else:  # a hole in the file reads as silence and takes no room, however long a damaged tape says that it lasts
                file.seek(len(block) * _ROW_BYTES, SEEK_CUR)
            written += len(block)
        file.truncate()
        file.seek(0)
        file.write(_header(written))
        must_be_unchanged(path, mark)
    if (made := _restored(cached, cache_dir)) is None:
        raise cache_gone(cache_dir)
    return made


def stored(blocks: Iterable[Samples], cache_dir: Path) -> StoredSound:
    """Sound that is worked out block by block, kept in a nameless file of the cache that goes with it: an hour takes 1.4 GB."""
    cache_dir.mkdir(parents=True, exist_ok=True)
    samples = 0
    with ExitStack() as held:
        file = held.enter_context(TemporaryFile(dir=cache_dir))
        for block in blocks:
            file.write(np.ascontiguousarray(block, dtype=np.float32).data)
            samples += len(block)
        file.flush()
        held.pop_all()
    return StoredSound(file, 0, samples, cache_dir)


def sample_at(frame: int, rate: Fraction) -> int:
    """The 48 kHz sample nearest to the start of a frame; at 29.97 and 59.94 frames are not whole numbers of samples."""
    return (Fraction(frame) / rate * SAMPLE_RATE + Fraction(1, 2)).__floor__()


def _restored(cached: Path, cache_dir: Path) -> StoredSound | None:
    try:
        first_byte = len(_header(0))
        samples, odd = divmod(cached.stat().st_size - first_byte, _ROW_BYTES)
        with cached.open("rb") as file:
            whole = samples >= 0 and not odd and file.read(first_byte) == _header(samples)
        return StoredSound(cached.open("rb", buffering=0), first_byte, samples, cache_dir) if whole else None
    except OSError:  # missing, or not to be read: made anew
        return None


def _header(samples: int) -> bytes:
    return header((samples, 2), np.float32)


def _at_48k(path: Path, start: Fraction, seen: Fraction) -> Iterator[Samples]:
    with opened(path) as container:
        if (track := sound_stream(container)) is None:
            return
        native = track.sample_rate
        if native == SAMPLE_RATE:
            yield from _in_step(path, start, seen)
            return
        resampler = AudioResampler(format="flt", layout="stereo", rate=SAMPLE_RATE)
        fed = 0
        for block in _in_step(path, start, seen):
            frame = AudioFrame.from_ndarray(np.ascontiguousarray(block).reshape(1, -1), format="flt", layout="stereo")
            frame.sample_rate, frame.pts, frame.time_base = native, fed, Fraction(1, native)
            fed += len(block)
            yield from (_rows(made) for made in resampler.resample(frame))
        if fed:
            yield from (_rows(made) for made in resampler.resample(None))


def _rows(frame: AudioFrame) -> Samples:
    return cast(Samples, frame.to_ndarray().reshape(-1, 2))


def _in_step(path: Path, start: Fraction, seen: Fraction) -> Iterator[Samples]:
    """Stereo blocks at the tape's own sample rate without gap or overlap, the first sample at `start` of the file's time.

    `seen` is how long the picture lasts: silence is not filled in beyond it, or one damaged time stamp would fill the disk.
    """
    written = 0
    with opened(path) as container:
        stream = cast(AudioStream, sound_stream(container))
        native = stream.sample_rate
        mono = stream.channels == 1
        to_floats = _to_floats(mono)
        for frame in _decodable(container.demux(stream)):
            try:
                block = _stereo(to_floats.resample(frame), mono=mono)
            except ValueError:  # of another kind than the frames before it
                to_floats = _to_floats(mono)
                block = _stereo(to_floats.resample(frame), mono=mono)
            if frame.pts is not None and frame.time_base is not None:
                place = round((frame.pts * frame.time_base - start) * native)
                off = place - written
                if off > 0 and place > seen * native:
                    return
                if abs(off) > native * (_GAP_SECONDS + frame.time_base) or (written == 0 and off):
                    while off > 0:
                        silence = min(off, _CHUNK_SAMPLES)
                        yield np.zeros((silence, 2), np.float32)
                        written += silence
                        off -= silence
                    block = block[-off:]
            written += len(block)
            if len(block):
                yield block


def _decodable(packets: Iterator[av.Packet]) -> Iterator[AudioFrame]:  # type: ignore[type-arg]
    for packet in packets:
        try:
            yield from cast(list[AudioFrame], packet.decode())
        except av.InvalidDataError:  # a damaged packet becomes silence
            continue


def _to_floats(mono: bool) -> AudioResampler:
    return AudioResampler(format="flt", layout="mono" if mono else "stereo")


def _stereo(frames: list[AudioFrame], *, mono: bool) -> Samples:
    blocks = [frame.to_ndarray().reshape(-1, 1 if mono else 2) for frame in frames]
    block = np.concatenate(blocks) if blocks else np.zeros((0, 2), np.float32)
    # The library would halve the power of a mono track that it spreads to two sides.
    return np.repeat(block, 2, axis=1) if mono and len(block) else cast(Samples, block)
