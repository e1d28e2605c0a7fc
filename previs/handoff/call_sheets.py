"""Call sheets: what each department has to bring to a cut, as rows derived from cut x marks; they size and judge nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from enum import StrEnum

from previs.clock import TapeSpan, grid_span
from previs.cut.placing import place
from previs.document.model import Cut, Flight, Move, Sequence
from previs.exchange.lists import moves_text, record_label, tape_label
from previs.fight.hazards import WIRE, landing_words, who_comes_down
from previs.handoff import cautions
from previs.handoff.fight_load import load_tables
from previs.handoff.played import Played, flight_of, listed, played, shot_name, shot_names
from previs.handoff.rigging import rigging_tables
from previs.handoff.sheets import Sheet, Table, Value, head
from previs.handoff.wardrobe import wardrobe_tables


class Department(StrEnum):
    """Who a call sheet is for."""

    RIGGING = "rigging"
    PROPS = "props"
    WARDROBE = "wardrobe"
    MATS = "mats"
    LOAD = "load"


def call_sheet(sequence: Sequence, cut: Cut, department: Department, made: date) -> Sheet:
    """The sheet of one department for this cut; `made` is the date that stands on it."""
    title, tables, caution = _SHEETS[department]
    return Sheet(department.value, title, head(sequence, cut, made), tables(sequence, cut), cautions.cautions(caution))


def _props_tables(sequence: Sequence, cut: Cut) -> tuple[Table, ...]:
    shown = played(sequence, cut)
    # A wire is the riggers'.
    props = dict.fromkeys(move.weapon for move in sequence.moves if move.weapon and move.weapon.strip().casefold() != WIRE)
    counted: list[tuple[Value, ...]] = []
    held: list[tuple[Value, ...]] = []
    for prop in props:
        moves = [move for move in sequence.moves if move.weapon == prop]
        seen = [one for one in shown if one.move.weapon == prop]
        holders = dict.fromkeys(move.attacker for move in moves)
        counted.append(
            (
                prop,
                len(holders),
                listed(holders),
                len(moves),
                moves_text(tuple(move.number for move in moves)),
                len({one.move.number for one in seen}),
                "props department decides",
            )
        )
        held += [
            _held_row(prop, role, where, seen)
            for role in holders
            for where in dict.fromkeys(one.move.place for one in seen if one.move.attacker == role)
        ]
    return (
        Table(
            "props",
            "Weapons and props of the fight",
            ("prop", "in hands", "used by", "moves", "which moves", "moves in the cut", "spares"),
            tuple(counted),
            "No move of the fight names a weapon or a prop.",
            "In hands: how many roles attack with it. Who only parries with one, or carries one, is not counted.",
        ),
        Table(
            "hands",
            "Who holds what where in the cut",
            ("prop", "role", "performers", "place", "moves", "shots"),
            tuple(held),
            "No move in this cut names a weapon or a prop.",
        ),
    )


def _held_row(prop: str, role: str, where: str, seen: list[Played]) -> tuple[Value, ...]:
    here = [one for one in seen if one.move.attacker == role and one.move.place == where]
    moves = moves_text(tuple(sorted({one.move.number for one in here})))
    return (prop, role, listed(one.performer(role) for one in here), where, moves, shot_names(one.placed for one in here))


def _mats_tables(sequence: Sequence, cut: Cut) -> tuple[Table, ...]:
    shown = played(sequence, cut)
    flown = {hit.move for take in sequence.takes for hit in take.hits if flight_of(sequence, take, hit.move) is not None}
    rows = [
        _landing_row(sequence, move, shown, move.number in flown) for move in sequence.moves if landing_words(move) or move.number in flown
    ]
    return (
        Table(
            "landings",
            "Where a body may come down",
            ("place", "phrase", "move", "what", "found by", "role", "performers in the cut", "shots", "first at", "note"),
            tuple(rows),
            "No move's label speaks of a fall, landing, vault, leap or throw, and no flight is marked.",
            "Found by the words fall, landing, vault, leap and thrown in a move's label, and by flights marked on tapes.",
        ),
        Table(
            "flights",
            "Flights marked on tapes, and where the cut shows them",
            ("tape", "role", "take-off", "landing", "shots", "first at", "note"),
            tuple(_flight_row(sequence, cut, flight) for flight in sequence.flights),
            "No flight is marked.",
        ),
    )


def _landing_row(sequence: Sequence, move: Move, shown: tuple[Played, ...], flown: bool) -> tuple[Value, ...]:
    here = [one for one in shown if one.move.number == move.number]
    flights = [flight_of(sequence, take, move.number) for take in sequence.takes]
    roles = list(dict.fromkeys(flight.role for flight in flights if flight)) or list(who_comes_down(move))
    return (
        move.place,
        sequence.phrase_of(move.number).number,
        move.number,
        move.label,
        listed((*landing_words(move), "flight" if flown else "")),
        listed(roles),
        listed(one.performer(role) for one in here for role in roles),
        shot_names(one.placed for one in here) or "not in this cut",
        record_label(sequence, here[0].record_frame) if here else "",
        move.note,
    )


def _flight_row(sequence: Sequence, cut: Cut, flight: Flight) -> tuple[Value, ...]:
    span, tape = grid_span(TapeSpan(flight.take_off, flight.landing), sequence.timebase.rate.fps), sequence.tape(flight.reel)
    shots = [
        (one, seen) for one in place(sequence, cut) if one.source and one.source.tape.reel == flight.reel and (seen := one.showing(span))
    ]
    return (
        flight.reel,
        flight.role,
        tape_label(tape, flight.take_off),
        tape_label(tape, flight.landing),
        ", ".join(shot_name(one) for one, _ in shots) or "not in this cut",
        record_label(sequence, shots[0][1].start) if shots else "",
        flight.note,
    )


_SHEETS: dict[Department, tuple[str, Callable[[Sequence, Cut], tuple[Table, ...]], str]] = {
    Department.RIGGING: ("Rigging", rigging_tables, cautions.RIGGING),
    Department.PROPS: ("Props and weapons", _props_tables, cautions.PROPS),
    Department.WARDROBE: ("Wardrobe", wardrobe_tables, cautions.WARDROBE),
    Department.MATS: ("Pads and mats", _mats_tables, cautions.MATS),
    Department.LOAD: ("Fight load", load_tables, cautions.LOAD),
}
"""Each department's title, how its tables are found, and its own caution."""
