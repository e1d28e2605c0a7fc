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
from typing import NamedTuple

from previs.clock import Span, first_grid_frame
from previs.cut import prices
from previs.cut.faces import BareFace, bare_faces
from previs.document.model import Card, Footage, Kind, Move, Phrase, Sequence, Take

PERFORMED = Fraction(19, 20)
WIND_UP_SECONDS = Fraction(1, 2)
FOLLOW_THROUGH_SECONDS = Fraction(1, 3)
UNKNOWN_MOVE_SECONDS = Fraction(1)


class Length(NamedTuple):
    """One length of a choice: its price, and why: its speed, the frames of breath lost, the digital doubles cut into.

    All are whole numbers, for there are very many. `tenths` is the speed in tenths of a frame a second, or None for the
    take's own speed at performance.
    """

    tenths: int | None
    price: int
    breath_lost: int
    double_edges: int


@dataclass(frozen=True, slots=True)
class Choice:
    """A shot that could be: the moves `first` to `last` (places in the fight, from 0) and what it is at each length.

    `items` are what it costs at any length; `lengths` maps a length in frames to the rest.
    """

    first: int
    last: int
    take: Take | None
    start: int
    items: tuple[prices.Item, ...]
    lengths: dict[int, Length]
    moves: tuple[Move, ...]
    speed: Fraction
    breath_frames: int

    def picture(self, frames: int, fps: Fraction) -> Footage | Card:
        """What is seen when the shot lasts this long."""
        if self.take is None:
            text = "; ".join(f"{move.number} {move.label}" for move in self.moves)
            return Card(text=text, first_move=self.moves[0].number, last_move=self.moves[-1].number)
        return Footage(take=self.take.name, first_frame=self.start, speed=self.speed_at(frames, fps))

    def speed_at(self, frames: int, fps: Fraction) -> Fraction:
        """The speed at which it lasts this long, at a sequence of this rate."""
        tenths = self.lengths[frames].tenths
        return self.speed if tenths is None else tenths / (fps * 10)

    def costs(self) -> tuple[int, ...]:
        """What the shot costs at each of its lengths, shortest first."""
        at_any_length = sum(price for _, price in self.items)
        return tuple(at_any_length + length.price for length in self.lengths.values())

    def items_at(self, frames: int, sequence: Sequence) -> tuple[prices.Item, ...]:
        """Everything that costs at this length, in words; the prices add up to its cost."""
        if self.take is None:
            return ()
        length = self.lengths[frames]
        change = self.speed_at(frames, sequence.timebase.rate.fps) / self.speed - 1
        every = (
            *self.items,
            prices.retiming_price(change),
            prices.breath_price(length.breath_lost, self.breath_frames),
            prices.length_price(frames, sequence),
            prices.double_cut_price(length.double_edges),
        )
        return tuple(item for item in every if item[1])


@dataclass(frozen=True, slots=True)
class Playing:
    """A take at performance tempo, with its hits on the tape's sequence-rate grid."""

    take: Take
    speed: Fraction
    landing: dict[int, int]
    first_grid: int
    end_grid: int
    doubled: tuple[tuple[int, int], ...]
    """Digital doubles' spans on its tape: the first and the last tape frame at which a cut would fall inside."""
    bare_faces: tuple[BareFace, ...]
    """Where a double's face shows on it that no treatment covers."""

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
            doubled=tuple(
                ((mark.start * fps).__floor__() + 1, (mark.end_exclusive * fps).__ceil__() - 1)
                for mark in sequence.treatments
                if mark.reel == take.reel and mark.kind is Kind.DIGITAL_DOUBLE
            ),
            bare_faces=bare_faces(sequence, take),
        )

    def doubles_cut_into(self, frame: int) -> int:
        """How many digital doubles' spans a cut before this tape frame falls into."""
        return sum(first <= frame <= last for first, last in self.doubled)

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
    pricing = _Pricing(sequence)
    found: list[Choice] = []
    lifts: dict[int, int] = {}
    at = 0
    for phrase in sequence.phrases:
        shown: set[int] = set()
        for playing in takes:
            for choice in _of_take(sequence, phrase, at, playing, planned, doubled, pricing):
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
    sequence: Sequence,
    phrase: Phrase,
    at: int,
    playing: Playing,
    planned: dict[int, int],
    doubled: dict[int, frozenset[str]],
    pricing: _Pricing,
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
            limits = _limits(sequence, phrase, playing, start, moves[-1], following, planned)
            if limits is None:
                continue
            breath = 0 if following else phrase.breath_frames
            lengths = pricing.lengths(playing, start, limits, breath)
            if lengths:
                items = _items(playing, moves, doubled, Span(start, start + max(1, (limits.core * playing.speed).__floor__())))
                yield Choice(at + first, at + last, playing.take, start, items, lengths, moves, playing.speed, breath)


def _items(playing: Playing, moves: tuple[Move, ...], doubled: dict[int, frozenset[str]], stretch: Span) -> tuple[prices.Item, ...]:
    """What a choice costs at any length; `stretch` are the tape frames that it plays at its natural length, without a breath."""
    take = playing.take
    undoubled = sum(1 for move in moves if move.number in doubled and take.name not in doubled[move.number])
    items = (
        prices.rating_price(take, len(moves)),
        prices.double_seen_price(playing.bare_faces, stretch),
        prices.doubled_move_price(undoubled),
    )
    return tuple(item for item in items if item[1])


