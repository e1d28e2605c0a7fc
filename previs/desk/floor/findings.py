"""What is found on a floor, worked out away from the window: cues, tight places, speeds, what is odd in the plan, as lines of lists."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from math import ceil

from previs.desk.words import tr
from previs.document.floor import Floor
from previs.document.model import Cut, Sequence
from previs.exchange.lists import moves_text
from previs.faults import Fault
from previs.floor.cleaning import cleaned
from previs.floor.cleaning_findings import Finding
from previs.floor.cleaning_told import at_told
from previs.floor.clearance import Clearance, Pinch, clearance
from previs.floor.clearance_words import CAUTION as PINCH_CAUTION
from previs.floor.clearance_words import REACH_NOTE, left_out_told, narrowing_told, pinch_told
from previs.floor.cues import Cue, cues
from previs.floor.cues_words import CAUTION as CUE_CAUTION
from previs.floor.cues_words import WAY_NOTE, calls, fault_said
from previs.floor.placing import Spot
from previs.floor.routes_guessed import GUESS_NOTE, homeless_moves
from previs.floor.routes_timed import timed_walks
from previs.floor.routes_words import jump_told, untimed_told
from previs.floor.speeds import SOURCES_NOTE, Gait, Leg, legs


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a list: who, when, what; where it leads: a record frame, a spot of the plan; a note is only to be read.

    From `frame` up to `to_frame` it is what the cut shows; `goes_to` is the very moment. `moves` are those that it is about.
    """

    who: str
    when: str
    what: str
    frame: float | None = None
    to_frame: float | None = None
    goes_to: float | None = None
    at: Spot | None = None
    moves: tuple[int, ...] = ()
    red: bool = False
    note: bool = False


@dataclass(frozen=True, slots=True)
class Findings:
    """All that was found on one value of a sequence and one cut."""

    cues: tuple[Line, ...] = ()
    tight: tuple[Line, ...] = ()
    speeds: tuple[Line, ...] = ()
    odd: tuple[Line, ...] = ()
    pinches: tuple[Pinch, ...] = ()
    found_cues: tuple[Cue, ...] = ()


def findings(sequence: Sequence, cut: Cut | None) -> Findings:
    """Everything that the lists show; with a plan of many thousand lines it takes seconds."""
    met = cues(sequence, cut)
    room = clearance(sequence)
    return Findings(
        cues=tuple(_cue_lines(sequence, met)),
        tight=tuple(_tight_lines(room)),
        speeds=tuple(_speed_lines(sequence, cut)),
        odd=_odd_lines(sequence.floor or Floor()),
        pinches=room.pinches,
        found_cues=met,
    )


def shown_now(lines: tuple[Line, ...], frame: int) -> frozenset[int]:
    """The numbers of the lines that the cut shows on a frame."""
    return frozenset(
        number
        for number, line in enumerate(lines)
        if line.frame is not None and line.frame <= frame and (line.to_frame is None or frame < line.to_frame)
    )


def of_role(lines: tuple[Line, ...], role: str) -> tuple[Line, ...]:
    """The lines of a role, and the notes; all of them for no role."""
    return tuple(line for line in lines if not role or line.who in ("", role))


def pinch_label(pinch: Pinch) -> str:
    """What stands beside a tight place on the plan."""
    return tr("{missing} cm short for a {weapon}", missing=ceil(pinch.missing_mm / 10), weapon=pinch.weapon)


