"""Movie files taken in as tapes, and what is kept of them in the cache."""

from __future__ import annotations

import random
import shutil
import struct
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from fuzz import seeds
from fuzz.judging import Unsound
from fuzz.mutations import worse as worse_bytes
from fuzz.readers import Reader, put, sound

from previs.media import index as indexing
from previs.media import signals as signalling
from previs.media import sound as sounding
from previs.media.frames import FrameReader
from previs.media.index import FrameIndex, frame_index
from previs.media.ingest import tape_from_file
from previs.media.probe import probe
from previs.media.workcopy import WorkCopy

ATOMS = (
    "ftyp", "moov", "mvhd", "trak", "tkhd", "edts", "elst", "mdia", "mdhd", "hdlr", "minf", "stbl", "stsd", "stts", "ctts", "stss",
    "stsc", "stsz", "stco", "co64", "mdat", "udta", "meta", "tmcd", "avc1", "mp4a", "free", "moof", "avcC",
    "isom", "qt  ", "vide", "soun", "tref",
)  # fmt: skip


@cache
def movies() -> tuple[bytes, ...]:
    """Tiny movies of each container that cameras write, made here."""
    from clips import make_clip

    made = []
    with TemporaryDirectory() as folder:
        for name, how in (
            ("a.mp4", {"metadata": {"timecode": "10:00:00:00"}, "options": {"g": "6", "bf": "2"}}),
            ("b.mov", {"sound": "", "rotation": 90, "codec": "mjpeg", "pixel_format": "yuvj420p"}),
            ("c.mkv", {"kept": (0, 1, 3, 4, 7, 9), "rate": Fraction(30000, 1001)}),
            ("d.avi", {"codec": "mpeg4", "sound": "mp3"}),
        ):
            clip = make_clip(Path(folder) / name, **{"frames": 10, "size": (64, 48), "layout": "mono", **how})
            made.append(clip.path.read_bytes())
    return tuple(made)


def worse_movie(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """A movie with numbers of its header changed: sizes, counts, lengths, rates, names of its parts."""
    head = data.find(b"moov") if b"moov" in data else 0
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at = chance.randrange(head, len(changed) - 8) if len(changed) > head + 9 else 0
        how = chance.random()
        if how < 0.4:
            parts = [spot for spot in (changed.find(token.encode(), head) for token in tokens) if spot > 3]
            at = chance.choice(parts) + chance.choice((-4, 0, 4, 8, 12, 16, 20)) if parts else at
        if how < 0.8:
            number = chance.choice((0, 1, 2, 0xFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 0x10000, chance.getrandbits(32)))
            changed[at : at + 4] = struct.pack(">I", number)
        elif how < 0.9:
            changed[at : at + 4] = chance.choice(tokens).encode()
        else:
            changed[at] ^= 1 << chance.randrange(8)
    return bytes(changed)


def _movie(data: bytes, folder: Path) -> object:
    path = put(data, folder / "tape.mp4")
    tape = tape_from_file(path, "tape.mp4", (), folder / f"cache{len(data) % 7}")
    sound(seeds.bare_sequence().with_tape(tape))
    index = frame_index(path, folder / f"cache{len(data) % 7}")
    with FrameReader(path, index, rotation=tape.rotation, size_px=(64, 48), threads=1) as reader:
        return [reader.picture(frame).shape for frame in {0, index.frames // 2, index.frames - 1}]


def _tape_sound(data: bytes, folder: Path) -> object:
    """A movie's sound is no longer than its picture and what it has of sound itself."""
    path, cached = put(data, folder / "tape.mp4"), folder / "cache"
    probe(path, cached)
    heard = sounding.tape_sound(path, cached)
    if len(heard) > (frame_index(path, cached).duration + 60) * sounding.SAMPLE_RATE:
        raise Unsound(f"{len(heard)} samples of sound")
    shutil.rmtree(cached)
    return heard[-1000:]


def _kept_index(data: bytes, folder: Path) -> object:
    """An index in the cache of a tape that plays: whatever it holds, the tape's own frames come out."""
    tape = put(movies()[0], folder / "tape.mp4")
    kept = folder / "index" / f"{indexing.fingerprint(tape)}.{indexing._VERSION}.npz"
    kept.parent.mkdir(exist_ok=True)
    put(data, kept)
    return _sound_index(frame_index(tape, folder))


def _sound_index(index: FrameIndex) -> FrameIndex:
    index.frame_at(Fraction(1, 3))
    index.key_before(index.frames - 1)
    index.time_of(index.frames - 1)
    if index.frames != len(index.ticks) or index.duration <= 0 or index.average_fps <= 0 or not isinstance(index.start, Fraction):
        raise Unsound(f"an index of {index.frames} frames that last {index.duration} s")
    return index


@cache
def indexes() -> tuple[bytes, ...]:
    with TemporaryDirectory() as folder:
        return tuple(indexing._stored(frame_index(put(movie, Path(folder) / "tape"), None)) for movie in movies())


def _copy() -> WorkCopy:
    return WorkCopy(Path("copy.mp4"), "0" * 32, 10, Fraction(24))


def _kept_signals(data: bytes, folder: Path) -> object:
    kept = put(data, folder / "signals.npz")
    found = signalling._restored(kept, _copy())
    if found is not None:
        found.evidence  # noqa: B018  (worked out when it is asked for)
        found.hits  # noqa: B018
        if found.waveform.shape != (len(found.waveform), 2):
            raise Unsound("a waveform that cannot be drawn")
    return found


@cache
def kept_signals() -> tuple[bytes, ...]:
    import io

    held, rows, curve = io.BytesIO(), np.zeros((3, 5)), np.linspace(0, 1, 200)
    np.savez(
        held, bright=curve, dull=curve, bandwidth=8000.0, strikes=rows, slates=rows, landings=rows, energy=np.ones(10), change=np.ones(10),
        waveform=np.zeros((40, 2), np.float32),
    )  # fmt: skip
    return (held.getvalue(),)


def _kept_sound(data: bytes, folder: Path) -> object:
    found = sounding._restored(put(data, folder / "sound.npy"), folder)
    return None if found is None else np.asarray(found[:1000])


@cache
def kept_sounds() -> tuple[bytes, ...]:
    import io

    held = io.BytesIO()
    np.save(held, np.zeros((500, 2), np.float32))
    return (held.getvalue(),)


HEADER = (
    "'descr'",
    "'<f4'",
    "'<f8'",
    "'|O'",
    "True",
    "False",
    "(500, 2)",
    "(1000000000000, 2)",
    "'shape'",
    "NUMPY",
    "PK\x03\x04",
    "facts.npy",
    "ticks.npy",
)
READERS = {
    "movie": Reader("movie", _movie, movies, ATOMS, worse_movie, megabytes=2048, pure=False, seconds=20),
    "tape-sound": Reader("tape-sound", _tape_sound, movies, ATOMS, worse_movie, megabytes=2048, pure=False, seconds=20),
    "tape-index": Reader("tape-index", _kept_index, indexes, HEADER, pure=False),
    "signals": Reader("signals", _kept_signals, kept_signals, HEADER, pure=False),
    "sound": Reader("sound", _kept_sound, kept_sounds, HEADER, worse_bytes, pure=False),
}
