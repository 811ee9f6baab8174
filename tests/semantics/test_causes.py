"""How faults, causes, leaks and decision tables make levels and outcomes; figures worked out by hand."""

from __future__ import annotations

import pytest

from .small import at, begin, believe, model, outcomes, prior, repaired, seen

PUMP = """
conditions:
  engine: {values: [stopped, idle, power]}
components:
  pump: {faults: {worn: {rate: 0.2, source: invented}, scored: {rate: 0.1, source: invented}}}
quantities:
  heat:
    levels: [cool, warm, hot]
    rules:
      - {when: {engine: stopped}, then: cool}
    causes:
      - fault: pump.worn
        cases:
          - {when: {engine: idle}, gives: {warm: 0.5, hot: 0.2}}
          - {gives: {warm: 0.3, hot: 0.6}}
      - {fault: pump.scored, gives: {hot: 0.4}}
    leak: {warm: 0.05, hot: 0.01}
indications:
  strip: {kind: gauge, reads: heat}
checks:
  look: {reads: pump.worn, minutes: 1}
  look_scored: {reads: pump.scored, minutes: 1}
"""


def test_several_causes_and_the_leak_are_a_noisy_max() -> None:
    """P(at most a level) is the product over what acts (Diez 1993)."""
    pump = model(PUMP)
    both = (seen("look", "present"), seen("look_scored", "present"))
    found = outcomes(pump, begin(pump, engine="idle"), "strip", *both)
    at_most_cool, at_most_warm = 0.3 * 0.6 * 0.94, 0.8 * 0.6 * 0.99
    assert found["cool"] == pytest.approx(at_most_cool)
    assert found["warm"] == pytest.approx(at_most_warm - at_most_cool)
    assert found["hot"] == pytest.approx(1 - at_most_warm)


def test_the_first_row_that_matches_wins() -> None:
    pump = model(PUMP)
    assert outcomes(pump, begin(pump), "strip") == pytest.approx({"cool": 1})


def test_a_worn_pump_that_heats_at_idle_heats_at_power() -> None:
    """One number for each cause: 0.9 of the pumps at power are the 0.7 of idle and 0.2 more."""
    pump = model(PUMP.replace("leak: {warm: 0.05, hot: 0.01}", ""))
    timeline = begin(pump, engine="idle").then(at(pump, engine="power"))
    known = (seen("look", "present"), seen("look_scored", "absent"))
    assert outcomes(pump, timeline, "strip", *known) == pytest.approx({"cool": 0.1, "warm": 0.3, "hot": 0.6})
    hot_at_idle = outcomes(pump, timeline, "strip", *known, seen("strip", "hot"))
    assert hot_at_idle == pytest.approx({"hot": 1})
    warm_at_idle = outcomes(pump, timeline, "strip", *known, seen("strip", "warm"))
    assert warm_at_idle == pytest.approx({"hot": 0.4 / 0.5, "warm": 0.1 / 0.5})
    cool_at_idle = outcomes(pump, timeline, "strip", *known, seen("strip", "cool"))
    assert cool_at_idle == pytest.approx({"warm": 0.2 / 0.3, "cool": 0.1 / 0.3})


def test_a_leak_that_is_there_stays_there() -> None:
    pump = model(PUMP)
    timeline = begin(pump, engine="idle").then(at(pump, engine="power"))
    known = (seen("look", "absent"), seen("look_scored", "absent"), seen("strip", "warm"))
    assert outcomes(pump, timeline, "strip", *known) == pytest.approx({"warm": 1})


def test_a_quantity_as_a_cause_answers_by_its_level() -> None:
    chain = model("""
    components:
      filter: {faults: {blocked: {rate: 0.3, source: invented}}}
    quantities:
      flow: {levels: [full, reduced, none], causes: [{fault: filter.blocked, gives: {reduced: 0.5, none: 0.3}}]}
      pressure:
        levels: [normal, low]
        causes: [{quantity: flow, gives: {reduced: {low: 0.4}, none: {low: 0.9}}}]
    checks:
      gauge: {reads: pressure, minutes: 1}
      flow_meter: {reads: flow, minutes: 1}
    """)
    now, p = begin(chain), prior(0.3)
    assert outcomes(chain, now, "gauge")["low"] == pytest.approx(p * (0.5 * 0.4 + 0.3 * 0.9))
    assert outcomes(chain, now, "gauge", seen("flow_meter", "reduced"))["low"] == pytest.approx(0.4)


SECONDARY = """
components:
  bearing: {faults: {worn: {rate: 0.1, source: invented}}}
  seal: {faults: {cut: {rate: 0.05, source: invented, caused_by: {bearing.worn: 0.4}}}}
checks:
  look_bearing: {reads: bearing.worn, minutes: 1}
  look_seal: {reads: seal.cut, minutes: 1}
repairs:
  change_bearing: {clears: bearing, minutes: 10}
"""


def test_secondary_damage_comes_with_its_cause_or_by_itself() -> None:
    pair = model(SECONDARY)
    worn, cut = prior(0.1), prior(0.05)
    with_cause = 1 - (1 - cut) * 0.6
    belief = believe(pair, begin(pair))
    assert belief.faults["seal.cut"] == pytest.approx(worn * with_cause + (1 - worn) * cut)
    found = believe(pair, begin(pair), seen("look_seal", "present"))
    assert found.faults["bearing.worn"] == pytest.approx(
        worn * with_cause / (worn * with_cause + (1 - worn) * cut)
    )


