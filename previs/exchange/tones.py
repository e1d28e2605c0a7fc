"""The colours and hatching of paper, shared by everything that is printed or shown: warm paper, ink and tape; it draws nothing."""

from __future__ import annotations

from previs.document.model import Kind

GROUND, INK, FAINT, SHADE = "#FBF6E9", "#211C16", "#8C8272", "#E9DFC8"
RED, BLUE, OCHRE, GREEN = "#A8281E", "#1D4F87", "#7A4E08", "#2C6538"

TREATMENT_LOOK = {
    Kind.DIGITAL_DOUBLE: (GREEN, "xxxx"),
    Kind.FACE_REPLACEMENT: (BLUE, "////"),
    Kind.RIG_REMOVAL: (OCHRE, "...."),
}
"""Colour and hatching of each kind of treatment; the hatching is matplotlib's, and says in signs what is drawn: crosses, strokes, dots."""
