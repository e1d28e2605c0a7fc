"""Numbers of things, speeds, transitions and sound leads in words, the same wherever a change of a cut is told."""

from __future__ import annotations

from fractions import Fraction

from previs.document.model import Transition, TransitionKind


def counted(number: int, what: str) -> str:
    """`1 frame`, `1152 frames`, `40,000 events`."""
    return f"{number:,} {what}s" if number >= 10_000 else f"{number} {what}{'' if number == 1 else 's'}"


def longer_said(frames: int) -> str:
    """By how much something got longer, or shorter when negative: `4 frames shorter`."""
    return f"{counted(abs(frames), 'frame')} {'longer' if frames > 0 else 'shorter'}"


def speed_said(speed: Fraction) -> str:
    """A speed as a share of normal: `0.800`, `1.000 backwards`, `frozen`."""
    if speed == 0:
        return "frozen"
    return f"{float(abs(speed)):.3f}{' backwards' if speed < 0 else ''}"


def transition_said(transition: Transition | None, *, from_black: bool, to_black: bool) -> str:
    """How a shot comes in, without an article; a dissolve that has black on one side is a fade."""
    if transition is None:
        return "straight cut"
    frames = counted(transition.frames, "frame")
    if transition.kind is TransitionKind.DISSOLVE and from_black != to_black:
        return f"fade in from black over {frames}" if from_black else f"fade out to black over {frames}"
    pattern = f", pattern {transition.wipe}" if transition.wipe else ""
    return f"{transition.kind} of {frames}{pattern}"


def lead_said(frames: int) -> str:
    """When a shot's sound begins: `6 frames before its picture`, `with its picture`."""
    if frames == 0:
        return "with its picture"
    return f"{counted(abs(frames), 'frame')} {'before' if frames > 0 else 'after'} its picture"
