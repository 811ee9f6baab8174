"""The order of a plan's steps and the probability of coming to each."""

from __future__ import annotations

import pytest

from faultiso.planning.tree import Branch, Certificate, Plan, Step, steps_in_order


def a_plan() -> Plan:
    end = Step("refer", "refer", "stop and refer", 0.0, 30.0)
    repair = Step("repair", "pump", "replace the pump", 60.0, 75.0, (Branch("still there", 0.5, end),))
    second = Step("check", "b", "check b", 5.0, 60.0, (Branch("low", 0.6, repair), Branch("good", 0.4, end)))
    first = Step("check", "a", "check a", 2.0, 50.0, (Branch("off", 0.3, repair), Branch("on", 0.7, second)))
    return Plan(first, Certificate(50.0, 45.0, "clairvoyant"))


def test_each_step_once_after_all_that_lead_to_it() -> None:
    names = [step.name for _, step, _ in steps_in_order(a_plan())]
    assert names == ["a", "b", "pump", "refer"]


def test_the_likeliest_branch_comes_first() -> None:
    left, right = (Step("isolated", name, name, 0.0, 0.0) for name in ("left", "right"))
    first = Step("check", "a", "a", 1.0, 1.0, (Branch("x", 0.2, left), Branch("y", 0.8, right)))
    plan = Plan(first, Certificate(1.0, 1.0, "exact"))
    assert [step.name for _, step, _ in steps_in_order(plan)] == ["a", "right", "left"]


def test_probabilities_of_a_shared_step_add_up() -> None:
    reach = {step.name: chance for _, step, chance in steps_in_order(a_plan())}
    assert reach["pump"] == pytest.approx(0.3 + 0.7 * 0.6)
    assert reach["refer"] == pytest.approx(0.7 * 0.4 + reach["pump"] * 0.5)


def test_the_gap_is_a_share_of_the_expected_minutes() -> None:
    assert a_plan().certificate.gap == pytest.approx(0.1)
