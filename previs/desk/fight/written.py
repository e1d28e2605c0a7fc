"""What the fight table shows: its columns, a row for each move, what stands in a cell and what there is to choose; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.desk.words import tr
from previs.document.model import LEVEL, Move, Phrase, Sequence

COLUMNS = ("phrase", "move", "label", "attacker", "defender", "line", "weapon", "upper_hand", "optional", "breath", "place", "note")
"""In the order of the fight table of files, so that a block of cells fits both."""
NUMBERS = frozenset({"phrase", "move", "breath"})
_ROLES, _USUAL = frozenset({"attacker", "defender"}), frozenset({"line", "weapon", "place"})


@dataclass(frozen=True, slots=True)
class Row:
    """One move of the table; `begins` and `ends` say that its phrase does, `band` counts phrases from 0."""

    phrase: Phrase
    move: Move
    begins: bool
    ends: bool
    band: int


def rows_of(sequence: Sequence) -> tuple[Row, ...]:
    """A row for each move, in order."""
    phrases = [phrase for phrase in sequence.phrases if phrase.moves]
    return tuple(
        Row(phrase, move, move is phrase.moves[0], move is phrase.moves[-1], band)
        for band, phrase in enumerate(phrases)
        for move in phrase.moves
    )


def heading(column: str) -> str:
    """What stands above a column."""
    return {
        "phrase": tr("phrase"),
        "move": tr("move"),
        "label": tr("label"),
        "attacker": tr("attacker"),
        "defender": tr("defender"),
        "line": tr("line"),
        "weapon": tr("weapon"),
        "upper_hand": tr("upper hand"),
        "optional": tr("optional"),
        "breath": tr("breath"),
        "place": tr("place"),
        "note": tr("note"),
    }[column]


def typed(row: Row, column: str) -> str:
    """What stands in a cell when it is being written."""
    if column == "phrase":
        return str(row.phrase.number)
    if column == "move":
        return str(row.move.number)
    if column == "breath":
        return str(row.phrase.breath_frames) if row.ends and row.phrase.breath_frames else ""
    if column == "optional":
        return "yes" if row.move.optional else ""
    return str(getattr(row.move, column))


def shown(row: Row, column: str) -> str:
    """What is read in a cell."""
    text = typed(row, column)
    if column == "breath" and text:
        return tr("1 frame") if text == "1" else tr("{count} frames", count=text)
    return "" if column == "optional" else " ".join(text.split())


def may_be_written(row: Row, column: str) -> bool:
    """False for the breath of a move that does not end its phrase."""
    return column != "breath" or row.ends


def choices(sequence: Sequence, column: str) -> tuple[str, ...]:
    """What there is to choose from in a column; other words may be typed. Roles by attack, the rest as they come in the fight."""
    if column in _ROLES:
        return sequence.roles
    if column == "upper_hand":
        return (*sequence.roles, LEVEL)
    return tuple(dict.fromkeys(text for move in sequence.moves if (text := getattr(move, column)))) if column in _USUAL else ()


def about(row: Row) -> str:
    """A move in a whole sentence, since a cell may be too narrow for what stands in it."""
    move = row.move
    parts = [
        tr("Move {number}, {label}.", number=move.number, label=move.label),
        tr("{attacker} attacks {defender}", attacker=move.attacker, defender=move.defender)
        + "".join(f", {text}" for text in (move.line, move.weapon, move.place) if text)
        + ".",
        tr("Then level.") if move.upper_hand == LEVEL else tr("Then {role} has the upper hand.", role=move.upper_hand),
    ]
    if move.optional:
        parts.append(tr("Optional."))
    if move.note:
        parts.append(tr("Note: {note}", note=" ".join(move.note.split())))
    return " ".join(parts)