@dataclass(frozen=True, slots=True)
class _Limits:
    """How long a shot can be: its moves alone, the breath after them, and the tape frames it must and may show."""

    core: int
    least_breath: int
    breath: int
    landed: int
    end: int


def _limits(
    sequence: Sequence, phrase: Phrase, playing: Playing, start: int, last: Move, following: Move | None, planned: dict[int, int]
) -> _Limits | None:
    """The limits of a shot from tape frame `start` to the move `last`, or None when the take ends too soon."""
    lead = sequence.settings.lead_frames
    landed = playing.screen_frames(playing.landing[last.number] - start) + 1
    past = playing.next_landing(last.number)
    # Whatever lands next on this take belongs to another shot, also where the log has a hole before it.
    end = playing.end_grid if past is None else min(playing.end_grid, past)
    if following is None:
        core = landed + round(FOLLOW_THROUGH_SECONDS * sequence.timebase.rate.fps)
    elif following.number in playing.landing:
        core = playing.screen_frames(playing.landing[following.number] - start) - lead
    else:
        core = landed + planned[last.number] - lead
    core = max(landed, core)
    available = playing.screen_frames(end - start)
    if core > available:
        # A take may end in the follow-through, but not before the cut to the next move would come.
        if following is not None:
            return None
        core = max(landed, available)
    breath = 0 if following else max(0, min(phrase.breath_frames, available - core))
    least_breath = min(breath, (phrase.breath_frames * sequence.settings.least_breath).__ceil__())
    return _Limits(core, least_breath, breath, playing.landing[last.number], end)


class _Pricing:
    """What every length of every shot costs, with what many shots have in common worked out once: there are very many."""

    def __init__(self, sequence: Sequence) -> None:
        self._sequence = sequence
        self._of_length: dict[int, int] = {}
        self._of_breath: dict[tuple[int, int], int] = {}
        self._retimed: dict[tuple[int, Fraction], list[tuple[int, int | None, int, int, int]]] = {}

    def lengths(self, playing: Playing, start: int, limits: _Limits, planned_breath: int) -> dict[int, Length]:
        """Each length the shot can have, at its cheapest speed and breath; `planned_breath` is 0 within a phrase."""
        breaths = []
        for kept in range(limits.least_breath, limits.breath + 1):
            lost = max(0, planned_breath - kept)
            breaths.append((kept, lost, self._breath_price(lost, planned_breath)))
        landed, end = limits.landed, limits.end
        found: dict[int, tuple[int, int | None, int, int]] = {}
        for retimed, tenths, up, down, retiming in self._retimes(limits.core, playing.speed):
            for kept, lost, loss in breaths:
                frames, price = retimed + kept, retiming + loss
                # `frame_played`, in whole numbers: this is the innermost of all loops.
                last_frame = start + up * (frames - 1) // down
                if landed <= last_frame < end and (frames not in found or price < found[frames][0]):
                    found[frames] = price, tenths, lost, last_frame
        opening = playing.doubles_cut_into(start)
        lengths = {}
        for frames, (price, tenths, lost, last_frame) in found.items():
            edges = opening + playing.doubles_cut_into(last_frame + 1) if playing.doubled else 0
            price += self._length_price(frames) + prices.double_cut_price(edges)[1]
            lengths[frames] = Length(tenths, price, lost, edges)
        return {frames: lengths[frames] for frames in _run_around_cheapest(lengths)}

    def _length_price(self, frames: int) -> int:
        if frames not in self._of_length:
            self._of_length[frames] = prices.length_price(frames, self._sequence)[1]
        return self._of_length[frames]

    def _breath_price(self, lost: int, planned: int) -> int:
        if (lost, planned) not in self._of_breath:
            self._of_breath[lost, planned] = prices.breath_price(lost, planned)[1]
        return self._of_breath[lost, planned]

    def _retimes(self, core: int, speed: Fraction) -> list[tuple[int, int | None, int, int, int]]:
        """Lengths within the limit of retiming: frames, speed in tenths, the speed as a ratio, and the price of the change."""
        if (core, speed) in self._retimed:
            return self._retimed[core, speed]
        limit, tenth = self._sequence.settings.most_retiming, self._sequence.timebase.rate.fps * 10
        own, whole = speed.numerator * tenth.numerator, speed.denominator * tenth.denominator
        found: list[tuple[int, int | None, int, int, int]] = []
        for frames in range(max(1, (core * (1 - limit)).__ceil__()), (core * (1 + limit)).__floor__() + 1):
            if frames == core:
                found.append((frames, None, speed.numerator, speed.denominator, 0))
                continue
            tenths = prices.nearest_whole(own * core, whole * frames)
            price = prices.retiming_points(tenths * whole - own, own)
            found.append((frames, tenths, tenths * tenth.denominator, tenth.numerator, price))
        self._retimed[core, speed] = found
        return found


def _run_around_cheapest(found: dict[int, Length]) -> range:
    """The solver takes lengths without holes; rounding speeds to tenths can leave one, far from the natural length."""
    if not found:
        return range(0)
    least = most = min(found, key=lambda frames: (found[frames].price, frames))
    while least - 1 in found:
        least -= 1
    while most + 1 in found:
        most += 1
    return range(least, most + 1)


def _card(index: int, move: Move, frames: int) -> Choice:
    return Choice(index, index, None, 0, (), {frames: Length(None, 0, 0, 0)}, (move,), Fraction(1), 0)
