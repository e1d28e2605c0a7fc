"""Where each shot of a cut stands, and what the marks on its tape become on screen; derived, never stored.

`record` spans count frames from the cut's first; `tape` spans count frames of the sequence-rate grid of the tape.

Under a transition the outgoing shot plays on, and two rules say what counts there. A treatment is seen to the transition's
last frame, since every frame that shows it must be treated. A hit is seen while the outgoing shot has at least half of the
picture, up to the transition's middle, where the pace counts the next shot from too (B. Salt).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from previs.clock import Rate, Span, first_grid_frame, frame_played, frames_showing, grid_span, span_played
from previs.document.model import Card, Cut, Footage, Framing, Hit, Move, Sequence, Shot, Take, Tape, Transition, Treatment
from previs.document.remembering import remembered

_OnTape = list[tuple[int, int, Take, Hit]]
_NONE: _OnTape = []
_SHOTS_KEPT = 4096
"""Of so many shots it is remembered what follows from the shot alone: an edit leaves nearly all shots of a cut as they are."""


@dataclass(frozen=True, slots=True)
class Source:
    """The tape side of a shot that has footage.

    `played` are the tape frames seen during the shot's own length, `seen` those and the ones that it plays on for under the
    transition into the next shot.
    """

    take: Take
    tape: Tape
    first_frame: int
    speed: Fraction
    played: Span
    seen: Span

    def frame(self, k: int) -> int:
        """The tape frame shown at the shot's own frame `k`, which may lie outside the shot."""
        return frame_played(self.first_frame, self.speed, k)


