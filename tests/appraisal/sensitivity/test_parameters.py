"""Every number of a model is found, and changing one changes nothing else."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.appraisal.sensitivity.parameters import (
    Parameter,
    argument,
    changed,
    moved,
    parameters,
    value_of,
)
from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model
from tests.models.shipped import model_of
from tests.semantics.random_models import random_case


@pytest.mark.parametrize("seed", range(20))
def test_a_changed_model_has_the_number_and_all_others_as_before(seed: int) -> None:
    model = random_case(seed).model
    before = values(model)
    for parameter in parameters(model):
        value = parameter.times(2.0)
        after = values(changed(model, parameter, value))
        key = (parameter.kind, parameter.of, parameter.place)
        assert after.pop(key) == pytest.approx(value)
        others = {
            other for other in after if other[:2] != key[:2] or parameter.kind not in ("strength", "leak")
        }
        assert all(after[other] == before[other] for other in others)


def values(model: Model) -> dict[tuple[str, str, tuple[str | int, ...]], float]:
    return {(p.kind, p.of, p.place): p.value for p in parameters(model)}


def test_changing_a_number_to_what_it_is_changes_nothing() -> None:
    model = model_of("workshop-power-cart")
    for parameter in parameters(model):
        assert values(changed(model, parameter, parameter.value)) == pytest.approx(values(model))


def test_labels_tell_numbers_apart() -> None:
    for name in ("workshop-power-cart", "whinchat-hydraulics", "whinchat-dc-power"):
        labels = [parameter.label for parameter in parameters(model_of(name))]
        assert len(set(labels)) == len(labels)


@given(st.floats(0.001, 0.999), st.floats(0.01, 100))
def test_odds_are_turned_and_stay_chances(chance: float, factor: float) -> None:
    turned = Parameter("miss", "sample", (), chance, "miss of sample").times(factor)
    assert 0 < turned < 1
    assert turned / (1 - turned) == pytest.approx(factor * chance / (1 - chance))
    assert Parameter("rate", "pump.worn", (), 1e-6, "").times(factor) == pytest.approx(1e-6 * factor)


@given(st.lists(st.floats(0.01, 1), min_size=2, max_size=4), st.floats(0, 1))
def test_the_others_give_way_in_proportion(weights: list[float], value: float) -> None:
    total = math.fsum(weights) * 1.25  # a fifth is missing to one
    chances = {str(place): weight / total for place, weight in enumerate(weights)}
    found = moved(chances, "0", value)
    assert found["0"] == value
    rest_before, rest_after = 1 - chances["0"], 1 - value
    for name in list(chances)[1:]:
        assert found[name] * rest_before == pytest.approx(chances[name] * rest_after)


@pytest.mark.parametrize("one_fault", [False, True])
def test_arguments_of_functions_lead_back_to_the_number(one_fault: bool) -> None:
    model = replace(model_of("workshop-power-cart"), one_fault=one_fault)
    for parameter in parameters(model):
        for value in (parameter.value, parameter.times(3.0)):
            assert value_of(model, parameter, argument(model, parameter, value)) == pytest.approx(value)
    rate = next(parameter for parameter in parameters(model) if parameter.is_rate)
    belief = Reasoner(model).believe()
    assert argument(model, rate, rate.value) == pytest.approx(belief.prior_of(rate.of))
