"""What each performer has to practise for a cut: their moves by phrase, from which take, at which speeds; pure, no pictures.

A performer learns what `fight.doubling` says: an actor the moves in which nobody can stand in for them, a double the
moves that they do on the takes of the cut.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from previs.clock import first_grid_frame, frames_showing
from previs.clock.spans import Span
from previs.cut.choices import PERFORMED, playing_speed
from previs.document.model import Cut, Hit, Move, Phrase, Sequence, Size, Take
from previs.faults import UseFault
from previs.fight.doubling import Part, Way, parts
from previs.handoff.cautions import DEFER
from previs.handoff.sheets import Sheet, Still, Table, head

SPEEDS = (Fraction(1, 2), Fraction(3, 4), Fraction(1))
"""Shares of performance speed of a reel: fights are learnt slow first (several schools' fight calls, at 1/4, 1/2, 3/4)."""

BEFORE_SECONDS, AFTER_SECONDS = Fraction(3, 4), Fraction(1)
"""How much of the take is shown before the first hit and after the last, at performance speed."""

CAUTION = (
    "Rehearsal reference only. Learn with the fight coordinator, at the speed they set, with the weapons they give out.",
    "Read first: HSE Entertainment Information Sheet No 17 (stunts, fights); Ontario film and television guideline No. 4; "
    "Industry-Wide Labor-Management Safety Committee bulletins #4 (Stunts) and #30 (Edged and Piercing Props).",
    DEFER,
)


@dataclass(frozen=True, slots=True)
class Count:
    """One move of a lesson: its count in the phrase from 1, when it lands on the take, and what the performer has of it."""

    number: int
    move: Move
    at: Fraction
    role: str
    learns: bool

    @property
    def attacks(self) -> bool:
        """Whether the performer attacks in this move."""
        return self.move.attacker == self.role

    @property
    def words(self) -> str:
        """The move as it is called out: its count, label and line."""
        line = f", {self.move.line}" if self.move.line else ""
        return f"{self.number}. {self.move.label}{line}"


@dataclass(frozen=True, slots=True)
class Lesson:
    """A phrase as one performer practises it, from one take; `counts` are all its moves that the take shows."""

    performer: str
    role: str
    phrase: int
    take: Take
    counts: tuple[Count, ...]

    @property
    def moves(self) -> tuple[int, ...]:
        """The moves that the performer has to learn."""
        return tuple(count.move.number for count in self.counts if count.learns)


@dataclass(frozen=True, slots=True)
class Played:
    """A lesson at one share of performance speed: tape frames as in a shot, and the own frame on which each count lands."""

    lesson: Lesson
    share: Fraction
    first_frame: int
    speed: Fraction
    frames: int
    landings: tuple[int, ...]


def learners(sequence: Sequence, cut: Cut) -> dict[str, tuple[Part, ...]]:
    """For each performer the parts of the cut that they have to learn, in running order; actors before doubles."""
    actors = {one.role: one.actor for one in sequence.cast}
    found: dict[str, list[Part]] = {actor: [] for actor in actors.values()}
    for part in parts(sequence, cut):
        if part.must_learn and part.role in actors:
            found[actors[part.role]].append(part)
        if part.way in (Way.DOUBLE, Way.FACE_REPLACEMENT) and part.performer and part.performer != actors.get(part.role):
            found.setdefault(part.performer, []).append(part)
    return {performer: tuple(those) for performer, those in found.items() if those}


def lessons(sequence: Sequence, cut: Cut, performer: str) -> tuple[Lesson, ...]:
    """The phrases that a performer has to practise, in order. Raises `UseFault` when there is nothing for them to learn."""
    known = learners(sequence, cut)
    if performer not in known:
        raise UseFault(
            f"{performer} has nothing to learn in cut {cut.name}; those who have: {', '.join(known) or 'nobody, as nobody is cast'}."
        )
    learns = {(part.role, part.move.number) for part in known[performer]}
    found = []
    for phrase in sequence.phrases:
        numbers = {move.number for move in phrase.moves}
        for role in dict.fromkeys(role for role, move in sorted(learns, key=lambda one: one[1]) if move in numbers):
            mine = {move for one, move in learns if one == role and move in numbers}
            take = _best_take(sequence, phrase, mine, role, performer)
            if take is not None:
                found.append(Lesson(performer, role, phrase.number, take, tuple(_counts(phrase, take, role, mine))))
    return tuple(found)


def _best_take(sequence: Sequence, phrase: Phrase, moves: set[int], role: str, performer: str) -> Take | None:
    """The take to learn from: it holds the most of what is to be learnt, then of the phrase; a whole body, at speed, well rated."""
    every = {move.number for move in phrase.moves}

    def worth(take: Take) -> tuple[int, int, bool, bool, bool, int]:
        held = {hit.move for hit in take.hits}
        return (
            len(held & moves),
            len(held & every),
            take.framings[0].size.closeness <= Size.FULL.closeness,
            take.performer_of(role) == performer,
            take.tempo >= PERFORMED,
            take.rating,
        )

    able = [take for take in sequence.takes if any(hit.move in moves for hit in take.hits)]
    return max(able, key=worth, default=None)


def _counts(phrase: Phrase, take: Take, role: str, learns: set[int]) -> Iterator[Count]:
    landing: dict[int, Hit] = {hit.move: hit for hit in take.hits}
    for number, move in enumerate(phrase.moves, start=1):
        if move.number in landing:
            yield Count(number, move, landing[move.number].at, role, move.number in learns)


def played(sequence: Sequence, lesson: Lesson, share: Fraction) -> Played:
    """The lesson at a share of performance speed: a take below performance tempo is brought up to it first."""
    fps = sequence.timebase.rate.fps
    performance = playing_speed(lesson.take.tempo, fps)
    tape_end = sequence.tape(lesson.take.reel).duration
    begin = max(Fraction(0), lesson.counts[0].at - BEFORE_SECONDS * performance)
    end = min(tape_end, lesson.counts[-1].at + AFTER_SECONDS * performance)
    first, last = first_grid_frame(begin, fps), first_grid_frame(end, fps)
    speed = performance * share
    frames = max(1, ((last - first) / speed).__floor__())
    landings = []
    for count in lesson.counts:
        landing = first_grid_frame(count.at, fps)
        shown = frames_showing(Span(landing, landing + max(1, speed.__ceil__())), first, speed, frames)
        landings.append(shown.start if shown else frames - 1)
    return Played(lesson, share, first, speed, frames, tuple(landings))


def move_list(sequence: Sequence, cut: Cut, performer: str, made: date, before: Cut | None = None) -> Sheet:
    """A performer's moves on a page: count, label, line, what they do, with a still of each hit; new ones since `before` are told."""
    known = lessons(sequence, cut, performer)
    old = _learnt(sequence, before, performer) if before is not None else None
    every = {move for lesson in known for move in lesson.moves}
    fresh = sorted(every - old) if old is not None else []
    tables = tuple(_table(sequence, lesson, old) for lesson in known)
    told = [("Performer", performer), ("Moves to learn", str(len(every)))]
    if old is not None and before is not None:
        gone = sorted(old - every)
        told.append((f"New since {before.name}", ", ".join(map(str, fresh)) or "none"))
        told.append((f"No longer since {before.name}", ", ".join(map(str, gone)) or "none"))
    return Sheet("moves", f"Moves of {performer}", (*head(sequence, cut, made), *told), tables, CAUTION)


def _learnt(sequence: Sequence, cut: Cut, performer: str) -> set[int]:
    return {part.move.number for part in learners(sequence, cut).get(performer, ())}


def _table(sequence: Sequence, lesson: Lesson, old: set[int] | None) -> Table:
    fps = sequence.timebase.rate.fps
    rows = tuple(
        (
            count.number,
            count.move.number,
            count.move.label,
            "attack" if count.attacks else "defend",
            count.move.line,
            count.move.weapon,
            count.move.attacker if not count.attacks else count.move.defender,
            ("new: learn" if old is not None and count.move.number not in old else "learn") if count.learns else "another does it",
        )
        for count in lesson.counts
    )
    stills = tuple(Still(lesson.take.reel, first_grid_frame(count.at, fps)) for count in lesson.counts)
    return Table(
        f"phrase{lesson.phrase}_{lesson.role}".replace(" ", "_"),
        f"Phrase {lesson.phrase}, as {lesson.role}, from take {lesson.take.name}",
        ("count", "move", "label", "you", "line", "weapon", "with", "to do"),
        rows,
        "No move of this phrase is to be learnt.",
        stills=stills,
    )
