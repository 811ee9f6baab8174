"""Orders of repairs against all orders, with several faults, repairs that fail and overlap, and a cheap end."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.orders import (
    best_order,
    greedy_order,
    order_minutes,
    ratio_is_optimal,
    searched_order,
    subset_order,
)
from faultiso.planning.sequencing.problem import Problem
from faultiso.planning.sequencing.search import solve

KINDS = (
    Kind(faults=4, checks=0, together=2),
    Kind(faults=4, checks=0, together=2, dependent=0.6, fails=0.2),
    Kind(faults=4, checks=0, nothing_wrong=0.3, refer=120.0),
)


def least_of_all_orders(problem: Problem) -> float:
    moves, prior = Moves(problem), np.asarray(problem.prior)
    orders = (o for n in range(5) for o in permutations(range(4), n))
    return min(order_minutes(moves, prior, order) for order in orders)


@pytest.mark.parametrize("kind", KINDS)
def test_no_order_is_cheaper_than_the_best(kind: Kind) -> None:
    for seed in range(10):
        problem = generate(kind, seed)
        moves, prior = Moves(problem), np.asarray(problem.prior)
        least = least_of_all_orders(problem)
        found = best_order(moves, prior)
        assert found.proved
        assert found.expected_minutes == pytest.approx(least, rel=1e-9)
        assert order_minutes(moves, prior, found.repairs) == pytest.approx(least, rel=1e-9)
        assert solve(problem).root.high == pytest.approx(least, rel=1e-7)
        searched, greedy = searched_order(moves, prior), greedy_order(moves, prior)
        assert least - 1e-9 <= searched.expected_minutes <= greedy.expected_minutes + 1e-9


def test_the_ratio_rule_is_used_only_where_it_is_proved() -> None:
    moves = Moves(generate(Kind(faults=4, checks=0, together=2), 1))
    assert not ratio_is_optimal(moves, np.asarray(moves.problem.prior))


def test_fifteen_repairs_are_solved_exactly() -> None:
    problem = generate(Kind(faults=15, checks=0, dependent=0.3, refer=3000.0), 4)
    moves, prior = Moves(problem), np.asarray(problem.prior)
    found = subset_order(moves, prior, range(15))
    assert order_minutes(moves, prior, found.repairs) == pytest.approx(found.expected_minutes)
    assert found.expected_minutes <= searched_order(moves, prior).expected_minutes + 1e-9


def test_beyond_that_it_says_that_nothing_is_proved() -> None:
    problem = generate(Kind(faults=17, checks=0, dependent=0.3, refer=5000.0), 4)
    moves, prior = Moves(problem), np.asarray(problem.prior)
    found = best_order(moves, prior)
    assert not found.proved
    assert found.expected_minutes <= greedy_order(moves, prior).expected_minutes + 1e-9