def test_secondary_damage_outlives_the_repair_of_its_cause() -> None:
    pair = model(SECONDARY)
    timeline = begin(pair).after_work(repaired(pair, "change_bearing"))
    found = believe(pair, timeline, seen("look_bearing", "present", 0))
    assert found.faults["bearing.worn"] == 0
    assert found.faults["seal.cut"] == pytest.approx(1 - (1 - prior(0.05)) * 0.6)


def test_certain_secondary_damage_never_comes_alone() -> None:
    pair = model(SECONDARY.replace("rate: 0.05", "rate: 0").replace("0.4}", "1.0}"))
    worn = prior(0.1)
    belief = believe(pair, begin(pair))
    sets = {diagnosis.faults: diagnosis.probability for diagnosis in belief.diagnoses}
    assert sets == pytest.approx({(): 1 - worn, ("bearing.worn", "seal.cut"): worn})


def test_one_fault_weighs_each_by_its_odds() -> None:
    text = """
    assume: one fault
    components:
      a: {faults: {x: {rate: 0.2, source: invented}, y: {rate: 0.1, source: invented}}}
      b: {faults: {z: {rate: 0.5, source: invented}}}
    quantities:
      level:
        levels: [full, low]
        causes: [{fault: a.x, gives: {low: 0.5}}, {fault: b.z, gives: {low: 0.8}}]
        leak: {low: 0.1}
    checks:
      stick: {reads: level, minutes: 1}
      look: {reads: a.y, minutes: 1}
    """
    one = model(text)
    odds = {"a.x": 0.2, "a.y": 0.1, "b.z": 0.5}
    odds = {name: prior(rate) / (1 - prior(rate)) for name, rate in odds.items()}
    total = 1 + sum(odds.values())
    belief = believe(one, begin(one))
    assert belief.faults == pytest.approx({name: odd / total for name, odd in odds.items()})
    assert belief.none_modelled == pytest.approx(1 / total)
    assert {len(diagnosis.faults) for diagnosis in belief.diagnoses} == {0, 1}
    low = {"a.x": odds["a.x"] * 0.55, "a.y": odds["a.y"] * 0.1, "b.z": odds["b.z"] * 0.82}
    found = believe(one, begin(one), seen("stick", "low"))
    assert found.faults == pytest.approx({f: part / (0.1 + sum(low.values())) for f, part in low.items()})


def test_independent_faults_can_be_there_together() -> None:
    pump = model(PUMP)
    belief = believe(pump, begin(pump))
    sets = {diagnosis.faults: diagnosis.probability for diagnosis in belief.diagnoses}
    assert sets["pump.scored", "pump.worn"] == pytest.approx(prior(0.2) * prior(0.1))
    assert belief.components["pump"] == pytest.approx(1 - (1 - prior(0.2)) * (1 - prior(0.1)))


def test_work_may_leave_a_second_fault_in_a_model_of_one_fault() -> None:
    refit = "  refit: {clears: [], minutes: 5, may_leave: {seal.cut: 0.25}}\n"
    one = model("assume: one fault\n" + SECONDARY + refit)
    belief = believe(one, begin(one).after_work(repaired(one, "refit")))
    worn, cut = (prior(rate) / (1 - prior(rate)) for rate in (0.1, 0.05))
    total = 1 + worn + cut
    sets = {diagnosis.faults: diagnosis.probability for diagnosis in belief.diagnoses}
    assert sets == pytest.approx(
        {
            (): 0.75 / total,
            ("bearing.worn",): 0.75 * worn / total,
            ("seal.cut",): (cut + 0.25) / total,
            ("bearing.worn", "seal.cut"): 0.25 * worn / total,
        }
    )


TWINS = """
components:
  valve: {faults: {stuck: {rate: 0.3, source: invented}, bent: {rate: 0.2, source: invented}}}
quantities:
  flow:
    levels: [full, low]
    causes: [{fault: valve.stuck, gives: {low: 0.5}}, {fault: valve.bent, gives: {low: 0.5}}]
  left_level: {levels: [full, low], leak: {low: 0.2}, causes: [{fault: valve.stuck, gives: {low: 0.1}}]}
  right_level: {levels: [full, low], leak: {low: 0.2}, causes: [{fault: valve.bent, gives: {low: 0.1}}]}
checks:
  look_stuck: {reads: valve.stuck, minutes: 1}
  look_bent: {reads: valve.bent, minutes: 1}
  flow_meter: {reads: flow, minutes: 1}
  left_glass: {reads: left_level, minutes: 1}
  right_glass: {reads: right_level, minutes: 1}
"""


def test_each_cause_has_its_own_number_and_each_quantity_its_own_leak() -> None:
    twins = model(TWINS)
    both = (seen("look_stuck", "present"), seen("look_bent", "present"))
    assert outcomes(twins, begin(twins), "flow_meter", *both)["low"] == pytest.approx(0.75)
    none = (seen("look_stuck", "absent"), seen("look_bent", "absent"), seen("left_glass", "low"))
    assert outcomes(twins, begin(twins), "right_glass", *none)["low"] == pytest.approx(0.2)
