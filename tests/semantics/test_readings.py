"""Reading errors: when they are drawn, what they look like, and what repeated looks tell; figures by hand."""

from __future__ import annotations

import math

import pytest

from faultiso.belief.reasoner import Reasoner

from .small import at, begin, believe, doubtful, model, outcomes, prior, repaired, seen

FILTER = """
conditions:
  engine: {values: [stopped, idle]}
  door: {values: [shut, open]}
components:
  filter: {faults: {blocked: {rate: 0.1, source: invented}}}
  lamp: {faults: {dead: {rate: 0.02, source: invented}}}
checks:
  button: {reads: filter.blocked, minutes: 1, miss: 0.2, false_alarm: 0.05}
indications:
  caution:
    kind: light
    outcomes: [out, dim, lit]
    misread: 0.06
    rules:
      - {when: {engine: stopped}, then: out}
      - {when: {lamp.dead: present}, then: out}
      - {when: {filter.blocked: present}, then: lit}
      - {then: out}
repairs:
  change_filter: {clears: filter, minutes: 10, fails: 0.5}
  change_lamp: {clears: lamp, minutes: 10}
"""
P = prior(0.1)


def after(weight: float, looks: int = 1) -> float:
    """P(blocked) after so many independent looks with this likelihood ratio."""
    return P * weight**looks / (P * weight**looks + 1 - P)


def test_the_same_check_again_tells_nothing_new() -> None:
    filter_ = model(FILTER)
    once = believe(filter_, begin(filter_), seen("button", "present"))
    again = believe(filter_, begin(filter_), seen("button", "present"), seen("button", "present"))
    assert once.faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05))
    assert again.faults == pytest.approx(once.faults)
    assert again.surprise_bits == pytest.approx(0)


def test_another_person_draws_the_error_anew() -> None:
    filter_ = model(FILTER)
    other = (seen("button", "present"), seen("button", "present", draw=1))
    found = believe(filter_, begin(filter_), *other)
    assert found.faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05, looks=2))


def test_an_irrelevant_condition_gives_no_new_draw() -> None:
    filter_ = model(FILTER)
    opened = begin(filter_).then(at(filter_, door="open", engine="idle"))
    both = (seen("button", "present", 0), seen("button", "present", 1))
    assert believe(filter_, opened, *both).faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05))


def test_two_answers_for_one_look_contradict_and_both_are_named() -> None:
    filter_ = model(FILTER)
    opened = begin(filter_).then(at(filter_, door="open", engine="idle"))
    both = (seen("button", "present", 0), seen("button", "absent", 1))
    belief = believe(filter_, opened, seen("caution", "lit", 1), *both)
    assert not belief.possible
    assert set(belief.contradiction) == set(both)


def test_what_is_mentioned_but_makes_no_difference_gives_no_new_draw() -> None:
    """In both conditions the check shows the filter and nothing else, though one row asks for the lamp too."""
    filter_ = model("""
    conditions:
      engine: {values: [stopped, idle]}
    components:
      filter: {faults: {blocked: {rate: 0.1, source: invented}}}
      lamp: {faults: {dead: {rate: 0.02, source: invented}}}
    checks:
      button:
        outcomes: [absent, present]
        minutes: 1
        miss: 0.2
        false_alarm: 0.05
        rules:
          - {when: {engine: idle, lamp.dead: present, filter.blocked: present}, then: present}
          - {when: {filter.blocked: present}, then: present}
          - {then: absent}
    """)
    started = begin(filter_).then(at(filter_, engine="idle"))
    both = (seen("button", "present", 0), seen("button", "present", 1))
    assert believe(filter_, started, *both).faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05))


def test_an_unrelated_repair_gives_no_new_draw() -> None:
    filter_ = model(FILTER)
    lamp_changed = begin(filter_).after_work(repaired(filter_, "change_lamp"))
    both = (seen("button", "present", 0), seen("button", "present", 1))
    assert believe(filter_, lamp_changed, *both).faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05))


def test_a_repair_upstream_gives_a_new_draw() -> None:
    filter_ = model(FILTER)
    changed = begin(filter_).after_work(repaired(filter_, "change_filter"))
    found = believe(filter_, changed, seen("button", "present", 0), seen("button", "present", 1))
    stays, cured, never = P * 0.5 * 0.8 * 0.8, P * 0.5 * 0.8 * 0.05, (1 - P) * 0.05 * 0.05
    assert found.faults["filter.blocked"] == pytest.approx(stays / (stays + cured + never))


def test_what_was_read_is_known_when_it_is_read_again() -> None:
    filter_ = model(FILTER)
    opened = begin(filter_).then(at(filter_, door="open"))
    belief = believe(filter_, opened, seen("button", "present", 0))
    if "button" in belief.prospects:
        value = belief.values["button"]
        assert value.outcomes["present"] == pytest.approx(1)
        assert value.gain_bits == pytest.approx((0, 0))
        assert value.gain_bits_marginal == pytest.approx(0)


def test_a_doubtful_look_leaves_only_the_doubt_open() -> None:
    filter_ = model(FILTER)
    opened = begin(filter_).then(at(filter_, door="open"))
    found = outcomes(filter_, opened, "button", doubtful("button", 0, absent=0.5, present=1))
    present = P * 0.8 + (1 - P) * 0.05
    assert found["present"] == pytest.approx(present / (present + 0.5 * (1 - present)))


