"""The function of one number, against posteriors of the list of all worlds and their finite differences."""

from __future__ import annotations

import numpy as np
import pytest

from faultiso.appraisal.sensitivity.function import Evaluation, Ratio, ratio
from faultiso.appraisal.sensitivity.parameters import Parameter, argument, changed, parameters
from faultiso.appraisal.sensitivity.swings import End, Swing
from faultiso.appraisal.sensitivity.tornado import is_linear, relevant_to, tornado
from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline
from tests.semantics import oracle
from tests.semantics.answers import Seen
from tests.semantics.random_models import random_case
from tests.semantics.test_random_beliefs import as_reading, believed

SEEDS = [seed for seed in range(60) if believed(seed)[0].readings][:25]
STEP = 1e-5


def by_all_worlds(
    model: Model, timeline: Timeline, seen: list[Seen], parameter: Parameter, value: float
) -> tuple[np.ndarray, float]:
    """P(each fault | readings) and P(readings) with the number at a value."""
    table = oracle.table(changed(model, parameter, value), timeline)
    return np.array(list(table.fault_chances(seen).values())), table.evidence(seen)


def through(belief: Belief, seen: list[Seen], parameter: Parameter) -> Ratio:
    """The function through what all worlds say at the present and at another value."""
    found = []
    for value in (parameter.value, parameter.times(3.0)):
        posterior, evidence = by_all_worlds(belief.model, belief.timeline, seen, parameter, value)
        found.append(Evaluation(argument(belief.model, parameter, value), posterior, evidence))
    return ratio(*found)


@pytest.mark.parametrize("seed", SEEDS)
def test_two_evaluations_give_the_whole_function_and_its_slope(seed: int) -> None:
    belief, _, seen = believed(seed)
    for parameter in linear_ones(belief)[:6]:
        function = through(belief, seen, parameter)
        for value in (parameter.times(0.2), parameter.times(1.7)):
            x = argument(belief.model, parameter, value)
            expected, _ = by_all_worlds(belief.model, belief.timeline, seen, parameter, value)
            assert function.at(x) == pytest.approx(expected, abs=1e-9)
        near = [parameter.times(1 - STEP), parameter.times(1 + STEP)]
        ends = [by_all_worlds(belief.model, belief.timeline, seen, parameter, value)[0] for value in near]
        x = [argument(belief.model, parameter, value) for value in near]
        slope = (ends[1] - ends[0]) / (x[1] - x[0])
        at = argument(belief.model, parameter, parameter.value)
        assert function.derivative(at) == pytest.approx(slope, rel=1e-4, abs=1e-5)


def linear_ones(belief: Belief) -> list[Parameter]:
    return [parameter for parameter in relevant_to(belief) if is_linear(belief, parameter)]


@pytest.mark.parametrize("seed", SEEDS)
def test_each_end_is_what_all_worlds_say_with_the_number_there(seed: int) -> None:
    belief, _, seen = believed(seed)
    found = tornado(belief, factor=4.0)
    place = list(belief.model.faults).index(found.leader)
    for swing in found.swings:
        for end in (swing.low, swing.high):
            expected, _ = by_all_worlds(belief.model, belief.timeline, seen, swing.parameter, end.value)
            assert end.leader == pytest.approx(expected[place], abs=1e-9)
            assert expected[list(belief.model.faults).index(end.leads)] == pytest.approx(
                expected.max(), abs=1e-9
            )


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_left_out_makes_no_difference(seed: int) -> None:
    belief, _, seen = believed(seed)
    relevant = set(relevant_to(belief))
    for parameter in parameters(belief.model):
        if parameter not in relevant:
            value = parameter.times(5.0)
            expected, _ = by_all_worlds(belief.model, belief.timeline, seen, parameter, value)
            now = np.array([belief.faults[name] for name in belief.model.faults])
            own = [name == parameter.of for name in belief.model.faults]
            assert np.where(own, 0, expected) == pytest.approx(np.where(own, 0, now), abs=1e-9)


def test_where_another_fault_leads_both_are_as_probable() -> None:
    checked = 0
    for seed in SEEDS:
        belief, _, seen = believed(seed)
        for swing in tornado(belief, factor=4.0, seconds=600).swings:
            if swing.turns is not None:
                expected, _ = by_all_worlds(belief.model, belief.timeline, seen, swing.parameter, swing.turns)
                place = list(belief.model.faults).index(next(iter(belief.faults)))
                others = np.delete(expected, place)
                assert np.abs(others - expected[place]).min() == pytest.approx(0, abs=1e-7)
                checked += 1
    assert checked > 5


def test_minutes_are_those_of_the_changed_model() -> None:
    from faultiso.planning.advice import Advisor

    belief = Reasoner(random_case(SEEDS[0]).model).belief(
        believed(SEEDS[0])[0].timeline, [as_reading(seen) for seen in believed(SEEDS[0])[2]]
    )
    for swing in tornado(belief, seconds=600).by_minutes[:3]:
        model = changed(belief.model, swing.parameter, swing.high.value)
        again = Reasoner(model).belief(belief.timeline, belief.readings)
        ahead = min(action.expected_minutes for action in Advisor(again).advise().actions)
        assert swing.high.minutes == pytest.approx(ahead)


def test_when_the_time_is_up_the_numbers_left_are_named() -> None:
    belief = believed(SEEDS[0])[0]
    found = tornado(belief, seconds=-1)
    assert found.swings == () and set(found.left) == set(relevant_to(belief))


def test_a_swing_without_minutes_has_no_span_of_minutes() -> None:
    end = End(1.0, 0.5, "a")
    swing = Swing(Parameter("miss", "a", (), 0.1, "miss of a"), end, end, 0.0)
    assert (swing.span, swing.minutes_span) == (0, 0)


def test_faults_that_are_always_alike_are_nowhere_equal_alone() -> None:
    function = Ratio(np.array([1.0, 1.0]), np.array([0.2, 0.2]), 0.0, 1.0)
    assert function.equal(0, 1) is None
