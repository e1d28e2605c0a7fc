"""The fight as the solver sees it: its choices and locked shots as options, and what a cut between two of them costs."""

from __future__ import annotations

from dataclasses import dataclass

from previs.cut import prices
from previs.cut.choices import Choice, choices
from previs.cut.placing import moves_held, place
from previs.cut.solving import Option, Problem
from previs.document.model import Cut, Footage, Sequence, Shot, Take
from previs.faults import UseFault


@dataclass(frozen=True, slots=True)
class Locked:
    """A shot that stays: it holds the moves `first` to `last` (places in the fight), or stands before move `first`.

    `number` is its number in the cut that it is locked in.
    """

    shot: Shot
    first: int
    last: int
    number: int


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to be solved: options in the order of the choices and then of the locked shots.

    `rivals` are the places of choices by the moves that they show.
    """

    sequence: Sequence
    choices: list[Choice]
    rivals: dict[tuple[int, int], list[int]]
    locked: list[Locked]
    between: Between
    problem: Problem


def locked_shots(sequence: Sequence, around: Cut | None) -> tuple[list[Locked], list[Locked]]:
    """The locked shots of a cut that hold moves, and those that hold none.

    Raises `UseFault` for one that shows moves out of order, which no cut of the whole fight can be made around.
    """
    keep: list[Locked] = []
    loose: list[Locked] = []
    if around is None:
        return keep, loose
    at = {move.number: index for index, move in enumerate(sequence.moves)}
    placed = place(sequence, around)
    held = moves_held(sequence, placed)
    gap = 0
    for one in placed:
        moves = sorted(at[number] for number in held[one.number])
        if one.shot.locked and moves:
            if moves != list(range(moves[0], moves[-1] + 1)) or moves[0] < gap:
                raise UseFault(f"Locked shot {one.number} of cut {around.name} shows moves out of order; unlock it and assemble again.")
            keep.append(Locked(one.shot, moves[0], moves[-1], one.number))
        elif one.shot.locked:
            loose.append(Locked(one.shot, gap, gap, one.number))
        gap = max(gap, moves[-1] + 1) if moves else gap
    return keep, loose


def plan_of(sequence: Sequence, keep: list[Locked]) -> Plan:
    """The whole fight, with these locked shots in the place of every choice for their moves."""
    found, lifts = choices(sequence)
    taken = {index for one in keep for index in range(one.first, one.last + 1)}
    free = [choice for choice in found if taken.isdisjoint(range(choice.first, choice.last + 1))]
    looks: dict[str | None, int] = {}

    def look(take: str | None) -> int:
        return looks.setdefault(take, len(looks))

    options = [
        Option(
            choice.first,
            choice.last + 1,
            look(choice.take.name if choice.take else None),
            min(choice.lengths),
            choice.costs(),
        )
        for choice in free
    ]
    for one in keep:
        take = one.shot.picture.take if isinstance(one.shot.picture, Footage) else None
        options.append(Option(one.first, one.last + 1, look(take), one.shot.frames, (0,)))
    between = Between(sequence, [sequence.take(name) if name else None for name in looks])
    lifts = {index: price for index, price in lifts.items() if index not in taken}
    rivals: dict[tuple[int, int], list[int]] = {}
    for index, choice in enumerate(free):
        rivals.setdefault((choice.first, choice.last), []).append(index)
    return Plan(sequence, free, rivals, keep, between, Problem(len(sequence.moves), tuple(options), lifts, between))


class Between:
    """What a cut from one take to another costs, by the framings on either side of it."""

    def __init__(self, sequence: Sequence, takes: list[Take | None]) -> None:
        self._takes = takes
        self._at = {move.number: index for index, move in enumerate(sequence.moves)}
        self._known: dict[tuple[int, int, int, bool], tuple[prices.Item, ...]] = {}

    def __call__(self, node: int, before: int, after: int, lifted: bool) -> int:
        """The sum of what `items` names."""
        return sum(price for _, price in self.items(node, before, after, lifted))

    def items(self, node: int, before: int, after: int, lifted: bool) -> tuple[prices.Item, ...]:
        """The things that cost at the cut before the move at `node`, from one look to another."""
        key = node, before, after, lifted
        if key not in self._known:
            self._known[key] = tuple(item for item in self._found(*key) if item[1])
        return self._known[key]

    def _found(self, node: int, before: int, after: int, lifted: bool) -> tuple[prices.Item, ...]:
        outgoing, incoming = self._takes[before], self._takes[after]
        if outgoing is None or incoming is None:
            return ()
        if before == after and not lifted:
            return (("the same take goes on", prices.TAKE_RESUMED),)
        last = [hit.at for hit in outgoing.hits if self._at[hit.move] < node]
        first = [hit.at for hit in incoming.hits if self._at[hit.move] >= node]
        leaving = outgoing.framing_at(last[-1] if last else outgoing.start)
        coming = incoming.framing_at(first[0] if first else incoming.start)
        same_camera = before == after or outgoing.camera == incoming.camera != ""
        return prices.jump_price(leaving, coming, same_camera), prices.line_price(leaving, coming)
