"""Every shot that an assembly could use, with the price of each length: from takes and hits to the solver's options.

A shot is one take playing some moves of one phrase, in a row. It begins `lead_frames` before the hit of its first move
and ends as long before the hit of the move after its last, so that every cut is on the action; the first shot of a
phrase begins with the wind-up, and the last one ends with its follow-through and its breath. A take below performance
tempo is speeded up to it, to a whole tenth of a frame a second, which an edit list can say exactly; from 95 % a take
counts as performed (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median

from previs.clock import TapeSpan, first_grid_frame
from previs.cut import prices
from previs.document.model import Card, Footage, Kind, Move, Phrase, Sequence, Take

PERFORMED = Fraction(19, 20)
WIND_UP_SECONDS = Fraction(1, 2)
FOLLOW_THROUGH_SECONDS = Fraction(1, 3)
UNKNOWN_MOVE_SECONDS = Fraction(1)


@dataclass(frozen=True, slots=True)
class Choice:
    """A shot that could be: the moves `first` to `last` (places in the fight, from 0) and its picture at each length.

    `lengths` maps a length in frames to its speed and the things it costs.
    """

    first: int
    last: int
    take: Take | None
    start: int
    items: tuple[prices.Item, ...]
    lengths: dict[int, Length]
    moves: tuple[Move, ...]

    def picture(self, frames: int) -> Footage | Card:
        """What is seen when the shot lasts this long."""
        if self.take is None:
            text = "; ".join(f"{move.number} {move.label}" for move in self.moves)
            return Card(text=text, first_move=self.moves[0].number, last_move=self.moves[-1].number)
        return Footage(take=self.take.name, first_frame=self.start, speed=self.lengths[frames].speed)

    def price(self, frames: int) -> int:
        """What the shot costs at this length."""
        return sum(price for _, price in self.items) + sum(price for _, price in self.lengths[frames].items)


@dataclass(frozen=True, slots=True)
class Length:
    """One length of a choice: its speed, and what costs because of it."""

    speed: Fraction
    items: tuple[prices.Item, ...]


@dataclass(frozen=True, slots=True)
class Playing:
    """A take at performance tempo, with its hits on the tape's sequence-rate grid."""

    take: Take
    speed: Fraction
    landing: dict[int, int]
    first_grid: int
    end_grid: int

    @classmethod
    def of(cls, take: Take, sequence: Sequence) -> Playing:
        """The take as an assembly plays it."""
        fps = sequence.timebase.rate.fps
        end = min(take.end_exclusive, sequence.tape(take.reel).duration)
        return cls(
            take=take,
            speed=playing_speed(take.tempo, fps),
            landing={hit.move: first_grid_frame(hit.at, fps) for hit in take.hits},
            first_grid=first_grid_frame(take.start, fps),
            end_grid=first_grid_frame(end, fps),
        )

    def screen_frames(self, tape_frames: int) -> int:
        """Frames on screen until this many tape frames have gone by."""
        return (tape_frames / self.speed).__ceil__()

    def start_before(self, move: int, lead: int) -> int:
        """The tape frame to begin on so that the move lands `lead` frames in, or as many as the take can give."""
        landing = self.landing[move]
        earliest = max([self.first_grid, *(one + 1 for one in self.landing.values() if one < landing)])
        given = max(0, min(lead, (Fraction(landing - earliest) / self.speed).__floor__()))
        return landing - (given * self.speed).__floor__()

    def next_landing(self, move: int) -> int | None:
        """The tape frame of whatever lands next on this take, or None."""
        return min((one for one in self.landing.values() if one > self.landing[move]), default=None)


def playing_speed(tempo: Fraction, fps: Fraction) -> Fraction:
    """The speed that brings a take of this tempo to performance: 1 from 95 % up, else a whole tenth of a frame a second."""
    return Fraction(1) if tempo >= PERFORMED else _in_tenths(1 / tempo, fps)


def _in_tenths(speed: Fraction, fps: Fraction) -> Fraction:
    return round(speed * fps * 10) / (fps * 10)


def planned_frames(sequence: Sequence, takes: list[Playing]) -> dict[int, int]:
    """What each move is expected to last on screen: the middle of what its takes show, or of all moves, or a second."""
    phrase_of = {move.number: phrase.number for phrase in sequence.phrases for move in phrase.moves}
    seen: dict[int, list[int]] = {}
    for playing in takes:
        for move, following in pairwise(phrase_of):
            if move in playing.landing and following in playing.landing and phrase_of[move] == phrase_of[following]:
                seen.setdefault(move, []).append(playing.screen_frames(playing.landing[following] - playing.landing[move]))
    every = [length for lengths in seen.values() for length in lengths]
    usual = round(median(every)) if every else round(UNKNOWN_MOVE_SECONDS * sequence.timebase.rate.fps)
    return {number: max(1, round(median(seen[number]))) if number in seen else max(1, usual) for number in phrase_of}


def choices(sequence: Sequence) -> tuple[list[Choice], dict[int, int]]:
    """Every shot that could be, and which moves (places in the fight) may be lifted out at what price.

    A move that no take shows is a card of its planned length; an optional one may be lifted at no price then.
    """
    takes = [Playing.of(take, sequence) for take in sequence.takes if take.hits]
    planned = planned_frames(sequence, takes)
    doubled = prices.doubled_moves(sequence)
    found: list[Choice] = []
    lifts: dict[int, int] = {}
    at = 0
    for phrase in sequence.phrases:
        shown: set[int] = set()
        for playing in takes:
            for choice in _of_take(sequence, phrase, at, playing, planned, doubled):
                found.append(choice)
                shown.update(range(choice.first, choice.last + 1))
        for index, move in enumerate(phrase.moves, start=at):
            if move.optional:
                lifts[index] = prices.LIFTED if index in shown else 0
            elif index not in shown:
                found.append(_card(index, move, planned[move.number]))
        at += len(phrase.moves)
    return found, lifts


