"""How readings go together: contradiction, what nothing modelled explains, which reading to doubt."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.belief.belief import Belief, Contradiction
from faultiso.belief.reasoner import Reasoner
from faultiso.network.timeline import start

from ..semantics import oracle, small
from ..semantics.test_random_beliefs import as_reading, believed
from ..semantics.test_random_models import SEEDS

SURE = """
    components:
      a: {faults: {bad: {rate: 0.2}}}
      b: {faults: {bad: {rate: 0.2}}}
      c: {faults: {bad: {rate: 0.2}}}
    indications:
      sees_a: {kind: light, reads: a.bad}
      sees_b: {kind: light, reads: b.bad}
      sees_c: {kind: light, reads: c.bad}
      any_of_a_b:
        kind: light
        outcomes: [out, lit]
        rules: [{when: {a.bad: present}, then: lit}, {when: {b.bad: present}, then: lit}, {then: out}]
"""


def sure() -> Reasoner:
    return Reasoner(small.model(SURE))


def named(belief: Belief) -> set[str]:
    return {reading.sign for reading in belief.contradiction}


def test_a_contradiction_names_only_the_readings_that_contradict() -> None:
    two = sure().believe({"sees_c": "present", "sees_a": "present", "any_of_a_b": "out", "sees_b": "absent"})
    assert not two.possible
    assert named(two) == {"sees_a", "any_of_a_b"}
    three = sure().believe({"sees_c": "present", "any_of_a_b": "lit", "sees_a": "absent", "sees_b": "absent"})
    assert named(three) == {"any_of_a_b", "sees_a", "sees_b"}


@pytest.mark.parametrize("left_out", ["any_of_a_b", "sees_a", "sees_b"])
def test_without_any_one_of_them_all_is_possible(left_out: str) -> None:
    read = {"any_of_a_b": "lit", "sees_a": "absent", "sees_b": "absent"}
    read.pop(left_out)
    belief = sure().believe(read)
    assert belief.possible
    assert belief.contradiction == ()


@pytest.mark.parametrize(
    "question", ["faults", "components", "values", "surprise_bits", "unexplained", "doubts"]
)
def test_no_number_is_given_for_what_cannot_be(question: str) -> None:
    belief = sure().believe({"sees_a": "present", "any_of_a_b": "out"})
    with pytest.raises(Contradiction, match=r"cannot all be right: .*sees_a = present") as caught:
        getattr(belief, question)
    assert set(caught.value.readings) == set(belief.contradiction)


LEAKY = """
    components:
      pump: {faults: {worn: {rate: 0.3}}}
    quantities:
      pressure: {levels: [normal, low], causes: [{fault: pump.worn, gives: {low: 0.8}}], leak: {low: 0.05}}
    indications:
      light: {kind: light, reads: pressure, misread: 0.02}
    checks:
      gauge: {reads: pressure, minutes: 5, miss: 0.1, false_alarm: 0.04}
