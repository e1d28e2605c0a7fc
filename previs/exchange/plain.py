"""Any text as printable seven-bit ASCII on one line, for edit lists; it does not cut, pad or wrap."""

from __future__ import annotations

import unicodedata

_SPELT = str.maketrans(
    {
        "ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D",
        "ł": "l", "Ł": "L", "þ": "th", "Þ": "Th", "ı": "i", "‘": "'", "’": "'", "‚": "'", "“": '"', "”": '"', "„": '"',
        "«": '"', "»": '"', "‐": "-", "‑": "-", "–": "-", "—": "-", "−": "-", "×": "x", "·": "-", "•": "-", "°": " deg",
    }
)  # fmt: skip
"""Letters and signs that Unicode does not take apart by itself."""


def plain(text: str) -> str:
    """The text in the printable characters of ASCII, runs of blanks and line ends made one space.

    Accents are dropped, common letters and signs spelt out, and every other character becomes `?`. It never fails.
    """
    apart = unicodedata.normalize("NFKD", text.translate(_SPELT))
    letters = (letter for letter in apart if not unicodedata.combining(letter))
    # Control characters become blanks rather than `?`: a line end or a tab only ever meant a gap.
    kept = (" " if unicodedata.category(letter)[0] in "CZ" else letter if letter.isascii() else "?" for letter in letters)
    return " ".join("".join(kept).split())
