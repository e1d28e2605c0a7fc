"""A timing cut that lasts exactly its target, the best that the tapes allow by stated prices, with a reason for every shot.

`choices` lists every shot that could be, `prices` says what each costs, `planning` makes a problem of them, `solving` finds
the cheapest path of shots whose lengths add up to the target, `reasons` and `advice` say in words what came out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from msgspec.structs import replace as changed

from previs.cut.advice import remarks
from previs.cut.planning import Locked, Plan, locked_shots, plan_of
from previs.cut.reasons import reasons, standings
from previs.cut.solving import Problem, Solution, lengths, solve
from previs.cut.versions import highest_number
from previs.document.model import Cut, Sequence, Shot
from previs.faults import UseFault


@dataclass(frozen=True, slots=True)
class Assembly:
    """A finished cut, and in sentences what a person should know about it."""

    cut: Cut
    remarks: tuple[str, ...]


def assemble(sequence: Sequence, name: str, target_frames: int | None = None, around: Cut | None = None) -> Assembly:
    """Cut the whole fight to `target_frames`, or to the sequence's own target; locked shots of `around` stay as they are.

    When no cut lasts the target, the one of the nearest possible length is made, and the remarks say the shortest and
    the longest, which moves no take shows, and the least change that would make it fit around the locked shots. Raises
    `UseFault` when there are no moves, or when locked shots stand in each other's way.
    """
    if not sequence.moves:
        raise UseFault("There are no moves yet, so there is nothing to cut; write the fight first, or read it from a table.")
    target = sequence.target_frames if target_frames is None else target_frames
    keep, loose = locked_shots(sequence, around)
    plan = plan_of(sequence, keep)
    fixed = sum(one.shot.frames for one in loose)
    possible = lengths(plan.problem, max(0, target - fixed))
    if possible is None:
        raise UseFault("No path of shots leads through the whole fight around the locked shots; unlock one and assemble again.")
    solution = solve(plan.problem, possible.nearest)
    if solution is None:
        raise AssertionError("a length that can be reached has no cheapest path")
    cut = Cut(name=name, shots=tuple(_shots(plan, solution, loose)), target_frames=target)
    return Assembly(cut, tuple(remarks(plan, cut, possible, loose, around)))


def problem_of(sequence: Sequence) -> Problem:
    """The whole fight as the solver sees it, with no shot locked: what a bench or another solver can be given."""
    return plan_of(sequence, []).problem


def _shots(plan: Plan, solution: Solution, loose: list[Locked]) -> Iterator[Shot]:
    """The solution as shots with reasons; locked ones that hold no move stand before the move they stood before."""
    kept = {one.shot.ident for one in (*plan.locked, *loose)}
    idents = (ident for number in count(1) if (ident := f"s{number}") not in kept)
    waiting = list(loose)
    for standing in standings(plan, solution):
        while waiting and waiting[0].first <= plan.problem.options[standing.option].begin:
            yield waiting.pop(0).shot
        if standing.option >= len(plan.choices):
            yield plan.locked[standing.option - len(plan.choices)].shot
            continue
        yield Shot(
            ident=next(idents),
            frames=standing.frames,
            picture=plan.choices[standing.option].picture(standing.frames, plan.sequence.timebase.rate.fps),
            reasons=tuple(reasons(plan, standing, solution.cost)),
        )
    yield from (one.shot for one in waiting)


def with_cut(sequence: Sequence, cut: Cut) -> Sequence:
    """The sequence with this cut as its newest; raises `UseFault` when the name is taken."""
    if not cut.name.strip():
        raise UseFault("A cut needs a name; give one such as v2.")
    if any(one.name == cut.name for one in sequence.cuts):
        raise UseFault(f"There is a cut named '{cut.name}' already; give another name.")
    return changed(sequence, cuts=(*sequence.cuts, cut))


def next_name(sequence: Sequence) -> str:
    """The first of v1, v2, v3 ... that no cut has and that lies above every one that a cut ever had.

    Somebody may hold a list of v2 in hand after v2 was deleted, and another v2 would be taken for it.
    """
    taken = {cut.name for cut in sequence.cuts}
    return next(name for number in count(highest_number(sequence) + 1) if (name := f"v{number}") not in taken)
