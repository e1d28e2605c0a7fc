"""Fitting any tape's frames into one raster: turned upright, in square pixels, with bars; it never chooses frames."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import cast

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter
from numpy.typing import NDArray

from previs.faults import UseFault

_UNTAGGED = 2
_LEAST_HD_LINES = 720
_BLACK_LUMA, _BLACK_CHROMA = 16, 128


@dataclass(frozen=True, slots=True)
class Raster:
    """Width and height in square pixels; both even, since the codecs halve the colour. Raises `UseFault` otherwise."""

    width: int = 960
    height: int = 540

    def __post_init__(self) -> None:
        if self.width % 2 or self.height % 2 or not (64 <= self.width <= 8192 and 64 <= self.height <= 8192):
            raise UseFault(f"A picture of {self.width} x {self.height} cannot be made; use even numbers from 64 to 8192.")

    def __str__(self) -> str:
        return f"{self.width}x{self.height}"


def matrix_of(frame: VideoFrame) -> int | None:
    """The colour matrix to read a frame with; where the camera wrote none, that of its size, as players do."""
    if frame.colorspace != _UNTAGGED or frame.format.is_rgb:
        return None
    return Colorspace.ITU709 if frame.height >= _LEAST_HD_LINES else Colorspace.ITU601


class Fitter:
    """Fits frames of one tape into a raster, as yuv420p in the Rec. 709 matrix and limited range."""

    def __init__(self, raster: Raster, rotation: int = 0, sample_aspect: Fraction = Fraction(1)) -> None:
        self._raster = raster
        self._turns = rotation // 90 % 4
        self._aspect = sample_aspect
        self._reformatter = VideoReformatter()

    def fit(self, frame: VideoFrame) -> VideoFrame:
        """The frame in the raster, black where it does not reach; time stamps are the caller's business."""
        width, height = self._fitted_size(frame)
        stored = (height, width) if self._turns % 2 else (width, height)
        scaled = self._reformatter.reformat(
            frame,
            *stored,
            "yuv420p",
            src_colorspace=matrix_of(frame),
            dst_colorspace=Colorspace.ITU709,
            dst_color_range=ColorRange.MPEG,
            threads=1,
        )
        if self._turns == 0 and (width, height) == (self._raster.width, self._raster.height):
            return scaled
        left, top = ((whole - part) // 4 * 2 for whole, part in ((self._raster.width, width), (self._raster.height, height)))
        laid = []
        for number, plane in enumerate(planes_of(scaled)):
            half = 1 if number == 0 else 2
            empty = _BLACK_LUMA if number == 0 else _BLACK_CHROMA
            ground = np.full((self._raster.height // half, self._raster.width // half), empty, np.uint8)
            upright = np.rot90(plane, self._turns)
            ground[top // half : (top + height) // half, left // half : (left + width) // half] = upright
            laid.append(ground)
        return frame_of_planes(laid)

    def _fitted_size(self, frame: VideoFrame) -> tuple[int, int]:
        seen = Fraction(frame.width) * self._aspect, Fraction(frame.height)
        width, height = reversed(seen) if self._turns % 2 else seen
        scale = min(self._raster.width / width, self._raster.height / height)
        return max(2, round(width * scale / 2) * 2), max(2, round(height * scale / 2) * 2)


def planes_of(frame: VideoFrame) -> list[NDArray[np.uint8]]:
    """The Y, U and V planes of a yuv420p frame with even sides, without the rows' padding."""
    packed = cast(NDArray[np.uint8], frame.to_ndarray())
    luma = frame.height * frame.width
    flat = packed.reshape(-1)
    chroma = (frame.height // 2, frame.width // 2)
    return [
        flat[:luma].reshape(frame.height, frame.width),
        flat[luma : luma + luma // 4].reshape(chroma),
        flat[luma + luma // 4 :].reshape(chroma),
    ]


def frame_of_planes(planes: list[NDArray[np.uint8]]) -> VideoFrame:
    """A yuv420p frame, Rec. 709 and limited range, of its three planes."""
    height, width = planes[0].shape
    packed = np.concatenate([plane.reshape(-1) for plane in planes]).reshape(height * 3 // 2, width)
    frame = VideoFrame.from_ndarray(packed, "yuv420p")
    frame.colorspace, frame.color_range = Colorspace.ITU709, ColorRange.MPEG
    return frame


def frame_of_rgb(picture: NDArray[np.uint8]) -> VideoFrame:
    """An RGB picture (height, width, 3; even sides) as yuv420p, Rec. 709 and limited range."""
    return VideoReformatter().reformat(
        VideoFrame.from_ndarray(np.ascontiguousarray(picture), "rgb24"),
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        threads=1,
    )
