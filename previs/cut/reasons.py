"""Why an assembly chose a shot: what it costs where it stands, and what the next best would cost in its place; in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from previs.cut import prices
from previs.cut.choices import Choice
from previs.cut.planning import Plan
from previs.cut.solving import Solution
from previs.document.model import Move


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a chosen shot stands: the looks on either side, and whether a move is lifted out at that cut.

    `before` is None for the first shot; `after` is None for the last one, else the node, the look and the lifting there.
    """

    option: int
    frames: int
    before: tuple[int, bool] | None
    after: tuple[int, int, bool] | None


def standings(plan: Plan, solution: Solution) -> Iterator[Standing]:
    """Each shot of the solution with its neighbours."""
    options = [plan.problem.options[chosen.option] for chosen in solution.shots]
    for place, chosen in enumerate(solution.shots):
        own = options[place]
        before = after = None
        if place:
            before = options[place - 1].look, own.begin > options[place - 1].end
        if place + 1 < len(options):
            following = options[place + 1]
            after = following.begin, following.look, following.begin > own.end
        yield Standing(chosen.option, chosen.frames, before, after)


def reasons(plan: Plan, standing: Standing, total: int) -> Iterator[str]:
    """Why this take, at this length; `total` is what the whole cut costs."""
    choice, frames = plan.choices[standing.option], standing.frames
    if choice.take is None:
        yield f"No take shows move {choice.moves[0].number} land; the card lasts the {frames} frames that are planned."
        return
    rivals = [index for index in plan.rivals[choice.first, choice.last] if index != standing.option and plan.choices[index].take]
    shown = f"{choice.take.framings[0].size}, rated {choice.take.rating}"
    yield f"Take {choice.take.name} ({shown}), one of {len(rivals) + 1} for {_moves_named(choice.moves)}."
    speed = choice.speed_at(frames, plan.sequence.timebase.rate.fps)
    if speed != 1:
        yield f"Speed {float(speed):.3f}: it was played at {float(choice.take.tempo):.0%} of performance."
    own = [*choice.items_at(frames, plan.sequence), *_cut_into(plan, standing.option, standing)]
    cost = f"{sum(price for _, price in own)} of the cut's {total} points (points only compare)"
    yield f"It costs {cost}" + (": " + "; ".join(f"{words} ({price})" for words, price in own) if own else "") + "."
    if rivals:
        yield from _rivals_told(plan, standing, rivals)


@dataclass(frozen=True, slots=True)
class _Rival:
    """Another choice in the shot's place: at the shot's length, or the nearest that it can have."""

    choice: Choice
    frames: int
    more: int
    difference: str

    @property
    def name(self) -> str:
        assert self.choice.take is not None
        return self.choice.take.name


def _rivals_told(plan: Plan, standing: Standing, indices: list[int]) -> Iterator[str]:
    """The next best where the shot stands, and one that only seems better by itself."""
    own = plan.choices[standing.option]
    rivals = [_rival(plan, standing, index) for index in indices]
    best = min(rivals, key=lambda one: (one.frames != standing.frames, one.more, one.name))
    yield f"Next best here: {_in_place(best, standing)}"
    alone = min(rivals, key=lambda one: (min(one.choice.costs()), one.name))
    if alone is not best and min(alone.choice.costs()) <= min(own.costs()):
        yield f"Cheaper or no dearer by itself: {_in_place(alone, standing)}"


def _rival(plan: Plan, standing: Standing, index: int) -> _Rival:
    choice = plan.choices[index]
    frames = min(max(standing.frames, min(choice.lengths)), max(choice.lengths))
    ours = Counter(_items_in_place(plan, standing.option, standing.frames, standing))
    theirs = Counter(_items_in_place(plan, index, frames, standing))
    brings, saves = theirs - ours, ours - theirs
    told = [f"{words} (+{price})" for words, price in brings.elements()] + [
        f"without {words} (-{price})" for words, price in saves.elements()
    ]
    more = sum(price for _, price in brings.elements()) - sum(price for _, price in saves.elements())
    return _Rival(choice, frames, more, "; ".join(told))


def _in_place(rival: _Rival, standing: Standing) -> str:
    compared = (
        f"{rival.more} dearer"
        if rival.more > 0
        else "just as dear, and the first of equals is taken"
        if rival.more == 0
        else f"{-rival.more} cheaper"
    )
    because = f": {rival.difference}" if rival.difference else ""
    if rival.frames == standing.frames:
        return f"take {rival.name}, {compared}{because}."
    away = rival.frames - standing.frames
    rest = f"the rest of the cut would have to {'give' if away > 0 else 'take'} {abs(away)}"
    return f"take {rival.name} cannot last {standing.frames} frames; at {rival.frames} it would be {compared}{because}, and {rest}."


def _items_in_place(plan: Plan, index: int, frames: int, standing: Standing) -> list[prices.Item]:
    out_of_it: tuple[prices.Item, ...] = ()
    if standing.after is not None:
        node, look, lifted = standing.after
        out_of_it = plan.between.items(node, plan.problem.options[index].look, look, lifted)
    return [
        *plan.choices[index].items_at(frames, plan.sequence),
        *((f"{words}, at the cut into it", price) for words, price in _cut_into(plan, index, standing)),
        *((f"{words}, at the cut out of it", price) for words, price in out_of_it),
    ]


def _cut_into(plan: Plan, index: int, standing: Standing) -> tuple[prices.Item, ...]:
    if standing.before is None:
        return ()
    option = plan.problem.options[index]
    look, lifted = standing.before
    return plan.between.items(option.begin, look, option.look, lifted)


def _moves_named(moves: tuple[Move, ...]) -> str:
    return f"move {moves[0].number}" if len(moves) == 1 else f"moves {moves[0].number} to {moves[-1].number}"
