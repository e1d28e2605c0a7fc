"""A timing cut that lasts exactly its target, the best that the tapes allow by stated prices, with a reason for every shot.

`choices` lists every shot that could be, `prices` says what each costs, `solving` finds the cheapest path of shots whose
lengths add up to the target. What is here puts the three together, keeps locked shots, and says in words what came out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count

from msgspec.structs import replace as changed

from previs.cut import prices
from previs.cut.choices import Choice, choices
from previs.cut.placing import moves_held, place
from previs.cut.solving import Lengths, Option, Problem, Solution, lengths, solve
from previs.document.model import Cut, Footage, Move, Sequence, Shot, Take
from previs.faults import UseFault

_MOST_RETIMING_TRIED = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class Assembly:
    """A finished cut, and in sentences what a person should know about it."""

    cut: Cut
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Locked:
    """A shot that stays: it holds the moves `first` to `last` (places in the fight), or stands before move `first`."""

    shot: Shot
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class _Plan:
    """The fight as the solver sees it: its options, in the order of the choices and then of the locked shots.

    `rivals` are the choices by the moves that they show.
    """

    sequence: Sequence
    choices: list[Choice]
    rivals: dict[tuple[int, int], list[Choice]]
    locked: list[_Locked]
    between: _Between
    problem: Problem


def assemble(sequence: Sequence, name: str, target_frames: int | None = None, around: Cut | None = None) -> Assembly:
    """Cut the whole fight to `target_frames`, or to the sequence's own target; locked shots of `around` stay as they are.

    When no cut lasts the target, the one of the nearest possible length is made, and the remarks say the shortest and
    the longest, which moves no take shows, and the least change that would make it fit. Raises `UseFault` when there are
    no moves, or when locked shots stand in each other's way.
    """
    if not sequence.moves:
        raise UseFault("There are no moves yet, so there is nothing to cut; read the fight first with 'previs fight'.")
    target = sequence.target_frames if target_frames is None else target_frames
    keep, loose = _locked_shots(sequence, around)
    plan = _plan(sequence, keep)
    fixed = sum(one.shot.frames for one in loose)
    possible = lengths(plan.problem, max(0, target - fixed))
    if possible is None:
        raise UseFault("No path of shots leads through the whole fight around the locked shots; unlock one and assemble again.")
    solution = solve(plan.problem, target - fixed) or solve(plan.problem, possible.nearest)
    if solution is None:
        raise AssertionError("a length that can be reached has no cheapest path")
    cut = Cut(name=name, shots=tuple(_shots(plan, solution, loose)), target_frames=target)
    return Assembly(cut, tuple(_remarks(plan, cut, possible, fixed)))


def _locked_shots(sequence: Sequence, around: Cut | None) -> tuple[list[_Locked], list[_Locked]]:
    """The locked shots of a cut that hold moves, and those that hold none."""
    keep: list[_Locked] = []
    loose: list[_Locked] = []
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
            keep.append(_Locked(one.shot, moves[0], moves[-1]))
        elif one.shot.locked:
            loose.append(_Locked(one.shot, gap, gap))
        gap = max(gap, moves[-1] + 1) if moves else gap
    return keep, loose


def problem_of(sequence: Sequence) -> Problem:
    """The whole fight as the solver sees it, with no shot locked: what a bench or another solver can be given."""
    return _plan(sequence, []).problem


def _plan(sequence: Sequence, keep: list[_Locked]) -> _Plan:
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
    between = _Between(sequence, [sequence.take(name) if name else None for name in looks])
    lifts = {index: price for index, price in lifts.items() if index not in taken}
    rivals: dict[tuple[int, int], list[Choice]] = {}
    for choice in free:
        rivals.setdefault((choice.first, choice.last), []).append(choice)
    return _Plan(sequence, free, rivals, keep, between, Problem(len(sequence.moves), tuple(options), lifts, between))


class _Between:
    """What a cut from one take to another costs, by the framings on either side of it."""

    def __init__(self, sequence: Sequence, takes: list[Take | None]) -> None:
        self._takes = takes
        self._at = {move.number: index for index, move in enumerate(sequence.moves)}
        self._known: dict[tuple[int, int, int, bool], tuple[prices.Item, ...]] = {}

    def __call__(self, node: int, before: int, after: int, lifted: bool) -> int:
        return sum(price for _, price in self.items(node, before, after, lifted))

    def items(self, node: int, before: int, after: int, lifted: bool) -> tuple[prices.Item, ...]:
        """The things that cost at the cut before the move at `node`."""
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


def _shots(plan: _Plan, solution: Solution, loose: list[_Locked]) -> Iterator[Shot]:
    """The solution as shots with reasons; locked ones that hold no move stand before the move they stood before."""
    kept = {one.shot.ident for one in (*plan.locked, *loose)}
    idents = (ident for number in count(1) if (ident := f"s{number}") not in kept)
    waiting = list(loose)
    before: int | None = None
    node = 0
    for chosen in solution.shots:
        option = plan.problem.options[chosen.option]
        while waiting and waiting[0].first <= option.begin:
            yield waiting.pop(0).shot
        if chosen.option >= len(plan.choices):
            yield plan.locked[chosen.option - len(plan.choices)].shot
        else:
            choice = plan.choices[chosen.option]
            between = () if before is None else plan.between.items(option.begin, before, option.look, option.begin > node)
            reasons = tuple(_reasons(plan, choice, chosen.frames, between))
            yield Shot(
                ident=next(idents),
                frames=chosen.frames,
                picture=choice.picture(chosen.frames, plan.sequence.timebase.rate.fps),
                reasons=reasons,
            )
        before, node = option.look, option.end
    yield from (one.shot for one in waiting)


def _reasons(plan: _Plan, choice: Choice, frames: int, between: tuple[prices.Item, ...]) -> Iterator[str]:
    """Why this take, at this length: what it costs, and the next best for the same moves."""
    if choice.take is None:
        yield f"No take shows move {choice.moves[0].number} land; the card lasts the {frames} frames that are planned."
        return
    rivals = {one.take.name: min(one.costs()) for one in plan.rivals[choice.first, choice.last] if one.take and one.take is not choice.take}
    standing = f"{choice.take.framings[0].size}, rated {choice.take.rating}"
    yield f"Take {choice.take.name} ({standing}), one of {len(rivals) + 1} for {_moves_named(choice.moves)}."
    speed = choice.speed_at(frames, plan.sequence.timebase.rate.fps)
    if speed != 1:
        walked = f"it was played at {float(choice.take.tempo):.0%} of performance"
        yield f"Speed {float(speed):.3f}: {walked}."
    costs = [f"{words} ({price})" for words, price in (*choice.items_at(frames, plan.sequence), *between) if price]
    yield "It costs " + ("; ".join(costs) if costs else "nothing") + "."
    if rivals:
        best = min(rivals, key=lambda name: (rivals[name], name))
        more = rivals[best] - min(choice.costs())
        if more > 0:
            compared = f"{more} points dearer by itself"
        else:
            compared = "no dearer by itself, but dearer among its neighbours or at the length that is needed"
        yield f"Next for these moves: take {best}, {compared}."


def _moves_named(moves: tuple[Move, ...]) -> str:
    return f"move {moves[0].number}" if len(moves) == 1 else f"moves {moves[0].number} to {moves[-1].number}"


def _remarks(plan: _Plan, cut: Cut, possible: Lengths, fixed: int) -> Iterator[str]:
    sequence = plan.sequence
    label = sequence.timebase.duration
    held = {move for moves in moves_held(sequence, place(sequence, cut)).values() for move in moves}
    for choice in plan.choices:
        if choice.take is None:
            move = choice.moves[0]
            yield f"Move {move.number} ({move.label}): no take shows it land, so a card holds its place."
    lifted = [move for move in sequence.moves if move.number not in held]
    if lifted:
        yield "Left out, being optional: " + ", ".join(f"{move.number} ({move.label})" for move in lifted) + "."
    over = cut.frames - cut.target_frames
    if not over:
        yield "The cut lasts its target to the frame."
        return
    shortest, longest = possible.shortest + fixed, possible.longest + fixed
    misses = f"{abs(over)} frames {'longer' if over > 0 else 'shorter'}"
    yield f"No cut lasts {label(cut.target_frames)}; this one is {misses}, the nearest there is."
    yield f"The shortest possible is {label(shortest)}, the longest {label(longest)}."
    yield _least_change(sequence, cut.target_frames, over)


def _least_change(sequence: Sequence, target: int, over: int) -> str:
    """The smallest loosening of one limit that would let the whole fight last its target, around no locked shots."""
    now = sequence.settings.most_retiming
    for percent in range((now * 100).__floor__() + 1, int(_MOST_RETIMING_TRIED * 100) + 1):
        looser = changed(sequence, settings=changed(sequence.settings, most_retiming=Fraction(percent, 100)))
        if _reaches(looser, target):
            return f"Retiming up to {percent} % (now {float(now):.0%}) would make it fit."
    if over > 0 and _reaches(changed(sequence, settings=changed(sequence.settings, least_breath=Fraction(0))), target):
        return "Giving up the breaths altogether would make it fit."
    direction = "shorter or fewer moves" if over > 0 else "longer breaths, more moves"
    return f"No retiming up to {float(_MOST_RETIMING_TRIED):.0%} makes it fit: it needs {direction}, or another target."


def _reaches(sequence: Sequence, target: int) -> bool:
    possible = lengths(problem_of(sequence), target)
    return possible is not None and possible.below == target


def with_cut(sequence: Sequence, cut: Cut) -> Sequence:
    """The sequence with this cut as its newest; raises `UseFault` when the name is taken."""
    if any(one.name == cut.name for one in sequence.cuts):
        raise UseFault(f"There is a cut named '{cut.name}' already; give another name with --name.")
    return changed(sequence, cuts=(*sequence.cuts, cut))


def next_name(sequence: Sequence) -> str:
    """The first of v1, v2, v3 ... that no cut has."""
    taken = {cut.name for cut in sequence.cuts}
    return next(name for number in count(1) if (name := f"v{number}") not in taken)
