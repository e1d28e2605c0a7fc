"""The sound track of an OpenTimelineIO timeline, out and in; the picture is in `previs.exchange.otio`.

One audio track follows the picture's. Each shot has one item there, from where its sound begins to where the next one's
does: a Clip for footage that sounds, with the picture's media, a Gap for all that is silent. A sound lead is thus a split
edit: the two tracks cut in different places. Where the picture dissolves or wipes, the sound crosses over.

Read back, an item of ours is known by the shot that its metadata names, one from elsewhere by running in sync with a
picture of the same tape. Where it begins, against the picture, is the lead; our note of the lead counts only without a
sound track.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import opentimelineio as otio  # type: ignore[import-untyped]

from previs.clock import RATES, frame_played
from previs.cut.placing import Placed
from previs.cut.wording import counted
from previs.exchange.list_sound import lays_sound

OURS = "previs"
_RATE_SLACK = 0.001
_SPEED_SLACK = 1e-4
_LEAST_IN_SYNC = Fraction(1, 2)
"""Frames: sound tracks may be cut between frames, and no lead can say less than half of one."""


def sound_track(placed: tuple[Placed, ...], pictures: Mapping[int, Any], transition: Callable[[int], Any]) -> Any | None:
    """The sound of a cut as a track; None for a cut that has none.

    `pictures` are the picture items by shot number, `transition` makes one of so many frames.
    """
    if not any(lays_sound(one) for one in placed):
        return None
    track = otio.schema.Track(name="sound", kind=otio.schema.TrackKind.Audio)
    ends = [one.record.start - one.shot.sound_lead_frames for one in placed[1:]] + [placed[-1].record.end_exclusive]
    late = -placed[0].shot.sound_lead_frames
    if late > 0:
        track.append(otio.schema.Gap(source_range=_range(pictures[1], 0, late)))
    for one, end in zip(placed, ends, strict=True):
        lead = one.shot.sound_lead_frames
        frames = end - (one.record.start - lead)
        if one.shot.transition is not None:
            if not len(track):
                track.append(otio.schema.Gap(source_range=_range(pictures[1], 0, 0)))
            track.append(transition(min(one.shot.transition.frames, frames)))
        track.append(_sound(one, pictures[one.number], lead, frames))
    return track


def _sound(one: Placed, picture: Any, lead: int, frames: int) -> Any:
    metadata = {OURS: {"shot": picture.metadata[OURS]["shot"]}}
    if one.source is None or not lays_sound(one):
        return otio.schema.Gap(source_range=_range(picture, 0, frames), metadata=metadata)
    start = round(picture.source_range.start_time.value) + frame_played(0, one.source.speed, -lead)
    clip = otio.schema.Clip(
        name=picture.name,
        media_reference=picture.media_reference.clone(),
        source_range=_range(picture, start, frames),
        metadata=metadata,
    )
    if one.source.speed != 1:
        clip.effects.append(otio.schema.LinearTimeWarp(time_scalar=float(one.source.speed)))
    return clip


def _range(picture: Any, start: int, frames: int) -> Any:
    """A range at the rate of a picture item."""
    rate = picture.source_range.start_time.rate
    return otio.opentime.TimeRange(otio.opentime.RationalTime(start, rate), otio.opentime.RationalTime(frames, rate))


@dataclass(frozen=True, slots=True)
class Heard:
    """One item of a sound track: the shot it names, where it is laid, and for a clip what of its tape it plays.

    Times are frames of the sequence, which sound tracks may divide. `starts_on_tape` counts from the work copy's start.
    """

    shot: str
    start: Fraction
    frames: Fraction
    tape: str = ""
    starts_on_tape: Fraction = Fraction(0)
    speed: float = 1.0


@dataclass(frozen=True, slots=True)
class Leads:
    """The sound lead of each shot, in frames, and sentences on what the timeline's sound is otherwise."""

    frames: tuple[int, ...]
    remarks: tuple[str, ...]


def heard(tracks: Iterable[Any], fps: Fraction, tape_of: Callable[[Any], tuple[str, int] | None]) -> list[Heard]:
    """What is on the sound tracks; `tape_of` gives a clip's tape and the frame that its times count from.

    What cannot be read there is passed over: a cut's sound is its tapes'.
    """
    found: list[Heard] = []
    for track in tracks:
        at = Fraction(0)
        for item in track:
            if isinstance(item, otio.schema.Transition):
                continue
            try:
                span = item.trimmed_range()
            except otio.exceptions.OTIOError:
                break
            frames = _frames(span.duration, fps)
            start = _frames(span.start_time, fps)
            if frames is None or start is None:
                break
            found += _of_item(item, Heard("", at, frames, starts_on_tape=start), fps, tape_of)
            at += frames
    return found


