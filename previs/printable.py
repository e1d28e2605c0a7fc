"""Text from a file made fit to be shown in a terminal or a sentence; it knows nothing of what the text says."""

from __future__ import annotations


def printable(text: str) -> str:
    """The text with a blank for every other space, and a sign for what would steer a terminal or break its encoding; lines stay lines."""
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() or letter == "\n" else " " if letter.isspace() else "\ufffd" for letter in text)
