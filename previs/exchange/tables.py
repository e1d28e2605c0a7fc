"""The fight and the marks from tables into a sequence, all or nothing, and out again; the columns are described elsewhere.

Each table is the whole of its kind: what it does not name is gone afterwards. Takes that stay keep their hits unless a
hits table comes along. What would be left without a home (a hit outside its take, a shot of a take that is gone) is a
fault, unless the table that sets it right is in the same call.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from msgspec.structs import replace

from previs.document.model import Card, Flight, Footage, HeadBox, Hit, Sequence, Take
from previs.exchange import body_tables as bodies
from previs.exchange import fight_table as fight
from previs.exchange import mark_tables as marks
from previs.exchange import takes_table as takes
from previs.exchange.body_tables import flights_table, heads_table
from previs.exchange.fight_table import fight_table
from previs.exchange.mark_tables import hits_table, treatments_table
from previs.exchange.table_files import RawTable, TableFault, TableFaults, neutral, read_table, write_table
from previs.exchange.table_rows import Faults, column_name
from previs.exchange.takes_table import takes_table

__all__ = [
    "TableFault",
    "TableFaults",
    "fight_table",
    "flights_table",
    "heads_table",
    "hits_table",
    "neutral",
    "read_fight",
    "read_hits",
    "read_marks",
    "read_takes",
    "read_treatments",
    "takes_table",
    "treatments_table",
    "write_table",
]

_COLUMNS = {
    "fight": fight.COLUMNS,
    "takes": takes.COLUMNS,
    "hits": marks.HITS_COLUMNS,
    "treatments": marks.TREATMENTS_COLUMNS,
    "flights": bodies.FLIGHTS_COLUMNS,
    "heads": bodies.HEADS_COLUMNS,
}
"""The kinds of table, in the order in which they are applied."""


def read_fight(path: Path, sequence: Sequence) -> Sequence:
    """The sequence with the fight of a table (phrase, move, label, attacker ...). Raises `TableFaults`."""
    return _applied({"fight": read_table(path)}, sequence)


def read_takes(path: Path, sequence: Sequence) -> Sequence:
    """The sequence with the takes of a table, which keep the hits they had. Raises `TableFaults`."""
    return _applied({"takes": read_table(path)}, sequence)


def read_hits(path: Path, sequence: Sequence) -> Sequence:
    """The sequence with the hits of a table. Raises `TableFaults`."""
    return _applied({"hits": read_table(path)}, sequence)


def read_treatments(path: Path, sequence: Sequence) -> Sequence:
    """The sequence with the treatments of a table. Raises `TableFaults`."""
    return _applied({"treatments": read_table(path)}, sequence)


def read_marks(paths: Iterable[Path], sequence: Sequence) -> Sequence:
    """The sequence with every table applied: fight, takes, hits, treatments, flights, heads, whatever the order given.

    Which table a file is, its header tells. Raises `TableFaults` with everything wrong in any of them.
    """
    tables: dict[str, RawTable] = {}
    faults: list[TableFault] = []
    for path in paths:
        try:
            raw = read_table(path)
        except TableFaults as found:
            faults += found.faults
            continue
        kind = _kind(raw)
        if kind is None:
            listed = "; ".join(f"{name}: {', '.join(columns)}" for name, columns in _COLUMNS.items())
            faults.append(TableFault(raw.name, 1, "", f"is the header of no table that is known. The tables are {listed}."))
        elif kind in tables:
            faults.append(TableFault(raw.name, None, "", f"is a {kind} table, and so is {tables[kind].name}; make them one."))
        else:
            tables[kind] = raw
    if faults:
        raise TableFaults(tuple(faults))
    return _applied(tables, sequence)


def _kind(raw: RawTable) -> str | None:
    """The kind whose columns the header shares most of; None when it has less than half of any."""
    header = {column_name(cell) for cell in raw.header}
    shares = {kind: len(header & set(columns)) / len(header | set(columns)) for kind, columns in _COLUMNS.items()}
    best = max(shares, key=lambda kind: shares[kind])
    return best if shares[best] >= 0.5 else None


def _applied(tables: dict[str, RawTable], sequence: Sequence) -> Sequence:
    faults = {kind: Faults(raw.name) for kind, raw in tables.items()}
    in_doubt: frozenset[str] = frozenset()
    if "fight" in tables:
        sequence = replace(sequence, phrases=fight.read_phrases(tables["fight"], sequence.timebase, faults["fight"]))
        # Judged against half a fight, sound marks would look wrong.
        _raise_any(faults)
    if "takes" in tables:
        read, in_doubt = takes.read_takes_rows(tables["takes"], sequence, faults["takes"])
        kept = {take.name: take.hits for take in sequence.takes}
        if "hits" not in tables:
            _note_lost_hits(kept, {take.name for take in read} | in_doubt, faults["takes"])
        sequence = replace(sequence, takes=tuple(replace(take, hits=kept.get(take.name, ())) for take in read))
    # When not even a name was found in the takes table, its header is at fault, and every hit would only repeat it.
    if "hits" in tables and (sequence.takes or in_doubt):
        hits = marks.read_hits_rows(tables["hits"], sequence, in_doubt, faults["hits"])
        sequence = replace(sequence, takes=tuple(replace(take, hits=hits.get(take.name, ())) for take in sequence.takes))
    if "treatments" in tables:
        sequence = replace(sequence, treatments=marks.read_treatments_rows(tables["treatments"], sequence, faults["treatments"]))
    if "flights" in tables:
        sequence = replace(sequence, flights=bodies.read_flights_rows(tables["flights"], sequence, faults["flights"]))
    if "heads" in tables:
        sequence = replace(sequence, heads=bodies.read_heads_rows(tables["heads"], sequence, faults["heads"]))
    _raise_any(faults)
    first = next(iter(faults.values()), None)
    if first is not None:
        for sentence in _homeless(sequence, frozenset(tables)):
            first.add(None, "", sentence)
    _raise_any(faults)
    return sequence


def _note_lost_hits(hits: dict[str, tuple[Hit, ...]], staying: set[str], faults: Faults) -> None:
    for name, lost in hits.items():
        if lost and name not in staying:
            faults.add(
                None, "", f"take {name} is not in it and would lose its {len(lost)} hits; keep the take, or give the hits table too."
            )


def _raise_any(faults: dict[str, Faults]) -> None:
    found = [fault for kind in _COLUMNS if kind in faults for fault in faults[kind].in_order()]
    if found:
        raise TableFaults(tuple(found))


def _homeless(sequence: Sequence, given: frozenset[str]) -> list[str]:
    """What was in the sequence before and no longer fits what these tables brought."""
    found: list[str] = []
    if given & {"fight", "takes"}:
        for take in sequence.takes:
            if "takes" not in given:
                found += _homeless_take(sequence, take)
            if "hits" not in given:
                found += _homeless_hits(sequence, take)
        found += _homeless_shots(sequence)
    if "fight" in given and "treatments" not in given:
        found += [
            f"the {treatment.kind} on tape {treatment.reel} is of '{treatment.role}', who is no longer in the fight; "
            "give the treatments table too."
            for treatment in sequence.treatments
            if treatment.role not in sequence.roles
        ]
    bodily: dict[str, tuple[Flight | HeadBox, ...]] = {"flights": sequence.flights, "heads": sequence.heads}
    return found + [
        f"the {kind.removesuffix('s')} on tape {mark.reel} is of '{mark.role}', who is no longer in the fight; give the {kind} table too."
        for kind, those in bodily.items()
        if "fight" in given and kind not in given
        for mark in those
        if mark.role not in sequence.roles
    ]


def _homeless_take(sequence: Sequence, take: Take) -> list[str]:
    numbers = {phrase.number for phrase in sequence.phrases}
    gone = sorted({take.first_phrase, take.last_phrase} - numbers)
    named = {cast.role for cast in take.performers} | {framing.screen_left for framing in take.framings if framing.screen_left}
    named |= {face.role for framing in take.framings for face in framing.faces}
    found = [f"take {take.name} plays phrase {number}, which is no longer in the fight; give the takes table too." for number in gone]
    return found + [
        f"take {take.name} names '{role}', who is no longer in the fight; give the takes table too."
        for role in sorted(named - set(sequence.roles))
    ]


def _homeless_hits(sequence: Sequence, take: Take) -> list[str]:
    played = {move.number for phrase in sequence.phrases if take.first_phrase <= phrase.number <= take.last_phrase for move in phrase.moves}
    return [
        f"the hit of move {hit.move} on take {take.name} is no longer {'in its phrases' if hit.move not in played else 'within it'}; "
        "give the hits table too."
        for hit in take.hits
        if hit.move not in played or not take.span.holds(hit.at)
    ]


def _homeless_shots(sequence: Sequence) -> list[str]:
    names = {take.name for take in sequence.takes}
    moves = {move.number for move in sequence.moves}
    found: list[str] = []
    for cut in sequence.cuts:
        for number, shot in enumerate(cut.shots, start=1):
            picture = shot.picture
            if isinstance(picture, Footage) and picture.take not in names:
                found.append(f"shot {number} of cut {cut.name} is of take {picture.take}, which is gone; keep the take in the table.")
            if isinstance(picture, Card) and {picture.first_move, picture.last_move} - {None} - moves:
                found.append(f"card {number} of cut {cut.name} stands for a move that is gone; keep the move in the table.")
    return found
