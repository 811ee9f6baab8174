"""What policies do first, and that a step of lookahead never does worse than the plan it looks ahead with."""

from __future__ import annotations

import numpy as np
import pytest

from faultiso.planning.sequencing.ceiling import simple_minutes
from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.policies import (
    Follow,
    SymptomTable,
    cheapest_check_first,
    expected_minutes,
    most_probable_first,
    one_step,
)
from faultiso.planning.sequencing.search import Search, solve

KINDS = (
    Kind("isolate", faults=5, checks=5),
    Kind("isolate", faults=3, checks=4, noise=0.1),
    Kind("fix", faults=4, checks=4, noise=0.1),
    Kind("fix", faults=4, checks=3, noise=0.05, together=2, dependent=0.5),
)


@pytest.mark.parametrize("kind", KINDS)
def test_a_step_of_lookahead_betters_the_simple_plan(kind: Kind) -> None:
    for seed in range(8):
        moves = Moves(generate(kind, seed))
        simple = simple_minutes(moves, np.asarray(moves.problem.prior), moves.everything)
        assert expected_minutes(moves, one_step) <= simple * (1 + 1e-9), seed


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("steps", [0, 1, 7, 30])
def test_a_search_stopped_at_any_time_has_a_plan_that_costs_no_more_than_it_says(
    kind: Kind, steps: int
) -> None:
    for seed in range(3):
        search = Search(generate(kind, seed))
        for _ in range(steps):
            search.step()
        cost = expected_minutes(search.moves, Follow(search.choices()))
        assert search.root.low - 1e-7 <= cost <= search.root.high + 1e-7


@pytest.mark.parametrize("kind", KINDS)
def test_a_search_at_its_end_is_followed_at_its_price(kind: Kind) -> None:
    search = solve(generate(kind, 3))
    cost = expected_minutes(search.moves, Follow(search.choices()))
    assert cost == pytest.approx(search.root.high, rel=1e-8)


@pytest.mark.parametrize("kind", KINDS)
def test_what_shops_do_first(kind: Kind) -> None:
    for seed in range(5):
        moves = Moves(generate(kind, seed))
        problem, prior = moves.problem, np.asarray(moves.problem.prior)
        left = moves.useful(prior, moves.everything)
        able = [move.number for move in moves.moves(prior, left) if 0 <= move.number < len(problem.checks)]
        cheapest = min(able, key=lambda c: problem.checks[c].minutes)
        assert cheapest_check_first(moves, prior, left).number == cheapest
        assert SymptomTable(tuple(reversed(range(len(problem.checks)))))(moves, prior, left).number == max(
            able
        )
        first = most_probable_first(moves, prior, left).number
        if problem.goal == "fix":
            touched = moves.touches @ prior
            assert touched[first - len(problem.checks)] == touched.max()
        else:
            assert first in able
