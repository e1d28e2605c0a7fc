"""The solver against brute force on small problems, and against HiGHS (through scipy) on mid-size ones."""

from __future__ import annotations

import random
from collections.abc import Iterator

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from previs.cut.solving import Option, Problem, lengths, solve


def small_problem(seed: int) -> Problem:
    chance = random.Random(seed)
    end = chance.randint(1, 4)
    options = []
    for _ in range(chance.randint(1, 7)):
        begin = chance.randrange(end)
        costs = tuple(chance.randint(0, 20) for _ in range(chance.randint(1, 3)))
        options.append(Option(begin, chance.randint(begin + 1, end), chance.randrange(3), chance.randint(1, 6), costs))
    lifts = {node: chance.randint(0, 30) for node in range(end) if chance.random() < 0.3}
    table = {(n, a, b, x): chance.randint(0, 15) for n in range(end + 1) for a in range(3) for b in range(3) for x in (False, True)}
    return Problem(end, tuple(options), lifts, lambda node, before, after, lifted: table[node, before, after, lifted])


def every_path(problem: Problem) -> Iterator[tuple[int, int]]:
    """Length and cost of every path of shots there is."""

    def go(node: int, look: int | None, lifted: bool, frames: int, cost: int) -> Iterator[tuple[int, int]]:
        if node == problem.end:
            yield frames, cost
            return
        if node in problem.lifts:
            yield from go(node + 1, look, True, frames, cost + problem.lifts[node])
        for option in problem.options:
            if option.begin == node:
                between = 0 if look is None else problem.cost_between(node, look, option.look, lifted)
                for more, price in enumerate(option.costs):
                    yield from go(option.end, option.look, False, frames + option.least + more, cost + price + between)

    return go(0, None, False, 0, 0)


def test_equal_to_brute_force_on_every_target_of_hundreds_of_small_problems() -> None:
    feasible = infeasible = 0
    for seed in range(600):
        problem = small_problem(seed)
        best: dict[int, int] = {}
        for frames, cost in every_path(problem):
            best[frames] = min(cost, best.get(frames, cost))
        for target in range(26):
            answer = solve(problem, target)
            found = lengths(problem, target)
            if target in best:
                feasible += 1
                assert answer is not None
                assert answer.cost == best[target]
                assert sum(shot.frames for shot in answer.shots) == target
                assert _cost(problem, answer.shots) == answer.cost
            else:
                infeasible += 1
                assert answer is None
            if not best:
                assert found is None
                continue
            assert found is not None
            assert (found.shortest, found.longest) == (min(best), max(best))
            assert found.below == max((one for one in best if one <= target), default=None)
            assert found.above == min((one for one in best if one >= target), default=None)
    assert feasible > 2000
    assert infeasible > 2000


def _cost(problem: Problem, shots: tuple) -> int:  # type: ignore[type-arg]
    """What an answer costs, added up along its path."""
    node, look, cost = 0, None, 0
    for chosen in shots:
        option = problem.options[chosen.option]
        cost += sum(problem.lifts[one] for one in range(node, option.begin))
        if look is not None:
            cost += problem.cost_between(option.begin, look, option.look, option.begin > node)
        cost += option.costs[chosen.frames - option.least]
        node, look = option.end, option.look
    return cost + sum(problem.lifts[one] for one in range(node, problem.end))


def fight(seed: int, moves: int, takes: int, phrase: int = 5) -> tuple[Problem, int]:
    """A made-up fight: phrases of moves, takes of other lengths and prices; and a target that some cut can meet."""
    chance = random.Random(seed)
    options = []
    for opening in range(0, moves, phrase):
        here = min(phrase, moves - opening)
        for look in range(takes):
            played = [chance.randint(8, 30) for _ in range(here)]
            for first in range(here):
                for past in range(first + 1, here + 1):
                    natural = sum(played[first:past])
                    least, most = int(natural * 0.92), int(natural * 1.08) + (10 if past == here else 0)
                    costs = tuple(abs(n - 48) * 10 + 5 * (n - natural) ** 2 + 40 * look for n in range(least, most + 1))
                    options.append(Option(opening + first, opening + past, look, least, costs))
    jump = {(a, b): chance.choice((0, 0, 300, 1200)) for a in range(takes) for b in range(takes)}
    problem = Problem(moves, tuple(options), {}, lambda _node, before, after, _lifted: 4000 if before == after else jump[before, after])
    possible = lengths(problem, moves * 19)
    assert possible is not None
    return problem, possible.nearest


