"""Dark strips with light words, and a running time code, laid on frames of one raster; which words, it is told.

Everything lies within the safe margins. On a picture 640 wide figures are at least 12 pixels tall, in any other raster in
proportion; letters keep a contrast of 4.5 over any picture. It works on the planes of a frame, on the strips alone, and
draws words once for as long as they stay: of a frame's own there is only the time code.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from previs.media.burnt_in import MARGIN_SHARE
from previs.media.lettering import BOLD_FIGURES, PLAIN, face
from previs.media.raster import Raster, frame_of_planes, planes_of

_FIGURES_SHARE, _LETTERS_SHARE, _LEAST_SHARE = 0.034, 0.027, 0.0205
"""Sizes of the faces as shares of the picture's width: of the time code, of words, and of words that would not fit."""
_WIDEST = 2.5
"""A picture wider for its height than this takes its sizes from its height, or words would fill it."""
_LEAST_PX = 6
_MOST_SIGNS = 160
"""More signs than any line holds; a name of a million must not cost time."""
_RIGHT_SHARE = 0.45
"""What of a line's width the words at its right may take from those at its left."""

_DARK = 0.25
"""The share of the picture's level that is left under a strip: white has a twentieth of its light there, and the ink a contrast of 9."""
_INK_YCC = (226, 123, 130)
"""Warm white: limited range, Rec. 709."""
_BLACK_YCC = (16, 128, 128)

_Plane = NDArray[np.uint8]
_Weights = NDArray[np.uint16]


@dataclass(frozen=True, slots=True)
class Line:
    """Words at the left and at the right of one line; empty for none."""

    left: str = ""
    right: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """What one frame carries: lines from the top down, the time code at the bottom left, and words at the bottom right."""

    time_code: str
    top: tuple[Line, ...] = ()
    foot: str = ""


@dataclass(frozen=True, slots=True)
class _Strip:
    """A rectangle of the picture, even on all sides, and for each plane what is kept of it, in 256ths, and what is added."""

    top: int
    left: int
    weights: tuple[tuple[_Weights, _Weights], ...]


