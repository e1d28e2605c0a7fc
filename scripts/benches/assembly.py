"""Bench row: assembling a large fight, against HiGHS (through scipy) on the same problem and costs."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from benches.large_fights import large_fight
from previs.cut.assembly import assemble, problem_of
from previs.cut.solving import Problem, solve

LIMIT_SECONDS = 300


@dataclass(frozen=True)
class Flow:
    """An assembly as a flow of zeros and ones: the columns' costs, and rows that must come to a right-hand side.

    One column for each length of each option, and one for each cut between two looks at a node; row 0 is the sum of the lengths.
    """

    at_row: list[int]
    at_column: list[int]
    factor: list[int]
    costs: list[int]
    right: list[int]


def flow_of(problem: Problem, target: int) -> Flow:
    """The flow whose cheapest solution is the cheapest cut; raises `ValueError` for a problem with lifted moves."""
    if problem.lifts:
        raise ValueError("this reference knows no lifted moves")
    rows: dict[tuple[int, int, str], int] = {(-1, -1, "length"): 0}
    flow = Flow([], [], [], [], [])
    right = {0: target}

    def put(node: int, look: int, side: str, value: int) -> int:
        line = rows.setdefault((node, look, side), len(rows))
        flow.at_row.append(line)
        flow.at_column.append(len(flow.costs))
        flow.factor.append(value)
        return line

    ending: dict[int, set[int]] = {}
    starting: dict[int, set[int]] = {}
    for option in problem.options:
        starting.setdefault(option.begin, set()).add(option.look)
        ending.setdefault(option.end, set()).add(option.look)
        for frames, cost in enumerate(option.costs, start=option.least):
            put(option.begin, option.look, "starts", -1)
            put(option.end, option.look, "ends", 1)
            put(-1, -1, "length", frames)
            flow.costs.append(cost)
    for node in range(1, problem.end):
        for before in ending.get(node, ()):
            for after in starting.get(node, ()):
                put(node, before, "ends", -1)
                put(node, after, "starts", 1)
                flow.costs.append(problem.cost_between(node, before, after, False))
    for look in starting[0]:
        right[put(0, -1, "first", 1)] = 1
        put(0, look, "starts", 1)
        flow.costs.append(0)
    for look in ending[problem.end]:
        put(problem.end, look, "ends", -1)
        flow.costs.append(0)
    flow.right.extend(right.get(line, 0) for line in range(len(rows)))
    return flow


def by_highs(problem: Problem, target: int, limit_seconds: float) -> int | None:
    """The cost that HiGHS proves least, or None when it has not within the limit."""
    flow = flow_of(problem, target)
    matrix = coo_array((flow.factor, (flow.at_row, flow.at_column)), shape=(len(flow.right), len(flow.costs))).tocsc()
    level = np.array(flow.right)
    found = milp(
        np.array(flow.costs, dtype=float),
        integrality=np.ones(len(flow.costs)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, level, level),
        options={"time_limit": limit_seconds},
    )
    return round(found.fun) if found.status == 0 else None


def by_cp_sat(problem: Problem, target: int, limit_seconds: float) -> int | None:
    """The cost that CP-SAT proves least, or None when it has not within the limit."""
    from ortools.sat.python import cp_model

    flow = flow_of(problem, target)
    model = cp_model.CpModel()
    columns = [model.new_bool_var("") for _ in flow.costs]
    lines: list[list[object]] = [[] for _ in flow.right]
    for line, column, factor in zip(flow.at_row, flow.at_column, flow.factor, strict=True):
        lines[line].append(factor * columns[column])
    for terms, level in zip(lines, flow.right, strict=True):
        model.add(sum(terms) == level)  # type: ignore[arg-type]
    model.minimize(sum(cost * column for cost, column in zip(flow.costs, columns, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_seconds
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


@dataclass(frozen=True)
class Measured:
    """Seconds from takes to the finished cut with its reasons, and of a reference given the finished problem.

    `proven` is False where the reference had found no optimum when its time was over.
    """

    ours_seconds: float
    reference_seconds: float
    proven: bool


def measure(by: Callable[[Problem, int, float], int | None], moves: int = 200, takes: int = 12) -> Measured:
    """Assemble a large fight both ways once; raises `AssertionError` when the optima differ."""
    fight = large_fight(moves, takes, moves * 144 // 5)
    begin = time.perf_counter()
    made = assemble(fight, "v1")
    ours = time.perf_counter() - begin
    problem = problem_of(fight)
    begin = time.perf_counter()
    reference = by(problem, fight.target_frames, LIMIT_SECONDS)
    seconds = time.perf_counter() - begin
    solution = solve(problem, fight.target_frames)
    if solution is None or made.cut.frames != fight.target_frames or reference not in (None, solution.cost):
        raise AssertionError(f"{by.__name__} finds {reference} where the cut costs {solution and solution.cost}")
    return Measured(ours, seconds, reference is not None)
