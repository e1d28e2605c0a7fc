"""A first timing cut from takes and hits: plain rules, taken in order; not an optimum.

The rules, in the order in which they are applied:

1. Every move that has usable footage is on screen once, in order. A move without any is held by a card, or
   left out when it is optional.
2. A shot begins `lead_frames` before the hit of its first move and ends as long before the hit of the move
   after its last, so that every cut is on the action. The first shot of a phrase begins with the wind-up.
3. The best-rated take plays. Among equals: another camera than the shot before, then the tempo nearest to
   performance, then the name. It plays on until the wanted shot length is reached.
4. A take below performance tempo is speeded up to it (common practice, no source for the 95 % from which a
   take counts as performed), to a whole tenth of a frame a second, which an edit list can say exactly.
5. After the last hit of a phrase comes its follow-through, then its breath. Breaths give way, in proportion and
   down to their least share, until the cut lasts its target.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from statistics import median

from msgspec.structs import replace as changed

from previs.clock import first_grid_frame
from previs.document.model import Card, Cut, Footage, Move, Phrase, Sequence, Shot, Take
from previs.faults import UseFault

_PERFORMED = Fraction(19, 20)
_WIND_UP_SECONDS = Fraction(1, 2)
_FOLLOW_THROUGH_SECONDS = Fraction(1, 3)
_UNKNOWN_MOVE_SECONDS = Fraction(1)


@dataclass(frozen=True, slots=True)
class Assembly:
    """A finished cut, and in sentences what a person should know about it."""

    cut: Cut
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """A shot in the making; `frames` is without the breath, `breath` is what may be trimmed off its end."""

    first_move: int
    last_move: int
    picture: Footage | Card
    frames: int
    reasons: tuple[str, ...]
    breath: int = 0
    least_breath: int = 0


def assemble(sequence: Sequence, name: str, target_frames: int | None = None) -> Assembly:
    """Cut the whole fight against `target_frames`, or against the sequence's own target.

    Raises `UseFault` when there is no fight to cut. A cut that cannot meet the target is made all the same, and the
    remarks say by how much it misses and why.
    """
    if not sequence.moves:
        raise UseFault("There are no moves yet, so there is nothing to cut; read the fight first with 'previs fight'.")
    target = sequence.target_frames if target_frames is None else target_frames
    takes = {take.name: _Playing.of(take, sequence) for take in sequence.takes if take.hits}
    planned = _planned_frames(sequence, tuple(takes.values()))

    pieces: list[_Piece] = []
    remarks: list[str] = []
    for phrase in sequence.phrases:
        previous = pieces[-1] if pieces else None
        pieces += _cut_phrase(sequence, phrase, takes, planned, previous, remarks)

    fitted = _fit_breaths(pieces, target)
    shots = tuple(
        Shot(ident=f"s{number}", frames=piece.frames + piece.breath, picture=piece.picture, reasons=piece.reasons)
        for number, piece in enumerate(fitted, start=1)
    )
    cut = Cut(name=name, shots=shots, target_frames=target)
    return Assembly(cut, (*remarks, *_against_target(sequence, cut, pieces, fitted)))


@dataclass(frozen=True, slots=True)
class _Playing:
    """A take at the speed it will be played at, with its hits on the tape's sequence-rate grid."""

    take: Take
    speed: Fraction
    landing: dict[int, int]
    first_grid: int
    end_grid: int

    @classmethod
    def of(cls, take: Take, sequence: Sequence) -> _Playing:
        fps = sequence.timebase.rate.fps
        end = min(take.end_exclusive, sequence.tape(take.reel).duration)
        return cls(
            take=take,
            speed=playing_speed(take.tempo, sequence.timebase.rate.nominal),
            landing={hit.move: first_grid_frame(hit.at, fps) for hit in take.hits},
            first_grid=first_grid_frame(take.start, fps),
            end_grid=first_grid_frame(end, fps),
        )

    def screen_frames(self, tape_frames: int) -> int:
        """Frames on screen until this many tape frames have gone by."""
        return (tape_frames / self.speed).__ceil__()

    def start_before(self, move: int, lead: int) -> tuple[int, int]:
        """The tape frame to begin on so that the move lands `lead` frames in, and the lead that the take can give."""
        earliest = max([self.first_grid, *(landing + 1 for landing in self.landing.values() if landing < self.landing[move])])
        available = (Fraction(self.landing[move] - earliest) / self.speed).__floor__()
        given = max(0, min(lead, available))
        return self.landing[move] - (given * self.speed).__floor__(), given


def playing_speed(tempo: Fraction, nominal_rate: int) -> Fraction:
    """The speed that brings a take of this tempo to performance: 1 from 95 % up, else a whole tenth of a frame a second."""
    if tempo >= _PERFORMED:
        return Fraction(1)
    tenths = round(Fraction(nominal_rate * 10) / tempo)
    return Fraction(tenths, nominal_rate * 10)


