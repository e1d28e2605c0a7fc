"""Cards and the leader as pictures, drawn with MoviePy in this program's own look; when they are shown is decided elsewhere."""

from __future__ import annotations

import unicodedata
import warnings
from collections.abc import Iterator
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, cast
from zlib import crc32

import moviepy
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFont

from previs.faults import UseFault
from previs.media.events import CardPicture
from previs.media.fingerprint import fingerprint
from previs.media.kept import kept_array
from previs.media.raster import Raster
from previs.replacing import replacing

_VERSION = 2
_PAPER = (246, 241, 230)
_INK = (38, 35, 33)
# The colours in which floor tape is sold and can be told apart from across a room.
_TAPES = ((201, 62, 42), (28, 103, 158), (214, 154, 12), (46, 125, 80))

# By file name, since that is how fonts are found alike on all systems; humanist faces first.
_FACES = ("NotoSans-Regular.ttf", "DejaVuSans.ttf", "segoeui.ttf", "Verdana.ttf", "verdana.ttf", "Arial.ttf", "arial.ttf")
_STILLS = ("PNG", "JPEG", "TIFF", "WEBP", "BMP", "GIF")
_MOST_PIXELS = Image.MAX_IMAGE_PIXELS or 0
"""The library's own limit, some 89 million."""
_PLAIN_SIGNS = str.maketrans(dict(zip("–—’‘“”øØłŁ×", "--''\"\"oOlLx", strict=True)) | {"ß": "ss"})

Rgb = NDArray[np.uint8]

LEADER_SECONDS = 8
BEEP_SECONDS_BEFORE = 2


def card_picture(card: CardPicture, planned: str, raster: Raster, cache_dir: Path) -> Path:
    """Draw a card once and give back the cached array's path, for `load_picture`; `planned` is its length, in words.

    Raises `UseFault` when its drawing or still is not there or cannot be read.
    """
    image = fingerprint(card.image) if card.image else ""
    content = repr((_VERSION, card.title, card.body, image, planned, str(raster))).encode()
    cached = cache_dir / "cards" / f"{blake2b(content, digest_size=16).hexdigest()}.npy"
    if _whole(cached, raster):
        return cached
    with replacing(cached) as temporary:
        np.save(temporary, _drawn_card(card, planned, raster))
    return cached


def load_picture(drawn: Path) -> Rgb:
    """The RGB picture (height, width, 3) that `card_picture` drew."""
    return cast(Rgb, np.load(drawn, allow_pickle=False))


def leader_pictures(raster: Raster, nominal: int) -> Iterator[Rgb]:
    """The leader's frames, 8 seconds of `nominal` frames: the seconds left, and a strip of tape that runs out with them."""
    total = LEADER_SECONDS * nominal
    left, right = raster.width // 8, raster.width * 7 // 8
    top, bottom = raster.height * 3 // 4, raster.height * 3 // 4 + raster.height // 12
    for second in range(LEADER_SECONDS, 0, -1):
        page = _composed([_ground(raster), *_centred_number(second, raster)])
        for frame in range(nominal):
            shown = page.copy()
            gone = (LEADER_SECONDS - second) * nominal + frame
            shown[top:bottom, left : right - (right - left) * gone // total] = _TAPES[0]
            yield shown


def _whole(cached: Path, raster: Raster) -> bool:
    return kept_array(cached, (raster.height, raster.width, 3), np.uint8) is not None


def _drawn_card(card: CardPicture, planned: str, raster: Raster) -> Rgb:
    width, height = raster.width, raster.height
    margin = width // 16
    column = width - 2 * margin if card.image is None else width // 2 - margin - margin // 2
    # Between the lines that may be burnt in: two at the top and one at the foot (`burnt_in.py`).
    top, foot = height * 21 // 100, height * 15 // 100
    title = _text(card.title, column, height // 4, height // 9)
    title_height = title.size[1] if title else 0
    tape_top = top + title_height + height // 60
    tape = moviepy.ColorClip((column, max(4, height // 40)), color=_TAPES[crc32(card.title.encode()) % len(_TAPES)])
    body_top = tape_top + height // 40 + height // 30
    length = _text(planned, column, height // 8, height // 20)
    length_top = height - foot - (length.size[1] if length else 0)
    body = _text(card.body, column, max(height // 12, length_top - body_top), height // 16)
    placed = [
        _ground(raster),
        tape.with_position((margin, tape_top)),
        *(clip.with_position((margin, at)) for clip, at in ((title, top), (body, body_top), (length, length_top)) if clip is not None),
    ]
    if card.image is not None:
        still = _still(card.image, width // 2 - margin, height - 2 * margin)
        placed.append(still.with_position((width // 2, (height - still.size[1]) // 2)))
    return _composed(placed)


def _ground(raster: Raster) -> Any:
    return moviepy.ColorClip((raster.width, raster.height), color=_PAPER)


def _centred_number(number: int, raster: Raster) -> list[Any]:
    clip = _text(str(number), raster.width, raster.height * 2 // 3, raster.height // 2, align="center")
    return [clip.with_position(("center", raster.height // 12))] if clip else []


def _text(words: str, width: int, height: int, size: int, align: str = "left") -> Any | None:
    """A block of text no larger than `width` x `height`, at most `size` pixels tall letters, or None for no words."""
    if not words.strip():
        return None
    face = _face()
    while True:
        clip = moviepy.TextClip(
            font=face,
            text=words if face else _folded(words),
            font_size=size,
            color=_INK,
            size=(width, None),
            method="caption",
            text_align=align,
            horizontal_align=align,
            # Without room below, the library cuts off the tails of letters.
            margin=(0, 0, 0, size // 3),
        )
        if clip.size[1] <= height or size <= 9:
            return clip
        size = max(9, size * 5 // 6)


@lru_cache(maxsize=1)
def _face() -> str | None:
    """The first of our faces that this machine has, or None for the drawing library's own, which every machine has."""
    for name in _FACES:
        try:
            ImageFont.truetype(name)
        except OSError:
            continue
        return name
    return None


def _folded(words: str) -> str:
    """Words in the letters of the drawing library's own face: accents go, dashes become hyphens."""
    plain = unicodedata.normalize("NFKD", words.translate(_PLAIN_SIGNS)).encode("ascii", "ignore")
    return plain.decode()


def _still(path: Path, width: int, height: int) -> Any:
    still = moviepy.ImageClip(_pixels(path))
    scale = min(width / still.size[0], height / still.size[1])
    return still.resized((max(1, int(still.size[0] * scale)), max(1, int(still.size[1] * scale))))


def _pixels(path: Path) -> NDArray[np.uint8]:
    """A drawing or still as RGB, or RGBA where it can be seen through; of kinds that the library reads by itself.

    Of others it makes programs of the system read the file, such as one that runs PostScript.
    """
    try:
        with warnings.catch_warnings():
            # Before its own limit, beyond which it refuses, the library only warns; of damage it warns beside refusing or repairing.
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path, formats=_STILLS) as still:
                seen_through = "A" in still.mode or "transparency" in still.info
                return np.asarray(still.convert("RGBA" if seen_through else "RGB"))
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise UseFault(f"{path} has more than {_MOST_PIXELS // 10**6} million pixels; use a smaller copy of it.") from None
    except Exception as error:  # the library raises whatever its many readers raise
        raise UseFault(f"{path} is not a picture that a card can show; use a PNG or JPEG file.") from error


def _composed(clips: list[Any]) -> Rgb:
    return np.ascontiguousarray(moviepy.CompositeVideoClip(clips).get_frame(0)[..., :3].astype(np.uint8))
