"""Hits and treatments as tables, a row for each mark, to marks and back; takes are another table; it opens no file."""

from __future__ import annotations

from collections import defaultdict

import pandas as pd

from previs.document.model import Hit, Kind, Sequence, Take, Tape, Treatment
from previs.exchange.replaced import LeftOut
from previs.exchange.table_files import RawTable
from previs.exchange.table_rows import Faults, Row, moment_text, rows_of

HITS_COLUMNS = ("take", "move", "at")
TREATMENTS_COLUMNS = ("tape", "in", "out", "kind", "role", "note")
_MOST = 999_999_999


def read_hits_rows(
    raw: RawTable, sequence: Sequence, in_doubt: frozenset[str], faults: Faults, left_out: LeftOut | None = None
) -> dict[str, tuple[Hit, ...]]:
    """The hits of each take that the table names, in order of time; what is wrong is noted in `faults`.

    Takes `in_doubt` have faults in a table read together with this one; their rows are not judged. With `left_out`, rows
    of takes that are not in the sequence are noted there.
    """
    takes = {take.name: take for take in sequence.takes}
    phrase_of = {move.number: phrase.number for phrase in sequence.phrases for move in phrase.moves}
    found: dict[str, dict[int, tuple[Hit, Row]]] = defaultdict(dict)
    for row in rows_of(raw, HITS_COLUMNS, (), faults):
        name = row.needed("take")
        if left_out is not None and name is not None and name not in takes:
            left_out.take(name)
            continue
        if name is None or name in in_doubt or not row.one_of("take", name, takes, "take"):
            continue
        hit = _hit(row, sequence.tape(takes[name].reel), takes[name], phrase_of)
        if hit is not None and hit.move in found[name]:
            row.wrong("move", f"move {hit.move} has a hit on take {name} in row {found[name][hit.move][1].number} already; delete one.")
        if hit is not None and row.sound:
            found[name][hit.move] = (hit, row)
    return {name: _in_order(list(hits.values())) for name, hits in found.items()}


def read_treatments_rows(raw: RawTable, sequence: Sequence, faults: Faults, left_out: LeftOut | None = None) -> tuple[Treatment, ...]:
    """The treatments that the table holds, in its order; what is wrong is noted in `faults`.

    With `left_out`, rows of tapes that are not in the sequence are noted there.
    """
    tapes = {tape.reel: tape for tape in sequence.tapes}
    found: list[Treatment] = []
    for row in rows_of(raw, TREATMENTS_COLUMNS, (), faults):
        reel = row.needed("tape")
        if left_out is not None and reel is not None and reel not in tapes:
            left_out.tape(reel)
            continue
        tape = tapes[reel] if reel is not None and row.one_of("tape", reel, tapes, "tape") else None
        start, end = (row.moment("in", tape), row.moment("out", tape)) if tape else (None, None)
        if start is not None and end is not None and end <= start:
            row.wrong("out", f"'{row.text('out')}' is not after in, '{row.text('in')}'.")
        kind, role = row.choice("kind", Kind), row.needed("role")
        if role is not None:
            row.one_of("role", role, sequence.roles, "role")
        note = row.text("note")
        if row.sound and tape and start is not None and end is not None and kind and role:
            found.append(Treatment(tape.reel, start, end, kind, role, note))
    return tuple(found)


def hits_table(sequence: Sequence) -> pd.DataFrame:
    """Every hit of every take as a table of `HITS_COLUMNS`."""
    rows = [
        {"take": take.name, "move": hit.move, "at": moment_text(hit.at, sequence.tape(take.reel))}
        for take in sequence.takes
        for hit in take.hits
    ]
    return pd.DataFrame(rows, columns=list(HITS_COLUMNS))


def treatments_table(sequence: Sequence) -> pd.DataFrame:
    """Every treatment as a table of `TREATMENTS_COLUMNS`."""
    rows = [
        {
            "tape": treatment.reel,
            "in": moment_text(treatment.start, sequence.tape(treatment.reel)),
            "out": moment_text(treatment.end_exclusive, sequence.tape(treatment.reel)),
            "kind": treatment.kind.value,
            "role": treatment.role,
            "note": treatment.note,
        }
        for treatment in sequence.treatments
    ]
    return pd.DataFrame(rows, columns=list(TREATMENTS_COLUMNS))


def _hit(row: Row, tape: Tape, take: Take, phrase_of: dict[int, int]) -> Hit | None:
    number = row.whole("move", 0, _MOST)
    if number is not None and number not in phrase_of:
        there = f"moves {min(phrase_of)} to {max(phrase_of)}" if phrase_of else "none yet; read the fight first"
        row.wrong("move", f"there is no move {number}; the fight has {there}.")
    elif number is not None and not take.first_phrase <= phrase_of[number] <= take.last_phrase:
        plays = f"plays phrases {take.first_phrase} to {take.last_phrase}"
        row.wrong("move", f"move {number} is in phrase {phrase_of[number]}, but take {take.name} {plays}.")
    at = row.moment("at", tape)
    if at is not None and not take.span.holds(at):
        ends = f"{moment_text(take.start, tape)} to {moment_text(take.end_exclusive, tape)}"
        row.wrong("at", f"'{row.text('at')}' is not within take {take.name}, {ends}.")
    return Hit(number, at) if number is not None and at is not None else None


def _in_order(hits: list[tuple[Hit, Row]]) -> tuple[Hit, ...]:
    """Hits by time; a move that lands before an earlier-numbered one is noted as a fault."""
    ordered = sorted(hits, key=lambda pair: (pair[0].at, pair[0].move))
    latest = -1
    for hit, row in ordered:
        if hit.move < latest:
            row.wrong("at", f"move {hit.move} lands after move {latest} here; hits must be in the order of the fight.")
        latest = max(latest, hit.move)
    return tuple(hit for hit, _ in ordered)
