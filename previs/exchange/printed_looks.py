"""The look of everything printed with reportlab: paper, faces, inks, styles; it lays out no page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from previs.exchange import tones

MARGIN = 12 * mm
INK, SHADE, RULE, WARN, GROUND = (HexColor(tone) for tone in (tones.INK, tones.SHADE, tones.FAINT, tones.RED, tones.GROUND))
PLAIN, BOLD, FIGURES = "Sheet", "Sheet-Bold", "Sheet-Figures"
FOOT_POINTS = 7.5
_FILES = {PLAIN: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf", FIGURES: "DejaVuSansMono.ttf"}


def use_faces() -> None:
    """Faces that hold more than Western letters, from a library that this program needs anyway; embedded, so no printer lacks them."""
    from matplotlib import get_data_path  # only here, since it takes long to come

    folder = Path(get_data_path()) / "fonts" / "ttf"
    for name, file in _FILES.items():
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / file)))


def style(name: str, size: float, **more: Any) -> ParagraphStyle:
    """A style of paragraphs in the plain face and ink, unless `more` says otherwise."""
    return ParagraphStyle(name, **({"fontName": PLAIN, "fontSize": size, "leading": size * 1.25, "textColor": INK} | more))


def shortened(line: str, width: float, face: str = PLAIN, points: float = FOOT_POINTS) -> str:
    """As much of a line as the width holds in that face, with dots where something is left out."""
    if pdfmetrics.stringWidth(line, face, points) <= width:
        return line
    kept = next(
        length
        for length in range(min(len(line), 400), -1, -1)
        if length == 0 or pdfmetrics.stringWidth(line[:length] + " ...", face, points) <= width
    )
    return line[:kept] + " ..."
