"""What lies in the cache as pictures: work copies, rendered pieces of a cut, cards, heads that were followed."""

from __future__ import annotations

import random
from contextlib import suppress
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from fuzz import seeds
from fuzz.judging import Unsound
from fuzz.mutations import worse as worse_bytes
from fuzz.readers import Reader, put
from fuzz.reading_movies import ATOMS, HEADER, movies, worse_movie

from previs.media import cards, head_tracks, workcopy
from previs.media.encode import all_key_codec
from previs.media.events import Black, CardPicture
from previs.media.frames import FrameReader
from previs.media.join import Piece, join
from previs.media.publish import _is_whole
from previs.media.raster import Raster
from previs.media.render import RenderJob, Segment, Side, render_segment
from previs.progress import silent

RASTER, RATE, FRAMES = Raster(64, 64), Fraction(24), 12
CARD, LASTS = CardPicture("12-14", "Odile vaults"), "1 s"


@cache
def _copies() -> tuple[bytes, ...]:
    with TemporaryDirectory() as folder:
        tape = put(movies()[0], Path(folder) / "tape.mp4")
        tapes, counting = [workcopy.TapeToCopy(tape)], seeds.bare_sequence().timebase
        made = workcopy.make_work_copies(tapes, counting, RASTER, Path(folder) / "cache", silent)
        return (made[0].path.read_bytes(),)


def _copy(data: bytes, folder: Path) -> object:
    """A copy that is found whole gives pictures of its size, or says that it cannot."""
    place = workcopy._place("f" * 32, RATE, RASTER, folder)
    place.parent.mkdir(exist_ok=True)
    put(data, place)
    found = workcopy.find_work_copy("f" * 32, RATE, RASTER, folder)
    if found is None:
        return None
    with FrameReader(found.path, found.index, threads=1) as reader:
        return [reader.picture(frame).shape for frame in {0, found.frames // 2, found.frames - 1}]


def _job(folder: Path) -> RenderJob:
    return RenderJob(Segment(FRAMES, Side(Black(), 0)), all_key_codec(RASTER, RATE), {}, folder)


@cache
def _segments() -> tuple[bytes, ...]:
    with TemporaryDirectory() as folder:
        return (render_segment(_job(Path(folder)), lambda: None).read_bytes(),)


def _segment(data: bytes, folder: Path) -> object:
    job = _job(folder)
    job.place.parent.mkdir(exist_ok=True)
    put(data, job.place)
    if _is_whole(job.place, FRAMES):
        join([Piece(job.place, 0, FRAMES)], RATE, None, folder / "joined.mp4", "00:00:00:00", lambda: None)
    return None


@cache
def _cards() -> tuple[bytes, ...]:
    with TemporaryDirectory() as folder:
        return (cards.card_picture(CARD, LASTS, RASTER, Path(folder)).read_bytes(),)


def _card(data: bytes, folder: Path) -> object:
    place = cards.card_picture(CARD, LASTS, RASTER, folder)
    picture = cards.load_picture(put(data, place) if cards._whole(put(data, place), RASTER) else put(_cards()[0], place))
    if picture.shape != (RASTER.height, RASTER.width, 3):
        raise Unsound(f"a card of {picture.shape}")
    return picture


def _followed(data: bytes, folder: Path) -> object:
    take = seeds.marked_sequence().takes[0]
    copy = workcopy.WorkCopy(Path("copy.mov"), "f" * 32, 20, RATE)
    heights = head_tracks._restored(head_tracks._Job(copy, put(data, folder / "head.npy"), 0, 20, 0, (1.0, 1.0, 9.0, 9.0)))
    if heights is None:
        return None
    head = head_tracks.TakeHead(take, "Odile", 0, heights)
    largest = head.largest_between(0, 20)
    return round(largest or 0.0), f"{head.found_share:.0%}"


@cache
def _heights() -> tuple[bytes, ...]:
    import io

    held = io.BytesIO()
    np.save(held, np.array([30.0] * 15 + [np.nan] * 5))
    return (held.getvalue(),)


def _still(data: bytes, folder: Path) -> object:
    """A drawing or still that a document names for a card."""
    image = put(data, folder / "still.png")
    place = cards.card_picture(CardPicture("12-14", "", image), LASTS, RASTER, folder)
    with suppress(OSError):
        return cards.load_picture(place)
    raise Unsound("a card without a picture")


@cache
def _stills() -> tuple[bytes, ...]:
    import io

    from PIL import Image

    made = []
    for kind, mode in (("PNG", "RGB"), ("PNG", "RGBA"), ("PNG", "P"), ("JPEG", "RGB"), ("TIFF", "RGB"), ("GIF", "P"), ("BMP", "RGB")):
        held = io.BytesIO()
        Image.new(mode, (48, 32), 7).save(held, kind)
        made.append(held.getvalue())
    return tuple(made)


KINDS = (
    "IHDR", "IDAT", "IEND", "PLTE", "tRNS", "zTXt", "iCCP", "GIF89a", "%!PS-Adobe-3.0 EPSF-3.0\n", "\xff\xd8\xff\xe0", "II*\0", "BM",
)  # fmt: skip


def worse_still(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """A picture whose head says another size, or made worse byte by byte."""
    if chance.random() < 0.5 or len(data) < 30:
        return worse_bytes(data, tokens, chance)
    at, changed = chance.randrange(4, min(60, len(data) - 4)), bytearray(data)
    changed[at : at + 4] = chance.choice((0, 1, 2, 0xFFFF, 0x10000, 0x7FFFFFFF, 0xFFFFFFFF)).to_bytes(4, chance.choice(("big", "little")))
    return bytes(changed)


READERS = {
    "work-copy": Reader("work-copy", _copy, _copies, ATOMS, worse_movie, megabytes=2048, pure=False, seconds=20),
    "segment": Reader("segment", _segment, _segments, ATOMS, worse_movie, megabytes=2048, pure=False, seconds=20),
    "card": Reader("card", _card, _cards, HEADER, pure=False),
    "head-track": Reader("head-track", _followed, _heights, HEADER, pure=False),
    "still": Reader("still", _still, _stills, KINDS, worse_still, pure=False),
}