def _planned_frames(sequence: Sequence, takes: tuple[_Playing, ...]) -> dict[int, int]:
    """What each move is expected to last on screen: the middle of what its takes show, or of all moves, or a second."""
    numbers = [move.number for move in sequence.moves]
    seen: dict[int, list[int]] = {}
    for playing in takes:
        for move, following in pairwise(numbers):
            if move in playing.landing and following in playing.landing and sequence.phrase_of(move) is sequence.phrase_of(following):
                seen.setdefault(move, []).append(playing.screen_frames(playing.landing[following] - playing.landing[move]))
    every = [length for lengths in seen.values() for length in lengths]
    usual = round(median(every)) if every else round(_UNKNOWN_MOVE_SECONDS * sequence.timebase.rate.fps)
    return {number: max(1, round(median(seen[number]))) if number in seen else max(1, usual) for number in numbers}


def _cut_phrase(
    sequence: Sequence,
    phrase: Phrase,
    takes: dict[str, _Playing],
    planned: dict[int, int],
    previous: _Piece | None,
    remarks: list[str],
) -> list[_Piece]:
    wanted = round(sequence.settings.wanted_shot_seconds * sequence.timebase.rate.fps)
    usable = {move.number: _usable(move, phrase, takes, planned) for move in phrase.moves}
    moves = [move for move in phrase.moves if usable[move.number] or not move.optional]
    for move in phrase.moves:
        if move not in moves:
            remarks.append(f"Move {move.number} ({move.label}) is optional and no take shows it: it is left out.")

    pieces: list[_Piece] = []
    at = 0
    while at < len(moves):
        choices = usable[moves[at].number]
        before = pieces[-1] if pieces else previous
        if not choices:
            last = at
            # A card names its first and last move, so a move left out between two others ends it.
            while last + 1 < len(moves) and not usable[moves[last + 1].number] and _neighbours(phrase, moves[last], moves[last + 1]):
                last += 1
            pieces.append(_card(moves[at : last + 1], planned))
            remarks.append(f"{_moves_named(moves[at : last + 1])}: no take shows this landing; a card holds the place.")
        else:
            playing = min(choices, key=lambda choice: _preference(choice, before, takes))
            last = at
            start, lead = _opening(sequence, playing, moves[at].number, first=at == 0)
            while last + 1 < len(moves) and _plays_on(playing, moves[last], moves[last + 1], usable):
                length = playing.screen_frames(playing.landing[moves[last + 1].number] - start) - sequence.settings.lead_frames
                if length >= wanted:
                    break
                last += 1
            pieces.append(_footage(sequence, phrase, playing, moves[at : last + 1], moves[last + 1 :], start, lead, planned, choices))
        at = last + 1
    return pieces


def _usable(move: Move, phrase: Phrase, takes: dict[str, _Playing], planned: dict[int, int]) -> list[_Playing]:
    """The takes that show a move land and have enough tape after it to reach the next cut."""
    numbers = [one.number for one in phrase.moves]
    following = numbers[numbers.index(move.number) + 1 :]
    usable = []
    for playing in takes.values():
        if move.number not in playing.landing:
            continue
        left = playing.screen_frames(playing.end_grid - playing.landing[move.number])
        if not following or following[0] in playing.landing or left >= planned[move.number]:
            usable.append(playing)
    return usable


def _neighbours(phrase: Phrase, move: Move, following: Move) -> bool:
    return phrase.moves.index(following) == phrase.moves.index(move) + 1


def _preference(playing: _Playing, before: _Piece | None, takes: dict[str, _Playing]) -> tuple[int, bool, Fraction, str]:
    take = playing.take
    shown = takes[before.picture.take].take if before and isinstance(before.picture, Footage) else None
    same_camera = shown is not None and (shown.camera, shown.framings[0].size) == (take.camera, take.framings[0].size)
    return -take.rating, same_camera, abs(1 - take.tempo), take.name


def _plays_on(playing: _Playing, move: Move, following: Move, usable: dict[int, list[_Playing]]) -> bool:
    return move.number in playing.landing and following.number in playing.landing and playing in usable[following.number]


def _opening(sequence: Sequence, playing: _Playing, move: int, *, first: bool) -> tuple[int, int]:
    """Where the shot begins on tape and how many frames on screen before its first hit: a wind-up opens a phrase."""
    lead = sequence.settings.lead_frames
    if first:
        lead = max(lead, round(_WIND_UP_SECONDS * sequence.timebase.rate.fps))
    return playing.start_before(move, lead)


