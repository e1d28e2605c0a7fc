"""A cut made from an edit list whose reels are known tapes; it reads no text, and nothing of the sequence is changed.

Rules.
1. A reel is the tape that the list's own reel table names (`* REEL A1 = TAPE ...`, as `previs.exchange.cmx3600` writes
   it), else the tape that an edit list of this sequence would call so, else the tape of that reel name.
2. Source times count as `previs.exchange.cmx3600` says: from the work copy's start; backwards from the frame seen first.
3. The picture counts: channels with V, keys left out for their background. What no event fills is black.
4. A shot's take is the one that the clip name names, if the span touches it, else the first of those that hold most of
   it. A span that no take touches is unknown, as is a reel that is no tape.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from previs.clock import Span, Timebase, grid_span, span_played
from previs.cut.source_time import work_copy_start
from previs.document.invariants import usable_grid_frames
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Take, Tape, Transition, TransitionKind
from previs.exchange.cmx3600_reading import ListEvent, ReadList
from previs.exchange.m2_speed import tenths
from previs.exchange.plain import plain
from previs.exchange.reels import BLACK_REEL, CARD_REEL, reel_table
from previs.faults import UseFault

LONGEST_LEAD_SECONDS = 60
"""A list whose first picture comes later than this after the sequence's start is taken to count from somewhere else."""

_REEL = re.compile(r"REEL (\S{1,8}) = TAPE (.{1,8}), STARTS .*, HERE (\d\d:\d\d:\d\d[:;]\d\d), FILE", re.ASCII)
_EXACT_SPEED = re.compile(r"SPEED IS EXACTLY (-?\d{1,12}(?:/[1-9]\d{0,11})?) OF NORMAL", re.ASCII)
_CARD_MOVES = re.compile(r"CARD STANDS FOR MOVES (\d{1,9})(?:-(\d{1,9}))?", re.ASCII)
_CUT_SHORT = 55
"""Characters from which a clip name may be the beginning of a longer one: lists hold 80 columns."""


@dataclass(frozen=True, slots=True)
class Laid:
    """One stretch of a list's picture: the event (None for a gap), its place from the cut's first frame, what it plays.

    `unknown` says why the event cannot be a shot; it is empty for one that can, which then has a `picture`. `tape` and
    `first_frame` are set, and `speed` counts, wherever the reel is a tape, even for a span that no take touches.
    """

    event: ListEvent | None
    record: Span
    picture: Footage | Card | Black | None
    transition: Transition | None = None
    tape: Tape | None = None
    first_frame: int = 0
    speed: Fraction = Fraction(1)
    unknown: str = ""

    @property
    def played(self) -> Span | None:
        """The tape frames seen, in tape order; None without a tape."""
        return span_played(self.first_frame, self.speed, self.record.length) if self.tape else None


@dataclass(frozen=True, slots=True)
class Imported:
    """A cut from a list, and what of the list it does not hold or holds otherwise."""

    cut: Cut
    remarks: tuple[str, ...]


def import_list(sequence: Sequence, reads: Iterable[ReadList], name: str, *, cards_for_unknown: bool = False) -> Imported:
    """The cut that one list, or several that follow each other, describe; its target is the sequence's.

    Raises `UseFault` naming every event whose reel or span is unknown, unless `cards_for_unknown`, which puts a card there.
    """
    lists = tuple(reads)
    laid = lay_out(sequence, lists)
    unknown = [one for one in laid if one.unknown]
    if unknown and not cards_for_unknown:
        told = "\n".join(f"Event {one.event.number}, line {one.event.line}: {one.unknown}." for one in unknown if one.event)
        raise UseFault(
            f"{len(unknown)} events of the list are of what this sequence does not have; ingest and mark it, "
            f"or take cards in their place with --cards-for-unknown.\n{told}"
        )
    shots = tuple(Shot(f"s{number}", one.record.length, _shown(one), one.transition) for number, one in enumerate(laid, start=1))
    return Imported(Cut(name, shots, sequence.target_frames), tuple(_remarks(lists, laid)))


