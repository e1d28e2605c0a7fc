"""Where each shot of a cut stands, and what the marks on its tape become on screen; derived, never stored.

`record` spans count frames from the cut's first; `tape` spans count frames of the sequence-rate grid of the tape.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from previs.clock import Span, first_grid_frame, frames_showing, grid_span, span_played
from previs.document.model import Card, Cut, Footage, Framing, Hit, Move, Sequence, Shot, Take, Tape, Treatment


@dataclass(frozen=True, slots=True)
class Source:
    """The tape side of a shot that has footage.

    `played` are the tape frames seen during the shot's own length, `seen` also those that play on under the transition
    into the next shot.
    """

    take: Take
    tape: Tape
    first_frame: int
    speed: Fraction
    played: Span
    seen: Span


@dataclass(frozen=True, slots=True)
class Placed:
    """A shot with its number in the cut (from 1) and its place on screen.

    `under_frames` is how long it plays on after its own end, under the transition into the next shot.
    """

    number: int
    shot: Shot
    record: Span
    source: Source | None
    under_frames: int = 0

    @property
    def clear_frames(self) -> int:
        """How long the shot can be read: to the middle of the transition under which it ends, where the next one is stronger."""
        return self.shot.frames + self.under_frames // 2

    def showing(self, tape: Span, frames: int | None = None) -> Span | None:
        """The record frames of this shot that show any of these tape frames, or None.

        Those under the transition into the next shot count too; `frames` from the shot's start counts other ones.
        """
        if self.source is None:
            return None
        every = self.shot.frames + self.under_frames if frames is None else frames
        own = frames_showing(tape, self.source.first_frame, self.source.speed, every)
        return own.shifted(self.record.start) if own else None


@dataclass(frozen=True, slots=True)
class SeenHit:
    """A move landing on screen: the shot, the record frame and the mark it comes from."""

    placed: Placed
    record_frame: int
    move: Move
    hit: Hit


@dataclass(frozen=True, slots=True)
class SeenTreatment:
    """A treated stretch on screen, with the framing that holds where it begins on the tape."""

    placed: Placed
    record: Span
    tape: Span
    treatment: Treatment
    framing: Framing


def place(sequence: Sequence, cut: Cut) -> tuple[Placed, ...]:
    """Every shot of the cut with its record span and, for footage, its tape side."""
    takes = {take.name: take for take in sequence.takes}
    tapes = {tape.reel: tape for tape in sequence.tapes}
    placed: list[Placed] = []
    at = 0
    for number, shot in enumerate(cut.shots, start=1):
        following = cut.shots[number] if number < len(cut.shots) else None
        under = following.transition.frames if following is not None and following.transition is not None else 0
        source = None
        if isinstance(shot.picture, Footage):
            footage = shot.picture
            take = takes.get(footage.take) or sequence.take(footage.take)
            played = span_played(footage.first_frame, footage.speed, shot.frames)
            seen = span_played(footage.first_frame, footage.speed, shot.frames + under)
            source = Source(take, tapes.get(take.reel) or sequence.tape(take.reel), footage.first_frame, footage.speed, played, seen)
        placed.append(Placed(number, shot, Span(at, at + shot.frames), source, under))
        at += shot.frames
    return tuple(placed)


def hits_seen(sequence: Sequence, placed: tuple[Placed, ...]) -> tuple[SeenHit, ...]:
    """Every hit whose moment can be read on screen, in running order; a hit seen in two shots is listed twice.

    Under a transition a shot can be read to the middle of it. A shot that runs past its take shows the hits of the take
    that follows on the tape.
    """
    moves = {move.number: move for move in sequence.moves}
    on_tape: dict[str, list[Take]] = {}
    for take in sequence.takes:
        on_tape.setdefault(take.reel, []).append(take)
    fps = sequence.timebase.rate.fps
    seen: list[SeenHit] = []
    for one in placed:
        if one.source is None:
            continue
        clear = span_played(one.source.first_frame, one.source.speed, one.clear_frames)
        for hit in _hits_on(one.source.take, on_tape[one.source.tape.reel]):
            landing = first_grid_frame(hit.at, fps)
            # At more than single speed the landing frame itself may be stepped over: the next one shown stands for it.
            shown = one.showing(Span(landing, landing + max(1, abs(one.source.speed).__ceil__())), one.clear_frames)
            if shown and clear.holds(landing):
                seen.append(SeenHit(one, shown.start, moves[hit.move], hit))
    return tuple(sorted(seen, key=lambda hit: (hit.record_frame, hit.move.number)))


def _hits_on(take: Take, takes: list[Take]) -> Iterator[Hit]:
    """The hits of a take, and those of other takes of its tape where it does not reach itself."""
    yield from take.hits
    for other in takes:
        if other is not take:
            yield from (hit for hit in other.hits if not take.span.holds(hit.at))


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
    return {number: tuple(moves) for number, moves in held.items()}


def treatments_seen(sequence: Sequence, placed: tuple[Placed, ...]) -> tuple[SeenTreatment, ...]:
    """Every treated stretch that is on screen, in running order: the marks on the tape meet the spans of the cut."""
    fps = sequence.timebase.rate.fps
    seen: list[SeenTreatment] = []
    for one in placed:
        if one.source is None:
            continue
        for treatment in sequence.treatments:
            if treatment.reel != one.source.tape.reel:
                continue
            treated = grid_span(treatment.span, fps)
            record, tape = one.showing(treated), one.source.seen.meet(treated)
            if record and tape:
                seen.append(SeenTreatment(one, record, tape, treatment, one.source.take.framing_at(tape.start / fps)))
    return tuple(sorted(seen, key=lambda item: (item.record.start, item.treatment.role)))
