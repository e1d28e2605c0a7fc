"""What a lens holds, by plain pinhole: how wide, how high, and how close a standing person is in it; no plan, no walls."""

from __future__ import annotations

from math import atan, degrees, hypot

from previs.analysis.head_heights import size_held
from previs.document.floor import CameraPlace
from previs.document.model import Size

STATURE_MM = 1750
"""How tall a standing person is taken to be: about the median man of ANSUR II (1,755 mm; the median woman 1,626 mm); a figure of ours."""
SHORT_MM, TALL_MM = 1525, 1870
"""Statures of the 5th percentile of women and the 95th of men, Gordon et al. 2014, NATICK/TR-15/007 (ANSUR II)."""

Raster = tuple[int, int]
"""Width and height of a picture in square pixels; only their relation counts."""


def degrees_wide(camera: CameraPlace) -> float:
    """The angle that the picture's width holds: 2 atan(w / 2f)."""
    return 2 * degrees(atan(float(camera.sensor_width_mm / camera.lens_mm) / 2))


def degrees_high(camera: CameraPlace, raster: Raster) -> float:
    """The angle that the picture's height holds."""
    return 2 * degrees(atan(picture_height_mm(camera, raster) / (2 * float(camera.lens_mm))))


def picture_height_mm(camera: CameraPlace, raster: Raster) -> float:
    """How high the picture is on the sensor: its width by the raster's relation of sides."""
    return float(camera.sensor_width_mm) * raster[1] / raster[0]


def held_statures(camera: CameraPlace, raster: Raster, floor_mm: float, stature_mm: int = STATURE_MM) -> float:
    """How many standing persons, one above the other, fill the frame's height at a distance over the floor.

    The lens is taken to point at the middle of the body: the distance is that from its height to there. 1 is a full shot.
    """
    away = hypot(floor_mm, camera.height_mm - stature_mm / 2)
    return away * picture_height_mm(camera, raster) / float(camera.lens_mm) / stature_mm


def size_from(camera: CameraPlace, raster: Raster, floor_mm: float, stature_mm: int = STATURE_MM) -> Size:
    """The shot size of somebody who stands so far away over the floor; how sizes are told apart says `size_held`."""
    return size_held(held_statures(camera, raster, floor_mm, stature_mm))


def whole_from_mm(camera: CameraPlace, raster: Raster) -> float:
    """From how far away over the floor on a standing person just fills the frame's height; 0 when already below the lens."""
    away = STATURE_MM * float(camera.lens_mm) / picture_height_mm(camera, raster)
    above = camera.height_mm - STATURE_MM / 2
    return (away**2 - above**2) ** 0.5 if away > abs(above) else 0.0
