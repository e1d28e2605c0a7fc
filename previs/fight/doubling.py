"""Who does what in a cut: for each move on screen and each role in it the actor, a double, a digital double or a new face.

Derived from casting, framings and treatments; nothing here is stored. From which shot size on a replaced face holds is a
setting of the sequence: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_seen, place
from previs.document.model import Cut, Kind, Move, Role, Sequence, Settings, Shows, Size


class Way(StrEnum):
    """How a role's part of a move is done."""

    ACTOR = "actor"
    DOUBLE = "stunt double"
    DIGITAL_DOUBLE = "digital double"
    FACE_REPLACEMENT = "face replacement"
    UNKNOWN = "not cast"


class Holds(StrEnum):
    """Whether a replaced face holds in a framing."""

    GOOD = "holds"
    CLOSELY = "look closely"
    NOT = "not recommended"


@dataclass(frozen=True, slots=True)
class Part:
    """One role's part of a move on screen.

    `face` is how much of the role's face the framing shows; `holds` is judged for a face replacement only. `must_learn`
    says that the actor has to do it, `why` in words why.
    """

    shot: int
    record_frame: int
    move: Move
    role: str
    take: str
    performer: str
    way: Way
    size: Size
    face: Shows
    holds: Holds | None
    must_learn: bool
    why: str


def replacement_holds(settings: Settings, size: Size) -> Holds:
    """Whether a replaced face holds in this shot size, by the sequence's settings."""
    if size.closeness <= settings.replaced_to.closeness:
        return Holds.GOOD
    return Holds.CLOSELY if size.closeness <= settings.replaced_closely_to.closeness else Holds.NOT


def holds_in(settings: Settings, seen: SeenTreatment) -> Holds | None:
    """Whether a face replacement on screen holds: in the closest size of its stretch; None for another treatment."""
    if seen.treatment.kind is not Kind.FACE_REPLACEMENT:
        return None
    return replacement_holds(settings, max((framing.size for framing in seen.framings), key=lambda size: size.closeness))


def learnt_in(sequence: Sequence, placed: tuple[Placed, ...], shot: Placed, role: str) -> tuple[int, ...]:
    """The moves landing in one shot of which the role's part is the actor's to learn, in running order."""
    landing = (seen for seen in hits_seen(sequence, placed) if seen.placed is shot)
    found = (part.move.number for seen in landing for part in _parts_of(sequence, seen) if part.role == role and part.must_learn)
    return tuple(dict.fromkeys(found))


def parts(sequence: Sequence, cut: Cut) -> tuple[Part, ...]:
    """Every role's part of every move that lands on screen, in running order, attacker first."""
    return tuple(part for seen in hits_seen(sequence, place(sequence, cut)) for part in _parts_of(sequence, seen))


def _parts_of(sequence: Sequence, seen: SeenHit) -> Iterator[Part]:
    source = seen.placed.source
    if source is None:
        return
    framing = source.take.framing_at(seen.hit.at)
    for role in dict.fromkeys((seen.move.attacker, seen.move.defender)):
        cast = next((one for one in sequence.cast if one.role == role), None)
        performer = source.take.performer_of(role)
        marked = {
            mark.kind
            for mark in sequence.treatments
            if mark.reel == source.tape.reel and mark.role == role and mark.span.holds(seen.hit.at)
        }
        way = _way(cast, performer, marked)
        face = framing.face_of(role)
        holds = replacement_holds(sequence.settings, framing.size) if way is Way.FACE_REPLACEMENT else None
        learn, why = _learning(way, face, holds, framing.size, is_cast=cast is not None)
        yield Part(
            seen.placed.number, seen.record_frame, seen.move, role, source.take.name, performer, way, framing.size, face, holds, learn, why
        )


def _way(cast: Role | None, performer: str, marked: set[Kind]) -> Way:
    if Kind.DIGITAL_DOUBLE in marked:
        return Way.DIGITAL_DOUBLE
    if Kind.FACE_REPLACEMENT in marked:
        return Way.FACE_REPLACEMENT
    if cast is None or not performer:
        return Way.UNKNOWN
    return Way.ACTOR if performer == cast.actor else Way.DOUBLE


def _learning(way: Way, face: Shows, holds: Holds | None, size: Size, *, is_cast: bool) -> tuple[bool, str]:
    if way is Way.ACTOR:
        return True, "the actor does it on this take"
    if way is Way.DIGITAL_DOUBLE:
        return False, "a digital double has it"
    if way is Way.FACE_REPLACEMENT:
        if holds is Holds.NOT:
            return True, f"a replaced face is not recommended in {size}"
        return False, "the face is replaced" + ("; look closely" if holds is Holds.CLOSELY else "")
    if way is Way.DOUBLE and face is not Shows.HIDDEN:
        return True, "the double's face shows"
    if way is Way.UNKNOWN and is_cast:
        # Not knowing must not let a move go unlearnt.
        return True, "the take does not say who does it"
    return False, "the double's face is hidden" if way is Way.DOUBLE else "nobody is cast for it"
