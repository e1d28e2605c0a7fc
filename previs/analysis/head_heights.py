"""How high a head is in the picture, from lens and distance or from a shot size; arithmetic only, no picture is looked at."""

from __future__ import annotations

from itertools import pairwise

from previs.document.model import Size
from previs.faults import UseFault

HEAD_OF_STATURE = 0.133
"""Chin to top of head as a share of stature: 23.2 of 175.5 cm for men and 21.8 of 162.6 cm for women, medians.

Heads: Bradtmiller et al. 2008, as quoted for the FAA Human Factors Design Standard, exhibit 14.3.2.1. Statures: Gordon
et al. 2014, NATICK/TR-15/007 (ANSUR II).
"""

# How much of a body the height of the frame holds, in statures, crown at the upper edge. Where the lower edge cuts is
# convention (teaching glossaries, which disagree: close-ups at neck or shoulder, wider ones at knee or thigh); how high
# those places lie is ANSUR II, men's means of 1,756 mm: shoulder 1,441, chest 1,291, waist 1,056, mid-patella 488, and
# menton to sellion 123 for part of a face. Of wide sizes the glossaries say only that the figure is shorter than the
# frame or tiny; half and a fifth of it are this program's own convention.
_HELD = {
    Size.EXTREME_WIDE: 5.0,
    Size.WIDE: 2.0,
    Size.FULL: 1.0,
    Size.MEDIUM_WIDE: 0.722,
    Size.MEDIUM: 0.398,
    Size.MEDIUM_CLOSE: 0.265,
    Size.CLOSE: 0.180,
    Size.EXTREME_CLOSE: 0.070,
}
_BEYOND = 2.0
"""How far the outermost sizes reach beyond their likely height, as a factor: own convention."""


def head_height_by_lens(head_metres: float, focal_mm: float, sensor_height_mm: float, raster_height_px: int, distance_m: float) -> float:
    """The height in px of a head `distance_m` from the lens, upright and near the middle: H f h_px / (D h_mm), a pinhole.

    A head of 0.232 m at 4 m on 50 mm and a sensor 14 mm high is 223.7 px of 1080. Raises `UseFault` unless all are above 0.
    """
    if min(head_metres, focal_mm, sensor_height_mm, raster_height_px, distance_m) <= 0:
        raise UseFault("Head, focal length, sensor, raster and distance must all be more than 0; correct the one that is not.")
    return head_metres * focal_mm * raster_height_px / (distance_m * sensor_height_mm)


def head_height_by_framing(size: Size, raster_height_px: int) -> tuple[float, float, float]:
    """The (least, likely, most) height in px of a head in a framing of that size: an estimate from the convention only.

    The limits lie midway to what the neighbouring sizes hold. Room above the head makes it smaller than likely.
    """
    most, least = _held_between(size)
    head = HEAD_OF_STATURE * raster_height_px
    return head / most, head / _HELD[size], head / least


def size_held(statures: float) -> Size:
    """The size of a framing that holds so much of a body, in statures from the upper edge down; borders lie midway between sizes."""
    return next((size for size in Size if statures > _held_between(size)[1]), Size.EXTREME_CLOSE)


def _held_between(size: Size) -> tuple[float, float]:
    """The most and the least that a framing of that size holds of a body, in statures."""
    sizes = list(Size)
    held = [_HELD[one] for one in sizes]
    borders = [held[0] * _BEYOND, *((wider + closer) / 2 for wider, closer in pairwise(held)), held[-1] / _BEYOND]
    at = sizes.index(size)
    return borders[at], borders[at + 1]


def in_raster(height_px: float, tape_height_px: int, raster_px: tuple[int, int], tape_px: tuple[int, int]) -> float:
    """A height in px of an upright tape, in px of the delivery raster that it is fitted into whole, with bars if need be.

    `height_px` is measured on pictures `tape_height_px` high: the tape's own, or smaller ones. Sizes are (width, height)
    in square pixels.
    """
    if min(tape_height_px, *raster_px, *tape_px) <= 0:
        raise UseFault("Sizes of tape and raster must be more than 0; correct the one that is not.")
    scale = min(raster_px[0] / tape_px[0], raster_px[1] / tape_px[1])
    return height_px * tape_px[1] / tape_height_px * scale
