"""The exact solver behind assembly: the cheapest path of shots whose lengths add up to the target, to the frame.

It knows nothing of takes or fights. Nodes 0 ... `end` are the gaps between moves; an `Option` is a shot that leads from
one node to a later one at one of several whole lengths, each with its whole cost; a node may also be passed over at a
price (a move lifted out). Going from one shot to the next costs what `cost_between` says. The result is a proven
optimum and the same on every machine: costs are whole numbers, and among equals the first option, then the shortest
length, wins.

Method: dynamic programming from the last node back over the frames still to be filled, kept to the band that what
comes before and after can reach. `cheapest[node][look][r]` is the least cost to fill r frames from `node` on when the
shot before ends with `look`. No pointers are kept; the way forward works each state out again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Costs = NDArray[np.int64]
NEVER = np.int64(1) << 50
"""More than any cut can cost; `solve` refuses costs that could come near it."""


@dataclass(frozen=True, slots=True)
class Option:
    """A shot that could be: from node `begin` to node `end`, `least` frames long or up to len(costs) - 1 more.

    `costs[n]` is its cost at `least + n` frames. `look` names, for `cost_between`, how it begins and ends.
    """

    begin: int
    end: int
    look: int
    least: int
    costs: tuple[int, ...]

    @property
    def most(self) -> int:
        """The longest it can be."""
        return self.least + len(self.costs) - 1


CostBetween = Callable[[int, int, int, bool], int]
"""Cost of a cut at a node: (node, look before, look after, whether a move was lifted out between them)."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What is to be solved. `lifts` gives the price of passing over the move that begins at a node."""

    end: int
    options: tuple[Option, ...]
    lifts: Mapping[int, int]
    cost_between: CostBetween


@dataclass(frozen=True, slots=True)
class Chosen:
    """One shot of the answer: which option, by its place in the problem's list, and its length."""

    option: int
    frames: int


@dataclass(frozen=True, slots=True)
class Solution:
    """The cheapest path: its cost and its shots in order."""

    cost: int
    shots: tuple[Chosen, ...]


@dataclass(frozen=True, slots=True)
class Lengths:
    """Which total lengths exist at all; `below` and `above` are the nearest to the target on either side, or None."""

    target: int
    shortest: int
    longest: int
    below: int | None
    above: int | None

    @property
    def nearest(self) -> int:
        """The length nearest to the target; the shorter one of two that are equally near."""
        return min((one for one in (self.below, self.above) if one is not None), key=lambda one: (abs(one - self.target), one))


def lengths(problem: Problem, target: int) -> Lengths | None:
    """What totals can be reached, or None when no path of shots leads from the first node to the last.

    A total between the shortest and the longest can still be out of reach, so each is followed through exactly: bit n
    of a whole number stands for n frames.
    """
    reach = [0] * (problem.end + 1)
    reach[problem.end] = 1
    starting = _by_begin(problem)
    for node in range(problem.end - 1, -1, -1):
        if node in problem.lifts:
            reach[node] |= reach[node + 1]
        for option in (problem.options[index] for index in starting[node]):
            reach[node] |= _spread(reach[option.end] << option.least, len(option.costs))
    totals = reach[0]
    if not totals:
        return None
    shorter = totals & ((1 << (target + 1)) - 1)
    longer = totals >> target
    return Lengths(
        target=target,
        shortest=_lowest_bit(totals),
        longest=totals.bit_length() - 1,
        below=shorter.bit_length() - 1 if shorter else None,
        above=target + _lowest_bit(longer) if longer else None,
    )


def _spread(bits: int, width: int) -> int:
    """`bits` or-ed with itself shifted by every number below `width`, by doubling."""
    done = 1
    while done < width:
        step = min(done, width - done)
        bits |= bits << step
        done += step
    return bits


def _lowest_bit(bits: int) -> int:
    return (bits & -bits).bit_length() - 1


