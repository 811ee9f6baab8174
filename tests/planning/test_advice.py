"""The next action: the cheapest by its own numbers, judged again with other rates."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model
from faultiso.planning.advice import Advice, Advisor
from faultiso.planning.outlook import outlook
from faultiso.planning.repairs import expected_costs

from ..models.shipped import reasoner_of
from ..semantics import small

TUG = """
    refer_minutes: {refer}
    conditions:
      motor: {{values: [stopped, running], to: {{running: {{minutes: 3}}}}}}
    situations:
      parked: {{title: parked}}
      running: {{title: motor running, set: {{motor: running}}}}
    components:
      pump: {{faults: {{worn: {{rate: {worn}}}}}}}
      valve: {{faults: {{stuck: {{rate: {stuck}}}}}}}
    quantities:
      pressure:
        levels: [normal, low]
        causes:
          - {{fault: pump.worn, gives: {{low: 0.9}}}}
          - {{fault: valve.stuck, gives: {{low: 0.9}}}}
        leak: {{low: {leak}}}
      heat:
        levels: [cold, hot]
        causes: [{{fault: pump.worn, gives: {{hot: 0.95}}}}]
    indications:
      caution: {{title: caution, kind: light, reads: pressure, misread: {misread}}}
      case_heat:
        title: heat of the case
        kind: feel
        outcomes: [cold, hot]
        misread: 0.01
        rules: [{{when: {{motor: stopped}}, then: cold}}, {{like: heat}}]
    checks:
      thermometer: {{title: thermometer, reads: heat, minutes: {minutes}, miss: 0.02, false_alarm: 0.02}}
    repairs:
      pump_change: {{title: change the pump, component: pump, clears: pump, minutes: 180, verify: {{minutes: 20}}}}
      valve_change: {{title: change the valve, component: valve, clears: valve, minutes: 60, verify: {{minutes: 20}}}}
