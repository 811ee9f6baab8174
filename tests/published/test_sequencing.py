"""Orders of checks and of repairs from the literature, by the exact solver and by policies."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from faultiso.planning.sequencing.bounds.information import entropy_bound, huffman_bound, huffman_length
from faultiso.planning.sequencing.ceiling import entropy, gain
from faultiso.planning.sequencing.matrix import from_matrix
from faultiso.planning.sequencing.moves import Moves, Way
from faultiso.planning.sequencing.policies import (
    expected_minutes,
    most_information,
    most_information_per_minute,
)
from faultiso.planning.sequencing.problem import Problem
from faultiso.planning.sequencing.search import Search, solve
from tests.published.records import agree, by_name, records

RECORDS = records("sequencing")


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {f"SQ-0{n}" for n in range(1, 8)}


def matrix_problem(name: str) -> Problem:
    given = RECORDS[name]["input"]
    states, checks = len(given["prior"]), len(given["cost"])
    names = [f"s{n}" for n in range(states)]
    tests = [f"t{n}" for n in range(1, checks + 1)]
    return from_matrix(names, given["prior"], tests, given["cost"], given["matrix"], nothing_wrong="s0")


def by_first_check(problem: Problem) -> dict[str, float]:
    """The least cost when the first check is given."""
    moves = Moves(problem)
    found = {}
    for c, check in enumerate(problem.checks):
        move = moves.check(c, np.asarray(problem.prior), Way(0.0, moves.everything))
        onward = sum(p * exact(problem, b) for p, b in zip(move.chances, move.beliefs, strict=True))
        found[check.name] = check.minutes + float(onward)
    return found


def exact(problem: Problem, belief: Any) -> float:
    again = Problem(problem.faults, problem.states, belief, problem.checks, goal="isolate")
    return solve(again).root.high


def test_the_best_plan_of_the_published_matrix() -> None:
    problem = matrix_problem("SQ-01")
    agree(by_name(RECORDS["SQ-01"]), {"best": solve(problem).root.high, **by_first_check(problem)})


def trees(problem: Problem, states: tuple[int, ...]) -> set[float]:
    """The (rounded, not normalised) cost of every decision tree that isolates these states."""
    if len(states) == 1:
        return {0.0}
    found: set[float] = set()
    for check in problem.checks:
        fails = tuple(s for s in states if check.given[s, 1] > 0.5)
        passes = tuple(s for s in states if s not in fails)
        if fails and passes:
            here = check.minutes * float(problem.prior[list(states)].sum())
            left, right = trees(problem, fails), trees(problem, passes)
            found |= {round(here + a + b, 9) for a in left for b in right}
    return found


def test_no_other_tree_is_cheaper_and_the_next_is_known() -> None:
    costs = sorted(trees(matrix_problem("SQ-01"), tuple(range(6))))
    assert costs[:2] == pytest.approx([2.18, RECORDS["SQ-01"]["second_best"]], abs=1e-9)
    costs = sorted(trees(matrix_problem("SQ-07"), tuple(range(6))))
    assert (costs[0], costs[-1]) == pytest.approx((4.10, 8.65), abs=1e-9)


@pytest.mark.parametrize("name", ["SQ-02", "SQ-04", "SQ-05"])
def test_entropy_and_code_length(name: str) -> None:
    prior = RECORDS[name]["input"]["prior"]
    found = {"entropy": entropy(np.array(prior)), "huffman": huffman_length(prior)}
    agree(by_name(RECORDS[name]), found)


def test_entropy_code_and_best_plan_in_this_order() -> None:
    problem = matrix_problem("SQ-01")
    moves, prior = Moves(problem), np.asarray(problem.prior)
    low, code = entropy_bound(moves, prior), huffman_bound(moves, prior)
    assert low == pytest.approx(1.4548734, abs=1e-6)
    assert code == pytest.approx(1.59, abs=1e-9)
    assert low < code < solve(problem).root.high


def test_one_step_of_information_pays_more() -> None:
    problem = matrix_problem("SQ-03")
    moves, prior = Moves(problem), np.asarray(problem.prior)
    found = {
        c.name: gain(prior, moves.check(n, prior, Way(0.0, moves.everything)))
        for n, c in enumerate(problem.checks)
    }
    found["greedy"] = expected_minutes(moves, most_information_per_minute)
    agree(by_name(RECORDS["SQ-03"]), found)


def test_half_split() -> None:
    found = {}
    for stages in RECORDS["SQ-06"]["input"]["stages"]:
        matrix = [[float(stage <= point) for point in range(stages - 1)] for stage in range(stages)]
        names, points = [f"stage {n}" for n in range(stages)], [f"point {n}" for n in range(stages - 1)]
        problem = from_matrix(names, [1 / stages] * stages, points, [1.0] * (stages - 1), matrix)
        found[str(stages)] = solve(problem).root.high
    agree(by_name(RECORDS["SQ-06"]), found)


def test_checks_of_unequal_cost() -> None:
    problem = matrix_problem("SQ-07")
    moves = Moves(problem)
    found = {
        "best": solve(problem).root.high,
        "gain for its cost": expected_minutes(moves, most_information_per_minute),
        "gain": expected_minutes(moves, most_information),
    }
    agree(by_name(RECORDS["SQ-07"]), found)


def test_the_search_starts_from_what_the_greedy_plan_costs() -> None:
    assert Search(matrix_problem("SQ-01")).root.high == pytest.approx(2.86, abs=1e-9)