def by_highs(problem: Problem, target: int) -> int:
    """The same problem as a flow through pairs of shots, solved by HiGHS to a proven optimum."""
    options = list(enumerate(problem.options))
    arcs = [(i, j) for i, a in options for j, b in options if a.end == b.begin]
    picks = [(i, n) for i, one in options for n in range(len(one.costs))]
    width = len(picks) + len(arcs)
    place_of_arc = {arc: len(picks) + index for index, arc in enumerate(arcs)}
    price = np.zeros(width)
    frames = np.zeros(width)
    for column, (i, n) in enumerate(picks):
        price[column] = problem.options[i].costs[n]
        frames[column] = problem.options[i].least + n
    for i, j in arcs:
        a, b = problem.options[i], problem.options[j]
        price[place_of_arc[i, j]] = problem.cost_between(b.begin, a.look, b.look, False)
    rows, sums = [frames], [float(target)]
    start = np.zeros(width)
    used = {i: np.zeros(width) for i, _ in options}
    for column, (i, _) in enumerate(picks):
        used[i][column] = 1
        if problem.options[i].begin == 0:
            start[column] = 1
    rows.append(start)
    sums.append(1.0)
    for i, one in options:
        for inside, at_edge in ((True, one.begin == 0), (False, one.end == problem.end)):
            if at_edge:
                continue
            row = used[i].copy()
            for arc, column in place_of_arc.items():
                if arc[1 if inside else 0] == i:
                    row[column] = -1
            rows.append(row)
            sums.append(0.0)
    found = milp(price, constraints=LinearConstraint(np.array(rows), sums, sums), integrality=np.ones(width), bounds=Bounds(0, 1))
    assert found.status == 0, found.message
    return round(found.fun)


@pytest.mark.parametrize("seed", range(6))
def test_equal_in_cost_to_highs_on_mid_size_fights(seed: int) -> None:
    problem, target = fight(seed, moves=9, takes=3, phrase=3)
    answer = solve(problem, target)
    assert answer is not None
    assert answer.cost == by_highs(problem, target)


def test_a_large_fight_is_solved_the_same_twice_and_to_the_frame() -> None:
    problem, _ = fight(1, moves=200, takes=12)
    first, again = solve(problem, 3600), solve(problem, 3600)
    assert first is not None
    assert sum(shot.frames for shot in first.shots) == 3600
    assert first == again
    assert _cost(problem, first.shots) == first.cost


def test_equal_answers_give_the_first_option_and_the_shortest_length() -> None:
    options = (Option(0, 1, 0, 5, (1, 1)), Option(0, 1, 1, 5, (1, 1)), Option(1, 2, 2, 5, (1, 1)))
    answer = solve(Problem(2, options, {}, lambda *_: 0), 11)
    assert answer is not None
    assert [(shot.option, shot.frames) for shot in answer.shots] == [(0, 5), (2, 6)]


@pytest.mark.parametrize(
    "option", [Option(1, 1, 0, 5, (1,)), Option(0, 3, 0, 5, (1,)), Option(0, 1, 0, 0, (1,)), Option(0, 1, 0, 5, (-1,))]
)
def test_options_that_cannot_be_are_refused(option: Option) -> None:
    with pytest.raises(ValueError, match="option 0"):
        solve(Problem(2, (option,), {}, lambda *_: 0), 5)