"""


def leaky() -> Reasoner:
    return Reasoner(small.model(LEAKY))


def test_unexplained_is_the_chance_that_a_leak_or_a_wrong_reading_is_behind_it() -> None:
    p = small.prior(0.3)
    low = 1 - (1 - p * 0.8) * (1 - 0.05)
    evidence = low * 0.98 + (1 - low) * 0.02
    clean = p * 0.8 * 0.95 * 0.98
    assert leaky().believe({"light": "low"}).unexplained == pytest.approx(1 - clean / evidence)
    both = low * 0.98 * 0.1 + (1 - low) * 0.02 * 0.96  # light low, gauge normal: one of them is wrong
    assert leaky().believe({"light": "low", "gauge": "normal"}).unexplained == pytest.approx(1.0)
    assert leaky().believe({"light": "low", "gauge": "normal"}).log2_evidence == pytest.approx(
        math.log2(both)
    )


def test_each_reading_is_doubted_by_the_chance_that_it_is_wrong() -> None:
    p = small.prior(0.3)
    low = 1 - (1 - p * 0.8) * (1 - 0.05)
    light_wrong, gauge_wrong = (1 - low) * 0.02 * 0.96, low * 0.98 * 0.1
    total = light_wrong + gauge_wrong
    doubts = {r.sign: chance for r, chance in leaky().believe({"light": "low", "gauge": "normal"}).doubts}
    assert doubts == pytest.approx({"light": light_wrong / total, "gauge": gauge_wrong / total})
    (first, _), *_ = leaky().believe({"light": "low", "gauge": "normal"}).doubts
    assert first.sign == "gauge"


def test_readings_that_agree_are_hardly_doubted() -> None:
    doubts = dict(leaky().believe({"light": "low", "gauge": "low"}).doubts)
    assert max(doubts.values()) < 0.02


@pytest.mark.parametrize("seed", SEEDS[:40])
def test_the_order_of_readings_does_not_matter(seed: int) -> None:
    belief, _, readings = believed(seed)
    if len(readings) < 2:
        return
    shuffled = list(readings)
    random.Random(seed).shuffle(shuffled)
    other = Reasoner(belief.model).belief(belief.timeline, [as_reading(reading) for reading in shuffled])
    assert other.faults == pytest.approx(belief.faults, abs=1e-10)
    assert other.surprise_bits == pytest.approx(belief.surprise_bits, abs=1e-9)
    assert other.unexplained == pytest.approx(belief.unexplained, abs=1e-9)
    assert {d.faults: d.probability for d in other.diagnoses} == pytest.approx(
        {d.faults: d.probability for d in belief.diagnoses}, abs=1e-10
    )


def test_one_fault_is_the_independent_model_given_at_most_one() -> None:
    many = small.model(
        LEAKY.replace("worn: {rate: 0.3}", "worn: {rate: 0.3}, cold: {rate: 0.2}, old: {rate: 0.1}")
    )
    one = replace(many, one_fault=True)
    read = {"light": "low"}
    believed_many, believed_one = Reasoner(many).believe(read), Reasoner(one).believe(read)
    single = {d.faults: d.probability for d in believed_many.diagnoses if len(d.faults) <= 1}
    total = sum(single.values())
    assert {d.faults: d.probability for d in believed_one.diagnoses} == pytest.approx(
        {faults: p / total for faults, p in single.items()}
    )
    assert believed_one.unlisted == pytest.approx(0, abs=1e-12)
    assert believed_one.none_modelled + sum(believed_one.faults.values()) == pytest.approx(1)


def test_a_component_is_suspect_when_any_of_its_faults_is() -> None:
    model = small.model(LEAKY.replace("worn: {rate: 0.3}", "worn: {rate: 0.3}, cold: {rate: 0.2}"))
    for one_fault in (False, True):
        belief = Reasoner(replace(model, one_fault=one_fault)).believe({"light": "low", "gauge": "normal"})
        table = oracle.table(belief.model, start({}))
        sets = table.set_chances(small.as_seen(belief.readings))
        assert belief.components["pump"] == pytest.approx(1 - sets.get(frozenset(), 0.0))
        assert belief.none_modelled == pytest.approx(sets.get(frozenset(), 0.0))


TWO_CHECKS = """
    components:
      pump: {faults: {worn: {rate: 0.5}}}
    checks:
      better: {reads: pump.worn, minutes: 5}
      worse: {reads: pump.worn, minutes: 5}
"""


def two_checks(prior: float, better: tuple[float, float], worse: tuple[float, float]) -> Belief:
    """The belief before two checks of one fault, with their chances of a miss and of a false alarm."""
    model = small.model(TWO_CHECKS)
    pump = model.components["pump"]
    worn = replace(pump.faults[0], rate=-math.log1p(-prior))
    errors = {"better": better, "worse": worse}
    checks = {
        name: replace(model.checks[name], miss=miss, false_alarm=false_alarm)
        for name, (miss, false_alarm) in errors.items()
    }
    changed = replace(model, components={"pump": replace(pump, faults=(worn,))}, checks=checks)
    return Reasoner(changed).believe({})


@given(st.floats(0.01, 0.9), st.floats(0, 0.45), st.floats(0, 0.45), st.floats(0, 1), st.floats(0, 1))
def test_a_more_reliable_check_is_never_worth_less(
    prior: float, miss: float, false_alarm: float, of_miss: float, of_alarm: float
) -> None:
    belief = two_checks(prior, (miss * of_miss, false_alarm * of_alarm), (miss, false_alarm))
    better, worse = belief.values["better"], belief.values["worse"]
    assert better.gain_bits[1] >= worse.gain_bits[1] - 1e-9
    assert better.gain_bits_marginal >= worse.gain_bits_marginal - 1e-9
    assert belief.rank_checks()[0].gain_bits[1] == max(better.gain_bits[1], worse.gain_bits[1])