class StripPainter:
    """Lays words on frames of one raster."""

    def __init__(self, raster: Raster) -> None:
        self._raster = raster
        self._margins = _even_up(raster.width * MARGIN_SHARE), _even_up(raster.height * MARGIN_SHARE)
        self._standing: tuple[tuple[tuple[Line, ...], str], tuple[_Strip, ...]] = (((), ""), ())

    def paint(self, frame: VideoFrame, words: Words) -> VideoFrame:
        """A new frame, yuv420p in limited range as `frame` must be, with the words on it."""
        planes = planes_of(frame)
        for strip in (*self._still(words), *self._time_code(words.time_code)):
            for number, (plane, (kept, added)) in enumerate(zip(planes, strip.weights, strict=True)):
                half = 1 if number == 0 else 2
                rows = slice(strip.top // half, strip.top // half + kept.shape[0])
                columns = slice(strip.left // half, strip.left // half + kept.shape[1])
                plane[rows, columns] = (plane[rows, columns] * kept + added) >> 8
        return frame_of_planes(planes)

    def _still(self, words: Words) -> tuple[_Strip, ...]:
        """The strips that stay from frame to frame, drawn anew when their words change."""
        wanted = words.top, words.foot
        if self._standing[0] != wanted:
            self._standing = wanted, tuple(self._drawn(words))
        return self._standing[1]

    def _drawn(self, words: Words) -> Iterator[_Strip]:
        across, down = self._margins
        width, height = self._raster.width, self._raster.height
        letters = _size(self._raster, _LETTERS_SHARE)
        room, step = width - 2 * across, _strip_height(letters) + _even_up(letters / 8)
        for number, line in enumerate(words.top):
            top = down + number * step
            if top + step > height - down:
                break
            right = self._strip(line.right, letters, round(room * _RIGHT_SHARE) if line.left else room)
            if right is not None:
                yield _laid(right, top, width - across - right.shape[1])
            taken = 0 if right is None else right.shape[1] + letters
            left = self._strip(line.left, letters, room - taken)
            if left is not None:
                yield _laid(left, top, across)
        foot = self._strip(words.foot, letters, room - self._figures(len(words.time_code))[1] - letters)
        if foot is not None:
            yield _laid(foot, height - down - foot.shape[0], width - across - foot.shape[1])

    def _strip(self, words: str, letters: int, room: int) -> _Plane | None:
        """How strongly the ink covers each pixel of a strip with these words, at most `room` wide; None for no words."""
        plain = " ".join(words[:_MOST_SIGNS].split())
        pad, height = _pad(letters), _strip_height(letters)
        least = min(letters, _size(self._raster, _LEAST_SHARE))
        while letters > least and face(PLAIN, letters).getlength(plain) > room - 2 * pad:
            letters -= 1
        shown = _cut_short(plain, letters, room - 2 * pad)
        if not shown:
            return None
        width = min(_even_up(face(PLAIN, letters).getlength(shown) + 2 * pad), room // 2 * 2)
        canvas = Image.new("L", (width, height))
        ImageDraw.Draw(canvas).text((pad, height // 2), shown, fill=255, font=face(PLAIN, letters), anchor="lm")
        return np.asarray(canvas)

    def _figures(self, count: int) -> tuple[int, int]:
        """The size of the time code's face, and the width of its strip for so many signs."""
        room = self._raster.width - 2 * self._margins[0]
        size = _size(self._raster, _FIGURES_SHARE)
        while size > 1 and _advance(size) * count + 2 * _pad(size) > room:
            size -= 1
        return size, _even_up(_advance(size) * count + 2 * _pad(size))

    def _time_code(self, label: str) -> Iterator[_Strip]:
        """Each sign in a cell of one width, so that nothing moves while the figures run."""
        if not label:
            return
        size, width = self._figures(len(label))
        cover = np.zeros((_strip_height(size), width), np.uint8)
        for number, sign in enumerate(label):
            at = _pad(size) + number * _advance(size)
            cover[:, at : at + _advance(size)] = _sign(sign, size)
        yield _laid(cover, self._raster.height - self._margins[1] - cover.shape[0], self._margins[0])


def _laid(cover: _Plane, top: int, left: int) -> _Strip:
    """The strip's weights: the picture darkened towards black, the ink over that."""
    full = cover.astype(np.float64) / 255
    halved = full.reshape(full.shape[0] // 2, 2, full.shape[1] // 2, 2).mean(axis=(1, 3))
    weights = []
    for covered, ink, black in zip((full, halved, halved), _INK_YCC, _BLACK_YCC, strict=True):
        kept = (1 - covered) * _DARK
        added = (1 - covered) * (1 - _DARK) * black + covered * ink
        weights.append(((kept * 256).astype(np.uint16), (added * 256 + 127).astype(np.uint16)))
    return _Strip(top, left // 2 * 2, tuple(weights))


@lru_cache(maxsize=256)
def _sign(sign: str, size: int) -> _Plane:
    """One sign of the time code in its cell."""
    canvas = Image.new("L", (_advance(size), _strip_height(size)))
    ImageDraw.Draw(canvas).text((0, _strip_height(size) // 2), sign, fill=255, font=face(BOLD_FIGURES, size), anchor="lm")
    return np.asarray(canvas)


def _advance(size: int) -> int:
    return round(face(BOLD_FIGURES, size).getlength("0"))


def _cut_short(words: str, letters: int, room: float) -> str:
    """As much of the words as the room holds, with three dots where some are left out."""
    measured = face(PLAIN, letters).getlength
    if measured(words) <= room:
        return words
    return next((kept for end in range(len(words), 0, -1) if measured(kept := words[:end].rstrip() + "...") <= room), "")


def _size(raster: Raster, share: float) -> int:
    return max(_LEAST_PX, round(min(raster.width, raster.height * _WIDEST) * share))


def _pad(letters: int) -> int:
    return max(1, letters // 3)


def _strip_height(letters: int) -> int:
    return _even_up(letters * 1.4)


def _even_up(value: float) -> int:
    return -int(-value // 2) * 2
