"""Marks of a table put beside those that a sequence has, instead of in their place; the same mark twice counts once."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from previs.document.model import Hit, Take, Treatment
from previs.exchange.table_rows import Faults


def takes_with(there: tuple[Take, ...], read: tuple[Take, ...], faults: Faults) -> tuple[Take, ...]:
    """The takes that are there, and the read ones that are not; one that is there otherwise is noted as a fault."""
    known = {take.name: replace(take, hits=()) for take in there}
    for take in read:
        if known.get(take.name, take) != take:
            faults.add(
                None,
                "",
                f"take {take.name} is there already and is another one; give it another name, or read the whole table without --add.",
            )
    return (*there, *(take for take in read if take.name not in known))


def hits_with(takes: tuple[Take, ...], read: Mapping[str, tuple[Hit, ...]], faults: Faults) -> tuple[Take, ...]:
    """The takes with the read hits beside their own; a move that lands otherwise there, or out of order, is noted as a fault."""
    return tuple(replace(take, hits=_together(take, read.get(take.name, ()), faults)) for take in takes)


def _together(take: Take, read: tuple[Hit, ...], faults: Faults) -> tuple[Hit, ...]:
    known = {hit.move: hit for hit in take.hits}
    for hit in read:
        if known.get(hit.move, hit) != hit:
            faults.add(
                None, "", f"take {take.name} has a hit of move {hit.move} at another moment already; read the whole table without --add."
            )
    every = sorted({*take.hits, *read}, key=lambda hit: (hit.at, hit.move))
    moves = [hit.move for hit in every]
    if moves != sorted(moves):
        faults.add(None, "", f"with these hits the moves of take {take.name} would not land in the order of the fight.")
    return tuple(every)


def treatments_with(there: tuple[Treatment, ...], read: tuple[Treatment, ...]) -> tuple[Treatment, ...]:
    """The treatments that are there, and the read ones that are not."""
    return tuple(dict.fromkeys((*there, *read)))