def _cue_lines(sequence: Sequence, met: tuple[Cue, ...]) -> Iterable[Line]:
    for cue in met:
        if cue.faulty:
            yield Line(cue.role, tr("in the way"), fault_said(cue), goes_to=cue.record_frame, at=cue.at, moves=_moves(cue), red=True)
    for role, of_it in groupby(calls(met), key=lambda call: call.role):
        told = list(of_it)
        starts = [_begins(sequence, call.first) for call in told]
        for number, call in enumerate(told):
            ends = next((start for start in starts[number + 1 :] if start is not None), None)
            counted = tr("{when}\nphrase {phrase}, count {count}", when=call.when, phrase=call.first.phrase, count=call.first.count)
            when = counted if call.first.after is not None else call.when
            guessed = tr("{cue} (guessed)", cue=call.said) if call.first.guessed else call.said
            first = call.first
            yield Line(role, when, guessed, starts[number], ends, first.record_frame, first.at, _moves(first))
    if any(cue.guessed for cue in met):
        yield _note(GUESS_NOTE)
    homeless = homeless_moves(sequence, sequence.floor.places if sequence.floor else ())
    if homeless and any(cue.guessed for cue in met):
        yield _note(tr("Left out of the guesses, since their place is none of the plan: moves {moves}.", moves=moves_text(homeless)))
    yield _note(WAY_NOTE)
    yield _note(tr("Caution: {caution}", caution=CUE_CAUTION))


def _begins(sequence: Sequence, cue: Cue) -> float | None:
    """The frame of the move that a call comes after: from then on it is what the role has to do next."""
    if cue.record_frame is None:
        return None
    return max(0.0, cue.record_frame - float((cue.seconds_after or 0) * sequence.timebase.rate.fps))


def _moves(cue: Cue) -> tuple[int, ...]:
    return tuple(move for move in (cue.after, cue.before) if move is not None)[:1]


def _tight_lines(room: Clearance) -> Iterable[Line]:
    for pinch in room.pinches:
        moves = tuple(sorted({move for numbers in pinch.moves.values() for move in numbers}))
        short = tr("{missing} cm short", missing=ceil(pinch.missing_mm / 10))
        yield Line("", short, pinch_told(pinch), at=pinch.at, moves=moves, red=True)
    for one in room.narrowings:
        yield Line("", tr("it narrows"), narrowing_told(one), at=one.narrow_at)
    for sentence in left_out_told(room):
        yield _note(sentence)
    yield _note(REACH_NOTE)
    yield _note(tr("Caution: {caution}", caution=PINCH_CAUTION))


def _speed_lines(sequence: Sequence, cut: Cut | None) -> Iterable[Line]:
    if cut is None:
        yield _note(tr("There is no cut yet, so no speeds; assemble one in the Cut place."))
        return
    frames = {mark.step: mark.frame for timed in timed_walks(sequence, cut) for mark in timed.marks}
    for leg in legs(sequence, cut):
        begins = frames.get(leg.start)
        when = tr("move {one} to {two}", one=leg.start.move, two=leg.end.move)
        ends = None if begins is None else begins + max(leg.frames, 1)
        yield Line(leg.role, when, _leg_told(leg), begins, ends, begins, leg.end.at, _numbers(leg), red=leg.gait is Gait.TOO_FAST)
    for timed in timed_walks(sequence, cut):
        for sentence in (*jump_told(timed.walk), *untimed_told(timed)):
            yield _note(sentence, timed.walk.role)
    yield _note(SOURCES_NOTE)


def _leg_told(leg: Leg) -> str:
    fast = leg.metres_a_second
    values = {"far": f"{leg.length_mm / 1000:.2f}", "long": f"{float(leg.seconds):.2f}", "gait": leg.gait.value}
    if fast is None:
        return tr("{far} m in {long} s: {gait}", **values)
    return tr("{far} m in {long} s, {fast} m/s: {gait}", fast=f"{fast:.1f}", **values)


def _numbers(leg: Leg) -> tuple[int, ...]:
    return tuple(step.move for step in (leg.start, leg.end) if step.move is not None)


def _odd_lines(floor: Floor) -> tuple[Line, ...]:
    """What is odd in a plan as it stands in the document; ends are joined no more, that was done when it was read."""
    if not floor.lines:
        return ()
    try:
        return tuple(_odd_line(one) for one in cleaned(floor.lines, 0).findings)
    except Fault as fault:
        return (_note(str(fault)),)


def _odd_line(one: Finding) -> Line:
    where = tr("{name} at {spot}", name=one.name, spot=at_told(one.at)) if one.name else at_told(one.at)
    return Line("", one.odd.value, where, at=(float(one.at[0]), float(one.at[1])))


def _note(sentence: str, who: str = "") -> Line:
    return Line(who, "", sentence, note=True)
