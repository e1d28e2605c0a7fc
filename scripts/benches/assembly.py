"""Bench row: assembling a large fight, against HiGHS (through scipy) on the same problem and costs."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from benches.large_fights import large_fight
from previs.cut.assembly import assemble, problem_of
from previs.cut.solving import Problem, solve

LIMIT_SECONDS = 300


def by_highs(problem: Problem, target: int, limit_seconds: float) -> int | None:
    """The cost that HiGHS proves least, or None when it has not within the limit.

    A sparse flow: one variable for each length of each option, one for each cut between two looks at a node, and one
    for the sum of the lengths.
    """
    rows: dict[tuple[int, int, str], int] = {}
    at_row: list[int] = []
    at_column: list[int] = []
    factor: list[int] = []
    costs: list[int] = []
    right: dict[int, int] = {}

    def row(node: int, look: int, side: str) -> int:
        return rows.setdefault((node, look, side), len(rows))

    def put(line: int, value: int) -> None:
        at_row.append(line)
        at_column.append(len(costs))
        factor.append(value)

    if problem.lifts:
        raise ValueError("this reference knows no lifted moves")
    total = row(-1, -1, "length")
    right[total] = target
    ending: dict[int, set[int]] = {}
    starting: dict[int, set[int]] = {}
    for option in problem.options:
        starting.setdefault(option.begin, set()).add(option.look)
        ending.setdefault(option.end, set()).add(option.look)
        for frames, cost in enumerate(option.costs, start=option.least):
            put(row(option.begin, option.look, "starts"), -1)
            put(row(option.end, option.look, "ends"), 1)
            put(total, frames)
            costs.append(cost)
    for node in range(1, problem.end):
        for before in ending.get(node, ()):
            for after in starting.get(node, ()):
                put(row(node, before, "ends"), -1)
                put(row(node, after, "starts"), 1)
                costs.append(problem.cost_between(node, before, after, False))
    first = row(0, -1, "first")
    right[first] = 1
    for look in starting[0]:
        put(first, 1)
        put(row(0, look, "starts"), 1)
        costs.append(0)
    for look in ending[problem.end]:
        put(row(problem.end, look, "ends"), -1)
        costs.append(0)
    matrix = coo_array((factor, (at_row, at_column)), shape=(len(rows), len(costs))).tocsc()
    level = np.array([right.get(line, 0) for line in range(len(rows))])
    found = milp(
        np.array(costs, dtype=float),
        integrality=np.ones(len(costs)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, level, level),
        options={"time_limit": limit_seconds},
    )
    return round(found.fun) if found.status == 0 else None


@dataclass(frozen=True)
class Measured:
    """Seconds from takes to the finished cut with its reasons, and of HiGHS given the finished problem."""

    ours_seconds: float
    highs_seconds: float


def measure() -> Measured:
    """Assemble the large fight both ways once; raises `AssertionError` when the optima differ."""
    fight = large_fight(200, 12, 5760)
    begin = time.perf_counter()
    made = assemble(fight, "v1")
    ours = time.perf_counter() - begin
    problem = problem_of(fight)
    begin = time.perf_counter()
    reference = by_highs(problem, fight.target_frames, LIMIT_SECONDS)
    highs = time.perf_counter() - begin
    solution = solve(problem, fight.target_frames)
    if solution is None or made.cut.frames != fight.target_frames or reference not in (None, solution.cost):
        raise AssertionError(f"HiGHS finds {reference} where the cut costs {solution and solution.cost}")
    return Measured(ours, highs)
