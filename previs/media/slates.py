"""A pull's slate and the strips of a contact sheet as pictures, drawn with Pillow; what is written on them is not decided here."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from previs.media.lettering import BOLD, FIGURES, PLAIN, Face, face
from previs.media.raster import Raster

_PAPER, _INK, _FAINT, _TAPE = (246, 241, 230), (38, 35, 33), (104, 96, 86), (28, 103, 158)
_LEAST_LETTERS = 7

Rgb = NDArray[np.uint8]


def slate_picture(title: str, facts: Sequence[tuple[str, str]], raster: Raster) -> Rgb:
    """The slate as RGB (height, width, 3): the title in large letters, then each fact's name and value on a line."""
    page = Image.new("RGB", (raster.width, raster.height), _PAPER)
    pen = ImageDraw.Draw(page)
    margin = min(raster.width, raster.height) // 14
    column = raster.width - 2 * margin
    head = _fitting(BOLD, [title], column, raster.height // 8)
    pen.text((margin, margin), title, font=head, fill=_INK)
    line_top = margin + raster.height // 8 + raster.height // 20
    pen.rectangle((margin, line_top, raster.width - margin, line_top + max(2, raster.height // 60)), fill=_TAPE)
    top = line_top + raster.height // 20
    step = (raster.height - margin - top) / max(1, len(facts))
    letters = min(int(step * 0.72), raster.height // 16)
    names_width = column * 3 // 10
    name_face = _fitting(PLAIN, [name for name, _ in facts], names_width - margin // 2, letters)
    value_face = _fitting(FIGURES, [value for _, value in facts], column - names_width, letters)
    for number, (name, value) in enumerate(facts):
        base = top + number * step + letters
        pen.text((margin, base), name, font=name_face, fill=_FAINT, anchor="ls")
        pen.text((margin + names_width, base), value, font=value_face, fill=_INK, anchor="ls")
    return np.asarray(page).copy()


def contact_page(rows: Sequence[tuple[str, Sequence[tuple[str, Rgb]]]], heading: str, width_px: int = 1240) -> Rgb:
    """One page as RGB: for each row a caption over its pictures, each picture with its own words under it."""
    margin, gap, words = width_px // 40, width_px // 80, width_px // 54
    most = max(len(pictures) for _, pictures in rows)
    box = (width_px - 2 * margin - (most - 1) * gap) // most
    box_height = box * 9 // 16
    row_height = box_height + 2 * words + 3 * gap
    page = Image.new("RGB", (width_px, 2 * margin + 2 * words + gap + row_height * len(rows)), _PAPER)
    pen = ImageDraw.Draw(page)
    pen.text(
        (margin, margin + words),
        heading,
        font=_fitting(PLAIN, [heading], width_px - 2 * margin, words),
        fill=_FAINT,
        anchor="ls",
    )
    for number, (caption, pictures) in enumerate(rows):
        top = margin + 2 * words + gap + number * row_height
        over = _fitting(BOLD, [caption], width_px - 2 * margin, words)
        pen.text((margin, top + words), caption, font=over, fill=_INK, anchor="ls")
        for place, (said, picture) in enumerate(pictures):
            left, picture_top = margin + place * (box + gap), top + words + gap
            still = Image.fromarray(picture)
            still.thumbnail((box, box_height))
            pen.rectangle((left, picture_top, left + box - 1, picture_top + box_height - 1), fill=_INK)
            page.paste(still, (left + (box - still.width) // 2, picture_top + (box_height - still.height) // 2))
            under = _fitting(FIGURES, [said], box, words * 4 // 5)
            pen.text((left, picture_top + box_height + words), said, font=under, fill=_INK, anchor="ls")
    return np.asarray(page).copy()


def write_png(picture: Rgb, path: Path) -> None:
    """Write an RGB picture (height, width, 3) as PNG, exactly as it is."""
    Image.fromarray(picture).save(path, format="PNG", compress_level=1)


def _fitting(name: str, lines: Sequence[str], width: int, letters: int) -> Face:
    """The face in the largest size up to `letters` pixels in which every line fits `width`, and not below what can be read."""
    size = max(letters, _LEAST_LETTERS)
    while size > _LEAST_LETTERS and any(face(name, size).getlength(line) > width for line in lines):
        size -= 1
    return face(name, size)
