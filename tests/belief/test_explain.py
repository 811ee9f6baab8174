"""Reasons: what speaks for and against a fault, what says nothing and why, what would settle it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from faultiso.base.problems import UsageError
from faultiso.belief.explain import (
    SURE,
    flow_order,
    half_split,
    reasons,
    settles,
    strength,
)
from faultiso.model.silence import silence, silences
from faultiso.network.timeline import start

from ..models.shipped import NAMES, ground_of, model_of
from ..semantics import oracle, small
from ..semantics.test_random_beliefs import believed
from ..semantics.test_random_models import SEEDS
from .rigs import chain_reasoner, twins


def odds_in_decibans(p: float) -> float:
    return 10 * math.log10(p / (1 - p))


@pytest.mark.parametrize("fault", ["pump.worn", "valve.stuck"])
@pytest.mark.parametrize(("sign", "outcome"), [("caution", "lit"), ("caution", "out"), ("gauge", "normal")])
def test_one_reading_weighs_ten_times_the_logarithm_of_its_likelihood_ratio(
    fault: str, sign: str, outcome: str
) -> None:
    reasoner = twins()
    table = oracle.table(reasoner.model, start(reasoner.model.start))
    joint = table.weigh([small.as_seen([small.seen(sign, outcome)])[0]])
    there = table.faults[:, list(reasoner.model.faults).index(fault)]
    with_fault = joint[there].sum() / table.probabilities[there].sum()
    without = joint[~there].sum() / table.probabilities[~there].sum()
    found = reasons(reasoner.believe({sign: outcome}), fault)
    (witness,) = found.witnesses
    assert witness.decibans == pytest.approx(10 * math.log10(with_fault / without), abs=1e-8)
    assert found.together == pytest.approx(0, abs=1e-8)
    assert (found.supporting, found.opposing) == (
        ((witness,), ()) if witness.decibans > 0 else ((), (witness,))
    )


@pytest.mark.parametrize("seed", SEEDS[:25])
def test_weights_and_remainder_make_up_what_the_belief_moved(seed: int) -> None:
    belief, _, _ = believed(seed)
    for fault, p in belief.faults.items():
        prior = belief.prior_of(fault)
        if not 1e-9 < p < 1 - 1e-9 or not 0 < prior < 1:
            continue
        found = reasons(belief, fault)
        total = sum(witness.decibans for witness in found.witnesses) + found.together
        assert total == pytest.approx(odds_in_decibans(p) - odds_in_decibans(prior), abs=1e-6)
        assert (found.probability, found.prior) == (p, prior)
        sizes = [abs(witness.decibans) for witness in found.witnesses]
        assert sizes == sorted(sizes, reverse=True)


def test_leaving_a_reading_out_is_believing_without_it() -> None:
    reasoner = twins()
    read = {"caution": "lit", "gauge": "normal", "case": "hot"}
    found = reasons(reasoner.believe(read), "pump.worn")
    whole = odds_in_decibans(found.probability)
    for witness in found.witnesses:
        fewer = {sign: outcome for sign, outcome in read.items() if sign != witness.reading.sign}
        without = reasoner.believe(fewer).faults["pump.worn"]
        assert witness.decibans == pytest.approx(whole - odds_in_decibans(without), abs=1e-8)


def test_a_fault_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(UsageError, match=r"no fault is called 'pump.wron'; nearest: pump.worn"):
        reasons(twins().believe({}), "pump.wron")


@pytest.mark.parametrize(
    ("decibans", "word"),
    [(0.4, "none"), (-0.6, "weak"), (4.9, "weak"), (-5.0, "moderate"), (9.9, "moderate"), (-10.0, "strong")],
)
def test_words_for_weights(decibans: float, word: str) -> None:
    assert strength(decibans) == word


def test_a_fault_alone_predicts_what_is_unlikely_without_it() -> None:
    belief = twins().believe({"caution": "lit"})
    found = reasons(belief, "pump.worn").predicts
    assert ("case", "hot") in [(item.name, item.outcome) for item in found]
    assert all(item.chance >= SURE and item.chance_otherwise < 0.5 for item in found)
    for item in found:
        value = belief.values[item.name]
        place = list(value.outcomes).index(item.outcome)
        assert item.chance == value.given[belief.listed.sets.index(frozenset({"pump.worn"})), place]
    assert "gauge" not in [item.name for item in found]


# silence


def test_an_inhibited_light_is_silent_and_the_conditions_are_named() -> None:
    reasoner = chain_reasoner(0.1, 0.1)
    found = silence(reasoner.model, "alarm", {"power": "off"})
    assert found is not None
    assert (found.outcome, dict(found.because)) == ("out", {"power": "off"})
    assert silence(reasoner.model, "alarm", {"power": "on"}) is None
    assert [item.name for item in silences(reasoner.model, {"power": "off"})] == ["alarm"]
    belief = reasoner.believe({"alarm": "out"}, {"power": "off"})
    assert reasons(belief, "unit_1.dead").silent == (found,)
    assert belief.faults["unit_1.dead"] == pytest.approx(belief.prior_of("unit_1.dead"))


def test_a_light_that_heat_keeps_lit_is_not_silent() -> None:
    model = twins().model
    airborne = {"place": "air", "heater": "on"}
    assert silence(model, "caution", airborne) is None
    assert silence(model, "caution", {**airborne, "place": "ground"}) is None


def test_a_light_that_its_own_fault_lights_is_not_silent() -> None:
    reasoner = twins()
    value = reasoner.believe({}).values["stuck_light"]
    assert value.gain_bits[0] > 0.01
    assert silence(reasoner.model, "stuck_light", {"place": "ground", "heater": "off"}) is None


@pytest.mark.parametrize("name", NAMES)
def test_what_is_called_silent_says_nothing_in_the_shipped_models(name: str) -> None:
    model, ground = model_of(name), ground_of(name)
    told = 0
    for situation in model.situations.values():
        timeline = start(situation.values)
        for item in silences(model, situation.values):
            node = ground.true_outcome(model.indications[item.name], timeline, 0)
            assert set(node.labels) == {item.outcome}, (situation.name, item.name)
            told += 1
    assert told > 5


# what settles it


def test_the_check_that_parts_two_faults_settles_them() -> None:
    belief = twins().believe({"caution": "lit"})
    pump, valve = frozenset({"pump.worn"}), frozenset({"valve.stuck"})
    found = settles(belief, pump, valve)
    assert {item.name for item in found[:2]} == {"case", "valve_look"}
    bits = {item.name: item.bits for item in found}
    assert bits.get("gauge", 0.0) < 0.1 * bits["case"]
    assert all(first.bits >= second.bits - 1e-3 for first, second in pairwise(found))
    assert [item.name for item in settles(belief, valve, pump)] == [item.name for item in found]


def test_bits_between_two_are_about_which_of_the_two_it_is() -> None:
    belief = twins().believe({"caution": "lit"})
    pump, valve = frozenset({"pump.worn"}), frozenset({"valve.stuck"})
    found = {item.name: item for item in settles(belief, pump, valve)}["case"]
    mass = {d.faults: d.probability for d in belief.diagnoses}
    share = mass["pump.worn",] / (mass["pump.worn",] + mass["valve.stuck",])

    def entropy(p: float) -> float:
        return -sum(q * math.log2(q) for q in (p, 1 - p) if q > 0)

    hot_if_pump, hot_if_valve = 0.9 * 0.95 + 0.1 * 0.02, 0.02
    hot = share * hot_if_pump + (1 - share) * hot_if_valve
    after = hot * entropy(share * hot_if_pump / hot)
    after += (1 - hot) * entropy(share * (1 - hot_if_pump) / (1 - hot))
    assert found.bits == pytest.approx(entropy(share) - after, abs=1e-9)
    assert found.minutes == 15


def test_what_is_too_unlikely_is_not_compared() -> None:
    belief = twins().believe({"caution": "lit"})
    nowhere = frozenset({"pump.worn", "no.fault"})
    with pytest.raises(UsageError, match=r"too unlikely now to be compared"):
        settles(belief, nowhere, frozenset({"pump.worn"}))


# half-split


@pytest.mark.parametrize(
    ("rates", "check", "share"),
    [
        ((0.01,) * 4, "check_2", 0.5),
        ((0.01,) * 6, "check_3", 0.5),
        ((0.06, 0.01, 0.01, 0.01, 0.01), "check_1", 0.6),
        ((0.01, 0.01, 0.01, 0.01, 0.04), "check_4", 0.5),
    ],
)
def test_a_chain_is_split_where_half_of_the_suspicion_lies_before(
    rates: tuple[float, ...], check: str, share: float
) -> None:
    found = half_split(chain_reasoner(*rates).believe({"alarm": "lit"}))
    assert found is not None
    assert found.check == check
    assert found.minutes == 5
    assert found.share_before == pytest.approx(share, abs=0.03)
    place = int(check.removeprefix("check_"))
    assert found.before == tuple(f"unit_{n}" for n in range(1, place + 1))
    assert found.behind == tuple(f"unit_{n}" for n in range(place + 1, len(rates) + 1))


def test_a_chain_of_five_is_split_beside_its_middle_stage() -> None:
    found = half_split(chain_reasoner(*(0.01,) * 5).believe({"alarm": "lit"}))
    assert found is not None
    assert (found.check, len(found.before), len(found.behind)) in [("check_2", 2, 3), ("check_3", 3, 2)]


def test_after_the_half_the_rest_is_halved() -> None:
    reasoner = chain_reasoner(*(1e-3,) * 8)
    read = {"alarm": "lit"}
    for middle in ("check_4", "check_2", "check_1"):
        found = half_split(reasoner.believe(read))
        assert found is not None
        assert found.check == middle
        assert found.share_before == pytest.approx(0.5, abs=0.05)
        read[middle] = "bad"


def test_one_suspect_is_not_split() -> None:
    assert half_split(chain_reasoner(0.05, 1e-6).believe({"alarm": "lit"})) is None


def test_flow_order_puts_what_feeds_first_and_bears_a_loop() -> None:
    model = small.model(
        """
        components: {a: {}, b: {}, c: {}, d: {}, e: {}}
        flow: [[d, c, b, a], [d, e, b], [a, d]]
        """
    )
    order = flow_order(model)
    assert sorted(order) == ["a", "b", "c", "d", "e"]
    assert order.index("d") < order.index("c") < order.index("b") < order.index("a")
    assert order.index("d") < order.index("e") < order.index("b")


def test_every_judged_sign_has_a_row_for_every_listed_set() -> None:
    belief = twins().believe({"caution": "lit"})
    for value in belief.values.values():
        assert value.given.shape == (len(belief.listed.sets), len(value.outcomes))
        assert np.allclose(value.given.sum(axis=1), 1)
