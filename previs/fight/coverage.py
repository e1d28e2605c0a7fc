"""Which takes hold each move of the written fight, how tight and how well, and what is missing; derived, never stored.

A take holds a move when a hit of it is logged there: that the take plays the move's phrase says only that it may.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from previs.clock import first_grid_frame
from previs.cut.choices import PERFORMED
from previs.cut.faces import BareFace, bare_faces
from previs.cut.placing import hits_seen, place
from previs.document.model import Cut, Framing, Hit, Move, Phrase, Sequence, Shows, Take


class Hole(StrEnum):
    """What is missing for a move, the worst first."""

    NO_TAKE = "no take"
    NO_HIT = "no hit logged"
    LEARNING_ONLY = "learning tempo only"
    DOUBLE_ONLY = "double's face in every take"
    NOT_BOTH = "double's face at performance tempo"


@dataclass(frozen=True, slots=True)
class Held:
    """A move landing on a take: the frame of its tape's grid, the framing then, and who is seen.

    `performed` says that the take is at performance tempo. `bare` has a sentence for each double whose face shows there
    uncovered, in full or in part; `used` says that the cut shows this very hit.
    """

    move: int
    take: Take
    hit: Hit
    grid_frame: int
    framing: Framing
    bare: tuple[str, ...]
    used: bool

    @property
    def performed(self) -> bool:
        """At performance tempo, from the share on that an assembly leaves at its own speed."""
        return self.take.tempo >= PERFORMED

    def face_of(self, role: str) -> Shows:
        """How much of a role's face shows."""
        return self.framing.face_of(role)


@dataclass(frozen=True, slots=True)
class Covered:
    """A move with the takes that hold it, in the order of the file; `unlogged` are takes that play its phrase without its hit."""

    phrase: Phrase
    move: Move
    held: tuple[Held, ...]
    unlogged: tuple[Take, ...]

    @property
    def tightest(self) -> Held | None:
        """The closest framing in which a take holds it; of several as close one at performance tempo, then the best rated."""
        return max(self.held, key=lambda one: (one.framing.size.closeness, one.performed, one.take.rating), default=None)

    @property
    def hole(self) -> Hole | None:
        """What is missing, the worst of it; None where a take at performance tempo holds it and shows no double's face."""
        if not self.held:
            return Hole.NO_HIT if self.unlogged else Hole.NO_TAKE
        if not any(one.performed for one in self.held):
            return Hole.LEARNING_ONLY
        if all(one.bare for one in self.held):
            return Hole.DOUBLE_ONLY
        return None if any(one.performed and not one.bare for one in self.held) else Hole.NOT_BOTH


@dataclass(frozen=True, slots=True)
class Figures:
    """The fight in numbers; `without_take` counts the moves of which no hit is logged."""

    moves: int
    phrases: int
    hits: int
    takes: int
    without_take: int
    holes: int


def coverage(sequence: Sequence, cut: Cut | None = None) -> tuple[Covered, ...]:
    """Every move of the fight with what holds it, in order. With a cut, what that shows is told in `Held.used`.

    Raises `UseFault` when a shot's take or tape is not in the sequence.
    """
    used = (
        {(seen.placed.source.tape.reel, seen.hit) for seen in hits_seen(sequence, place(sequence, cut)) if seen.placed.source}
        if cut
        else set()
    )
    held: dict[int, list[Held]] = {}
    for take in sequence.takes:
        faces = bare_faces(sequence, take)
        for hit in take.hits:
            held.setdefault(hit.move, []).append(_held(sequence.timebase.rate.fps, take, hit, faces, (take.reel, hit) in used))
    found = []
    for phrase in sequence.phrases:
        playing = [take for take in sequence.takes if take.first_phrase <= phrase.number <= take.last_phrase]
        for move in phrase.moves:
            holding = tuple(held.get(move.number, ()))
            logged = {one.take.name for one in holding}
            found.append(Covered(phrase, move, holding, tuple(take for take in playing if take.name not in logged)))
    return tuple(found)


def figures(sequence: Sequence, covered: tuple[Covered, ...]) -> Figures:
    """The fight in numbers."""
    return Figures(
        moves=len(covered),
        phrases=len(sequence.phrases),
        hits=sum(len(take.hits) for take in sequence.takes),
        takes=len(sequence.takes),
        without_take=sum(not one.held for one in covered),
        holes=sum(one.hole is not None for one in covered),
    )


def out_of_order(sequence: Sequence, moves: frozenset[int]) -> tuple[str, ...]:
    """The takes on which one of these moves lands before a move that is written earlier, or after one that is written later."""
    return tuple(take.name for take in sequence.takes if _out_of_order(take, moves))


def _out_of_order(take: Take, moves: frozenset[int]) -> bool:
    return any(
        (one.at < other.at) != (one.move < other.move)
        for one in take.hits
        if one.move in moves
        for other in take.hits
        if one.move != other.move and one.at != other.at
    )


def _held(fps: Fraction, take: Take, hit: Hit, faces: tuple[BareFace, ...], used: bool) -> Held:
    frame = first_grid_frame(hit.at, fps)
    bare = tuple(dict.fromkeys(face.words for face in faces if face.frames.holds(frame)))
    return Held(hit.move, take, hit, frame, take.framing_at(hit.at), bare, used)
