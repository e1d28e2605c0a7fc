"""A cut's moves and phrases as WebVTT captions, pure text out; it opens no file and burns nothing in.

Form: W3C, WebVTT: the line `WEBVTT`, then cues of `hh:mm:ss.ttt --> hh:mm:ss.ttt` and text in which & < > are escaped.

Rules.
1. A move's cue runs from its landing to the next landing or card, at the latest to its phrase's end. Moves that land on
   one frame share a cue. A card has a cue of its own for the moves it stands for, from the middle of its transition.
2. A phrase is on from the shot in which its first move lands, or from the end of the phrase before where that is later, to
   the end of the shot in which its last move lands and of the transition out of it, or to the next phrase's first landing
   where that is earlier.
3. Frame n begins at n / rate seconds, here cut to whole thousandths: a time a player compares with is then never before
   its own frame, and cues that follow each other meet exactly.
"""

from __future__ import annotations

import html
import math
from dataclasses import dataclass
from fractions import Fraction

from previs.clock import Span
from previs.cut.placing import Placed, hits_seen, moves_held, place
from previs.document.model import Card, Cut, Move, Phrase, Sequence
from previs.exchange.lists import moves_text


@dataclass(frozen=True, slots=True)
class Cue:
    """One caption: what it is of, the frames of the movie it is on for, its lines, and whether it stands at the top."""

    name: str
    frames: Span
    lines: tuple[str, ...]
    at_top: bool = False


@dataclass(frozen=True, slots=True)
class _Landing:
    """What begins on a frame of the cut: moves that land, or a card that stands for moves not shot yet."""

    frame: int
    moves: tuple[Move, ...]
    placed: Placed
    is_card: bool = False


def write_captions(sequence: Sequence, cut: Cut, leader_frames: int = 0) -> str:
    """The captions of a cut as WebVTT; `leader_frames` is what the movie shows ahead of the cut's first frame."""
    fps = sequence.timebase.rate.fps
    blocks = ["WEBVTT"]
    for cue in cues(sequence, cut, leader_frames):
        settings = " line:0" if cue.at_top else ""
        times = f"{_clock(cue.frames.start / fps)} --> {_clock(cue.frames.end_exclusive / fps)}{settings}"
        blocks.append("\n".join([cue.name, times, *(_escaped(line) for line in cue.lines)]))
    return "\n\n".join(blocks) + "\n"


def cues(sequence: Sequence, cut: Cut, leader_frames: int = 0) -> tuple[Cue, ...]:
    """The cues in order of time, phrases ahead of the moves that begin with them."""
    placed = place(sequence, cut)
    landings = _landings(sequence, placed)
    phrases = _phrases(sequence, landings)
    found = [
        Cue(f"phrase {phrase.number}", span, (f"Phrase {phrase.number}: moves {moves_text(_numbers(phrase.moves))}",), at_top=True)
        for phrase, span in phrases
    ]
    for at, landing in enumerate(landings):
        ends = [later.frame for later in landings[at + 1 : at + 2]]
        ends += [span.end_exclusive for _, span in phrases if span.holds(landing.frame)]
        ends.append(landing.placed.record.end_exclusive if landing.is_card else cut.frames)
        name = f"{'card' if landing.is_card else 'move'} {moves_text(_numbers(landing.moves))}"
        lines = tuple(f"{move.number} {move.label}" + (" (not shot yet)" if landing.is_card else "") for move in landing.moves)
        found.append(Cue(name, Span(landing.frame, min(ends)), lines))
    found.sort(key=lambda cue: (cue.frames.start, not cue.at_top))
    return tuple(Cue(cue.name, cue.frames.shifted(leader_frames), cue.lines, cue.at_top) for cue in found)


def phrases_on(sequence: Sequence, cut: Cut) -> list[tuple[Phrase, Span]]:
    """The phrases that are on screen by rule 2, each with its record frames, in running order and never two at once."""
    return _phrases(sequence, _landings(sequence, place(sequence, cut)))


def _landings(sequence: Sequence, placed: tuple[Placed, ...]) -> list[_Landing]:
    """Moves and cards by frame; a move whose hit is seen in two shots lands twice."""
    by_frame: dict[int, _Landing] = {}
    held = moves_held(sequence, placed)
    moves = {move.number: move for move in sequence.moves}
    for one in placed:
        if isinstance(one.shot.picture, Card) and held[one.number]:
            # The moves under the first half of a transition are the shot's before; a card of one frame has no second half.
            begins = min(math.ceil(one.comes_in), one.record.end_exclusive - 1)
            by_frame[begins] = _Landing(begins, tuple(moves[number] for number in held[one.number]), one, is_card=True)
    for seen in hits_seen(sequence, placed):
        before = by_frame.get(seen.record_frame)
        by_frame[seen.record_frame] = _Landing(seen.record_frame, (*(before.moves if before else ()), seen.move), seen.placed)
    return sorted(by_frame.values(), key=lambda landing: landing.frame)


def _phrases(sequence: Sequence, landings: list[_Landing]) -> list[tuple[Phrase, Span]]:
    of_move = {move.number: phrase for phrase in sequence.phrases for move in phrase.moves}
    runs: list[tuple[Phrase, list[_Landing]]] = []
    for landing in landings:
        phrase = of_move[landing.moves[0].number]
        if not runs or runs[-1][0] is not phrase:
            runs.append((phrase, []))
        runs[-1][1].append(landing)
    found: list[tuple[Phrase, Span]] = []
    before = 0
    for at, (phrase, run) in enumerate(runs):
        start = max(before, run[0].placed.record.start)
        end = min([run[-1].placed.on_screen.end_exclusive, *(later[0].frame for _, later in runs[at + 1 : at + 2])])
        found.append((phrase, Span(start, end)))
        before = end
    return found


def _numbers(moves: tuple[Move, ...]) -> tuple[int, ...]:
    return tuple(move.number for move in moves)


def _clock(moment: Fraction) -> str:
    thousandths = math.floor(moment * 1000)
    minutes, rest = divmod(thousandths, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _escaped(line: str) -> str:
    """One line of cue text: no markup, no line end, no control characters; `-->` cannot stand in it, as > is escaped."""
    shown = "".join(letter if letter.isprintable() else " " for letter in line)
    return html.escape(" ".join(shown.split()), quote=False)