def _footage(
    sequence: Sequence,
    phrase: Phrase,
    playing: _Playing,
    moves: list[Move],
    following: list[Move],
    start: int,
    lead: int,
    planned: dict[int, int],
    choices: list[_Playing],
) -> _Piece:
    take, lead_frames = playing.take, sequence.settings.lead_frames
    landed_frame = playing.landing[moves[-1].number]
    landed = playing.screen_frames(landed_frame - start) + 1
    longest = playing.screen_frames(playing.end_grid - start)
    # Whatever lands next on this take belongs to another shot, also where the log has a hole before it.
    if after := [landing for landing in playing.landing.values() if landing > landed_frame]:
        longest = min(longest, playing.screen_frames(min(after) - start) - min(lead_frames, min(after) - landed_frame - 1))
    breath = least = 0
    if following:
        reached = playing.landing.get(following[0].number)
        until = playing.screen_frames(reached - start) if reached is not None else landed + planned[moves[-1].number]
        frames = max(landed, min(longest, until - lead_frames))
    else:
        frames = max(landed, min(longest, landed + round(_FOLLOW_THROUGH_SECONDS * sequence.timebase.rate.fps)))
        breath = max(0, min(phrase.breath_frames, longest - frames))
        least = min(breath, (phrase.breath_frames * sequence.settings.least_breath).__ceil__())
    reasons = [f"Take {take.name}, rated {take.rating}, is the first choice of {len(choices)} that show move {moves[0].number}."]
    if playing.speed != 1:
        reasons.append(f"Played at {float(playing.speed):.2f} x: it was walked at {float(take.tempo):.0%} of performance.")
    if not following and breath < phrase.breath_frames:
        reasons.append(f"The take ends {phrase.breath_frames - breath} frames into the planned breath of {phrase.breath_frames}.")
    if lead < lead_frames:
        reasons.append(f"The take begins only {lead} frames before the hit.")
    return _Piece(
        first_move=moves[0].number,
        last_move=moves[-1].number,
        picture=Footage(take=take.name, first_frame=start, speed=playing.speed),
        frames=frames,
        reasons=tuple(reasons),
        breath=breath,
        least_breath=least,
    )


def _card(moves: list[Move], planned: dict[int, int]) -> _Piece:
    text = "; ".join(f"{move.number} {move.label}" for move in moves)
    picture = Card(text=text, first_move=moves[0].number, last_move=moves[-1].number)
    frames = sum(planned[move.number] for move in moves)
    return _Piece(moves[0].number, moves[-1].number, picture, frames, ("No take shows this landing; the card lasts as long as planned.",))


def _moves_named(moves: list[Move]) -> str:
    return f"Move {moves[0].number}" if len(moves) == 1 else f"Moves {moves[0].number} to {moves[-1].number}"


def _fit_breaths(pieces: list[_Piece], target: int) -> list[_Piece]:
    """Shorten breaths in proportion to what each can give, to the frame, until the whole lasts `target` or all are least."""
    excess = sum(piece.frames + piece.breath for piece in pieces) - target
    room = [piece.breath - piece.least_breath for piece in pieces]
    give = max(0, min(excess, sum(room)))
    if not give:
        return pieces
    shares = [Fraction(give * one, sum(room)) for one in room]
    taken = [share.__floor__() for share in shares]
    by_remainder = sorted(range(len(pieces)), key=lambda index: (taken[index] - shares[index], index))
    for index in by_remainder[: give - sum(taken)]:
        taken[index] += 1
    return [replace(piece, breath=piece.breath - less) for piece, less in zip(pieces, taken, strict=True)]


def _against_target(sequence: Sequence, cut: Cut, asked: list[_Piece], fitted: list[_Piece]) -> list[str]:
    over = cut.frames - cut.target_frames
    label = sequence.timebase.duration
    shortened = sum(piece.breath for piece in asked) - sum(piece.breath for piece in fitted)
    said = [f"Breaths gave {shortened} frames of {sum(piece.breath for piece in asked)}."] if shortened else []
    if over > 0:
        optional = [str(move.number) for move in sequence.moves if move.optional]
        lift = f" Lifting optional moves ({', '.join(optional)}) would shorten it." if optional else ""
        said.append(
            f"The cut is {over} frames ({label(over)}) longer than its target: every breath is at its least, "
            f"and the moves as played take the rest.{lift}"
        )
    elif over < 0:
        said.append(f"The cut is {-over} frames ({label(-over)}) shorter than its target: every breath has all that was planned and taped.")
    else:
        said.append("The cut lasts its target to the frame.")
    return said


def with_cut(sequence: Sequence, cut: Cut) -> Sequence:
    """The sequence with this cut as its newest; raises `UseFault` when the name is taken."""
    if any(one.name == cut.name for one in sequence.cuts):
        raise UseFault(f"There is a cut named '{cut.name}' already; give another name with --name.")
    return changed(sequence, cuts=(*sequence.cuts, cut))


def next_name(sequence: Sequence) -> str:
    """The first of v1, v2, v3 ... that no cut has."""
    taken = {cut.name for cut in sequence.cuts}
    return next(name for number in range(1, len(taken) + 2) if (name := f"v{number}") not in taken)
