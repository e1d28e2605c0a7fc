"""What changed from one cut to another, as steps that a previs editor can follow by hand in running order; it merges nothing.

The steps are in the order of the new cut: when one is reached, all before it on screen is as it should be, so the record
time code at which it is to be done is that of the new cut. Which shot is which follows `previs.cut.matching`, by what the
shots show before their idents; so a cut that was assembled anew, with idents counted from the beginning, is compared by
what it shows. An in is the first frame of a span, an out the frame after its last, here as in every list.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from previs.clock import tape_frame_at
from previs.cut.differences import BLACK, ChangeKind, Side, differences, likenesses
from previs.cut.matching import matched, staying_in_order
from previs.cut.placing import Placed, place
from previs.cut.wording import counted, lead_said, longer_said, speed_said
from previs.document.model import Black, Card, Cut, Footage, Sequence
from previs.printable import printable


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
    """The steps from one cut to another, in running order; empty when they show and sound the same, with the same locks.

    A shot with several changes has a step for each. Idents and reasons are not compared, nor is a shot said to have moved
    when only what is before it got longer or shorter.
    """
    found = list(_steps(_compared(sequence, before, after)))
    return tuple(change for _, change in sorted(found, key=lambda step: step[0]))


def same_shots(sequence: Sequence, before: Cut, after: Cut) -> dict[int, int]:
    """For numbers of shots in `after` the number of the same shot in `before`; a shot that is new there has none."""
    return {now + 1: was + 1 for now, was in _compared(sequence, before, after).pairs.items()}


def change_text(sequence: Sequence, before: Cut, after: Cut, found: tuple[Change, ...]) -> str:
    """The steps as a page to work from: what leads from where to where at its head, the net change at its foot."""
    if not found:
        return printable(f"{before.name} and {after.name} show and sound the same.\n")
    label = Labels(sequence)
    net = after.frames - before.frames
    by = f"{longer_said(net)} than" if net else "as long as"
    lines = [
        f"{sequence.title}: from cut {before.name} to cut {after.name}, {counted(len(found), 'step')}.",
        *(f"{cut.name}: {counted(len(cut.shots), 'shot')}, {label.length(cut.frames)}." for cut in (before, after)),
        f"Do the steps in this order; each names the time code at which it is done, which is that of {after.name}.",
        "An in is the first frame of a span, an out the frame after its last.",
        "",
        *(f"{number}. At {label.record(step.at_frame)}: {step.sentence}" for number, step in enumerate(found, start=1)),
        "",
        f"Then {after.name} lasts {label.length(after.frames)}: {by} {before.name}.",
    ]
    return printable("\n".join(lines) + "\n")


def change_rows(sequence: Sequence, found: tuple[Change, ...]) -> list[dict[str, str | int | float | bool | None]]:
    """The steps as table rows; times are record time code, empty where the shot is not in that cut."""
    label = Labels(sequence)
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


@dataclass(frozen=True, slots=True)
class _Comparison:
    before_name: str
    old: tuple[Placed, ...]
    new: tuple[Placed, ...]
    old_sides: tuple[Side, ...]
    new_sides: tuple[Side, ...]
    pairs: dict[int, int]
    label: Labels


def _compared(sequence: Sequence, before: Cut, after: Cut) -> _Comparison:
    label = Labels(sequence)
    old, new = place(sequence, before), place(sequence, after)
    old_sides, new_sides = label.sides(old), label.sides(new)
    by_ident = {one.shot.ident: index for index, one in enumerate(old)}
    same_ident = {now: by_ident[one.shot.ident] for now, one in enumerate(new) if one.shot.ident in by_ident}
    pairs = matched(likenesses(old_sides, new_sides), len(old), len(new), same_ident)
    return _Comparison(before.name, old, new, old_sides, new_sides, pairs, label)


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
    new_place = {was: index for index, was in two.pairs.items()}
    anchor = -1
    for was, old in enumerate(two.old):
        index = new_place.get(was)
        at = two.new[anchor].record.end_exclusive if anchor >= 0 else 0
        named = f"shot {old.number} of {two.before_name}, {two.old_sides[was].shown},"
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
    anchor = -1
    for index, new in enumerate(two.new):
        anchor, key = (index, (index, 0, 0)) if index in staying else (anchor, (anchor, 2, index))
        at, side = new.record.start, two.new_sides[index]
        if index not in two.pairs:
            yield (*key, 0), Change(ChangeKind.ADDED, at, None, new, f"Put in {side.shown}, as shot {new.number}{_with(side)}.")
            continue
        old, was = two.old[two.pairs[index]], two.old_sides[two.pairs[index]]
        if index not in staying and index not in later:
            named = f"shot {old.number} of {two.before_name}, {was.shown},"
            sentence = f"Take {named} from its place and put it in here, as shot {new.number}."
            yield (*key, 0), Change(ChangeKind.MOVED, at, old, new, sentence)
        for detail, (kind, sentence) in enumerate(_inside(was, side), start=1):
            yield (*key, detail), Change(kind, at, old, new, f"Shot {new.number}: {sentence}.")


def _goes_later(two: _Comparison, staying: list[int], index: int) -> bool:
    """Whether a moved shot passes a staying one on its way to the end of the cut, and not to the beginning."""
    left_after = max((one for one in staying if two.pairs[one] < two.pairs[index]), default=-1)
    comes_after = max((one for one in staying if one < index), default=-1)
    return comes_after > left_after


_OF_LENGTH = (ChangeKind.RETIMED, ChangeKind.SLIPPED, ChangeKind.TRIMMED)


def _inside(was: Side, now: Side) -> Iterator[tuple[ChangeKind, str]]:
    """What is to be done to a shot itself; the last step on its span says what it must then be."""
    found = list(differences(was, now))
    last = max((at for at, one in enumerate(found) if one.kind in _OF_LENGTH), default=-1)
    for at, one in enumerate(found):
        yield one.kind, f"{one.to_do}; it is now {now.shown}" if at == last else one.to_do


def _with(side: Side) -> str:
    """What a shot that is put in brings besides its picture."""
    parts = [f"a {side.comes_in}"] if side.transition else []
    parts += [f"its sound beginning {lead_said(side.sound_lead_frames)}"] if side.sound_lead_frames else []
    said = f", with {' and '.join(parts)}" if parts else ""
    return f"{said}, and lock it" if side.locked else said


class Labels:
    """Time code of the cut and of the tapes, and shots as they are told of."""

    def __init__(self, sequence: Sequence) -> None:
        self._sequence = sequence
        self._timebase = sequence.timebase

    def record(self, frame: int) -> str:
        """Record time code of a frame counted from the cut's first."""
        return self._timebase.label(self._timebase.wrap(self._sequence.start_frame + frame))

    def length(self, frames: int) -> str:
        """A length as time code and in frames."""
        return f"{self._timebase.label(self._timebase.wrap(frames))} ({counted(frames, 'frame')})"

    def sides(self, placed: tuple[Placed, ...]) -> tuple[Side, ...]:
        """Every shot of a cut as one side of a comparison."""
        after_black = [True, *(isinstance(one.shot.picture, Black) for one in placed)]
        return tuple(self._side(one, after) for one, after in zip(placed, after_black, strict=False))

    def _side(self, one: Placed, after_black: bool) -> Side:
        shot, picture = one.shot, one.shot.picture
        # As a literal, so that no two cards, and no reel, share a key.
        key = one.source.tape.reel if one.source else BLACK if isinstance(picture, Black) else repr(picture)
        side = Side(
            key,
            self.shown(one),
            shot.frames,
            transition=shot.transition,
            after_black=after_black,
            sound_lead_frames=shot.sound_lead_frames,
            locked=shot.locked,
        )
        if one.source is None or not isinstance(picture, Footage):
            return side
        return replace(side, tape=True, take=picture.take, first_frame=picture.first_frame, speed=picture.speed)

    def shown(self, placed: Placed) -> str:
        """Take, in and out on the tape, speed and length; or what card it is."""
        shot = placed.shot
        length = counted(shot.frames, "frame")
        if isinstance(shot.picture, Card):
            return f"{length} of the card '{shot.picture.text}'"
        if placed.source is None:
            return f"{length} of black"
        source = placed.source
        tape, fps = source.tape, self._timebase.rate.fps
        ends = source.played.start, source.played.end_exclusive
        counts = [tape.start_frame + tape_frame_at(frame / fps, tape.timebase.rate) for frame in ends]
        first, out = (tape.timebase.label(tape.timebase.wrap(count)) for count in counts)
        speed = "" if source.speed == 1 else " frozen" if source.speed == 0 else f" at speed {speed_said(source.speed)}"
        return f"{length} of take {source.take.name} (tape {tape.reel}, in {first}, out {out}){speed}"
