"""Published repair orders by the exact solver and by the methods for orders (the interactive path: test_repairs)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.orders import (
    best_order,
    greedy_order,
    order_minutes,
    ratio_is_optimal,
    ratio_order,
    searched_order,
    subset_order,
)
from faultiso.planning.sequencing.problem import Costs, Problem, Repair
from faultiso.planning.sequencing.search import solve

RECORDS: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parent / "repair_order.yaml").read_text(encoding="utf-8")
)
NEVER = 1e6


def problem(
    probability: Sequence[float],
    minutes: Sequence[float],
    clears: Sequence[int],
    refer: float = NEVER,
    mend: Sequence[float] = (),
) -> Problem:
    """One fault is present; nothing is removed, so nothing good can be."""
    repairs = tuple(
        Repair(f"r{n}", f"r{n}", m, c, removes=False, minutes_if_found=extra)
        for n, (m, c, extra) in enumerate(zip(minutes, clears, mend or [0.0] * len(minutes), strict=True), 1)
    )
    faults = tuple(f"f{n}" for n in range(len(probability)))
    states = tuple(1 << n for n in range(len(probability)))
    costs = Costs(refer=refer, false_verified=NEVER)
    return Problem(faults, states, np.array(probability), (), repairs, "fix", costs)


def one_for_each(known: Any, refer: float = NEVER) -> Problem:
    bits = [1 << n for n in range(len(known["probability"]))]
    return problem(known["probability"], known["cost"], bits, refer)


def numbered(order: Sequence[int]) -> list[int]:
    return [place + 1 for place in order]


def test_one_repair_for_each_fault_goes_by_ratio() -> None:
    known = RECORDS["one_repair_for_each_fault"]
    moves = Moves(one_for_each(known))
    assert ratio_is_optimal(moves, moves.problem.prior)
    for method in (best_order, ratio_order, greedy_order, searched_order):
        found = method(moves, moves.problem.prior)
        assert numbered(found.repairs) == known["best_order"]
        assert found.expected_minutes == pytest.approx(11.05, abs=1e-9)
    assert solve(moves.problem).root.high == pytest.approx(11.05, abs=1e-9)
    for item in known["costs_of_orders"]:
        cost = order_minutes(moves, moves.problem.prior, [n - 1 for n in item["order"]])
        assert cost == pytest.approx(item["cost"], abs=1e-9)


@pytest.mark.parametrize("item", RECORDS["with_a_call"]["calls"], ids=lambda item: f"call {item['call']}")
def test_with_a_call(item: Any) -> None:
    moves = Moves(one_for_each(RECORDS["with_a_call"], refer=item["call"]))
    found = best_order(moves, moves.problem.prior)
    assert found.proved
    assert found.expected_minutes == pytest.approx(item["cost"], abs=1e-9)
    assert numbered(found.repairs) == item["repairs"]
    assert solve(moves.problem).root.high == pytest.approx(item["cost"], abs=1e-9)


def test_repairs_that_overlap() -> None:
    known = RECORDS["repairs_that_overlap"]
    clears = [sum(1 << (n - 1) for n in faults) for faults in known["mends"]]
    moves = Moves(problem(known["probability"], known["cost"], clears))
    prior = moves.problem.prior
    assert moves.touches @ prior == pytest.approx(known["works_first"])
    assert not ratio_is_optimal(moves, prior)
    greedy, static = greedy_order(moves, prior), ratio_order(moves, prior)
    assert numbered(greedy.repairs) == known["greedy_order"]
    assert greedy.expected_minutes == pytest.approx(known["greedy_cost"], abs=1e-9)
    assert numbered(static.repairs) == known["static_order"]
    assert static.expected_minutes == pytest.approx(known["static_cost"], abs=1e-9)
    best = best_order(moves, prior)
    assert (numbered(best.repairs), best.proved) == ([3, 1], True)
    assert best.expected_minutes == pytest.approx(known["best_cost"], abs=1e-9)
    assert solve(moves.problem).root.high == pytest.approx(known["best_cost"], abs=1e-9)


def test_units_that_are_looked_at_first() -> None:
    known = RECORDS["units_looked_at_first"]
    bits = [1, 2, 4, 8]
    moves = Moves(problem(known["probability"], known["look"], bits, mend=known["mend"]))
    prior = moves.problem.prior
    costs = {
        order: order_minutes(moves, prior, [n - 1 for n in order]) for order in permutations((1, 2, 3, 4))
    }
    assert min(costs.values()) == pytest.approx(known["best_cost"], abs=1e-9)
    assert sorted(costs.values())[1] == pytest.approx(known["second_best"]["cost"], abs=1e-9)
    assert costs[tuple(known["second_best"]["order"])] == pytest.approx(47.4, abs=1e-9)
    assert max(costs.values()) == pytest.approx(costs[tuple(known["worst"]["order"])])
    assert costs[tuple(known["worst"]["order"])] == pytest.approx(known["worst"]["cost"], abs=1e-9)
    found = subset_order(moves, prior, range(4))
    assert numbered(found.repairs) == known["best_order"]
    assert solve(moves.problem).root.high == pytest.approx(known["best_cost"], abs=1e-9)