"""
FIGURES = {"refer": 480, "worn": 0.05, "stuck": 0.05, "leak": 0.001, "misread": 0.001, "minutes": 10}


def tug(**figures: float) -> Model:
    """The tug; ``refer`` and the rest replace the usual figures."""
    text = TUG.format(**{**FIGURES, **figures})
    return small.model(text)


def believe(read: dict[str, Any], **figures: float) -> Belief:
    return Reasoner(tug(**figures)).believe(read)


def advise(read: dict[str, Any], with_looks: int = 0, **figures: float) -> Advice:
    return Advisor(believe(read, **figures)).advise(with_looks)


LOW = {"caution": "low"}


def test_a_cheap_check_that_parts_two_dear_repairs_comes_first() -> None:
    found = advise(LOW)
    assert (found.action.kind, found.action.name, found.action.minutes) == ("check", "thermometer", 10)
    assert found.minutes_saved["thermometer"] > 20
    assert "going straight to the repairs would cost" in found.reason


def test_a_dear_check_is_not_worth_it() -> None:
    found = advise(LOW, minutes=200)
    assert (found.action.kind, found.action.name) == ("repair", "valve_change")
    assert found.minutes_saved["thermometer"] < 0
    assert found.action.expected_minutes == found.straight_to_repair


def test_once_it_is_settled_the_unit_is_changed() -> None:
    found = advise({**LOW, "thermometer": "hot"})
    assert (found.action.kind, found.action.name) == ("repair", "pump_change")
    assert found.order[0].option.minutes == 200


def test_where_referring_is_cheapest_it_is_advised() -> None:
    found = advise(LOW, refer=5)
    assert (found.action.kind, found.action.minutes) == ("refer", 5)
    assert found.action.expected_minutes == pytest.approx(found.straight_to_repair)
    assert found.action.expected_minutes < 5  # nothing at all may be wrong
    assert found.order == ()


def test_when_nothing_is_wrong_no_fault_found_is_offered() -> None:
    found = advise({"caution": "normal", "thermometer": "cold"})
    assert found.action.kind == "no fault found"
    assert "no fault found" not in [action.kind for action in advise(LOW).actions]


READ: tuple[dict[str, Any], ...] = (
    {"thermometer": "cold"},
    LOW,
    {"caution": "normal"},
    {**LOW, "thermometer": "hot"},
)


@pytest.mark.parametrize("read", READ)
@pytest.mark.parametrize("refer", [20, 120, 480])
def test_the_advice_is_the_cheapest_by_its_own_numbers(read: dict[str, Any], refer: float) -> None:
    found = advise(read, with_looks=2, refer=refer)
    costs = [action.expected_minutes for action in found.actions]
    assert costs == sorted(costs)
    assert found.action == found.actions[0]
    assert found.action.expected_minutes <= refer
    assert not found.order or found.action.expected_minutes <= found.straight_to_repair + 1e-9
    assert {"refer"} <= {action.kind for action in found.actions}


@pytest.mark.parametrize("name", ["workshop-power-cart", "whinchat-hydraulics"])
def test_so_it_is_in_the_shipped_models(name: str) -> None:
    reasoner = reasoner_of(name)
    light = next(i for i in reasoner.model.indications.values() if len(i.outcomes) == 2)
    found = Advisor(reasoner.believe({light.name: light.outcomes[0]})).advise()
    costs = [action.expected_minutes for action in found.actions]
    assert found.action.expected_minutes == min(costs) <= found.straight_to_repair + 1e-9


def test_what_a_check_saves_is_the_drop_of_the_expected_cost() -> None:
    belief = believe(LOW)
    view = outlook(belief)
    straight = cost_of(belief)
    after = sum(
        chance * cost_of(believe({**LOW, "thermometer": outcome}))
        for outcome, chance in belief.values["thermometer"].outcomes.items()
    )
    found = Advisor(belief).advise()
    assert view.rest == pytest.approx(0, abs=1e-9)
    assert found.straight_to_repair == pytest.approx(straight)
    assert found.minutes_saved["thermometer"] == pytest.approx(straight - after - 10, abs=1e-6)


def cost_of(belief: Belief) -> float:
    view = outlook(belief)
    return float(expected_costs(view, view.probability[:, None], np.array([view.rest]))[0])


def test_a_change_of_conditions_is_an_action_with_its_minutes() -> None:
    found = advise(LOW, with_looks=2)
    looks = [action for action in found.actions if action.kind == "change of conditions"]
    assert [(action.name, action.minutes) for action in looks] == [("running", 3)]
    assert looks[0].expected_minutes < found.straight_to_repair
    assert not [a for a in advise(LOW).actions if a.kind == "change of conditions"]


# other rates


@pytest.mark.parametrize("factor", [3.0, 1 / 3, 10.0])
@pytest.mark.parametrize("read", READ)
def test_scaling_is_believing_with_odds_times_the_factor(read: dict[str, Any], factor: float) -> None:
    belief = believe(read)
    other = Reasoner(with_odds_times(belief.model, factor)).believe(read)
    scaled = outlook(belief).scaled(factor)
    again = outlook(other)
    found = {named(scaled.faults, int(m)): p for m, p in zip(scaled.masks, scaled.probability, strict=True)}
    expected = {named(again.faults, int(m)): p for m, p in zip(again.masks, again.probability, strict=True)}
    assert found == pytest.approx(expected, abs=1e-12)
    assert scaled.rest == pytest.approx(again.rest, abs=1e-12)


def named(faults: tuple[str, ...], mask: int) -> frozenset[str]:
    return frozenset(name for bit, name in enumerate(faults) if mask >> bit & 1)


def with_odds_times(model: Model, factor: float) -> Model:
    """The model with the odds of every fault times the factor; one hour at risk."""

    def rate(old: float) -> float:
        p = -math.expm1(-old)
        odds = factor * p / (1 - p)
        return math.log1p(odds)

    components = {
        name: replace(part, faults=tuple(replace(fault, rate=rate(fault.rate)) for fault in part.faults))
        for name, part in model.components.items()
    }
    return replace(model, components=components)


def test_advice_that_holds_says_so() -> None:
    found = advise(LOW)
    assert found.holds
    assert "rates three times" not in found.reason


TURNS = "with rates three times higher or lower another action would win"


def test_advice_that_other_rates_would_turn_says_so() -> None:
    found = advise({}, worn=0.2, stuck=0.1, misread=0.02)
    assert (found.action.kind, found.holds) == ("look", False)
    assert TURNS in found.reason


def test_no_fault_found_that_other_rates_would_turn_says_so() -> None:
    found = advise({"thermometer": "cold"}, worn=0.2, stuck=0.1, misread=0.02)
    assert (found.action.kind, found.holds) == ("no fault found", False)
    assert TURNS in found.reason


def test_holding_means_being_as_good_with_other_rates() -> None:
    for refer in (30, 60, 100, 140, 200):
        belief = believe({}, worn=0.2, stuck=0.1, refer=refer)
        found = Advisor(belief).advise()
        as_good = []
        for factor in (3.0, 1 / 3):
            other = Advisor(Reasoner(with_odds_times(belief.model, factor)).believe({})).advise()
            best, same = other.actions[0], [a for a in other.actions if a.name == found.action.name]
            gap = same[0].expected_minutes - best.expected_minutes if same else math.inf
            as_good.append(gap <= max(5.0, 0.1 * best.expected_minutes) + 1e-9)
        assert found.holds == all(as_good)


def test_a_close_call_names_the_other_action() -> None:
    for minutes in (5, 20, 40, 60, 80):
        found = advise(LOW, minutes=minutes)
        first, second = found.actions[:2]
        close = second.expected_minutes - first.expected_minutes <= max(5.0, 0.1 * first.expected_minutes)
        assert found.close_with == (second if close else None)
        assert ("close call with" in found.reason) == close


def test_both_close_calls_and_clear_ones_come_up() -> None:
    found = [advise(LOW, minutes=minutes).close_with for minutes in (5, 60, 65, 70, 75, 80)]
    assert any(found) and not all(found)


# what nothing explains


def test_what_nothing_explains_is_read_again() -> None:
    belief = believe(LOW, worn=1e-5, stuck=1e-5, leak=1e-4, misread=0.01)
    assert belief.unexplained > 0.9
    found = Advisor(belief).advise()
    assert (found.action.kind, found.action.name) == ("read again", "caution")
    assert found.actions[0] == found.action
    assert "refer to the approved data" in found.reason


def test_what_is_explained_is_not() -> None:
    belief = believe(LOW)
    assert belief.unexplained < 0.1
    assert "read again" not in [action.kind for action in Advisor(belief).advise().actions]


@pytest.mark.parametrize("name", ["workshop-power-cart", "whinchat-hydraulics"])
def test_from_rates_alone_nothing_is_concluded(name: str) -> None:
    """With nothing read, most likely nothing is wrong; that is a reason to look, not an end."""
    advice = Advisor(reasoner_of(name).believe({})).advise()
    assert advice.action.kind in ("look", "check")
    if name == "workshop-power-cart":
        assert "nothing was read yet" in advice.reason
        assert advice.actions[1].kind in ("no fault found", "refer")
