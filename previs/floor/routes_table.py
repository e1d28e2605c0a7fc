"""Routes and reaches as tables, in metres, to values of the floor and back; the values are whole millimetres."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from previs.document.floor import Reach, Route, RoutePoint
from previs.document.floor_edits import with_reaches, with_routes
from previs.document.model import Sequence
from previs.exchange.table_files import RawTable, TableFault, TableFaults, read_table
from previs.exchange.table_rows import Faults, Row, column_name, rows_of
from previs.floor.metres import metres_in, metres_text

ROUTES_COLUMNS = ("role", "phrase", "x", "y", "move")
"""A row for each spot of a way, in order: x and y in metres on the plan, `move` blank for a bend."""
REACHES_COLUMNS = ("weapon", "reach")
"""`reach` in metres, see `Reach`."""

_MOST_NUMBER = 999_999_999
_MOST_REACH_METRES = 20


@dataclass(frozen=True, slots=True)
class ReadWays:
    """What came of reading tables of routes and reaches: the sequence with them, and how many of each were read."""

    sequence: Sequence
    routes: int | None
    reaches: int | None


def read_ways(paths: Iterable[Path], sequence: Sequence) -> ReadWays:
    """The sequence with the routes and reaches of these tables, each in the place of all there were of its kind.

    Which table a file is, its header tells. Raises `TableFaults` with everything wrong in any of them; nothing is then read.
    """
    routes: tuple[Route, ...] | None = None
    reaches: tuple[Reach, ...] | None = None
    found: list[TableFault] = []
    for path in paths:
        try:
            raw = read_table(path)
        except TableFaults as broken:
            found += broken.faults
            continue
        faults = Faults(raw.name)
        header = {column_name(cell) for cell in raw.header}
        if len(header & set(REACHES_COLUMNS)) > len(header & set(ROUTES_COLUMNS)):
            _twice(reaches, "reaches", faults)
            reaches = read_reaches_rows(raw, sequence, faults)
        else:
            _twice(routes, "routes", faults)
            routes = read_routes_rows(raw, sequence, faults)
        found += faults.in_order()
    if found:
        raise TableFaults(tuple(found))
    after = sequence if routes is None else with_routes(sequence, routes)
    after = after if reaches is None else with_reaches(after, reaches)
    return ReadWays(after, None if routes is None else len(routes), None if reaches is None else len(reaches))


def read_routes_rows(raw: RawTable, sequence: Sequence, faults: Faults) -> tuple[Route, ...]:
    """The routes that the table holds; what is wrong is noted in `faults`.

    A route's moves must be of its phrase and rise along it, each at one spot of it.
    """
    phrases = {phrase.number: [move.number for move in phrase.moves] for phrase in sequence.phrases}
    points: dict[tuple[str, int], list[RoutePoint]] = {}
    for row in rows_of(raw, ROUTES_COLUMNS, (), faults):
        role, number = row.needed("role"), row.whole("phrase", 0, _MOST_NUMBER)
        x, y = metres_in(row, "x"), metres_in(row, "y")
        move = row.whole("move", 0, _MOST_NUMBER) if row.text("move") else None
        if role is not None:
            row.one_of("role", role, sequence.roles, "role")
        if number is not None and row.one_of("phrase", str(number), [str(one) for one in phrases], "phrase") and move is not None:
            _right_move(row, move, number, phrases, points.get((role or "", number), []))
        if row.sound and role is not None and number is not None and x is not None and y is not None:
            points.setdefault((role, number), []).append(RoutePoint((x, y), move))
    return tuple(Route(role, number, tuple(spots)) for (role, number), spots in points.items())


def read_reaches_rows(raw: RawTable, sequence: Sequence, faults: Faults) -> tuple[Reach, ...]:
    """The reaches that the table holds; what is wrong is noted in `faults`."""
    weapons = list(dict.fromkeys(move.weapon for move in sequence.moves if move.weapon))
    found: dict[str, Reach] = {}
    for row in rows_of(raw, REACHES_COLUMNS, (), faults):
        weapon, reach = row.needed("weapon"), metres_in(row, "reach", 0, _MOST_REACH_METRES * 1000)
        if weapon is not None and row.one_of("weapon", weapon, weapons, "weapon") and weapon in found:
            row.wrong("weapon", f"'{weapon}' is there twice; keep one row.")
        if row.sound and weapon is not None and reach is not None:
            found[weapon] = Reach(weapon, reach)
    return tuple(found.values())


def routes_table(sequence: Sequence) -> pd.DataFrame:
    """Every drawn route as a table of `ROUTES_COLUMNS`."""
    rows = [
        (route.role, route.phrase, *map(metres_text, point.at), "" if point.move is None else point.move)
        for route in (sequence.floor.routes if sequence.floor else ())
        for point in route.points
    ]
    return pd.DataFrame(rows, columns=list(ROUTES_COLUMNS), dtype=object)


def reaches_table(sequence: Sequence) -> pd.DataFrame:
    """Every reach as a table of `REACHES_COLUMNS`."""
    rows = [(one.weapon, metres_text(one.reach_mm)) for one in (sequence.floor.reaches if sequence.floor else ())]
    return pd.DataFrame(rows, columns=list(REACHES_COLUMNS), dtype=object)


def _right_move(row: Row, move: int, number: int, phrases: dict[int, list[int]], before: list[RoutePoint]) -> None:
    if move not in phrases[number]:
        has = ", ".join(map(str, phrases[number][:12])) + (" ..." if len(phrases[number]) > 12 else "")
        row.wrong("move", f"move {move} is not in phrase {number}, which has {has}; correct one of the two, or leave the move blank.")
        return
    last = next((point.move for point in reversed(before) if point.move is not None), None)
    if last is not None and move <= last:
        again = "is there twice" if move == last else f"follows move {last}"
        row.wrong("move", f"move {move} {again} on this way; moves rise along it, each at one spot.")


def _twice(there: object, what: str, faults: Faults) -> None:
    if there is not None:
        faults.add(None, "", f"is a second table of {what}; make them one.")