def test_an_inhibited_light_tells_nothing() -> None:
    filter_ = model(FILTER)
    stopped = begin(filter_)
    belief = believe(filter_, stopped)
    assert belief.values["caution"].gain_bits == pytest.approx((0, 0))
    assert belief.values["caution"].outcomes == pytest.approx({"out": 0.94, "dim": 0.03, "lit": 0.03})
    dark = believe(filter_, stopped, seen("caution", "out"))
    assert dark.faults == pytest.approx({"filter.blocked": P, "lamp.dead": prior(0.02)})
    opened = stopped.then(at(filter_, door="open"))
    twice = believe(filter_, opened, seen("caution", "out", 0), seen("caution", "out", 1))
    assert twice.log2_evidence == pytest.approx(math.log2(0.94))


def test_a_misreading_is_spread_evenly_over_the_other_outcomes() -> None:
    filter_ = model(FILTER)
    running = begin(filter_, engine="idle")
    lit = P * (1 - prior(0.02))
    found = outcomes(filter_, running, "caution")
    assert found["lit"] == pytest.approx(lit * 0.94 + (1 - lit) * 0.03)
    assert found["dim"] == pytest.approx(0.03)


def test_a_check_misses_to_quiet_and_alarms_evenly() -> None:
    gauge = model("""
    components:
      pump: {faults: {worn: {rate: 0.3, source: invented}, sheared: {rate: 0.2, source: invented}}}
    quantities:
      pressure:
        levels: [normal, low, none]
        rules:
          - {when: {pump.sheared: present}, then: none}
          - {when: {pump.worn: present}, then: low}
    checks:
      gauge: {reads: pressure, minutes: 1, miss: 0.1, false_alarm: 0.04}
    """)
    none = prior(0.2)
    low = (1 - none) * prior(0.3)
    normal = 1 - none - low
    assert outcomes(gauge, begin(gauge), "gauge") == pytest.approx(
        {
            "normal": 0.96 * normal + 0.1 * (low + none),
            "low": 0.02 * normal + 0.9 * low,
            "none": 0.02 * normal + 0.9 * none,
        }
    )


TWO_LIGHTS = """
components:
  pump: {faults: {worn: {rate: 0.1, source: invented}}}
quantities:
  heat: {levels: [cool, hot], causes: [{fault: pump.worn, gives: {hot: 0.9}}], leak: {hot: 0.2}}
checks:
  strip: {reads: heat, minutes: 1, miss: 0.1, false_alarm: 0.05}
  probe: {reads: heat, minutes: 1, miss: 0.1, false_alarm: 0.05}
"""


def test_conflict_of_readings_counts_the_same_look_once() -> None:
    """log2( product of P(reading) / P(all) ) (Jensen et al. 1991)."""
    pump = model(TWO_LIGHTS)
    hot = 1 - (1 - prior(0.1) * 0.9) * 0.8
    shows = hot * 0.9 + (1 - hot) * 0.05
    both = hot * 0.9 * 0.1 + (1 - hot) * 0.05 * 0.95
    against = (seen("strip", "hot"), seen("probe", "cool"), seen("strip", "hot"))
    expected = math.log2(shows * (1 - shows) / both)
    assert believe(pump, begin(pump), *against).surprise_bits == pytest.approx(expected)


def test_unexplained_is_the_chance_of_a_leak_or_an_error() -> None:
    pump = model(TWO_LIGHTS)
    p = prior(0.1)
    hot = 1 - (1 - p * 0.9) * 0.8
    evidence = hot * 0.9 + (1 - hot) * 0.05
    explained = p * 0.9 * 0.8 * 0.9  # hot by the fault, no leak, rightly read
    found = believe(pump, begin(pump), seen("strip", "hot"))
    assert found.unexplained == pytest.approx(1 - explained / evidence)


def test_nothing_is_explained_by_readings_that_only_an_error_can_make() -> None:
    pump = model(TWO_LIGHTS.replace(", leak: {hot: 0.2}", ""))
    found = believe(pump, begin(pump), seen("strip", "hot"), seen("probe", "cool"))
    assert found.unexplained == pytest.approx(1)


@pytest.mark.parametrize("first", [0, 1])
def test_the_order_of_two_statements_about_one_look_does_not_matter(first: int) -> None:
    filter_ = model(FILTER)
    said = [seen("button", "present"), doubtful("button", absent=0.5, present=1)]
    found = believe(filter_, begin(filter_), said[first], said[1 - first])
    assert found.faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05))


def test_a_reading_from_another_situation_is_one_from_an_earlier_moment() -> None:
    text = FILTER.replace(
        "components:", "situations:\n  running: {title: running, set: {engine: idle}}\ncomponents:"
    )
    filter_ = model(text)
    found = Reasoner(filter_).believe({"button": "present", "caution@running": "lit", "caution": None})
    timeline = begin(filter_, engine="idle").then(at(filter_))
    expected = believe(filter_, timeline, seen("caution", "lit", 0), seen("button", "present", 1))
    assert found.faults == pytest.approx(expected.faults)
    assert found.faults["filter.blocked"] > after(0.8 / 0.05)


def test_indications_that_were_looked_at_and_normal_count_as_read() -> None:
    filter_ = model(FILTER)
    found = Reasoner(filter_).believe({"button": "present"}, {"engine": "idle"}, others="normal")
    both = (seen("button", "present"), seen("caution", "out"))
    assert found.faults == pytest.approx(believe(filter_, begin(filter_, engine="idle"), *both).faults)
    unknown = Reasoner(filter_).believe({"button": "present"}, {"engine": "idle"})
    assert unknown.faults["filter.blocked"] == pytest.approx(after(0.8 / 0.05))
