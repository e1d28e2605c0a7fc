"""What the Fight place says of takes and holes, in words; no Qt."""

from __future__ import annotations

from previs.desk.words import tr
from previs.document.model import SURE, Shows
from previs.exchange.lists import framing_text
from previs.fight.balance import Shown, Turn
from previs.fight.coverage import Covered, Figures, Held, Hole


def hole_text(hole: Hole) -> str:
    """A hole in few words."""
    return {
        Hole.NO_TAKE: tr("no take"),
        Hole.NO_HIT: tr("no hit logged"),
        Hole.LEARNING_ONLY: tr("learning only"),
        Hole.DOUBLE_ONLY: tr("double's face"),
        Hole.NOT_BOTH: tr("double's face"),
    }[hole]


def hole_told(covered: Covered) -> str:
    """What is missing for a move, in a sentence; empty where nothing is."""
    hole, number = covered.hole, covered.move.number
    if hole is None:
        return ""
    takes = ", ".join(take.name for take in covered.unlogged)
    return {
        Hole.NO_TAKE: tr("No take holds move {number}.", number=number),
        Hole.NO_HIT: tr("No hit of move {number} is logged; its phrase is played on {takes}.", number=number, takes=takes),
        Hole.LEARNING_ONLY: tr("Move {number} is held at learning tempo only.", number=number),
        Hole.DOUBLE_ONLY: tr("On every take that holds move {number} a double's face shows.", number=number),
        Hole.NOT_BOTH: tr("On every take that holds move {number} at performance tempo a double's face shows.", number=number),
    }[hole]


def tightest_told(covered: Covered) -> str:
    """How tight the move can be shown."""
    one = covered.tightest
    if one is None:
        return ""
    if one.performed:
        return tr("Tightest: {size} on take {take}.", size=one.framing.size, take=one.take.name)
    return tr("Tightest: {size} on take {take}, at learning tempo.", size=one.framing.size, take=one.take.name)


def tempo_text(held: Held) -> str:
    """Tempo and rating of a take."""
    share = round(100 * held.take.tempo)
    tempo = tr("performance {share} %", share=share) if held.performed else tr("learning tempo {share} %", share=share)
    return tr("{tempo}, rated {rating}", tempo=tempo, rating=held.take.rating) if held.take.rating else tempo


def performer_texts(held: Held, roles: tuple[str, ...]) -> list[str]:
    """Who plays each role of the move, and how much of the face shows."""
    found = []
    for role in roles:
        who = held.take.performer_of(role) or tr("not noted")
        noted = any(face.role == role for face in held.framing.faces)
        shows = {
            Shows.FULL: tr("face in full"),
            Shows.PART: tr("face in part"),
            Shows.HIDDEN: tr("face hidden") if noted else tr("face not noted"),
        }[held.face_of(role)]
        found.append(tr("{role}: {who}, {shows}", role=role, who=who, shows=shows))
    return found


def warnings(held: Held) -> list[str]:
    """What somebody should know before they take it."""
    found = [tr("A double's face shows: {who}.", who=words) for words in held.bare]
    if held.hit.confidence < SURE:
        found.append(tr("This hit was found, not looked at ({share} %).", share=held.hit.confidence))
    return found


def take_told(held: Held, roles: tuple[str, ...]) -> str:
    """All of it, a line each."""
    used = [tr("In the cut.")] if held.used else []
    first = tr("Take {take}: {size}", take=held.take.name, size=framing_text(held.framing))
    return "\n".join((first, tempo_text(held), *performer_texts(held, roles), *warnings(held), *used))


def figures_told(found: Figures) -> str:
    """The fight in numbers, as a line."""
    if not found.moves:
        return tr("No fight is written yet.")
    moves = tr("1 move") if found.moves == 1 else tr("{count} moves", count=found.moves)
    phrases = tr("1 phrase") if found.phrases == 1 else tr("{count} phrases", count=found.phrases)
    hits = tr("1 hit") if found.hits == 1 else tr("{count} hits", count=found.hits)
    takes = tr("1 take") if found.takes == 1 else tr("{count} takes", count=found.takes)
    return tr("{moves} in {phrases}    {hits} logged on {takes}", moves=moves, phrases=phrases, hits=hits, takes=takes)


def holes_told(found: Figures) -> str:
    """How many moves lack something; empty when none does."""
    more = found.holes - found.without_take
    if not found.holes:
        return ""
    without = tr("1 move without a hit") if found.without_take == 1 else tr("{count} moves without a hit", count=found.without_take)
    if not more:
        return without
    if not found.without_take:
        return tr("1 move lacks something") if more == 1 else tr("{count} moves lack something", count=more)
    lacking = tr("1 lacks something") if more == 1 else tr("{count} lack something", count=more)
    return tr("{without}, {lacking}", without=without, lacking=lacking)


def turn_told(turn: Turn, cut: str) -> str:
    """What a cut makes of a planned turn, where that is not what was written."""
    return {
        Shown.AS_PLANNED: "",
        Shown.LATE: tr("Cut {cut} shows this turn late, with move {move}.", cut=cut, move=turn.shown_by),
        Shown.OUT_OF_ORDER: tr("Cut {cut} shows this turn out of order.", cut=cut),
        Shown.ON_A_CARD: tr("In cut {cut} a card holds the place of this turn.", cut=cut),
        Shown.MISSING: tr("Cut {cut} does not show this turn.", cut=cut),
    }[turn.shown]
