"""What a returned edit list changes against a cut, shot by shot; it changes nothing itself.

Rules.
1. A shot and an event are the same when they play the same tape and overlap on it; of several that do, those that play
   most in common, then those nearest in running order. Cards meet cards and black meets black or a gap, by order.
2. Head and tail are in frames of the cut, counted the way the shot plays; a head and a tail moved by the same amount are a
   slip, in frames of the tape. Speeds that one M2 line cannot tell apart are equal.
3. A shot has moved when it is out of order against the longest run of shots that kept theirs. A later record time alone
   is no move: it follows from what came before.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from previs.clock import Span
from previs.cut.changes import staying_in_order
from previs.cut.placing import Placed, place
from previs.document.model import Black, Card, Cut, Sequence, Transition
from previs.exchange.cmx3600_reading import ReadList
from previs.exchange.importing import Laid, lay_out
from previs.exchange.lists import Row, record_label


class Change(StrEnum):
    """What happened to a shot."""

    KEPT = "kept"
    TRIMMED = "trimmed"
    SLIPPED = "slipped"
    MOVED = "moved"
    RETIMED = "retimed"
    TRANSITION = "transition changed"
    REMOVED = "removed"
    NEW = "new"


@dataclass(frozen=True, slots=True)
class Compared:
    """One shot, one event, or the two as one: what changed, in sentences, and where each stands on record.

    `had` is the shot's record span in the cut, `has` the event's in the list, both in frames from the first picture.
    """

    changes: tuple[Change, ...]
    shot: int | None
    event: str | None
    source: str
    had: Span | None
    has: Span | None
    details: tuple[str, ...] = ()


def compare(sequence: Sequence, cut: Cut, reads: Iterable[ReadList]) -> tuple[Compared, ...]:
    """Every shot and every event, in the list's order, a removed shot after the one that was ahead of it.

    Raises `UseFault` for a list that has no picture or does not count at the sequence's rate.
    """
    placed, laid = place(sequence, cut), lay_out(sequence, reads)
    events_of = _matched(placed, laid)
    staying = set(staying_in_order(events_of))
    rows: list[tuple[tuple[int, int], Compared]] = []
    last_event = -1
    for at, one in enumerate(placed):
        if at in events_of:
            last_event = events_of[at]
            rows.append(((last_event, 0), _both(sequence, one, laid[last_event], moved=at not in staying)))
        else:
            rows.append(((last_event, at + 1), Compared((Change.REMOVED,), one.number, None, _source_of(one), one.record, None)))
    taken = set(events_of.values())
    rows += [((at, 0), _new(one, placed)) for at, one in enumerate(laid) if at not in taken and one.event is not None]
    return tuple(row for _, row in sorted(rows, key=lambda row: row[0]))


def rows(sequence: Sequence, compared: Iterable[Compared]) -> list[Row]:
    """The comparison as rows for a table: had and has as record time code, out exclusive, and lengths in frames."""

    def label(span: Span | None, end: bool) -> str:
        return record_label(sequence, span.end_exclusive if end else span.start) if span else ""

    return [
        {
            "change": ", ".join(one.changes),
            "shot": one.shot,
            "event": one.event or "",
            "source": one.source,
            "had in": label(one.had, end=False),
            "had out": label(one.had, end=True),
            "has in": label(one.has, end=False),
            "has out": label(one.has, end=True),
            "had frames": one.had.length if one.had else None,
            "has frames": one.has.length if one.has else None,
            "details": "; ".join(one.details),
        }
        for one in compared
    ]


def _matched(placed: tuple[Placed, ...], laid: tuple[Laid, ...]) -> dict[int, int]:
    """For each shot that is still there, by index, the index of its event: the best pairs first, each used once."""
    seen: dict[str, list[tuple[int, Span]]] = {}
    for event, other in enumerate(laid):
        seen.setdefault(_source_in_list(other), []).append((event, other.played or _ANY))
    pairs: list[tuple[int, int, int, int]] = []
    for shot, one in enumerate(placed):
        for event, played in seen.get(_source_of(one), ()):
            if common := (one.source.played if one.source else _ANY).meet(played):
                pairs.append((-common.length, abs(shot - event), shot, event))
    found: dict[int, int] = {}
    taken: set[int] = set()
    for _, _, shot, event in sorted(pairs):
        if shot not in found and event not in taken:
            found[shot] = event
            taken.add(event)
    return found


def _both(sequence: Sequence, one: Placed, other: Laid, *, moved: bool) -> Compared:
    changes: list[Change] = []
    details: list[str] = []
    if moved:
        changes.append(Change.MOVED)
    if one.source is None:
        _note_trim(0, other.record.length - one.shot.frames, changes, details)
    else:
        _note_source(sequence.timebase.rate.fps, one, other, changes, details)
    had, has = one.shot.transition, other.transition
    if had != has:
        changes.append(Change.TRANSITION)
        details.append(f"{_told(had)}, now {_told(has)}")
    number = other.event.number if other.event else None
    return Compared(tuple(changes) or (Change.KEPT,), one.number, number, _source_of(one), one.record, other.record, tuple(details))


def _note_source(fps: Fraction, one: Placed, other: Laid, changes: list[Change], details: list[str]) -> None:
    assert one.source is not None
    had, has = one.source.speed, other.speed
    tape_frames = other.first_frame - one.source.first_frame
    longer = other.record.length - one.shot.frames
    if abs(had - has) * fps * 10 >= 1:
        changes.append(Change.RETIMED)
        details.append(f"speed {had}, now {has}")
        if tape_frames:
            changes.append(Change.TRIMMED)
            details.append(f"begins {_frames(abs(tape_frames))} of tape {'later' if tape_frames > 0 else 'earlier'}")
        return
    forward = tape_frames if had >= 0 else -tape_frames
    head = round(forward / abs(had)) if had else 0
    if tape_frames and (longer == 0 or had == 0):
        changes.append(Change.SLIPPED)
        details.append(f"shows {_frames(abs(tape_frames))} of tape {'later' if tape_frames > 0 else 'earlier'}")
        head = 0
    _note_trim(head, longer + head, changes, details)


def _note_trim(head: int, tail: int, changes: list[Change], details: list[str]) -> None:
    """`head` is positive for a later begin, `tail` for a later end."""
    if head or tail:
        changes.append(Change.TRIMMED)
    if head:
        details.append(f"head {'shorter' if head > 0 else 'longer'} by {_frames(abs(head))}")
    if tail:
        details.append(f"tail {'longer' if tail > 0 else 'shorter'} by {_frames(abs(tail))}")


def _new(one: Laid, placed: tuple[Placed, ...]) -> Compared:
    assert one.event is not None
    also = [
        str(shot.number)
        for shot in placed
        if shot.source and one.played and one.tape == shot.source.tape and shot.source.played.meet(one.played)
    ]
    detail = one.unknown or (
        f"more of what shot {', '.join(also)} plays" if also else "a span that the cut does not use" if one.tape else ""
    )
    return Compared((Change.NEW,), None, one.event.number, _source_in_list(one), None, one.record, (detail,) if detail else ())


_CARD, _BLACK = "(card)", "(black)"
"""In brackets, so that no reel can be called so."""
_ANY = Span(0, 1)
"""What cards and black play: each can be any other."""


def _source_of(one: Placed) -> str:
    if one.source is not None:
        return one.source.tape.reel
    return _CARD if isinstance(one.shot.picture, Card) else _BLACK


def _source_in_list(one: Laid) -> str:
    if one.tape is not None:
        return one.tape.reel
    if isinstance(one.picture, Black):
        return _BLACK
    return _CARD if one.picture or one.event is None else one.event.reel


def _told(transition: Transition | None) -> str:
    if transition is None:
        return "cut"
    wipe = f" {transition.wipe:03d}" if transition.wipe else ""
    return f"{transition.kind}{wipe} of {_frames(transition.frames)}"


def _frames(count: int) -> str:
    return f"{count} frame" if count == 1 else f"{count} frames"
