"""Small sequences made in memory for tests of the cut: plain numbers, no tapes on disk."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from previs.document.model import (
    Casting,
    Framing,
    Hit,
    Kind,
    Move,
    Phrase,
    Sequence,
    Size,
    SoundTrack,
    Take,
    Tape,
    Treatment,
)


def phrase(number: int, moves: range, breath: int = 24, optional: tuple[int, ...] = ()) -> Phrase:
    return Phrase(
        number=number,
        breath_frames=breath,
        moves=tuple(
            Move(
                number=move,
                label=f"cut {move}",
                attacker="Odile" if move % 2 else "Reeve",
                defender="Reeve" if move % 2 else "Odile",
                upper_hand="Odile" if move % 2 else "level",
                optional=move in optional,
            )
            for move in moves
        ),
    )


def tape(reel: str = "A1", *, rate: str = "24", seconds: int = 60, start_frame: int = 0, sound: bool = True, drop: bool = False) -> Tape:
    return Tape(
        reel=reel,
        path=f"tapes/{reel}.mp4",
        fingerprint="0" * 32,
        rate_name=rate,
        frames=seconds * 24,
        duration=Fraction(seconds),
        width=1280,
        height=720,
        codec="h264",
        camera=reel[0],
        start_frame=start_frame,
        drop=drop,
        sound=SoundTrack(48000, 2) if sound else None,
    )


def take(
    name: str,
    hits: Mapping[int, float | Fraction],
    *,
    reel: str = "A1",
    phrases: tuple[int, int] = (1, 1),
    rating: int = 3,
    tempo: Fraction = Fraction(1),
    start: int = 0,
    end: int = 60,
    size: Size = Size.FULL,
) -> Take:
    return Take(
        name=name,
        reel=reel,
        start=Fraction(start),
        end_exclusive=Fraction(end),
        first_phrase=phrases[0],
        last_phrase=phrases[1],
        framings=(Framing(at=Fraction(start), size=size, angle=0, screen_left="Odile"),),
        rating=rating,
        tempo=tempo,
        camera=reel[0],
        performers=(Casting("Odile", "Juno Vale"), Casting("Reeve", "Abel Quist")),
        hits=tuple(Hit(move, Fraction(at)) for move, at in hits.items()),
    )


def treatment(
    start: float | Fraction, end: float | Fraction, *, reel: str = "A1", kind: Kind = Kind.DIGITAL_DOUBLE, role: str = "Odile"
) -> Treatment:
    return Treatment(reel=reel, start=Fraction(start), end_exclusive=Fraction(end), kind=kind, role=role)


def sequence(**parts: object) -> Sequence:
    given = {"title": "The Salt Stair", "rate_name": "24", "start_frame": 86400, "target_frames": 240} | parts
    return Sequence(**given)  # type: ignore[arg-type]