def lay_out(sequence: Sequence, reads: Iterable[ReadList]) -> tuple[Laid, ...]:
    """The picture of one list or several as stretches without gaps, in running order.

    Raises `UseFault` when there is no picture, when the lists do not count alike or at the sequence's rate, or overlap.
    """
    lists = tuple(reads)
    if len({read.timebase for read in lists}) != 1 or lists[0].timebase.rate != sequence.timebase.rate:
        raise UseFault(f"The list does not count at {sequence.timebase.rate}, as the sequence does; ask for a list at that rate.")
    timebase = lists[0].timebase
    events = sorted((event for read in lists for event in read.events if _is_picture(event)), key=lambda event: event.record.start)
    if not events:
        raise UseFault("The list has no picture events; give the list of the picture, not of the sound alone.")
    known = _Known(sequence, lists, timebase)
    start = timebase.frame(sequence.timebase.label(sequence.start_frame).replace(";", ":"))
    lead = events[0].record.start - start
    at = start if 0 <= lead <= LONGEST_LEAD_SECONDS * timebase.rate.nominal else events[0].record.start
    origin, laid = at, list[Laid]()
    for event in events:
        if event.record.start < at:
            raise UseFault(f"Event {event.number} begins before the one ahead of it ends; give lists that follow each other on record.")
        if event.record.start > at:
            laid.append(Laid(None, Span(at, event.record.start).shifted(-origin), Black()))
        laid.append(known.laid(event, event.record.shifted(-origin)))
        at = event.record.end_exclusive
    return tuple(laid)


def take_for(sequence: Sequence, tape: Tape, played: Span, named: str = "") -> Take | None:
    """The take that a span of tape frames belongs to by rule 4, or None when it touches none."""
    best: tuple[int, int] | None = None
    found: Take | None = None
    for take in sequence.takes:
        seen = played.meet(grid_span(take.span, sequence.timebase.rate.fps)) if take.reel == tape.reel else None
        if seen is None:
            continue
        shown = plain(take.name) or "?"
        name_fits = 2 if named and shown == named else int(len(named) > _CUT_SHORT and shown.startswith(named))
        rank = (name_fits, seen.length)
        if best is None or rank > best:
            best, found = rank, take
    return found


def _is_picture(event: ListEvent) -> bool:
    return "V" in event.channels and event.kind not in ("K", "KO")


class _Known:
    """What a list's reels, clip names and comments mean in this sequence."""

    def __init__(self, sequence: Sequence, lists: tuple[ReadList, ...], timebase: Timebase) -> None:
        self._sequence = sequence
        self._tapes = {tape.reel.upper(): (tape, work_copy_start(tape, timebase)) for tape in sequence.tapes}
        self._tapes |= {row.in_list: (row.tape, work_copy_start(row.tape, timebase)) for row in reel_table(sequence)}
        tapes = {plain(tape.reel): tape for tape in sequence.tapes}
        for comment in _whole(comment for read in lists for comment in _all_comments(read)):
            row = _REEL.match(comment)
            if row and row[2] in tapes:
                self._tapes[row[1].upper()] = (tapes[row[2]], timebase.frame(row[3]))
        self._cards = {
            (plain(shot.picture.text), plain(shot.picture.image), shot.picture.first_move): shot.picture
            for cut in sequence.cuts
            for shot in cut.shots
            if isinstance(shot.picture, Card)
        }
        self._timebase = timebase

    def laid(self, event: ListEvent, record: Span) -> Laid:
        """What an event plays."""
        reel, comments = event.reel.upper(), _whole(event.comments)
        transition = _transition(event)
        if _source(reel) == BLACK_REEL:
            return Laid(event, record, Black(), transition)
        if reel == CARD_REEL:
            card = self._card(event, comments)
            return Laid(
                event, record, card, transition, unknown="" if card else f"reel {event.reel} ({event.clip or 'no clip name'}) is no tape"
            )
        if reel not in self._tapes:
            return Laid(event, record, None, transition, unknown=f"reel {event.reel} ({event.clip or 'no clip name'}) is no tape here")
        tape, starts = self._tapes[reel]
        first, speed = self._timebase.wrap(event.source_in - starts), self._speed(event, comments)
        played = span_played(first, speed, record.length)
        usable = usable_grid_frames(tape, self._timebase.rate.fps)
        if played.start < 0 or played.end_exclusive > usable:
            label = self._timebase.label(event.source_in)
            return Laid(
                event, record, None, transition, unknown=f"source {label} lies, or plays, outside tape {tape.reel} ({usable} frames)"
            )
        take = take_for(self._sequence, tape, played, event.clip)
        picture = Footage(take.name, first, speed) if take else None
        unknown = "" if take else f"source {self._timebase.label(event.source_in)} of tape {tape.reel} is in none of its takes"
        return Laid(event, record, picture, transition, tape, first, speed, unknown)

    def _speed(self, event: ListEvent, comments: list[str]) -> Fraction:
        """The M2 line's speed, or the exact one in our comment where it is within the M2 line's rounding."""
        if event.speed is None:
            return Fraction(1)
        for comment in comments:
            if told := _EXACT_SPEED.fullmatch(comment):
                exact, rate = Fraction(told[1]), self._timebase.rate
                if abs(tenths(exact, rate) - tenths(event.speed, rate)) <= 1:
                    return exact
        return event.speed

    def _card(self, event: ListEvent, comments: list[str]) -> Card | None:
        """A card as our comments tell it; the sequence's own where one has this text, as lists hold seven bits only."""
        text = image = ""
        first = last = None
        found = event.clip == "CARD"
        for comment in comments:
            if comment.startswith("CARD: ") or comment == "CARD:":
                text, found = comment[6:], True
            elif comment.startswith("CARD PICTURE: "):
                image = comment[14:]
            elif stands := _CARD_MOVES.fullmatch(comment):
                first, last = int(stands[1]), int(stands[2]) if stands[2] else None
        if not found:
            return None
        numbers = {move.number for move in self._sequence.moves}
        if first not in numbers or (last is not None and last not in numbers):
            first = last = None
        return self._cards.get((text, image, first)) or Card(text, first, last, image)


