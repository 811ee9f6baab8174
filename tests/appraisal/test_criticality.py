"""Criticality of a model: its numbers, levels, matrix; what a model without severities gives."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.appraisal.criticality import LEVELS, criticality, item_numbers, level
from tests.semantics.small import model

RIG = """
components:
  pump:
    title: pump
    faults:
      seized: {rate: 1e-3, severity: catastrophic}
      worn: {rate: 3e-3, severity: IV}
      leaking: {rate: 0}
  lamp: {title: lamp, faults: {dead: {rate: 6e-3, severity: minor}}}
  bare: {title: bare}
"""


def test_modes_of_a_model_the_gravest_first() -> None:
    found = criticality(model(RIG), hours=10)
    assert [mode.fault for mode in found.modes] == ["pump.seized", "lamp.dead", "pump.worn", "pump.leaking"]
    seized = found.modes[0]
    assert (seized.alpha, seized.number) == pytest.approx((0.25, 0.01))
    assert seized.share == pytest.approx((1 - math.exp(-0.01)) / (1 - math.exp(-0.1)))
    assert [mode.level for mode in found.modes] == ["B", "A", "A", "E"]
    assert found.stated == 3


def test_numbers_of_units_and_the_matrix() -> None:
    found = criticality(model(RIG))  # one hour at risk
    assert found.items() == {
        "pump": {"catastrophic": pytest.approx(1e-3), "minor": pytest.approx(3e-3), "": 0.0},
        "lamp": {"minor": pytest.approx(6e-3)},
    }
    assert found.matrix()["A", "minor"] == ("lamp.dead", "pump.worn")
    assert sum(map(len, found.matrix().values())) == len(found.modes)


def test_without_any_rate_nothing_fails() -> None:
    found = criticality(model("components: {box: {title: box, faults: {bad: {rate: 0}}}}\n"))
    (mode,) = found.modes
    assert (mode.alpha, mode.number, mode.share, mode.level) == (0, 0, 0, "E")
    assert criticality(model("components: {box: {title: box}}\n")).modes == ()


@given(st.floats(0, 1))
def test_a_greater_share_is_never_of_a_lower_level(share: float) -> None:
    found = level(share)
    assert share >= LEVELS[found]
    assert all(share <= LEVELS[name] for name in LEVELS if name < found)


@pytest.mark.parametrize(
    ("limit", "above", "at"), [(0.2, "A", "B"), (0.1, "B", "C"), (0.01, "C", "D"), (0.001, "D", "E")]
)
def test_what_is_just_at_a_limit_is_of_the_lower_level(limit: float, above: str, at: str) -> None:
    assert (level(math.nextafter(limit, 1)), level(limit)) == (above, at)


@given(st.lists(st.tuples(st.sampled_from(["minor", "marginal"]), st.floats(0, 1))))
def test_the_number_of_an_item_is_the_sum_of_its_modes(modes: list[tuple[str, float]]) -> None:
    found = item_numbers(modes)
    assert math.fsum(found.values()) == pytest.approx(math.fsum(number for _, number in modes))
