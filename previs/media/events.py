"""What is to be published: plain frozen values, an event for each run of frames; nothing here opens a file."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Literal


@dataclass(frozen=True, slots=True)
class TapePicture:
    """A tape, played from a frame of its own grid at the sequence's rate.

    `first_frame` begins first_frame / rate seconds after the tape's first picture. `speed` 1 is as shot, 0 frozen, below 0
    backwards. `fingerprint` is the tape's from when it was logged; empty when unknown, and then not checked.
    """

    path: Path
    fingerprint: str
    reel: str
    first_frame: int
    speed: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class CardPicture:
    """A card that holds the place of what is not shot yet: a title, a text, and a drawing or still when there is one."""

    title: str
    body: str = ""
    image: Path | None = None


@dataclass(frozen=True, slots=True)
class Black:
    """Black picture."""


Picture = TapePicture | CardPicture | Black


@dataclass(frozen=True, slots=True)
class Transition:
    """A dissolve or wipe into an event. It starts on the event's first frame and lasts `frames`; meanwhile the event before
    plays on past its out point. `wipe` is the wipe's number in the edit list.
    """

    kind: Literal["dissolve", "wipe"]
    frames: int
    wipe: int = 1


@dataclass(frozen=True, slots=True)
class Event:
    """A run of `frames` frames of one picture, with its sound when `sound` is set.

    `sound_lead_frames` is how long before its picture the sound begins, and the sound before it ends; negative for after.
    """

    frames: int
    picture: Picture
    transition: Transition | None = None
    sound: bool = True
    sound_lead_frames: int = 0
