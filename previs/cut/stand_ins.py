"""Which other takes could stand in a shot's place, and why others cannot; it changes nothing."""

from __future__ import annotations

from dataclasses import dataclass

from previs.clock import first_grid_frame
from previs.cut.placing import moves_held, place
from previs.cut.retimes import replace_take
from previs.document.model import Footage, Sequence, Take
from previs.faults import UseFault


@dataclass(frozen=True, slots=True)
class StandIn:
    """A take that holds a move of the shot: `sequence` has it in the shot's place, or is None and `fault` says why not.

    `first_frame` is the frame of its tape's grid that the shot would begin on; of one that cannot stand in, that of its hit.
    """

    take: Take
    sequence: Sequence | None
    first_frame: int
    fault: str = ""


def stand_ins(sequence: Sequence, cut_name: str, number: int) -> tuple[StandIn, ...]:
    """Every other take with a hit of one of the shot's moves: those that can stand in first, the best rated ahead."""
    cut = sequence.cut(cut_name)
    if not 1 <= number <= len(cut.shots):
        return ()
    wanted = moves_held(sequence, place(sequence, cut))[number]
    picture = cut.shots[number - 1].picture
    now = picture.take if isinstance(picture, Footage) else ""
    holding = [take for take in sequence.takes if take.name != now and any(hit.move in wanted for hit in take.hits)]
    found = [_stand_in(sequence, cut_name, number, take, wanted) for take in holding]
    return tuple(sorted(found, key=lambda one: (one.sequence is None, -one.take.rating)))


def _stand_in(sequence: Sequence, cut_name: str, number: int, take: Take, wanted: tuple[int, ...]) -> StandIn:
    hit = next(hit for hit in take.hits if hit.move in wanted)
    landing = first_grid_frame(hit.at, sequence.timebase.rate.fps)
    try:
        replaced = replace_take(sequence, cut_name, number, take.name)
    except UseFault as fault:
        return StandIn(take, None, landing, str(fault))
    picture = replaced.cut(cut_name).shots[number - 1].picture
    return StandIn(take, replaced, picture.first_frame if isinstance(picture, Footage) else landing)
