"""The written fight as a table, a row for each move, to phrases and back; it opens no file."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd

from previs.clock import Timebase
from previs.document.model import LEVEL, Move, Phrase, Sequence
from previs.exchange.table_files import RawTable
from previs.exchange.table_rows import Faults, Row, rows_of

COLUMNS = ("phrase", "move", "label", "attacker", "defender", "line", "weapon", "upper_hand", "optional", "breath", "place", "note")
_MOST = 999_999_999


def read_phrases(raw: RawTable, timebase: Timebase, faults: Faults) -> tuple[Phrase, ...]:
    """The phrases that the table holds; what is wrong is noted in `faults`, and the value is then not to be used.

    Phrases and moves must rise; a breath (a length at the sequence rate) stands on the last move of its phrase.
    """
    rows = rows_of(raw, COLUMNS, (), faults)
    roles = _roles(rows)
    phrases: dict[int, list[Move]] = {}
    breaths: dict[int, int] = {}
    last_phrase = last_move = -1
    for row in rows:
        number = row.whole("phrase", 0, _MOST)
        move = _move(row, roles)
        breath = row.frames("breath", timebase)
        if number is not None and number < last_phrase:
            row.wrong("phrase", f"phrase {number} follows phrase {last_phrase}; phrases must rise down the table.")
        if number is not None:
            last_phrase = max(last_phrase, number)
        if move is not None and move.number <= last_move:
            again = "is there twice" if move.number == last_move else f"follows move {last_move}"
            row.wrong("move", f"move {move.number} {again}; moves must rise down the table.")
        if move is not None:
            last_move = max(last_move, move.number)
        if row.sound and number is not None and move is not None:
            phrases.setdefault(number, []).append(move)
            breaths[number] = breath or 0
    for row, after in pairwise(rows):
        if row.text("breath") and row.text("phrase") == after.text("phrase"):
            row.wrong("breath", f"a breath comes after a whole phrase; move it to the last move of phrase {row.text('phrase')}.")
    return tuple(Phrase(number, tuple(moves), breaths[number]) for number, moves in phrases.items())


def fight_table(sequence: Sequence) -> pd.DataFrame:
    """The fight as a table of `COLUMNS`, a row for each move; breaths in frames of the sequence rate (`f24`)."""
    rows = [
        {
            "phrase": phrase.number,
            "move": move.number,
            "label": move.label,
            "attacker": move.attacker,
            "defender": move.defender,
            "line": move.line,
            "weapon": move.weapon,
            "upper_hand": move.upper_hand,
            "optional": "yes" if move.optional else "",
            "breath": f"f{phrase.breath_frames}" if phrase.breath_frames and move is phrase.moves[-1] else "",
            "place": move.place,
            "note": move.note,
        }
        for phrase in sequence.phrases
        for move in phrase.moves
    ]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _roles(rows: list[Row]) -> dict[str, str]:
    """Each role of the fight by its name without regard to case, as first written."""
    roles: dict[str, str] = {}
    for row in rows:
        for column in ("attacker", "defender"):
            name = row.text(column)
            if not name:
                continue
            first = roles.setdefault(name.casefold(), name)
            if name.casefold() == LEVEL or set(name) & {"=", ";"}:
                row.wrong(column, f"'{name}' cannot be the name of a role; choose one other than '{LEVEL}' and without = and ;.")
            elif first != name:
                row.wrong(column, f"'{name}' is written '{first}' further up; write it the same everywhere.")
    return roles


def _move(row: Row, roles: dict[str, str]) -> Move | None:
    number = row.whole("move", 0, _MOST)
    label, attacker, defender = row.needed("label"), row.needed("attacker"), row.needed("defender")
    if attacker is not None and attacker == defender:
        row.wrong("defender", f"'{defender}' is the attacker too; a move needs two roles.")
    upper_hand = row.needed("upper_hand")
    if upper_hand is not None and upper_hand.casefold() == LEVEL:
        upper_hand = LEVEL
    elif upper_hand is not None:
        row.one_of("upper_hand", upper_hand, [LEVEL, *roles.values()], "role of this fight")
    optional = row.yes("optional")
    texts = {column: row.text(column) for column in ("line", "weapon", "place", "note")}
    if number is None or label is None or attacker is None or defender is None or upper_hand is None:
        return None
    return Move(number=number, label=label, attacker=attacker, defender=defender, upper_hand=upper_hand, optional=optional, **texts)
