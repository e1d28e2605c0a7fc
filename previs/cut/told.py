"""What an edit of a cut did beside what was asked, in sentences: where shots stand now, and what went with the edit; pure."""

from __future__ import annotations

from collections.abc import Iterator

from previs.cut.edit_rules import frames_said
from previs.cut.placing import Placed, place
from previs.document.model import Card, Footage, Sequence, Shot

_MOST_TOLD = 4


def shots_now(before: Sequence, after: Sequence, cut_name: str, named: int | None = None) -> tuple[str, ...]:
    """Where each shot that was changed or put in stands now, and shot `named` (its number now); the first few of them."""
    old = {shot.ident: shot for shot in before.cut(cut_name).shots}
    told = [
        _stands(after, one)
        for one in place(after, after.cut(cut_name))
        if one.number == named or _differs(old.get(one.shot.ident), one.shot)
    ]
    return tuple(told[:_MOST_TOLD])


def _differs(old: Shot | None, new: Shot) -> bool:
    return old is None or (old.picture, old.frames) != (new.picture, new.frames)


def _stands(sequence: Sequence, one: Placed) -> str:
    label = [
        sequence.timebase.label(sequence.timebase.wrap(sequence.start_frame + at)) for at in (one.record.start, one.record.end_exclusive)
    ]
    return f"Shot {one.number} is now {label[0]} to {label[1]}: {frames_said(one.shot.frames)} of {_picture(one.shot)}."


def _picture(shot: Shot) -> str:
    if isinstance(shot.picture, Footage):
        speed = shot.picture.speed
        return f"take {shot.picture.take}" + ("" if speed == 1 else ", frozen" if speed == 0 else f" at speed {float(speed):.3f}")
    return f"the card '{shot.picture.text}'" if isinstance(shot.picture, Card) else "black"


def went_along(before: Sequence, after: Sequence, cut_name: str, asked: int | None = None) -> Iterator[str]:
    """Transitions and sound leads that are gone, and speeds that another take brought; not those of shot `asked` (as it was)."""
    old = before.cut(cut_name).shots
    was = {shot.ident: shot for number, shot in enumerate(old, start=1) if number != asked}
    for number, shot in enumerate(after.cut(cut_name).shots, start=1):
        if shot.ident in was:
            yield from _lost(was[shot.ident], shot, number)
            yield from _brought(after, was[shot.ident], shot, number)


def _lost(was: Shot, now: Shot, number: int) -> Iterator[str]:
    if was.transition is not None and now.transition is None:
        yield f"The {was.transition.kind} of {frames_said(was.transition.frames)} into what is now shot {number} is gone."
    if was.sound_lead_frames and not now.sound_lead_frames:
        lead = was.sound_lead_frames
        yield f"The sound {'lead' if lead > 0 else 'delay'} of {frames_said(abs(lead))} of what is now shot {number} is gone."


def _brought(sequence: Sequence, was: Shot, now: Shot, number: int) -> Iterator[str]:
    if not isinstance(was.picture, Footage) or not isinstance(now.picture, Footage):
        return
    if was.picture.take != now.picture.take and was.picture.speed != now.picture.speed:
        tempo = sequence.take(now.picture.take).tempo
        speeds = f"{float(now.picture.speed):.3f} (was {float(was.picture.speed):.3f})"
        yield f"Shot {number} plays at speed {speeds}: take {now.picture.take} was played at {float(tempo):.0%} of performance."
