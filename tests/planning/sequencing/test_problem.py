"""Impossible input gives plain statements; odd but possible input gives a plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from faultiso.base.problems import TooLarge
from faultiso.planning.sequencing.bounds.clairvoyant import clairvoyant
from faultiso.planning.sequencing.ceiling import simple_minutes
from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.matrix import from_matrix
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.problem import BadPlanningProblem, Check, Costs, Problem, Repair
from faultiso.planning.sequencing.search import solve

GOOD = generate(Kind(faults=3, checks=2, noise=0.1, together=2), 1)


def changed_check(**what: Any) -> dict[str, Any]:
    return {"checks": (replace(GOOD.checks[0], **what), GOOD.checks[1])}


def changed_repair(**what: Any) -> dict[str, Any]:
    return {"repairs": (replace(GOOD.repairs[0], **what), *GOOD.repairs[1:])}


WRONG = [
    ({"states": (), "prior": np.zeros(0)}, "nothing that may be wrong"),
    ({"prior": np.ones(2)}, "expected one for each"),
    ({"prior": GOOD.prior * 0.5}, "sum to 0.5, not to 1"),
    ({"prior": -GOOD.prior}, "not within 0 to 1"),
    ({"prior": GOOD.prior * np.nan}, "not within 0 to 1"),
    ({"states": (1, 1, *GOOD.states[2:])}, "a state is listed twice"),
    ({"faults": ("one",)}, "has no name"),
    ({"states": GOOD.states[:-1], "prior": np.full(6, 1 / 6), "checks": ()}, None),
    (changed_check(minutes=0.0), "takes 0 minutes"),
    (changed_check(minutes=-3.0), "takes -3 minutes"),
    (changed_check(minutes=float("nan")), "takes nan minutes"),
    (changed_check(given=GOOD.checks[0].given * 0.9), "do not sum to 1"),
    (changed_check(given=GOOD.checks[0].given[:2]), "has the shape"),
    (changed_check(given=GOOD.checks[0].given * -1), "not within 0 to 1"),
    (changed_check(name=GOOD.checks[1].name), "check 2 is listed twice"),
    (changed_repair(minutes=0.0), "repair 1 takes 0 minutes"),
    (changed_repair(fails=1.5), "repair 1: a probability"),
    (changed_repair(parts=-1.0), "negative cost"),
    (changed_repair(parts=10.0), "no price of an hour"),
    ({"repairs": ()}, "all repairs are excluded"),
    ({"goal": "isolate", "checks": ()}, "no check is possible"),
    ({"costs": Costs(serviceable=0.0)}, "never free"),
    ({"costs": Costs(refer=-1.0)}, "not a cost"),
    ({"costs": Costs(refer=500.0, false_verified=100.0)}, "must cost at least as much"),
    ({"costs": Costs(hour=0.0)}, "price of an hour must be more than 0"),
]


@pytest.mark.parametrize(("change", "words"), [(c, w) for c, w in WRONG if w], ids=[w for _, w in WRONG if w])
def test_what_cannot_be_planned_is_said(change: dict[str, Any], words: str) -> None:
    with pytest.raises(BadPlanningProblem) as found:
        replace(GOOD, **change)
    assert words in str(found.value)


def test_everything_that_is_wrong_is_said_at_once() -> None:
    checks = changed_check(minutes=0.0)["checks"]
    with pytest.raises(BadPlanningProblem) as found:
        replace(GOOD, checks=checks, repairs=(), costs=Costs(serviceable=0.0))
    assert len(found.value.statements) == 3


def test_a_state_that_a_repair_may_leave_must_be_listed() -> None:
    with pytest.raises(BadPlanningProblem, match="repair a may leave b"):
        Problem(("a", "b"), (3,), np.ones(1), (), (Repair("repair a", "repair a", 5.0, 1),))


@pytest.mark.parametrize("matrix", [[[0, 1]], [[0, 2], [1, 0]]])
def test_a_matrix_of_another_shape_or_with_another_entry_is_refused(matrix: Any) -> None:
    with pytest.raises(BadPlanningProblem):
        from_matrix(["a", "b"], [0.5, 0.5], ["t1", "t2"], [1.0, 1.0], matrix)


def test_probabilities_of_none_and_of_one_are_planned() -> None:
    certain = np.zeros(len(GOOD.states))
    certain[1] = 1.0
    assert solve(replace(GOOD, prior=certain)).root.high == pytest.approx(GOOD.repairs[0].minutes)
    nothing = np.zeros(len(GOOD.states))
    nothing[0] = 1.0
    assert solve(replace(GOOD, prior=nothing)).root.high == 0.0
    useless = changed_repair(fails=1.0)
    assert solve(replace(GOOD, prior=certain, **useless)).root.high == pytest.approx(GOOD.costs.refer)
    never_seen = changed_repair(false_verified=1.0)
    assert solve(replace(GOOD, **never_seen)).root.high > 0


def test_a_check_that_tells_nothing_is_never_made() -> None:
    dull = Check("dull", "dull", 0.1, ("a", "b"), np.full((len(GOOD.states), 2), 0.5))
    with_it = solve(replace(GOOD, checks=(*GOOD.checks, dull)))
    assert with_it.root.high == pytest.approx(solve(GOOD).root.high)
    only = replace(GOOD, checks=(dull,), goal="isolate")
    assert solve(only).root.high == 0.0


def test_too_little_memory_is_said_with_what_is_known() -> None:
    large = generate(Kind(faults=8, checks=10, noise=0.1, together=2), 1)
    with pytest.raises(TooLarge, match=r"more than 0\.5 MB") as found:
        solve(large, megabytes=0.5)
    assert "minutes" in str(found.value)


def test_parts_have_their_price() -> None:
    dear = replace(GOOD, costs=replace(GOOD.costs, hour=60.0), **changed_repair(parts=90.0))
    certain = np.zeros(len(GOOD.states))
    certain[1] = 1.0
    best = solve(replace(dear, prior=certain)).root.high
    assert best == pytest.approx(GOOD.repairs[0].minutes + 90.0)


def test_the_bounds_of_a_belief_are_in_order() -> None:
    moves = Moves(GOOD)
    for belief in np.random.default_rng(1).dirichlet(np.ones(len(GOOD.states)), size=20):
        low = clairvoyant(moves, belief[None])[0]
        assert low <= simple_minutes(moves, belief, moves.everything) + 1e-9
