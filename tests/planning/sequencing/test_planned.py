"""Plans as trees: what they cost, shared steps, cut-offs, and answers that only get better."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.planned import best_plan, improving_plans, plan_of
from faultiso.planning.sequencing.problem import Check, Problem
from faultiso.planning.sequencing.search import Search, solve
from faultiso.planning.tree import Plan, Step, steps_in_order

KINDS = (
    Kind("isolate", faults=6, checks=6),
    Kind("isolate", faults=3, checks=4, noise=0.1),
    Kind("fix", faults=4, checks=4, noise=0.1, together=2, fails=0.1),
)


def minutes_of(problem: Problem, step: Step) -> float:
    """A plan's cost from its steps alone, where a step's own minutes are all that it costs."""
    return step.minutes + sum(b.probability * minutes_of(problem, b.step) for b in step.branches)


@pytest.mark.parametrize("kind", KINDS)
def test_a_step_costs_what_its_branches_cost(kind: Kind) -> None:
    plan = plan_of(solve(generate(kind, 2)), seldom=0.0, most_steps=10_000)
    assert plan.certificate.gap <= 1e-6
    assert plan.left_out == ()
    for _, step, _ in steps_in_order(plan):
        if step.branches:
            assert sum(b.probability for b in step.branches) == pytest.approx(1.0)
        after = sum(b.probability * b.step.expected_minutes for b in step.branches)
        if step.kind == "check":
            assert step.expected_minutes == pytest.approx(step.minutes + after, rel=1e-6)
        if step.kind == "repair":
            assert step.expected_minutes >= step.minutes + after - 1e-6
        assert sum(c.probability for c in step.candidates) <= 1 + 1e-9


def test_a_plan_of_isolation_costs_what_its_checks_cost() -> None:
    problem = generate(KINDS[0], 5)
    plan = plan_of(solve(problem), seldom=0.0)
    assert minutes_of(problem, plan.first) == pytest.approx(plan.certificate.expected_minutes)


def test_a_plan_before_any_search_is_complete() -> None:
    """What was not searched is done by the simple plan."""
    for kind in KINDS:
        plan = plan_of(Search(generate(kind, 3)), seldom=0.0, most_steps=10_000)
        ends = [step for _, step, _ in steps_in_order(plan) if not step.branches]
        assert {step.kind for step in ends} <= {"isolated", "verified", "refer", "no fault found"}
        assert all(step.cut is None for step in ends)


def test_like_beliefs_are_one_step() -> None:
    """Two outcomes that mean the same lead to the same step, which is written once."""
    problem = generate(Kind("isolate", faults=4, checks=1), 1)
    both = np.array([[1.0, 0.0, 0.0], *[[0.0, 0.7, 0.3]] * 4])
    check = Check("level", "level", 1.0, ("full", "low", "very low"), both)
    fine = np.eye(5)
    tell = Check("tell", "tell", 9.0, tuple("abcde"), fine)
    plan = plan_of(solve(replace(problem, prior=np.array([0.8, 0.1, 0.1, 0, 0]), checks=(check, tell))))
    assert plan.first.name == "level"
    assert [b.outcome for b in plan.first.branches] == ["full", "low", "very low"]
    assert plan.first.branches[1].step is plan.first.branches[2].step
    assert [step.name for _, step, _ in steps_in_order(plan)].count("tell") == 1


def test_what_is_seldom_reached_is_cut_and_said() -> None:
    plan = plan_of(solve(generate(KINDS[2], 2)), seldom=0.05)
    cut = [(step, reach) for _, step, reach in steps_in_order(plan) if step.cut]
    assert cut
    total = sum(reach for _, reach in cut)
    assert f"{total:.2%}" in plan.left_out[0]
    assert all(not step.branches for step, _ in cut)


def test_answers_only_get_better_until_the_best() -> None:
    problem = generate(KINDS[2], 4)
    plans: list[Plan] = list(improving_plans(problem, seconds=1e9))
    costs = [plan.certificate.expected_minutes for plan in plans]
    bounds = [plan.certificate.lower_bound for plan in plans]
    assert costs == sorted(costs, reverse=True)
    assert bounds == sorted(bounds)
    assert costs[-1] == pytest.approx(solve(problem).root.high)
    assert len(plans) > 1
    assert plans[-1].certificate.bound.startswith("exact")


def test_no_time_still_gives_a_plan() -> None:
    assert len(list(improving_plans(generate(KINDS[2], 4), seconds=0.0))) == 1


def test_a_large_problem_gets_a_plan_with_a_bound_and_its_name() -> None:
    plan = best_plan(generate(Kind(faults=8, checks=12, noise=0.1, together=2), 1), seconds=0.3)
    assert 0 < plan.certificate.lower_bound < plan.certificate.expected_minutes
    assert plan.certificate.bound.startswith(("search over", "checks made perfect", "blocks of"))
    assert best_plan(generate(KINDS[0], 1), seconds=1e9).certificate.bound.startswith("exact")
