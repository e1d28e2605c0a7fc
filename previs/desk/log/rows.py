"""What the list of tapes and the panel of the next move say, from the document; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.analysis.all_takes import DOUBTFUL_BELOW
from previs.analysis.tapping import hit_of, moves_of
from previs.desk.words import tr
from previs.document.model import Move, Sequence, Take


@dataclass(frozen=True, slots=True)
class TakeRow:
    """A take in the list: its name, hits of moves, hits in doubt."""

    name: str
    hits: str
    doubtful: str
    tip: str


@dataclass(frozen=True, slots=True)
class TapeRow:
    """A tape in the list with its takes; `tip` says its camera and what it ran with."""

    reel: str
    title: str
    tip: str
    takes: tuple[TakeRow, ...]


def tape_rows(sequence: Sequence) -> tuple[TapeRow, ...]:
    """All tapes with their takes."""
    sessions = {sync.reel: sync.session for sync in sequence.syncs}
    found = []
    for tape in sequence.tapes:
        takes = tuple(_take_row(sequence, take) for take in sequence.takes if take.reel == tape.reel)
        session = sessions.get(tape.reel)
        ran = [reel for reel, one in sessions.items() if session and one == session and reel != tape.reel]
        title = tr("{reel}  camera {camera}", reel=tape.reel, camera=tape.camera) if tape.camera else tape.reel
        lines = [tr("{reel}: {takes} takes", reel=tape.reel, takes=len(takes))]
        if session:
            lines.append(tr("session {session}", session=session))
        if ran:
            lines.append(tr("ran together with {reels}", reels=", ".join(ran)))
        found.append(TapeRow(tape.reel, title, "\n".join(lines), takes))
    return tuple(found)


def _take_row(sequence: Sequence, take: Take) -> TakeRow:
    moves = moves_of(sequence, take)
    doubtful = sum(hit.confidence < DOUBTFUL_BELOW for hit in take.hits)
    parts = [tr("take {take}", take=take.name)]
    parts += [tr("slate {slate}", slate=take.slate)] if take.slate else []
    parts += [take.note] if take.note else []
    hits = tr("{hits} of {moves}", hits=len(take.hits), moves=len(moves))
    return TakeRow(take.name, hits, str(doubtful) if doubtful else "", "\n".join(parts))


def move_said(move: Move) -> str:
    """Who does what to whom, on which line."""
    if move.line:
        return tr("{attacker} → {defender}, {line}", attacker=move.attacker, defender=move.defender, line=move.line)
    return tr("{attacker} → {defender}", attacker=move.attacker, defender=move.defender)


def place_said(sequence: Sequence, take: Take | None, move: Move | None) -> str:
    """Where in its take the next move is, and whether it has a hit already."""
    if take is None:
        return tr("no take here")
    moves = moves_of(sequence, take)
    if move is None:
        return tr("{take}: all {moves} moves", take=take.name, moves=len(moves))
    place = moves.index(move.number) + 1 if move.number in moves else 0
    if hit_of(take, move.number):
        return tr("{take}: {place} of {moves}, has a hit", take=take.name, place=place, moves=len(moves))
    return tr("{take}: {place} of {moves}", take=take.name, place=place, moves=len(moves))