def _by_begin(problem: Problem) -> list[list[int]]:
    starting: list[list[int]] = [[] for _ in range(problem.end + 1)]
    for index, option in enumerate(problem.options):
        if not 0 <= option.begin < option.end <= problem.end or option.least < 1 or not option.costs or min(option.costs) < 0:
            raise ValueError(
                f"option {index} leads from node {option.begin} to {option.end} in {option.least} frames or more at {option.costs}"
            )
        starting[option.begin].append(index)
    return starting


def solve(problem: Problem, target: int) -> Solution | None:
    """The cheapest path of exactly `target` frames, or None when there is none (see `lengths`)."""
    return _Search(problem, target).solution()


@dataclass
class _Search:
    problem: Problem
    target: int
    starting: list[list[int]] = field(init=False)
    low: list[int] = field(init=False)
    high: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.starting = _by_begin(self.problem)
        self._set_band()

    def _set_band(self) -> None:
        """Frames left at each node: between what the rest can take and what the part before can have used."""
        end, none = self.problem.end, -1
        shortest, longest = [none] * (end + 1), [none] * (end + 1)
        shortest[end] = longest[end] = 0
        before_least, before_most = [none] * (end + 1), [none] * (end + 1)
        before_least[0] = before_most[0] = 0

        def steps(node: int) -> list[tuple[int, int, int]]:
            found = [(one.end, one.least, one.most) for one in (self.problem.options[index] for index in self.starting[node])]
            return found + ([(node + 1, 0, 0)] if node in self.problem.lifts else [])

        for node in range(end - 1, -1, -1):
            for to, least, most in steps(node):
                if longest[to] != none:
                    shortest[node] = shortest[to] + least if shortest[node] == none else min(shortest[node], shortest[to] + least)
                    longest[node] = max(longest[node], longest[to] + most)
        for node in range(end):
            if before_most[node] == none:
                continue
            for to, least, most in steps(node):
                reached = before_least[node] + least
                before_least[to] = reached if before_least[to] == none else min(before_least[to], reached)
                before_most[to] = max(before_most[to], before_most[node] + most)
        self.low, self.high = [0] * (end + 1), [-1] * (end + 1)
        for node in range(end + 1):
            if longest[node] != none and before_most[node] != none:
                self.low[node] = max(shortest[node], self.target - before_most[node])
                self.high[node] = min(longest[node], self.target - before_least[node])

    def _empty(self, node: int) -> Costs:
        return np.full(max(0, self.high[node] - self.low[node] + 1), NEVER, dtype=np.int64)

    def solution(self) -> Solution | None:
        if not self.low[0] <= self.target <= self.high[0]:
            return None
        self._refuse_costs_near_never()
        self._looks_before()
        self._fill()
        return self._trace()

    def _refuse_costs_near_never(self) -> None:
        most = sum(abs(price) for price in self.problem.lifts.values())
        most += sum(max(map(abs, option.costs)) for option in self.problem.options)
        if most >= int(NEVER) // 4:
            raise ValueError("these costs are too large to be told from a path that does not exist")

    def _looks_before(self) -> None:
        """Which looks can stand before each node, with and without a lifted move in between; None at the start."""
        end = self.problem.end
        self.plain: list[list[int | None]] = [[] for _ in range(end + 1)]
        self.lifted: list[list[int | None]] = [[] for _ in range(end + 1)]
        plain: list[dict[int | None, None]] = [{} for _ in range(end + 1)]
        lifted: list[dict[int | None, None]] = [{} for _ in range(end + 1)]
        plain[0][None] = None
        for node in range(end):
            if plain[node] or lifted[node]:
                for index in self.starting[node]:
                    option = self.problem.options[index]
                    plain[option.end][option.look] = None
            if node in self.problem.lifts:
                lifted[node + 1] |= plain[node] | lifted[node]
        self.plain = [list(looks) for looks in plain]
        self.lifted = [list(looks) for looks in lifted]

    def _fill(self) -> None:
        end = self.problem.end
        # From a node on: by the look of the shot that begins there, and by the look of the shot before.
        self.from_look: list[dict[int, Costs]] = [{} for _ in range(end + 1)]
        self.after: list[dict[tuple[int | None, bool], Costs]] = [{} for _ in range(end + 1)]
        done = self._empty(end)
        if self.low[end] <= 0 <= self.high[end]:
            done[-self.low[end]] = 0
        self.after[end] = {(look, False): done for look in self.plain[end]} | {(look, True): done for look in self.lifted[end]}
        for node in range(end - 1, -1, -1):
            if self.high[node] < self.low[node]:
                continue
            for index in self.starting[node]:
                self._add_option(node, self.problem.options[index])
            for lifted, looks in ((False, self.plain[node]), (True, self.lifted[node])):
                self._add_cuts(node, looks, lifted)

    def _add_option(self, node: int, option: Option) -> None:
        rest = self.after[option.end].get((option.look, False))
        if rest is None or not len(rest):
            return
        best = self.from_look[node].get(option.look)
        if best is None:
            best = self.from_look[node][option.look] = self._empty(node)
        # Frames left here = length + frames left there; both sides are cut to their bands.
        for length, cost in enumerate(option.costs, start=option.least):
            shift = self.low[option.end] + length - self.low[node]
            start, stop = max(0, shift), min(len(best), shift + len(rest))
            if start < stop:
                part = best[start:stop]
                np.minimum(part, rest[start - shift : stop - shift] + cost, out=part)

    def _add_cuts(self, node: int, looks: Sequence[int | None], lifted: bool) -> None:
        following = list(self.from_look[node].items())
        if following:
            stacked = np.stack([costs for _, costs in following])
        for look in looks:
            best = self._empty(node)
            if following:
                between = np.array([self._between(node, look, other, lifted) for other, _ in following], dtype=np.int64)
                best = (stacked + between[:, None]).min(axis=0)
            if node in self.problem.lifts:
                rest = self.after[node + 1].get((look, True))
                if rest is not None:
                    shift = self.low[node + 1] - self.low[node]
                    start, stop = max(0, shift), min(len(best), shift + len(rest))
                    if start < stop:
                        part = best[start:stop]
                        np.minimum(part, rest[start - shift : stop - shift] + self.problem.lifts[node], out=part)
            self.after[node][look, lifted] = np.minimum(best, NEVER)

    def _between(self, node: int, before: int | None, after: int, lifted: bool) -> int:
        return 0 if before is None else self.problem.cost_between(node, before, after, lifted)

    def _value(self, node: int, look: int | None, lifted: bool, left: int) -> int:
        costs = self.after[node].get((look, lifted))
        if costs is None or not self.low[node] <= left <= self.high[node]:
            return int(NEVER)
        return int(costs[left - self.low[node]])

    def _trace(self) -> Solution | None:
        node, look, lifted, left = 0, None, False, self.target
        total = self._value(node, look, lifted, left)
        if total >= NEVER:
            return None
        shots: list[Chosen] = []
        now: int | None = look
        while node < self.problem.end:
            value = self._value(node, now, lifted, left)
            step = self._step(node, now, lifted, left, value)
            if step is None:
                node, lifted = node + 1, True
                continue
            shots.append(step)
            option = self.problem.options[step.option]
            node, now, lifted, left = option.end, option.look, False, left - step.frames
        return Solution(total, tuple(shots))

    def _step(self, node: int, look: int | None, lifted: bool, left: int, value: int) -> Chosen | None:
        """The first option and shortest length that reach this state's cost; None when the move is lifted out instead."""
        for index in self.starting[node]:
            option = self.problem.options[index]
            between = self._between(node, look, option.look, lifted)
            for length, cost in enumerate(option.costs, start=option.least):
                if cost + between + self._value(option.end, option.look, False, left - length) == value:
                    return Chosen(index, length)
        return None
