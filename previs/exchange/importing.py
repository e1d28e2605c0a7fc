"""A cut made from an edit list whose reels are known tapes; it reads no text, and nothing of the sequence is changed.

Rules.
1. A reel is the tape that `previs.exchange.recognising` finds for it and its clip name; what it guessed is said.
2. Source times count as `previs.exchange.cmx3600` says: from the work copy's start; backwards from the frame seen first.
3. The picture counts: channels with V, keys left out for their background. What no event fills is black.
4. A shot's take is the one that the clip name names, if the span touches it, else the first of those that hold most of
   it. A span that no take touches is unknown, as is a reel that is no tape.
5. A cut's sound is its tapes'. Of a list's sound (`previs.exchange.list_sound`) the leads are taken that the tapes and the
   shots have room for; sound that the list drops or lays otherwise is said.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from dataclasses import replace as in_place
from fractions import Fraction

from msgspec.structs import replace

from previs.clock import Span, Timebase, grid_span, span_played
from previs.cut.edit_rules import lacks
from previs.cut.wording import counted
from previs.document.invariants import usable_grid_frames
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Take, Tape, Transition, TransitionKind
from previs.exchange.cmx3600_reading import ListEvent, ReadList
from previs.exchange.list_sound import ListSound, list_sound
from previs.exchange.m2_speed import tenths
from previs.exchange.plain import plain
from previs.exchange.recognising import TapesInLists
from previs.exchange.reels import BLACK_REEL, CARD_REEL
from previs.faults import UseFault

LONGEST_LEAD_SECONDS = 60
"""A list whose first picture comes later than this after the sequence's start is taken to count from somewhere else."""

MOST_EVENTS = 999
"""Of one list, as `previs.exchange.cmx3600` writes them."""
MOST_TIMES_TARGET = 100
"""A list that lasts more than this many times what the sequence may last is of something else, or counts otherwise."""
_EXACT_SPEED = re.compile(r"SPEED IS EXACTLY (-?\d{1,12}(?:/[1-9]\d{0,11})?) OF NORMAL", re.ASCII)
_CARD_MOVES = re.compile(r"CARD STANDS FOR MOVES (\d{1,9})(?:-(\d{1,9}))?", re.ASCII)
_CUT_SHORT = 55
"""Characters from which a clip name may be the beginning of a longer one: lists hold 80 columns."""


@dataclass(frozen=True, slots=True)
class Laid:
    """One stretch of a list's picture: the event (None for a gap), its place from the cut's first frame, what it plays.

    `unknown` says why the event cannot be a shot; it is empty for one that can, which then has a `picture`. `tape` and
    `first_frame` are set, and `speed` counts, wherever the reel is a tape and holds the span, even for one that no take
    touches; `reel_known` is False where the reel is no tape. `guess` says how a tape was guessed. `sound_laid` says
    whether the list lays sound to it, which begins `sound_lead` frames before the picture.
    """

    event: ListEvent | None
    record: Span
    picture: Footage | Card | Black | None
    transition: Transition | None = None
    tape: Tape | None = None
    first_frame: int = 0
    speed: Fraction = Fraction(1)
    unknown: str = ""
    reel_known: bool = True
    guess: str = ""
    sound_laid: bool = False
    sound_lead: int = 0

    @property
    def played(self) -> Span | None:
        """The tape frames seen, in tape order; None without a tape."""
        return span_played(self.first_frame, self.speed, self.record.length) if self.tape else None

    @property
    def drops_sound(self) -> bool:
        """Whether the list leaves out sound that a shot of this tape has."""
        return self.tape is not None and self.tape.sound is not None and self.speed > 0 and not self.sound_laid


@dataclass(frozen=True, slots=True)
class Layout:
    """The picture of a list, or of several, as stretches without gaps in running order, and the sound laid to it."""

    laid: tuple[Laid, ...]
    sound: ListSound

    @property
    def frames(self) -> int:
        """Length on record."""
        return self.laid[-1].record.end_exclusive

    def guesses(self) -> Iterator[str]:
        """What was taken for which tape, and why, each once."""
        found = Counter(
            (one.event.reel, one.tape.reel, one.guess) for one in self.laid if one.guess and one.event is not None and one.tape is not None
        )
        for (reel, tape, guess), times in found.items():
            yield f"Reel {reel} was taken for tape {tape} by {guess} ({counted(times, 'event')})."

    def unknown_reels(self) -> str:
        """How many reels and events are unknown, and which: `2 reels are unknown: AX, ZZ; 14 events`; empty for none."""
        unknown = [one.event for one in self.laid if not one.reel_known and one.event is not None]
        reels = sorted({event.reel for event in unknown})
        are = "is" if len(reels) == 1 else "are"
        return f"{counted(len(reels), 'reel')} {are} unknown: {', '.join(reels)}; {counted(len(unknown), 'event')}" if reels else ""

    def dropped_sound(self) -> str:
        """Which shots have no sound in the list, though their tapes have; empty for none."""
        dropped = [one.event.number for one in self.laid if one.drops_sound and one.event is not None]
        if dropped and not self.sound.any_laid:
            return "The list lays no sound at all"
        return f"The list drops the sound of {counted(len(dropped), 'event')} ({', '.join(dropped)})" if dropped else ""


