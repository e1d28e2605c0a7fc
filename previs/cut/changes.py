"""What changed from one cut to another, as steps that a previs editor can follow by hand in running order; it merges nothing.

The steps are in the order of the new cut: when one is reached, all before it on screen is as it should be, so the record
time code at which it is to be done is that of the new cut. Shots are matched by ident where they still play overlapping
frames of the same take (or are cards or black), then by take and overlap alone, then by ident alone; so a cut that was
assembled anew, with idents counted from the beginning, is compared by what it shows.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from previs.clock import frame_played, tape_frame_at
from previs.cut.placing import Placed, place
from previs.document.model import Card, Cut, Footage, Sequence, Transition


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


@dataclass(frozen=True, slots=True)
class Change:
    """One step: `before` and `after` are the shot where it was and where it is, None for one added or removed.

    `at_frame` is the record frame, from the cut's first, at which the step is done; `sentence` says what to do there.
    """

    kind: ChangeKind
    at_frame: int
    before: Placed | None
    after: Placed | None
    sentence: str


def changes(sequence: Sequence, before: Cut, after: Cut) -> tuple[Change, ...]:
    """The steps from one cut to another, in running order; empty when they show and sound the same.

    A shot with several changes has a step for each. Idents, locks and reasons are not compared, nor is a shot said to
    have moved when only what is before it got longer or shorter.
    """
    old, new = place(sequence, before), place(sequence, after)
    pairs = _matched(old, new)
    found = list(_steps(_Comparison(sequence, before.name, old, new, pairs)))
    return tuple(change for _, change in sorted(found, key=lambda step: step[0]))


def change_rows(sequence: Sequence, found: tuple[Change, ...]) -> list[dict[str, str | int | float | bool | None]]:
    """The steps as table rows; times are record time code, empty where the shot is not in that cut."""
    label = _Labels(sequence)
    return [
        {
            "step": number,
            "at": label.record(change.at_frame),
            "kind": change.kind.value,
            "shot before": change.before.number if change.before else None,
            "in before": label.record(change.before.record.start) if change.before else "",
            "out before": label.record(change.before.record.end_exclusive) if change.before else "",
            "shot after": change.after.number if change.after else None,
            "in after": label.record(change.after.record.start) if change.after else "",
            "out after": label.record(change.after.record.end_exclusive) if change.after else "",
            "to do": change.sentence,
        }
        for number, change in enumerate(found, start=1)
    ]


def _matched(old: tuple[Placed, ...], new: tuple[Placed, ...]) -> dict[int, int]:
    """For places in the new cut, counted from 0, the place in the old one that the shot comes from."""
    by_ident = {one.shot.ident: index for index, one in enumerate(old)}
    pairs: dict[int, int] = {}
    for index, one in enumerate(new):
        was = by_ident.get(one.shot.ident)
        if was is not None and _likeness(old[was], one):
            pairs[index] = was
    taken = set(pairs.values())
    free_old = [index for index in range(len(old)) if index not in taken]
    # The longest overlaps first, the earliest of equals, so that the answer does not depend on where the search began.
    likely = sorted(
        (-likeness, abs(was - index), index, was)
        for index, one in enumerate(new)
        if index not in pairs
        for was in free_old
        if (likeness := _likeness(old[was], one))
    )
    for _, _, index, was in likely:
        if index not in pairs and was not in taken:
            pairs[index] = was
            taken.add(was)
    for index, one in enumerate(new):
        was = by_ident.get(one.shot.ident)
        if index not in pairs and was is not None and was not in taken:
            pairs[index] = was
            taken.add(was)
    return pairs


def _likeness(old: Placed, new: Placed) -> int:
    """How many tape frames of the same take two shots share; 1 for two cards of the same text, or two blacks."""
    if old.source is not None and new.source is not None:
        shared = old.source.played.meet(new.source.played) if old.source.take == new.source.take else None
        return shared.length if shared else 0
    if isinstance(old.shot.picture, Footage) or isinstance(new.shot.picture, Footage):
        return 0
    return int(old.shot.picture == new.shot.picture)


@dataclass(frozen=True, slots=True)
class _Comparison:
    sequence: Sequence
    before_name: str
    old: tuple[Placed, ...]
    new: tuple[Placed, ...]
    pairs: dict[int, int]


_Key = tuple[int, int, int, int]
"""Where a step stands in running order: after which staying shot of the new cut, then what leaves, what comes, details."""


def _steps(two: _Comparison) -> Iterator[tuple[_Key, Change]]:
    staying = staying_in_order(two.pairs)
    # A shot that goes to a later place is told of on the way, where it leaves: else all time code between would be off.
    later = frozenset(index for index in two.pairs if index not in staying and _goes_later(two, staying, index))
    yield from _leaving(two, staying, later)
    yield from _coming_and_staying(two, staying, later)


def _leaving(two: _Comparison, staying: list[int], later: frozenset[int]) -> Iterator[tuple[_Key, Change]]:
    """Shots that are taken out for good, or put at a later place, each at the place that it leaves."""
    label = _Labels(two.sequence)
    new_place = {was: index for index, was in two.pairs.items()}
    anchor = -1
    for was, old in enumerate(two.old):
        index = new_place.get(was)
        at = two.new[anchor].record.end_exclusive if anchor >= 0 else 0
        named = f"shot {old.number} of {two.before_name}, {label.shown(old)},"
        if index is None:
            yield (anchor, 1, was, 0), Change(ChangeKind.REMOVED, at, old, None, f"Take out {named} and close up.")
        elif index in later:
            # Of those that go to the same place only the ones that have gone there already can be named.
            gone = [one for one in later if two.pairs[one] < was]
            follower = min((one for one in (*staying, *gone) if one > index), default=None)
            where = "at the end" if follower is None else f"before shot {two.old[two.pairs[follower]].number} of {two.before_name}"
            goal, sentence = two.new[index], f"Take {named} out of here and put it {where}."
            yield (anchor, 1, was, 0), Change(ChangeKind.MOVED, at, old, goal, sentence)
        elif index in staying:
            anchor = index


def _coming_and_staying(two: _Comparison, staying: list[int], later: frozenset[int]) -> Iterator[tuple[_Key, Change]]:
    """Shots that are put in, each at its place, and what changes in those that are there."""
    label = _Labels(two.sequence)
    anchor = -1
    for index, new in enumerate(two.new):
        anchor, key = (index, (index, 0, 0)) if index in staying else (anchor, (anchor, 2, index))
        at = new.record.start
        if index not in two.pairs:
            said = _comes_in(new.shot.transition) + _sound_said(new.shot.sound_lead_frames)
            sentence = f"Put in {label.shown(new)}, as shot {new.number}{said}."
            yield (*key, 0), Change(ChangeKind.ADDED, at, None, new, sentence)
            continue
        old = two.old[two.pairs[index]]
        if index not in staying and index not in later:
            named = f"shot {old.number} of {two.before_name}, {label.shown(old)},"
            sentence = f"Take {named} from its place and put it in here, as shot {new.number}."
            yield (*key, 0), Change(ChangeKind.MOVED, at, old, new, sentence)
        for detail, change in enumerate(_inside(label, old, new), start=1):
            yield (*key, detail), change


def _goes_later(two: _Comparison, staying: list[int], index: int) -> bool:
    """Whether a moved shot passes a staying one on its way to the end of the cut, and not to the beginning."""
    left_after = max((one for one in staying if two.pairs[one] < two.pairs[index]), default=-1)
    comes_after = max((one for one in staying if one < index), default=-1)
    return comes_after > left_after


def staying_in_order(pairs: dict[int, int]) -> list[int]:
    """Places in the new cut of the most shots that can stay in order, so that as few as possible are called moved."""
    tails: list[int] = []
    ends: list[int] = []
    previous: dict[int, int | None] = {}
    for index in sorted(pairs):
        was = pairs[index]
        at = bisect_left(tails, was)
        previous[index] = ends[at - 1] if at else None
        tails[at : at + 1] = [was]
        ends[at : at + 1] = [index]
    run: list[int] = []
    last = ends[-1] if ends else None
    while last is not None:
        run.append(last)
        last = previous[last]
    return run[::-1]


def _inside(label: _Labels, old: Placed, new: Placed) -> Iterator[Change]:
    """What is different in a shot itself."""
    was, now = old.shot, new.shot
    named = f"Shot {new.number}"

    def change(kind: ChangeKind, sentence: str) -> Change:
        return Change(kind, new.record.start, old, new, sentence)

    if not isinstance(was.picture, Footage) or not isinstance(now.picture, Footage):
        if was.picture != now.picture:
            yield change(ChangeKind.REPLACED, f"{named}: replace {label.shown(old)}, by {label.shown(new)}.")
        elif was.frames != now.frames:
            yield change(ChangeKind.TRIMMED, f"{named}: make it {_longer(now.frames - was.frames)}; it is now {label.shown(new)}.")
    elif was.picture.take != now.picture.take:
        yield change(ChangeKind.REPLACED, f"{named}: replace {label.shown(old)}, by {label.shown(new)}.")
    elif was.picture.speed != now.picture.speed:
        sentence = f"{named}: change its speed from {_speed(was.picture)} to {_speed(now.picture)}; it is now {label.shown(new)}."
        yield change(ChangeKind.RETIMED, sentence)
    else:
        later, longer = now.picture.first_frame - was.picture.first_frame, now.frames - was.frames
        slipped = later != 0 and (longer == 0 or now.picture.speed == 0)
        if slipped:
            where = "later" if later > 0 else "earlier"
            sentence = f"{named}: same place, but {_count(abs(later))} {where} on the tape; it is now {label.shown(new)}."
            yield change(ChangeKind.SLIPPED, sentence)
        if longer:
            head = 0 if slipped or later == 0 else round(-later / now.picture.speed)
            ends = [("head", head), ("tail", longer - head)]
            said = " and ".join(f"the {end} {_longer(frames)}" for end, frames in ends if frames)
            yield change(ChangeKind.TRIMMED, f"{named}: make {said}; it is now {label.shown(new)}.")
    if was.transition != now.transition:
        sentence = f"{named}: it {_came_in(was.transition)}; now let it {_come_in(now.transition)}."
        yield change(ChangeKind.TRANSITION, sentence)
    if was.sound_lead_frames != now.sound_lead_frames:
        sentence = f"{named}: its sound began {_lead(was.sound_lead_frames)}; now let it begin {_lead(now.sound_lead_frames)}."
        yield change(ChangeKind.SOUND, sentence)


def _longer(frames: int) -> str:
    return f"{_count(abs(frames))} {'longer' if frames > 0 else 'shorter'}"


def _count(frames: int) -> str:
    return "1 frame" if frames == 1 else f"{frames} frames"


def _speed(picture: Footage) -> str:
    return "frozen" if picture.speed == 0 else f"{float(picture.speed):.3f}"


def _lead(frames: int) -> str:
    return "with its picture" if frames == 0 else f"{_count(abs(frames))} {'before' if frames > 0 else 'after'} its picture"


def _sound_said(frames: int) -> str:
    return f", its sound beginning {_lead(frames)}" if frames else ""


def _named(transition: Transition) -> str:
    pattern = f", pattern {transition.wipe}" if transition.wipe else ""
    return f"{transition.kind} of {_count(transition.frames)}{pattern}"


def _comes_in(transition: Transition | None) -> str:
    return f", coming in with a {_named(transition)}" if transition else ""


def _came_in(transition: Transition | None) -> str:
    return f"came in with a {_named(transition)}" if transition else "was cut to straight"


def _come_in(transition: Transition | None) -> str:
    return f"come in with a {_named(transition)}" if transition else "be cut to straight"


class _Labels:
    """Time code of the cut and of the tapes, and a shot in a few words."""

    def __init__(self, sequence: Sequence) -> None:
        self._sequence = sequence
        self._timebase = sequence.timebase

    def record(self, frame: int) -> str:
        """Record time code of a frame counted from the cut's first."""
        return self._timebase.label(self._timebase.wrap(self._sequence.start_frame + frame))

    def shown(self, placed: Placed) -> str:
        """Take, tape time code of the first and the last frame, speed and length; or what card it is."""
        shot = placed.shot
        length = _count(shot.frames)
        if isinstance(shot.picture, Card):
            return f"{length} of the card '{shot.picture.text}'"
        if placed.source is None:
            return f"{length} of black"
        source = placed.source
        tape, fps = source.tape, self._timebase.rate.fps
        ends = source.first_frame, frame_played(source.first_frame, source.speed, shot.frames - 1)
        counts = [tape.start_frame + tape_frame_at(frame / fps, tape.timebase.rate) for frame in ends]
        first, last = (tape.timebase.label(tape.timebase.wrap(count)) for count in counts)
        speed = "" if source.speed == 1 else " frozen" if source.speed == 0 else f" at speed {float(source.speed):.3f}"
        return f"{length} of take {source.take.name} (tape {tape.reel}, {first} to its frame {last}){speed}"
