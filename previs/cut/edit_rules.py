"""What every edit of a cut must respect, and how it puts its shots back; the edits themselves are in other modules.

Three rules hold for all of them.

1. A locked shot stays as it is: an edit that would change it is refused.
2. A transition and a sound lead belong to the cut point between two neighbours. They stay while the same two shots meet
   there, and are taken away when another shot comes between them or one of them leaves.
3. Nothing is shortened behind the person's back: an edit that leaves a shot, a transition or a sound without the frames
   it needs, on the tape or on screen, is refused with the number of frames that are missing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from msgspec.structs import replace as changed

from previs.clock import Span, frame_played, span_played
from previs.document.invariants import usable_grid_frames
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Tape
from previs.document.remembering import remembered
from previs.faults import UseFault

_BY_HAND = "By hand: "
_MOST_BY_HAND = 6
"""How many edits by hand a shot remembers; older ones say little about what it is now."""


@dataclass(frozen=True, slots=True)
class Lack:
    """Frames that a shot needs and does not have; `what` says for what, `sentence` all of it to the person."""

    ident: str
    what: str
    frames: int
    sentence: str


def shots_of(sequence: Sequence, cut_name: str) -> list[Shot]:
    """The shots of a cut, to be changed and given to `put`; raises `UseFault` when there is no such cut."""
    return list(sequence.cut(cut_name).shots)


def shot_index(shots: list[Shot], cut_name: str, number: int) -> int:
    """The place of shot `number`, which counts from 1; raises `UseFault` when there is none."""
    if not 1 <= number <= len(shots):
        has = f"has shots 1 to {len(shots)}" if shots else "has no shots"
        raise UseFault(f"Cut {cut_name} {has}, and no shot {number}; give the number of a shot that is there.")
    return number - 1


def free_index(shots: list[Shot], cut_name: str, number: int) -> int:
    """The place of shot `number`, from 1; raises `UseFault` when there is none or it is locked."""
    index = shot_index(shots, cut_name, number)
    if shots[index].locked:
        raise UseFault(_is_locked(cut_name, number))
    return index


def new_ident(sequence: Sequence) -> str:
    """An ident that no shot of any cut has, so that comparing cuts never takes a new shot for an old one."""
    used = {shot.ident for cut in sequence.cuts for shot in cut.shots}
    highest = max((int(ident[1:]) for ident in used if ident[:1] == "s" and ident[1:].isdecimal() and len(ident) < 12), default=0)
    return next(ident for number in count(highest + 1) if (ident := f"s{number}") not in used)


def straight(shot: Shot) -> Shot:
    """The shot as it is simply cut to: without transition and sound lead."""
    return changed(shot, transition=None, sound_lead_frames=0)


def with_head(shot: Shot, frames: int) -> Shot:
    """The shot `frames` longer at its head (shorter when negative): what it showed first is still shown, that much later."""
    return changed(shot, frames=shot.frames + frames, picture=played_on(shot.picture, -frames))


def played_on(picture: Footage | Card | Black, frames: int) -> Footage | Card | Black:
    """What the picture is after `frames` frames of it; before it when negative."""
    if not isinstance(picture, Footage):
        return picture
    if frames >= 0:
        return changed(picture, first_frame=frame_played(picture.first_frame, picture.speed, frames))
    # Going back counts whole tape frames down, so that playing on by as much leads to this frame again, not past it.
    return changed(picture, first_frame=2 * picture.first_frame - frame_played(picture.first_frame, picture.speed, -frames))


def not_nothing(frames: int) -> None:
    """Raises `UseFault` for a change by no frames, which would be told as done."""
    if frames == 0:
        raise UseFault("0 frames change nothing; give a number of frames above or below 0.")


def put(sequence: Sequence, cut_name: str, shots: list[Shot]) -> Sequence:
    """The sequence with these shots in the cut, checked against the three rules above; raises `UseFault`.

    Only what the edit itself makes worse is refused. A shot whose picture or length was changed says so ahead of the
    reasons that the assembly gave for it.
    """
    old = sequence.cut(cut_name)
    if not shots:
        raise UseFault(f"Cut {cut_name} would be left without a shot; delete the cut instead, or put another shot in first.")
    if sum(shot.frames for shot in shots) > sequence.timebase.frames_per_day:
        raise UseFault(f"Cut {cut_name} would last more than a day, which time code cannot count; make it shorter.")
    kept = {shot.ident: shot for shot in shots}
    for number, shot in enumerate(old.shots, start=1):
        if shot.locked and kept.get(shot.ident) != shot:
            raise UseFault(_is_locked(cut_name, number))
    _refuse_worse(sequence, old, shots)
    before = {shot.ident: shot for shot in old.shots}
    told = tuple(_with_hand_reason(before.get(shot.ident), shot) for shot in shots)
    cuts = tuple(changed(cut, shots=told) if cut is old else cut for cut in sequence.cuts)
    return changed(sequence, cuts=cuts)


def _refuse_worse(sequence: Sequence, old: Cut, shots: list[Shot]) -> None:
    known = _lacking(sequence, old)
    # Two neighbours that have met before lack what they lacked then; of a long cut an edit leaves nearly all as they are.
    met = set(zip(map(id, (None, *old.shots)), map(id, old.shots), strict=False))
    for number, (before, shot) in enumerate(zip((None, *shots), shots, strict=False), start=1):
        if (id(before), id(shot)) in met:
            continue
        for lack in _lacks_of(sequence, before, shot, number):
            if lack.frames > known.get((lack.ident, lack.what), 0):
                raise UseFault(lack.sentence)


@remembered(newest=2)
def _lacking(sequence: Sequence, cut: Cut) -> dict[tuple[str, str], int]:
    """What a cut lacks already, in frames; while an edge is dragged the same cut is asked for many times."""
    return {(lack.ident, lack.what): lack.frames for lack in lacks(sequence, list(cut.shots))}


def lacks(sequence: Sequence, shots: list[Shot]) -> Iterator[Lack]:
    """What the shots of a cut need and do not have, in running order: length, tape, room for transitions and sound."""
    for number, (before, shot) in enumerate(zip((None, *shots), shots, strict=False), start=1):
        yield from _lacks_of(sequence, before, shot, number)
        if shot.frames < 1:
            return


def _lacks_of(sequence: Sequence, before: Shot | None, shot: Shot, number: int) -> Iterator[Lack]:
    if shot.frames < 1:
        yield Lack(
            shot.ident,
            "length",
            1 - shot.frames,
            f"Shot {number} would last {frames_said(shot.frames)}, {1 - shot.frames} too few; leave it one frame at least.",
        )
        return
    yield from _tape_lacks(sequence, shot, number)
    yield from _transition_lacks(sequence, before, shot, number)
    yield from _sound_lacks(sequence, before, shot, number)


def _tape_lacks(sequence: Sequence, shot: Shot, number: int) -> Iterator[Lack]:
    picture = shot.picture
    if not isinstance(picture, Footage):
        return
    tape = sequence.tape(sequence.take(picture.take).reel)
    early, late = _off_tape(sequence, tape, span_played(picture.first_frame, picture.speed, shot.frames))
    whose = f"Shot {number} (take {picture.take}) would begin"
    if early:
        yield Lack(shot.ident, "tape before", early, f"{whose} {frames_said(early)} before tape {tape.reel} does; take {early} fewer.")
    if late:
        whose = f"Shot {number} (take {picture.take}) would play"
        yield Lack(shot.ident, "tape after", late, f"{whose} {frames_said(late)} past the end of tape {tape.reel}; take {late} fewer.")


def _transition_lacks(sequence: Sequence, before: Shot | None, shot: Shot, number: int) -> Iterator[Lack]:
    transition = shot.transition
    if transition is None:
        return
    named = f"The {transition.kind} of {frames_said(transition.frames)} into shot {number}"
    over = transition.frames - shot.frames
    if over > 0:
        sentence = f"{named} would be {frames_said(over)} longer than the shot's {shot.frames}; shorten the {transition.kind} first."
        yield Lack(shot.ident, "transition length", over, sentence)
    if before is None or not isinstance(before.picture, Footage):
        return
    short = _handle_lack(sequence, before, before.picture, transition.frames)
    if short:
        reel = sequence.take(before.picture.take).reel
        sentence = (
            f"{named} needs shot {number - 1} to play on under it, and tape {reel} is {frames_said(short)} too short for that; "
            f"shorten the {transition.kind} or trim the tail of shot {number - 1}."
        )
        yield Lack(shot.ident, "transition handle", short, sentence)


def _sound_lacks(sequence: Sequence, before: Shot | None, shot: Shot, number: int) -> Iterator[Lack]:
    lead = shot.sound_lead_frames
    room = before.frames - 1 + min(0, before.sound_lead_frames) if before else 0
    if lead > room:
        where = f"shot {number - 1} has room for {room}" if before else "the cut begins there"
        sentence = f"The sound of shot {number} would begin {frames_said(lead)} early, but {where}: {frames_said(lead - room)} are missing."
        yield Lack(shot.ident, "sound room", lead - room, f"{sentence} Give it a shorter lead first.")
    if -lead >= shot.frames:
        late = -lead - shot.frames + 1
        begins = f"The sound of shot {number} would begin {frames_said(-lead)} late"
        sentence = f"{begins}, which is {late} too many for its {frames_said(shot.frames)}."
        yield Lack(shot.ident, "sound length", late, f"{sentence} Give it a shorter delay first.")
    if lead > 0:
        yield from _early_sound_lacks(sequence, shot, number)
    elif lead < 0 and before is not None and isinstance(before.picture, Footage) and before.picture.speed > 0:
        short = _handle_lack(sequence, before, before.picture, -lead)
        if short:
            reel = sequence.take(before.picture.take).reel
            sentence = f"The sound of shot {number - 1} would have to run on past the end of tape {reel} for {frames_said(short)}."
            yield Lack(shot.ident, "sound handle", short, f"{sentence} Give the sound of shot {number} a shorter delay.")


def _early_sound_lacks(sequence: Sequence, shot: Shot, number: int) -> Iterator[Lack]:
    lead, picture = shot.sound_lead_frames, shot.picture
    if not isinstance(picture, Footage) or picture.speed <= 0 or sequence.tape(sequence.take(picture.take).reel).sound is None:
        sentence = f"Shot {number} would have no sound to begin early: that takes footage with sound, playing forwards."
        yield Lack(shot.ident, "sound", lead, f"{sentence} Take its sound lead of {frames_said(lead)} away first.")
        return
    early = -frame_played(picture.first_frame, picture.speed, -lead)
    if early > 0:
        reel = sequence.take(picture.take).reel
        sentence = f"The sound of shot {number} would begin {frames_said(early)} before tape {reel} does; give it a shorter lead."
        yield Lack(shot.ident, "sound before", early, sentence)


def _handle_lack(sequence: Sequence, shot: Shot, picture: Footage, frames: int) -> int:
    """How many tape frames are missing for the shot to play on for `frames` after its end."""
    tape = sequence.tape(sequence.take(picture.take).reel)
    return max(_off_tape(sequence, tape, span_played(picture.first_frame, picture.speed, shot.frames + frames)))


def _off_tape(sequence: Sequence, tape: Tape, played: Span) -> tuple[int, int]:
    """Frames of the tape's grid that lie before its first and after its last."""
    there = usable_grid_frames(tape, sequence.timebase.rate.fps)
    return max(0, -played.start), max(0, played.end_exclusive - there)


