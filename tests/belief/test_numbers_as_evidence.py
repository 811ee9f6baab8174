"""A number weighs every level through the tolerance of its instrument; it is never rounded to one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import UsageError
from faultiso.belief.evidence import Reading, nearest_level, weights
from faultiso.model.parts import Indication, Rule

from ..semantics import small

RANGES = {"normal": (2620.0, 2780.0), "low": (300.0, 2500.0), "none": (0.0, 50.0)}
GAUGE = Indication(
    "gauge",
    "gauge",
    "gauge",
    (*RANGES, "dashes"),
    (Rule(then="normal"),),
    unit="psi",
    tolerance=40.0,
    ranges=RANGES,
)


def weighed(number: float, sign: Indication = GAUGE) -> dict[str, float]:
    return weights(Reading(sign.name, number=number), sign)


def density(number: float, low: float, high: float, spread: float) -> float:
    """Density of the number for a true value somewhere in the range, added up in small steps."""
    true = np.linspace(low, high, 20_001)
    heights = np.exp(-0.5 * ((number - true) / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    return float((heights[1:] + heights[:-1]).sum() / 2 / (len(true) - 1))


@given(st.floats(0, 2900))
def test_a_number_weighs_a_level_by_its_density_there(number: float) -> None:
    found = weighed(number)
    by_hand = {level: density(number, *bounds, GAUGE.tolerance / 2) for level, bounds in RANGES.items()}
    best = max(by_hand.values())
    for level, height in by_hand.items():
        assert found[level] == pytest.approx(height / best, rel=1e-3, abs=1e-9)


@given(st.floats(-20, 2900))
def test_the_best_level_weighs_one_and_what_has_no_range_nothing(number: float) -> None:
    found = weighed(number)
    assert max(found.values()) == 1.0
    assert found["dashes"] == 0.0
    assert found[nearest_level(number, GAUGE)] == 1.0


def test_in_the_gap_between_two_ranges_both_stay_possible() -> None:
    found = weighed(2560)
    assert 0.01 < min(found["low"], found["normal"]) < max(found["low"], found["normal"]) == 1.0
    assert weighed(2505)["low"] == 1.0 > weighed(2505)["normal"]
    assert weighed(2615)["normal"] == 1.0 > weighed(2615)["low"]


def test_a_better_instrument_decides_more() -> None:
    coarse, fine = replace(GAUGE, tolerance=160.0), replace(GAUGE, tolerance=40.0)
    for number in (2440, 2505, 2530):
        against_low = [
            weighed(number, sign)["normal"] / weighed(number, sign)["low"] for sign in (fine, coarse)
        ]
        assert against_low[0] < against_low[1]


def test_a_level_without_width_is_a_single_true_value() -> None:
    switch = replace(GAUGE, ranges={"normal": (28.0, 28.0), "none": (0.0, 0.0)}, tolerance=2.0)
    found = weighed(27.0, switch)
    assert found["normal"] == 1.0
    assert found["none"] == pytest.approx(np.exp(-0.5 * 27**2 + 0.5), rel=1e-9)


@pytest.mark.parametrize("number", [9000.0, 3300.0, -300.0])
def test_what_fits_no_range_is_told_with_the_ranges(number: float) -> None:
    with pytest.raises(UsageError, match=r"fits no level of gauge; expected normal 2620 to 2780, low 300"):
        weighed(number)


def test_a_sign_without_ranges_shows_no_number() -> None:
    with pytest.raises(UsageError, match=r"shows no number; expected one of: normal, low, none"):
        weighed(7.0, replace(GAUGE, ranges={}))


RIG = """
    conditions:
      motor: {values: [running, stopped]}
    components:
      pump: {faults: {worn: {rate: 0.2}, seized: {rate: 0.05}}}
    quantities:
      pressure:
        levels: [normal, low, none]
        unit: psi
        ranges: {normal: [2620, 2780], low: [300, 2500], none: [0, 50]}
        causes:
          - {fault: pump.worn, gives: {low: 0.8}}
          - {fault: pump.seized, gives: {none: 1.0}}
    indications:
      gauge: {kind: gauge, reads: pressure, tolerance: 40, misread: 0}
"""


@pytest.mark.parametrize("number", [0, 2560.0, 2700, 400.0])
def test_a_number_says_what_its_weights_say(number: float) -> None:
    reasoner = small.Reasoner(small.model(RIG))
    gauge = reasoner.model.indications["gauge"]
    as_number = reasoner.believe({"gauge": number})
    as_weights = reasoner.believe({"gauge": weighed(number, gauge)})
    assert as_number.faults == pytest.approx(as_weights.faults, abs=1e-12)
    assert as_number.surprise_bits == pytest.approx(as_weights.surprise_bits, abs=1e-9)


def test_nought_is_a_reading() -> None:
    reasoner = small.Reasoner(small.model(RIG))
    for nought in ("0", "0 psi", 0, 0.0):
        belief = reasoner.believe({"gauge": nought})
        assert len(belief.readings) == 1
        assert belief.faults["pump.seized"] == pytest.approx(1.0)
    assert reasoner.believe({"gauge": None}).readings == ()


def test_another_unit_is_converted() -> None:
    (reading,) = small.Reasoner(small.model(RIG)).believe({"gauge": "138 bar"}).readings
    assert reading.number == pytest.approx(138e5 / 6894.757293168361)