@dataclass(frozen=True, slots=True)
class Imported:
    """A cut from a list, and what of the list it does not hold or holds otherwise."""

    cut: Cut
    remarks: tuple[str, ...]


def import_list(
    sequence: Sequence,
    reads: Iterable[ReadList],
    name: str,
    *,
    cards_for_unknown: bool = False,
    given: Mapping[str, str] | None = None,
    anyway: bool = False,
) -> Imported:
    """The cut that one list, or several that follow each other, describe; its target is the sequence's.

    `given` says which tapes reels are, as `recognising.given_names` makes it. Raises `UseFault` naming every event whose
    reel or span is unknown, unless `cards_for_unknown`, which puts a card there; and for a list of a size that no cut of
    the sequence has, unless `anyway`.
    """
    lists = tuple(reads)
    if not anyway:
        _refuse_absurd(sequence, lists)
    layout = lay_out(sequence, lists, given)
    laid = layout.laid
    if any(one.unknown for one in laid) and not cards_for_unknown:
        raise UseFault(_unknown_said(layout))
    shots = [Shot(f"s{number}", one.record.length, _shown(one), one.transition) for number, one in enumerate(laid, start=1)]
    shots, left_out = with_leads(sequence, shots, [0 if one.drops_sound else one.sound_lead for one in laid])
    return Imported(Cut(name, tuple(shots), sequence.target_frames), (*_remarks(lists, layout), *left_out))


def lay_out(sequence: Sequence, reads: Iterable[ReadList], given: Mapping[str, str] | None = None) -> Layout:
    """The picture of one list or several, and what sound is laid to it; `given` as for `import_list`.

    Raises `UseFault` when there is no picture, when the lists do not count alike or at the sequence's rate, or overlap.
    """
    lists = tuple(reads)
    if len({read.timebase for read in lists}) != 1 or lists[0].timebase.rate != sequence.timebase.rate:
        raise UseFault(f"The list does not count at {sequence.timebase.rate}, as the sequence does; ask for a list at that rate.")
    timebase = lists[0].timebase
    events = sorted((event for read in lists for event in read.events if _is_picture(event)), key=lambda event: event.record.start)
    if not events:
        raise UseFault("The list has no picture events; give the list of the picture, not of the sound alone.")
    said = [_whole(event.comments) for event in events]
    sound = list_sound(zip(events, said, strict=True), (event for read in lists for event in read.events))
    known = _Known(sequence, lists, timebase, given or {})
    start = timebase.frame(sequence.timebase.label(sequence.start_frame).replace(";", ":"))
    lead = events[0].record.start - start
    at = start if 0 <= lead <= LONGEST_LEAD_SECONDS * timebase.rate.nominal else events[0].record.start
    origin, laid = at, list[Laid]()
    for event, comments, sound_laid, sound_lead in zip(events, said, sound.laid, sound.leads, strict=True):
        if event.record.start < at:
            raise UseFault(f"Event {event.number} begins before the one ahead of it ends; give lists that follow each other on record.")
        if event.record.start > at:
            laid.append(Laid(None, Span(at, event.record.start).shifted(-origin), Black()))
        here = Laid(event, event.record.shifted(-origin), None, _transition(event), sound_laid=sound_laid, sound_lead=sound_lead)
        laid.append(known.laid(event, here, comments))
        at = event.record.end_exclusive
    return Layout(tuple(laid), sound)


def with_leads(sequence: Sequence, shots: list[Shot], leads: list[int]) -> tuple[list[Shot], list[str]]:
    """The shots with these sound leads, as far as tapes and neighbours have room for them, and what was left out."""
    wanted = {shot.ident: lead for shot, lead in zip(shots, leads, strict=True) if lead}
    said: list[str] = []
    while True:
        led = [replace(shot, sound_lead_frames=wanted.get(shot.ident, 0)) for shot in shots]
        bad: dict[str, str] = {}
        for lack in lacks(sequence, led):
            if lack.what.startswith("sound") and lack.ident in wanted:
                bad.setdefault(lack.ident, lack.sentence)
        if not bad:
            return led, said
        said += [f"A sound lead was not taken. {sentence.partition('; ')[0].rstrip('.')}." for sentence in bad.values()]
        wanted = {ident: lead for ident, lead in wanted.items() if ident not in bad}


def _refuse_absurd(sequence: Sequence, lists: tuple[ReadList, ...]) -> None:
    pictures = [[event for event in read.events if _is_picture(event)] for read in lists]
    most = max((len(events) for events in pictures), default=0)
    frames = sum(event.record.length for events in pictures for event in events)
    if most <= MOST_EVENTS and frames <= MOST_TIMES_TARGET * sequence.target_frames:
        return
    label, wrap = sequence.timebase.label, sequence.timebase.wrap
    raise UseFault(
        f"The list has {counted(most, 'picture event')} and its pictures last {label(wrap(frames))}, against a target of "
        f"{label(wrap(sequence.target_frames))}; an edit list holds {MOST_EVENTS} events. If it is of this sequence all the same, "
        "bring it in with --anyway."
    )


