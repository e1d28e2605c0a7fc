"""What people write (lengths, shares, speeds, runs of moves, sizes), read; nothing is decided here."""

from __future__ import annotations

import re
from fractions import Fraction

from previs.clock import Timebase, parse_length
from previs.faults import UseFault

LENGTH = "Frames (36), seconds (1.5s) or time code (00:00:01:12)."
"""The one way to write a length, for every help text."""
CHANGE = "Frames (6), seconds (0.25s) or time code; with a minus in front the other way."

_FASTEST_BARE = 4
"""A bare number above this is more likely a forgotten percent sign than a speed."""
_NUMBER = r"\d{1,6}(?:\.\d{1,6})?"
_SHARE = re.compile(rf"({_NUMBER})\s*%|({_NUMBER})|(\d{{1,6}})/([1-9]\d{{0,5}})", re.ASCII)
_TIMES = re.compile(rf"({_NUMBER})\s*x", re.ASCII)


def length_in_frames(text: str, timebase: Timebase) -> int:
    """A length of at least one frame; raises `UseFault` for anything else."""
    frames = parse_length(text, timebase)
    if frames <= 0:
        raise UseFault(f"'{text}' is no length; give at least one frame.")
    return frames


def share(text: str, example: str) -> Fraction:
    """`10%`, `0.1` or `1/10`; a bare number above 1 is refused, since it may be meant in percent."""
    match = _SHARE.fullmatch(text.strip())
    if match is None:
        raise UseFault(f"'{text}' is no share; write it as a percentage, such as {example}.")
    if match[2] and Fraction(match[2]) > 1:
        raise UseFault(f"'{text}'? Write {match[2]}% for a percentage.")
    return _ratio(match)


def speed(text: str) -> Fraction:
    """`80%`, `0.8`, `4/5` or `2x`; a bare number above 4 is refused, since it may be meant in percent."""
    wanted = text.strip().lower()
    if match := _TIMES.fullmatch(wanted):
        return Fraction(match[1])
    match = _SHARE.fullmatch(wanted)
    if match is None:
        raise UseFault(f"'{text}' is no speed; write 80%, 0.8, 4/5 or 2x. Backwards is the verb reverse, a still the verb freeze.")
    if match[2] and Fraction(match[2]) > _FASTEST_BARE:
        raise UseFault(f"'{text}'? Write {match[2]}% for that share of the speed as shot, or {match[2]}x for that many times it.")
    return _ratio(match)


def _ratio(match: re.Match[str]) -> Fraction:
    if match[1]:
        return Fraction(match[1]) / 100
    return Fraction(match[2]) if match[2] else Fraction(int(match[3]), int(match[4]))


def run_of_moves(text: str) -> tuple[int, int]:
    """`7` or `7-9` as the first and the last move."""
    match = re.fullmatch(r"(\d{1,6})(?:-(\d{1,6}))?", text.strip(), re.ASCII)
    if match is None:
        raise UseFault(f"'{text}' names no moves; write one such as 7, or the first and last such as 7-9.")
    return int(match[1]), int(match[2] or match[1])


def width_and_height(text: str) -> tuple[int, int]:
    """`1920x1080` in pixels."""
    match = re.fullmatch(r"(\d{1,5})\s*[x×]\s*(\d{1,5})", text.strip().lower(), re.ASCII)
    if match is None:
        raise UseFault(f"'{text}' is no size of a picture; write width and height in pixels, such as 1920x1080.")
    return int(match[1]), int(match[2])
