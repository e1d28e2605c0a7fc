"""Which wipes can be drawn, by their number in an edit list; how each is drawn is the media room's business."""

from __future__ import annotations

DRAWN: dict[int, str] = {
    1: "left to right",
    2: "top to bottom",
    3: "box from the top left",
    4: "box from the top right",
    5: "box from the bottom right",
    6: "box from the bottom left",
    21: "barn doors from the middle to the sides",
    22: "barn doors from the middle up and down",
    41: "diagonal from the top left",
    42: "diagonal from the top right",
    101: "rectangle from the middle",
    102: "diamond from the middle",
}
"""The number of each wipe that can be drawn, and in words what it looks like."""


def drawn_listed() -> str:
    """Every wipe that can be drawn, for a sentence: `1 left to right, 2 top to bottom ...`."""
    return ", ".join(f"{number} {words}" for number, words in DRAWN.items())