def _of_take(
    sequence: Sequence, phrase: Phrase, at: int, playing: Playing, planned: dict[int, int], doubled: dict[int, frozenset[str]]
) -> Iterator[Choice]:
    for first, opening in enumerate(phrase.moves):
        if opening.number not in playing.landing:
            continue
        lead = sequence.settings.lead_frames
        if first == 0:
            lead = max(lead, round(WIND_UP_SECONDS * sequence.timebase.rate.fps))
        start = playing.start_before(opening.number, lead)
        for last in range(first, len(phrase.moves)):
            if phrase.moves[last].number not in playing.landing:
                break
            moves = phrase.moves[first : last + 1]
            following = phrase.moves[last + 1] if last + 1 < len(phrase.moves) else None
            lengths = _lengths(sequence, phrase, playing, start, moves[-1], following, planned)
            if lengths:
                items = _items(sequence, playing.take, moves, doubled)
                yield Choice(at + first, at + last, playing.take, start, items, lengths, moves)


def _items(sequence: Sequence, take: Take, moves: tuple[Move, ...], doubled: dict[int, frozenset[str]]) -> tuple[prices.Item, ...]:
    hits = [hit for hit in take.hits if moves[0].number <= hit.move <= moves[-1].number]
    marks = [one for one in sequence.treatments if one.reel == take.reel and one.kind is Kind.FACE_REPLACEMENT]
    replaced = frozenset(one.role for one in marks if any(one.span.holds(hit.at) for hit in hits))
    undoubled = sum(1 for move in moves if move.number in doubled and take.name not in doubled[move.number])
    items = (
        prices.rating_price(take, len(moves)),
        prices.double_seen_price(sequence, take, take.framing_at(hits[0].at), replaced),
        prices.doubled_move_price(undoubled),
    )
    return tuple(item for item in items if item[1])


def _lengths(
    sequence: Sequence, phrase: Phrase, playing: Playing, start: int, last: Move, following: Move | None, planned: dict[int, int]
) -> dict[int, Length]:
    """Each length the shot can have, at its cheapest speed and breath."""
    lead, fps = sequence.settings.lead_frames, sequence.timebase.rate.fps
    landed_frame = playing.landing[last.number]
    landed = playing.screen_frames(landed_frame - start) + 1
    past = playing.next_landing(last.number)
    # Whatever lands next on this take belongs to another shot, also where the log has a hole before it.
    end = playing.end_grid if past is None else min(playing.end_grid, past)
    if following is None:
        core = landed + round(FOLLOW_THROUGH_SECONDS * fps)
        breath = phrase.breath_frames
    elif following.number in playing.landing:
        core = playing.screen_frames(playing.landing[following.number] - start) - lead
        breath = 0
    else:
        core = landed + planned[last.number] - lead
        breath = 0
    core = max(landed, core)
    available = playing.screen_frames(end - start)
    if core > available:
        # A take may end in the follow-through, but not before the cut to the next move would come.
        if following is not None:
            return {}
        core = max(landed, available)
    breath = max(0, min(breath, available - core))
    least_breath = min(breath, (phrase.breath_frames * sequence.settings.least_breath).__ceil__())
    losses = {
        kept: prices.breath_price(phrase.breath_frames - kept if following is None else 0, phrase.breath_frames)
        for kept in range(least_breath, breath + 1)
    }
    cheapest: dict[int, tuple[int, Fraction, int, tuple[prices.Item, ...]]] = {}
    for retimed, speed, change in _retimed(sequence, playing, core):
        retiming = prices.retiming_price(change)
        for kept, loss in losses.items():
            frames, price = retimed + kept, retiming[1] + loss[1]
            # `frame_played`, in whole numbers: this is the innermost of all loops.
            last_frame = start + speed.numerator * (frames - 1) // speed.denominator
            if landed_frame <= last_frame < end and (frames not in cheapest or price < cheapest[frames][0]):
                cheapest[frames] = price, speed, last_frame, (retiming, loss)
    found: dict[int, tuple[int, Length]] = {}
    for frames, (_, speed, last_frame, items) in cheapest.items():
        shown = TapeSpan(start / fps, (last_frame + 1) / fps)
        every = (*items, prices.length_price(frames, sequence), prices.double_cut_price(sequence, playing.take, shown))
        found[frames] = sum(item[1] for item in every), Length(speed, tuple(item for item in every if item[1]))
    return {frames: found[frames][1] for frames in _run_around_cheapest(found)}


def _run_around_cheapest(found: dict[int, tuple[int, Length]]) -> range:
    """The solver takes lengths without holes; rounding speeds to tenths can leave one, far from the natural length."""
    if not found:
        return range(0)
    least = most = min(found, key=lambda frames: (found[frames][0], frames))
    while least - 1 in found:
        least -= 1
    while most + 1 in found:
        most += 1
    return range(least, most + 1)


def _retimed(sequence: Sequence, playing: Playing, core: int) -> Iterator[tuple[int, Fraction, Fraction]]:
    """Lengths within the limit of retiming, with the speed and the change of speed of each."""
    limit = sequence.settings.most_retiming
    for frames in range(max(1, (core * (1 - limit)).__ceil__()), (core * (1 + limit)).__floor__() + 1):
        if frames == core:
            yield frames, playing.speed, Fraction(0)
        else:
            speed = _in_tenths(playing.speed * core / frames, sequence.timebase.rate.fps)
            yield frames, speed, speed / playing.speed - 1


def _card(index: int, move: Move, frames: int) -> Choice:
    return Choice(index, index, None, 0, (), {frames: Length(Fraction(1), ())}, (move,))
