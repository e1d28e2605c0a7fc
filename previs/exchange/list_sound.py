"""What sound a list lays to each of its pictures; it plays none, and a cut's sound remains that of its tapes.

An event with picture and sound sounds with its picture, or as our own comment says. An event of picture alone sounds when
an event of sound alone of the same reel runs in sync with it: where that begins elsewhere, it is a split edit, whose lead
is read from it. All times are frames of the list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from previs.cut.placing import Placed
from previs.exchange.cmx3600_reading import ListEvent

_LEAD = re.compile(r"SOUND BEGINS (\d{1,6}) FRAMES? (BEFORE|AFTER) THE PICTURE", re.ASCII)


@dataclass(frozen=True, slots=True)
class ListSound:
    """For each picture event, in order, whether sound is laid to it and when it begins; and the sounds that no picture has.

    `leads` are frames before the picture, of silent events what our comment says of the sound before, which runs on.
    """

    laid: tuple[bool, ...]
    leads: tuple[int, ...]
    alone: int

    @property
    def any_laid(self) -> bool:
        """Whether the list lays any sound at all."""
        return any(self.laid) or self.alone > 0


def lays_sound(one: Placed) -> bool:
    """Whether a shot has sound of its own: a tape with sound, played forwards."""
    return one.source is not None and one.source.tape.sound is not None and one.source.speed > 0


def list_sound(pictures: Iterable[tuple[ListEvent, list[str]]], others: Iterable[ListEvent]) -> ListSound:
    """The sound of picture events, each with its comments, whole, from these events and the others of their lists."""
    of_reel: dict[str, list[ListEvent]] = {}
    sounds = [event for event in others if "V" not in event.channels and event.channels]
    for sound in sounds:
        of_reel.setdefault(sound.reel.upper(), []).append(sound)
    laid: list[bool] = []
    leads: list[int] = []
    used: set[int] = set()
    for event, comments in pictures:
        fitting: list[ListEvent] = []
        own_channels = any(channel.startswith("A") for channel in event.channels)
        if not own_channels:
            fitting = [sound for sound in of_reel.get(event.reel.upper(), ()) if _in_sync(event, sound)]
        used |= {id(sound) for sound in fitting}
        # Of two, as of shots that go on where the one before ended, the one that runs under more of this picture is its own.
        own = max(fitting, key=lambda sound: _overlap(event, sound), default=None)
        laid.append(own is not None or own_channels)
        leads.append(_told(comments) if own is None else event.record.start - own.record.start)
    return ListSound(tuple(laid), tuple(leads), len(sounds) - len(used))


def _told(comments: list[str]) -> int:
    for comment in comments:
        if told := _LEAD.fullmatch(comment):
            return int(told[1]) if told[2] == "BEFORE" else -int(told[1])
    return 0


def _in_sync(picture: ListEvent, sound: ListEvent) -> bool:
    """Whether a sound runs under a picture as it was recorded with it."""
    speed = Fraction(1) if picture.speed is None else picture.speed
    if not _overlap(picture, sound) or speed != (Fraction(1) if sound.speed is None else sound.speed):
        return False
    off = abs(sound.source_in - picture.source_in - (sound.record.start - picture.record.start) * speed)
    # At other speeds the two begin on whole frames of tape, which may lie up to one step of the picture apart.
    return off <= max(Fraction(1), abs(speed)) if speed != 1 else off == 0


def _overlap(picture: ListEvent, sound: ListEvent) -> int:
    shared = picture.record.meet(sound.record)
    return shared.length if shared else 0
