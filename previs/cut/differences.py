"""What is different between two stretches of picture that are the same shot, in words; it does not find which are the same.

A change list and the comparison with a returned list tell of changes with this, in the same words and by the same rules.

Head and tail are in frames of the cut, counted the way the shot plays. A first frame moved while the length stays is a
slip, in frames of the tape. Of a shot with another speed, trims are what its length does not owe to the speed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from previs.clock import Span, frame_played, span_played
from previs.cut.matching import WHOLE, Likeness
from previs.cut.wording import counted, lead_said, longer_said, speed_said, transition_said
from previs.document.model import Transition


class ChangeKind(StrEnum):
    """What was done to a shot."""

    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"
    REPLACED = "replaced"
    RETIMED = "retimed"
    SLIPPED = "slipped"
    TRIMMED = "trimmed"
    TRANSITION = "transition"
    SOUND = "sound"
    LOCK = "lock"


BLACK = "(black)"
"""The `key` of black: in brackets, so that no reel can be called so."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison: a shot of a cut, or an event of a list.

    `key` is what it plays: the reel of a tape, a card, black; `shown` says so to the person. `first_frame` and `speed` count
    where `tape` is true. `take` is empty where it is not known and does not count. `silent` says that the sound it should
    have is not laid. `locked` is None for what cannot be locked.
    """

    key: str
    shown: str
    frames: int
    tape: bool = False
    take: str = ""
    first_frame: int = 0
    speed: Fraction = Fraction(1)
    transition: Transition | None = None
    after_black: bool = False
    sound_lead_frames: int = 0
    silent: bool = False
    locked: bool | None = None

    @property
    def played(self) -> Span:
        """The tape frames seen, in tape order."""
        return span_played(self.first_frame, self.speed, self.frames)

    @property
    def comes_in(self) -> str:
        """How it comes in, in words."""
        return transition_said(self.transition, from_black=self.after_black, to_black=self.key == BLACK)


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that changed: as a fact, and as an instruction to a person who does it by hand."""

    kind: ChangeKind
    fact: str
    to_do: str


def likenesses(old: Sequence[Side], new: Sequence[Side]) -> Iterator[Likeness]:
    """All that play something in common: frames of one tape, or the same card, or black."""
    of_key: dict[str, list[tuple[int, Span]]] = {}
    for was, side in enumerate(old):
        of_key.setdefault(side.key, []).append((was, side.played if side.tape else _ANY))
    for now, side in enumerate(new):
        played = side.played if side.tape else _ANY
        for was, other in of_key.get(side.key, ()):
            if shared := played.meet(other):
                yield Likeness(was, now, max(1, shared.length * WHOLE // max(played.length, other.length)))


_ANY = Span(0, 1)
"""What cards and black play: all of it is the same."""


def differences(was: Side, now: Side) -> Iterator[Difference]:
    """Everything that is different in a shot itself; where it stands is not compared."""
    if was.key != now.key or (was.take and now.take and was.take != now.take):
        yield Difference(ChangeKind.REPLACED, f"now {now.shown}", f"replace {was.shown}, by {now.shown}")
    elif was.tape:
        yield from _on_one_tape(was, now)
    elif was.frames != now.frames:
        by = longer_said(now.frames - was.frames)
        yield Difference(ChangeKind.TRIMMED, by, f"make it {by}")
    if was.transition != now.transition:
        yield Difference(ChangeKind.TRANSITION, f"{was.comes_in}, now {now.comes_in}", f"change its {was.comes_in} to a {now.comes_in}")
    yield from _of_sound(was, now)
    if None not in (was.locked, now.locked) and was.locked != now.locked:
        yield Difference(ChangeKind.LOCK, "locked" if now.locked else "unlocked", "lock it" if now.locked else "unlock it")


def _on_one_tape(was: Side, now: Side) -> Iterator[Difference]:
    alone = _at_speed(was, now)
    trims = list(_trims(alone, now))
    if was.speed != now.speed:
        change = f"speed from {speed_said(was.speed)} to {speed_said(now.speed)}"
        # Without trims the length that the shot has now is the one that the speed gives it.
        length = f", which alone makes it {counted(alone.frames, 'frame')} long" if trims else ""
        yield Difference(ChangeKind.RETIMED, f"{change}{length}", f"change its {change}{length}")
    yield from trims


def _at_speed(was: Side, now: Side) -> Side:
    """The shot as it was, with nothing but the speed of `now`: the same stretch of tape, longer or shorter on screen."""
    if was.speed == now.speed or 0 in (was.speed, now.speed):
        return replace(was, speed=now.speed)
    turned = (was.speed > 0) != (now.speed > 0)
    first = frame_played(was.first_frame, was.speed, was.frames - 1) if turned else was.first_frame
    speed = abs(now.speed)
    # A stretch of tape is no whole number of frames at most speeds: the last one may be left out, or played in full as
    # `retimes.retime_to_speed` does.
    shortest = max(1, (was.frames * abs(was.speed) / speed).__floor__())
    longest = max(shortest, (Fraction(was.played.length) / speed).__ceil__())
    wanted = now.frames - _head(first, now)
    return replace(was, first_frame=first, speed=now.speed, frames=wanted if shortest <= wanted <= longest else longest)


def _head(first_frame: int, now: Side) -> int:
    """By how many frames on screen the head of `now` is longer than one that begins on this tape frame."""
    return round((first_frame - now.first_frame) / now.speed) if now.speed else 0


def _trims(was: Side, now: Side) -> Iterator[Difference]:
    """Slip and trims between two of one speed."""
    later, longer = now.first_frame - was.first_frame, now.frames - was.frames
    slipped = later != 0 and (longer == 0 or now.speed == 0)
    if slipped:
        fact = f"same place, but {counted(abs(later), 'frame')} {'later' if later > 0 else 'earlier'} on the tape"
        yield Difference(ChangeKind.SLIPPED, fact, fact)
    if longer:
        head = 0 if slipped else _head(was.first_frame, now)
        ends = [(name, longer_said(frames)) for name, frames in (("head", head), ("tail", longer - head)) if frames]
        fact, to_do = (" and ".join(f"{the}{name} {by}" for name, by in ends) for the in ("", "the "))
        yield Difference(ChangeKind.TRIMMED, fact, f"make {to_do}")


def _of_sound(was: Side, now: Side) -> Iterator[Difference]:
    if now.silent and not was.silent:
        yield Difference(ChangeKind.SOUND, "its sound is left out", "leave its sound out")
    elif was.sound_lead_frames != now.sound_lead_frames and not was.silent:
        had, has = lead_said(was.sound_lead_frames), lead_said(now.sound_lead_frames)
        yield Difference(ChangeKind.SOUND, f"sound began {had}, now {has}", f"its sound began {had}; now let it begin {has}")