def _of_item(item: Any, here: Heard, fps: Fraction, tape_of: Callable[[Any], tuple[str, int] | None]) -> Iterator[Heard]:
    """One item, put into `here`, which says where it is laid and where its source range starts."""
    told = item.metadata.get(OURS)
    shot = told.get("shot") if hasattr(told, "get") else None
    named = replace(here, shot=shot if isinstance(shot, str) else "")
    if isinstance(item, otio.schema.Gap):
        if named.shot:
            yield named
    elif isinstance(item, otio.schema.Clip) and item.enabled and (tape := tape_of(item)):
        reference, counts_from = item.media_reference, Fraction(tape[1])
        if reference is not None and reference.available_range is not None:
            told_start = _frames(reference.available_range.start_time, fps)
            counts_from = counts_from if told_start is None else told_start
        speed = 1.0
        for effect in item.effects:
            if isinstance(effect, otio.schema.LinearTimeWarp):
                speed *= effect.time_scalar
        yield replace(named, tape=tape[0], starts_on_tape=here.starts_on_tape - counts_from, speed=speed)


def _frames(time: Any, fps: Fraction) -> Fraction | None:
    try:
        rate = next((rate.fps for rate in RATES if abs(float(rate.fps) - time.rate) < _RATE_SLACK), Fraction(time.rate))
        return Fraction(time.value) * fps / rate
    except (ValueError, OverflowError, ZeroDivisionError):
        return None


def leads_heard(placed: tuple[Placed, ...], sounds: list[Heard], *, ours: bool) -> Leads:
    """When the sound of each shot begins; `placed` carries our own notes of the leads. `ours`: we wrote the timeline."""
    if not any(sound.tape for sound in sounds):
        noted = tuple(one.shot.sound_lead_frames for one in placed)
        none_laid = ours and any(lays_sound(one) for one in placed)
        return Leads(noted, ("The timeline lays no sound at all; the cut sounds as its tapes do.",) if none_laid else ())
    by_shot: dict[str, Heard] = {}
    by_tape: dict[str, list[Heard]] = {}
    for sound in sounds:
        if sound.shot:
            by_shot.setdefault(sound.shot, sound)
        if sound.tape:
            by_tape.setdefault(sound.tape, []).append(sound)
    frames: list[int] = []
    dropped: list[str] = []
    for one in placed:
        own = _own(one, by_shot, by_tape)
        frames.append(0 if own is None else round(one.record.start - own.start))
        if own is None and lays_sound(one):
            dropped.append(str(one.number))
    said = f"The timeline drops the sound of {counted(len(dropped), 'shot')} ({', '.join(dropped)}); the cut sounds as its tapes do."
    return Leads(tuple(frames), (said,) if dropped else ())


def _own(one: Placed, by_shot: Mapping[str, Heard], by_tape: Mapping[str, list[Heard]]) -> Heard | None:
    """The sound of a shot: the one that names it and plays its tape, or is silent as it is; else one in sync with it."""
    named = by_shot.get(one.shot.ident)
    tape = one.source.tape.reel if one.source and lays_sound(one) else ""
    if named is not None and named.tape == tape:
        return named
    fitting = [sound for sound in by_tape.get(tape, ()) if _in_sync(one, sound)]
    return max(fitting, key=lambda sound: _overlap(one, sound), default=None)


def _in_sync(one: Placed, sound: Heard) -> bool:
    if one.source is None or _overlap(one, sound) <= 0 or abs(sound.speed - float(one.source.speed)) > _SPEED_SLACK:
        return False
    speed = one.source.speed
    off = sound.starts_on_tape - one.source.first_frame - (sound.start - one.record.start) * speed
    return abs(off) <= (_LEAST_IN_SYNC if speed == 1 else max(Fraction(1), speed))


def _overlap(one: Placed, sound: Heard) -> Fraction:
    return min(Fraction(one.record.end_exclusive), sound.start + sound.frames) - max(Fraction(one.record.start), sound.start)