@dataclass(frozen=True, slots=True)
class Placed:
    """A shot with its number in the cut (from 1) and its place on screen; `leaves_by` is the transition into the next."""

    number: int
    shot: Shot
    record: Span
    source: Source | None
    leaves_by: Transition | None = None

    @property
    def under_frames(self) -> int:
        """How many frames the shot plays on for under the transition into the next."""
        return self.leaves_by.frames if self.leaves_by else 0

    @property
    def on_screen(self) -> Span:
        """Every record frame that shows something of the shot."""
        return Span(self.record.start, self.record.end_exclusive + self.under_frames)

    @property
    def carries(self) -> Span:
        """The record frames up to the middle of the transition into the next, to which it has half of the picture or more."""
        return Span(self.record.start, self.record.end_exclusive + (self.under_frames + 1) // 2)

    @property
    def comes_in(self) -> Fraction:
        """Where the shot begins, in record frames: in the middle of its transition."""
        return self.record.start + Fraction(self.shot.transition.frames if self.shot.transition else 0, 2)

    @property
    def goes_out(self) -> Fraction:
        """Where the next shot begins."""
        return self.record.end_exclusive + Fraction(self.under_frames, 2)

    def showing(self, tape: Span) -> Span | None:
        """The record frames that show any of these tape frames in this shot, also under the transition; or None."""
        if self.source is None:
            return None
        own = frames_showing(tape, self.source.first_frame, self.source.speed, self.on_screen.length)
        return own.shifted(self.record.start) if own else None

    def framings(self, fps: Fraction) -> list[tuple[Span, Framing]]:
        """The record frames in which each framing of the take holds on screen, in running order and without gaps."""
        if self.source is None:
            return []
        marked, seen = self.source.take.framings, self.source.seen
        if len(marked) == 1:
            return [(self.on_screen, marked[0])]
        # The first framing holds for what lies before it too.
        edges = [seen.start, *(first_grid_frame(framing.at, fps) for framing in marked[1:]), seen.end_exclusive]
        found = []
        for framing, (start, end) in zip(marked, pairwise(edges), strict=True):
            if start < end and (shown := self.showing(Span(start, end))):
                found.append((shown, framing))
        return sorted(found, key=lambda one: one[0].start)

    def framing_at(self, record_frame: int, fps: Fraction) -> Framing | None:
        """The framing that holds at a record frame of the shot, or None for a card and for black."""
        if self.source is None:
            return None
        return self.source.take.framing_at(self.source.frame(record_frame - self.record.start) / fps)


@dataclass(frozen=True, slots=True)
class SeenHit:
    """A move landing on screen: the shot, the record frame and the mark it comes from, which may be another take's."""

    placed: Placed
    record_frame: int
    move: Move
    hit: Hit


@dataclass(frozen=True, slots=True)
class SeenTreatment:
    """A treated stretch on screen, with the framings that hold in it in running order.

    `under_frames` says how many of its record frames lie under the transition into the next shot.
    """

    placed: Placed
    record: Span
    tape: Span
    treatment: Treatment
    framings: tuple[Framing, ...]
    under_frames: int = 0


@remembered(newest=4)
def place(sequence: Sequence, cut: Cut) -> tuple[Placed, ...]:
    """Every shot of the cut with its record span and, for footage, its tape side."""
    takes = {take.name: take for take in sequence.takes}
    tapes = {tape.reel: tape for tape in sequence.tapes}
    placed: list[Placed] = []
    at = 0
    for number, shot in enumerate(cut.shots, start=1):
        leaves_by = cut.shots[number].transition if number < len(cut.shots) else None
        source = None
        if isinstance(shot.picture, Footage):
            take = takes.get(shot.picture.take) or sequence.take(shot.picture.take)
            source = _source(take, tapes.get(take.reel) or sequence.tape(take.reel), shot, leaves_by)
        placed.append(Placed(number, shot, Span(at, at + shot.frames), source, leaves_by))
        at += shot.frames
    return tuple(placed)


@remembered(newest=_SHOTS_KEPT)
def _source(take: Take, tape: Tape, shot: Shot, leaves_by: Transition | None) -> Source:
    """The tape side of a shot from footage, which is the same wherever in the cut the shot stands."""
    footage = shot.picture
    assert isinstance(footage, Footage)
    under = leaves_by.frames if leaves_by else 0
    played, seen = (span_played(footage.first_frame, footage.speed, frames) for frames in (shot.frames, shot.frames + under))
    return Source(take, tape, footage.first_frame, footage.speed, played, seen)


@remembered(newest=4)
def hits_seen(sequence: Sequence, placed: tuple[Placed, ...]) -> tuple[SeenHit, ...]:
    """Every hit whose moment is on screen, in running order; a hit seen in two shots is listed twice.

    A shot shows the hits of every take on the stretch of tape that it plays. Where takes overlap, a move is the shot's own
    take's hit. One that is seen under a transition into the same frame of the same tape is seen once, in the next shot.
    """
    return tuple(hit for hit in _landings(sequence, placed) if hit.placed.carries.holds(hit.record_frame))


def hits_faded(sequence: Sequence, placed: tuple[Placed, ...]) -> tuple[SeenHit, ...]:
    """Every hit that falls in the second half of a transition out of its shot, where it hardly shows and so is not seen."""
    return tuple(hit for hit in _landings(sequence, placed) if not hit.placed.carries.holds(hit.record_frame))


def _landings(sequence: Sequence, placed: tuple[Placed, ...]) -> list[SeenHit]:
    """Every hit with any part of its picture on screen, in running order."""
    moves = {move.number: move for move in sequence.moves}
    on_tape = _hits_on_tapes(sequence.takes, sequence.rate_name)
    found: list[SeenHit] = []
    in_next: set[tuple[int, int]] = set()
    for one in reversed(placed):
        of_this: list[SeenHit] = []
        own = _own_landings(on_tape.get(one.source.tape.reel, _NONE), one.source, one.shot, one.leaves_by) if one.source else ()
        for own_frame, hit in own:
            at = one.record.start + own_frame
            if not (at >= one.record.end_exclusive and (hit.move, at) in in_next):
                of_this.append(SeenHit(one, at, moves[hit.move], hit))
        found += of_this
        in_next = {(hit.move.number, hit.record_frame) for hit in of_this}
    return sorted(found, key=lambda hit: (hit.record_frame, hit.move.number, hit.placed.number))


@remembered(newest=_SHOTS_KEPT)
def _own_landings(on_tape: _OnTape, source: Source, shot: Shot, leaves_by: Transition | None) -> tuple[tuple[int, Hit], ...]:
    """The hits that a shot shows, each with the shot's own frame: the same wherever in the cut the shot stands."""
    frames = shot.frames + (leaves_by.frames if leaves_by else 0)
    # At more than single speed the landing frame itself may be stepped over: the next one shown stands for it.
    within = max(1, abs(source.speed).__ceil__())
    found = []
    for landing, hit in _hits_within(on_tape, source):
        if shown := frames_showing(Span(landing, landing + within), source.first_frame, source.speed, frames):
            found.append((shown.start, hit))
    return tuple(found)


@remembered(newest=2)
def _hits_on_tapes(takes: tuple[Take, ...], rate_name: str) -> dict[str, _OnTape]:
    """For each reel, its hits by the grid frame on which they land, each with its take and that one's place in the sequence."""
    fps = Rate.parse(rate_name).fps
    found: dict[str, _OnTape] = {}
    for number, take in enumerate(takes):
        found.setdefault(take.reel, []).extend((first_grid_frame(hit.at, fps), number, take, hit) for hit in take.hits)
    return {reel: sorted(hits, key=lambda one: one[:2]) for reel, hits in found.items()}


def _hits_within(on_tape: _OnTape, source: Source) -> Iterator[tuple[int, Hit]]:
    """The hits on the tape that a shot shows: its own take's, and those of other takes that tell of what its own does not.

    Another take's hit is left out where it falls in a take counted before that has a hit of the same move.
    """
    first, last = (bisect_left(on_tape, frame, key=lambda one: one[0]) for frame in (source.seen.start, source.seen.end_exclusive))
    here = sorted(on_tape[first:last], key=lambda one: (one[2].name != source.take.name, one[1]))
    counted = {source.take.name: source.take}
    for landing, _, take, hit in here:
        if not any(_tells(other, hit) for other in counted.values() if other is not take):
            yield landing, hit
        counted[take.name] = take


def _tells(take: Take, hit: Hit) -> bool:
    return take.span.holds(hit.at) and any(own.move == hit.move for own in take.hits)


def moves_held(sequence: Sequence, placed: tuple[Placed, ...]) -> dict[int, tuple[int, ...]]:
    """For each shot number, the moves it shows landing or, for a card, stands for."""
    held: dict[int, list[int]] = {one.number: [] for one in placed}
    for seen in hits_seen(sequence, placed):
        held[seen.placed.number].append(seen.move.number)
    for one in placed:
        picture = one.shot.picture
        if isinstance(picture, Card) and picture.first_move is not None:
            last = picture.last_move if picture.last_move is not None else picture.first_move
            held[one.number] = [move.number for move in sequence.moves if picture.first_move <= move.number <= last]
    return {number: tuple(dict.fromkeys(moves)) for number, moves in held.items()}


def treatments_seen(sequence: Sequence, placed: tuple[Placed, ...]) -> tuple[SeenTreatment, ...]:
    """Every treated stretch that is on screen, in running order: the marks on the tape meet the spans of the cut.

    It runs on to the last frame of a transition into the next shot, under which every frame must be treated too.
    """
    fps = sequence.timebase.rate.fps
    marked: dict[str, list[tuple[Span, Treatment]]] = {}
    for treatment in sequence.treatments:
        marked.setdefault(treatment.reel, []).append((grid_span(treatment.span, fps), treatment))
    seen: list[SeenTreatment] = []
    for one in placed:
        for treated, treatment in marked.get(one.source.tape.reel, []) if one.source else ():
            tape = one.source.seen.meet(treated) if one.source else None
            record = one.showing(treated) if tape else None
            if record and tape:
                under = record.meet(Span(one.record.end_exclusive, one.on_screen.end_exclusive))
                held = tuple(framing for span, framing in one.framings(fps) if span.meet(record))
                seen.append(SeenTreatment(one, record, tape, treatment, held, under.length if under else 0))
    return tuple(sorted(seen, key=lambda item: (item.record.start, item.treatment.role)))


def plays_on(one: Placed, other: Placed) -> bool:
    """True where on screen there is no cut from a shot to the next, because the tape runs on.

    That is so at any speed that `other` goes on with, and where either of the two is a still of the frame at their meeting.
    """
    if one.source is None or other.source is None or one.source.tape != other.source.tape:
        return False
    last, following, begins = one.source.frame(one.shot.frames - 1), one.source.frame(one.shot.frames), other.source.first_frame
    if one.source.speed == 0:
        return abs(begins - last) <= 1
    if other.source.speed == 0:
        return begins in (last, following)
    return begins == following and (one.source.speed > 0) == (other.source.speed > 0)