def _unknown_said(layout: Layout) -> str:
    """Why a list cannot be a cut: every reel that is no tape, with its events, and every span."""
    unknown = [(one, one.event) for one in layout.laid if one.unknown and one.event is not None]
    reels = layout.unknown_reels()
    summary = f" {reels}." if reels else ""
    says = "Say which tape a reel is with --reel LISTNAME=REEL, ingest and mark what is missing" if reels else "Ingest and mark it"
    lines: list[str] = []
    of_reel: dict[tuple[str, str], list[ListEvent]] = {}
    for one, event in unknown:
        if one.reel_known:
            lines.append(f"Event {event.number}, line {event.line}: {one.unknown}.")
        elif (event.reel, event.clip) in of_reel:
            of_reel[event.reel, event.clip].append(event)
        else:
            of_reel[event.reel, event.clip] = [event]
    for first, *others in of_reel.values():
        also = f", and {counted(len(others), 'event')} more to {others[-1].number}" if others else ""
        lines.append(f"Event {first.number}, line {first.line}{also}: {_no_tape(first)}.")
    is_are = "1 event of the list is" if len(unknown) == 1 else f"{len(unknown):,} events of the list are"
    head = f"{is_are} of what this sequence does not have.{summary} {says}, or take cards in their place with --cards-for-unknown."
    return "\n".join([head, *lines])


def _no_tape(event: ListEvent) -> str:
    return f"reel {event.reel} ({event.clip or 'no clip name'}) is no tape here"


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

    def __init__(self, sequence: Sequence, lists: tuple[ReadList, ...], timebase: Timebase, given: Mapping[str, str]) -> None:
        self._sequence = sequence
        self._tapes = TapesInLists(sequence, _whole(comment for read in lists for comment in _all_comments(read)), timebase, given)
        self._cards = {
            (plain(shot.picture.text), plain(shot.picture.image), shot.picture.first_move): shot.picture
            for cut in sequence.cuts
            for shot in cut.shots
            if isinstance(shot.picture, Card)
        }
        self._timebase = timebase

    def laid(self, event: ListEvent, here: Laid, comments: list[str]) -> Laid:
        """What an event plays, put into the stretch that stands for it."""
        if not self._tapes.is_given(event.reel):
            if _source(event.reel) == BLACK_REEL:
                return in_place(here, picture=Black())
            if event.reel.upper() == CARD_REEL and (card := self._card(event, comments)):
                return in_place(here, picture=card)
        found = self._tapes.find(event.reel, event.clip)
        if found is None:
            return in_place(here, unknown=_no_tape(event), reel_known=False)
        tape, label = found.tape, self._timebase.label(event.source_in)
        first, speed = self._timebase.wrap(event.source_in - found.starts), self._speed(event, comments)
        played = span_played(first, speed, here.record.length)
        usable = usable_grid_frames(tape, self._timebase.rate.fps)
        if played.start < 0 or played.end_exclusive > usable:
            return in_place(here, unknown=f"source {label} lies, or plays, outside tape {tape.reel} ({usable} frames)")
        take = take_for(self._sequence, tape, played, event.clip)
        return in_place(
            here,
            picture=Footage(take.name, first, speed) if take else None,
            unknown="" if take else f"source {label} of tape {tape.reel} is in none of its takes",
            tape=tape,
            first_frame=first,
            speed=speed,
            guess=found.guess,
        )

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


def _remarks(lists: tuple[ReadList, ...], layout: Layout) -> Iterator[str]:
    events = [event for read in lists for event in read.events]
    yield from layout.guesses()
    if reels := layout.unknown_reels():
        yield f"{reels}."
    if dropped := layout.dropped_sound():
        yield f"{dropped}; the cut sounds as its tapes do."
    if alone := layout.sound.alone:
        yield f"{counted(alone, 'event')} of sound alone {_was(alone)} left out; a cut's sound is its tapes'."
    if keys := sum(1 for event in events if "V" in event.channels and not _is_picture(event)):
        yield f"{counted(keys, 'key')} {_was(keys)} left out; a cut shows their background."
    if gaps := sum(1 for one in layout.laid if one.event is None):
        yield f"{counted(gaps, 'gap')} in the list became black."
    before: ListEvent | None = None
    for one in layout.laid:
        event = one.event
        if event is not None:
            if event.transition_frames > one.record.length:
                yield f"The transition of event {event.number} was cut to the shot's {counted(one.record.length, 'frame')}."
            if event.outgoing and _source(event.outgoing) != _source(before.reel if before else BLACK_REEL):
                yield f"Event {event.number} comes in from reel {event.outgoing} in the list; in the cut, from the shot before."
            if one.unknown:
                yield f"Event {event.number} became a card: {one.unknown}."
        before = event


def _was(number: int) -> str:
    return "was" if number == 1 else "were"


def _source(reel: str) -> str:
    return BLACK_REEL if reel.upper() == "BLACK" else reel.upper()