def _with_hand_reason(before: Shot | None, shot: Shot) -> Shot:
    """The shot with what was done to it by hand ahead of the reasons that the assembly gave; none when it gave none."""
    if before is None or not shot.reasons or (before.picture, before.frames) == (shot.picture, shot.frames):
        return shot
    by_hand = tuple(reason for reason in shot.reasons if reason.startswith(_BY_HAND))
    rest = shot.reasons[len(by_hand) :]
    if not by_hand:
        rest = (f"Before that: {rest[0]}", *rest[1:])
    done = (f"{_BY_HAND}{', '.join(_done_by_hand(before, shot))}.", *by_hand)
    return changed(shot, reasons=(*done[:_MOST_BY_HAND], *rest))


def _done_by_hand(before: Shot, shot: Shot) -> Iterator[str]:
    old, new = before.picture, shot.picture
    longer = shot.frames - before.frames
    if isinstance(old, Footage) and isinstance(new, Footage):
        if old.take != new.take:
            yield f"take {new.take} in the place of {old.take}"
        if old.speed != new.speed:
            yield f"speed {float(new.speed):.3f} instead of {float(old.speed):.3f}"
        later = new.first_frame - old.first_frame
        if old.take == new.take and old.speed == new.speed and later:
            yield f"begins {frames_said(abs(later))} {'later' if later > 0 else 'earlier'} on the tape"
    elif old != new:
        yield "another picture"
    if longer:
        yield f"{frames_said(abs(longer))} {'longer' if longer > 0 else 'shorter'}"


def _is_locked(cut_name: str, number: int) -> str:
    return f"Shot {number} of cut {cut_name} is locked and would be changed; unlock it first."


def frames_said(number: int) -> str:
    """`1 frame`, `2 frames`."""
    return "1 frame" if number == 1 else f"{number} frames"