def _transition(event: ListEvent) -> Transition | None:
    if event.kind not in ("D", "W"):
        return None
    kind = TransitionKind.WIPE if event.kind == "W" else TransitionKind.DISSOLVE
    return Transition(kind, min(event.transition_frames, event.record.length), event.wipe)


def _shown(one: Laid) -> Footage | Card | Black:
    if one.picture is not None:
        return one.picture
    assert one.event is not None
    return Card(f"Event {one.event.number}, reel {one.event.reel}: {one.event.clip or one.unknown}")


def _whole(comments: Iterable[str]) -> list[str]:
    """Comments with the lines that go on (`* + `) joined to the one they belong to."""
    found: list[str] = []
    for comment in comments:
        if comment.startswith("+ ") and found:
            found[-1] += comment[1:]
        else:
            found.append(comment)
    return found


def _all_comments(read: ReadList) -> Iterator[str]:
    yield from read.comments
    for event in read.events:
        yield from event.comments


def _remarks(lists: tuple[ReadList, ...], laid: tuple[Laid, ...]) -> Iterator[str]:
    events = [event for read in lists for event in read.events]
    if silent := sum(1 for event in events if "V" not in event.channels):
        yield f"{silent} events of sound alone were left out; a cut's sound is its tapes'."
    if keys := sum(1 for event in events if "V" in event.channels and not _is_picture(event)):
        yield f"{keys} keys were left out; a cut shows their background."
    if gaps := sum(1 for one in laid if one.event is None):
        yield f"{gaps} gaps in the list became black."
    for number, one in enumerate(laid, start=1):
        if one.event is None:
            continue
        if one.event.transition_frames > one.record.length:
            yield f"The transition of event {one.event.number} was cut to the shot's {one.record.length} frames."
        before = laid[number - 2].event if number > 1 else None
        if one.event.outgoing and _source(one.event.outgoing) != _source(before.reel if before else BLACK_REEL):
            yield f"Event {one.event.number} comes in from reel {one.event.outgoing} in the list; in the cut, from the shot before."
        if one.unknown:
            yield f"Event {one.event.number} became a card: {one.unknown}."


def _source(reel: str) -> str:
    return BLACK_REEL if reel.upper() == "BLACK" else reel.upper()
