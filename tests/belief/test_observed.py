"""What people and scripts report, as readings at the moments of a timeline."""

from __future__ import annotations

from typing import Any

import pytest

from faultiso.base.problems import UsageError
from faultiso.belief.observed import conditions_of, observed, sign_of
from faultiso.belief.reasoner import Reasoner

from ..semantics import small

TUG = """
    conditions:
      motor: {values: [stopped, running]}
      brake: {values: [set, released]}
    situations:
      driving: {title: driving, set: {motor: running, brake: released}}
      idling: {title: idling, set: {motor: running}}
    components:
      pump: {faults: {worn: {rate: 0.2}}}
      lamp: {faults: {dead: {rate: 0.1}}}
    quantities:
      pressure:
        levels: [normal, low]
        unit: psi
        ranges: {normal: [900, 1100], low: [0, 700]}
        causes: [{fault: pump.worn, gives: {low: 0.9}}]
    indications:
      pressure_light:
        kind: light
        outcomes: [out, lit]
        rules:
          - {when: {lamp.dead: present}, then: out}
          - {when: {motor: stopped}, then: out}
          - {when: {pressure: low}, then: lit}
          - {then: out}
      gauge: {kind: gauge, reads: pressure, tolerance: 40}
    checks:
      lamp_test:
        minutes: 1
        outcomes: [bright, dark]
        rules: [{when: {lamp.dead: present}, then: dark}, {then: bright}]
"""
MODEL = small.model(TUG)


def readings(observations: Any, **settings: str) -> list[tuple[str, str, dict[str, str]]]:
    timeline, found = observed(MODEL, observations, {**MODEL.start, **settings})
    return [(r.sign, r.outcome, dict(timeline.moments[r.moment].conditions)) for r in found]


IDLING = {"motor": "running", "brake": "set"}
DRIVING = {"motor": "running", "brake": "released"}


def test_a_reading_belongs_to_now_or_to_its_situation() -> None:
    found = readings({"pressure_light@driving": "lit", "lamp_test": "bright", "gauge @ idling": "low"})
    assert found == [
        ("pressure_light", "lit", DRIVING),
        ("lamp_test", "bright", dict(MODEL.start)),
        ("gauge", "low", IDLING),
    ]


def test_the_situation_may_stand_behind_the_outcome() -> None:
    found = readings(
        [("pressure_light", "lit@driving"), ("gauge", "low @ idling"), ("gauge", "950 psi@driving")]
    )
    assert [(sign, conditions) for sign, _, conditions in found] == [
        ("pressure_light", DRIVING),
        ("gauge", IDLING),
        ("gauge", DRIVING),
    ]
    with pytest.raises(UsageError, match=r"no situation is called 'drivin'; nearest: driving"):
        observed(MODEL, {"pressure_light": "lit@drivin"}, MODEL.start)


def test_now_is_the_last_moment_whatever_was_named_before() -> None:
    timeline, found = observed(MODEL, {"gauge@driving": "low", "gauge@idling": "low"}, MODEL.start)
    assert [dict(moment.conditions) for moment in timeline.moments] == [DRIVING, IDLING, dict(MODEL.start)]
    assert [reading.moment for reading in found] == [0, 1]


def test_a_situation_that_is_now_makes_no_second_moment() -> None:
    timeline, found = observed(MODEL, {"gauge@idling": "low", "pressure_light": "lit"}, IDLING)
    assert len(timeline.moments) == 1
    assert [reading.moment for reading in found] == [0, 0]


def test_pairs_may_name_a_sign_twice() -> None:
    found = readings([("gauge@idling", "low"), ("gauge@driving", "normal")])
    assert [(sign, outcome) for sign, outcome, _ in found] == [("gauge", "low"), ("gauge", "normal")]


@pytest.mark.parametrize("nothing", [None, "nk", "not known", "NK"])
def test_not_known_is_no_evidence(nothing: str | None) -> None:
    assert readings({"gauge": nothing, "pressure_light": nothing}) == []
    reasoner = Reasoner(MODEL)
    assert reasoner.believe({"gauge": nothing}).faults == reasoner.believe({}).faults


def test_a_doubtful_reading_lies_between_both_answers() -> None:
    reasoner = Reasoner(MODEL)

    def worn(answer: Any) -> float:
        return reasoner.believe({"gauge@idling": answer}).faults["pump.worn"]

    assert worn({"low": 1.0}) == pytest.approx(worn("low"))
    assert worn({"low": 1.0, "normal": 1.0}) == pytest.approx(worn(None))
    assert worn("normal") < worn({"low": 0.5, "normal": 1.0}) < worn({"low": 1.0, "normal": 0.5})
    prior, evidence = worn(None), 4.0  # four times as likely if low than if normal
    low = reasoner.believe({}, situation="idling").values["gauge"].outcomes["low"]
    mixed = low * evidence / (low * evidence + 1 - low)
    assert worn({"low": 4.0, "normal": 1.0}) == pytest.approx(
        mixed * worn("low") + (1 - mixed) * worn("normal")
    )
    assert prior == pytest.approx(low * worn("low") + (1 - low) * worn("normal"))


def test_a_sign_may_be_called_by_its_title() -> None:
    model = small.model("""
        components: {pump: {faults: {worn: {rate: 0.2}}}}
        indications:
          lamp: {title: low-pressure light, kind: light, reads: pump.worn}
          horn: {title: twin, kind: sound, reads: pump.worn}
        checks:
          test: {title: twin, minutes: 1, reads: pump.worn}
    """)
    assert sign_of(model, "Low pressure light").name == sign_of(model, "lamp").name == "lamp"
    with pytest.raises(UsageError, match="no indication or check is called 'twin'"):
        sign_of(model, "twin")  # two are called so
    with pytest.raises(UsageError, match="nearest: lamp"):
        sign_of(model, "low presure light")


def test_a_check_that_swaps_units_can_only_be_told_step_by_step() -> None:
    """Read as if nothing had been swapped, it would speak for the very opposite."""
    model = small.model("""
        components: {a: {faults: {dead: {rate: 0.2}}}, b: {faults: {dead: {rate: 0.2}}}}
        indications: {lamp: {kind: light, reads: a.dead}}
        checks: {swap: {minutes: 5, reads: a.dead, swaps: [[a, b]]}}
    """)
    with pytest.raises(UsageError, match=r"swap swaps a with b, .* only step by step, in faultiso isolate"):
        observed(model, {"swap": "present"}, model.start)


WRONG = {
    "a sign that is not there": (
        {"presure_light": "lit"},
        r"no indication or check is called 'presure_light'; nearest: pressure_light",
    ),
    "a situation that is not there": (
        {"gauge@drivin": "low"},
        r"no situation is called 'drivin'; nearest: driving",
    ),
    "an outcome that is not there": (
        {"pressure_light": "lti"},
        r"pressure_light cannot be 'lti'; expected out, lit, or nk; nearest: lit",
    ),
    "an outcome of a gauge": ({"gauge": "lo"}, r"expected normal, low, a number in psi, or nk; nearest: low"),
    "a number where none is shown": ({"pressure_light": "12"}, r"cannot be '12'"),
    "two ways to read it": ({"gauge": "2,7"}, r"gauge: Does 2,7 mean 2.7 psi or 27 psi\?"),
    "a unit of another kind": ({"gauge": "12 V"}, r"gauge: V is not what is asked for"),
    "a likelihood below nought": ({"gauge": {"low": -1}}, r"a likelihood is a number from 0 up"),
    "a likelihood without bounds": ({"gauge": {"low": float("inf")}}, r"a likelihood is a number from 0 up"),
    "a likelihood that is none": ({"gauge": {"low": float("nan")}}, r"a likelihood is a number from 0 up"),
    "likelihoods that are all nought": ({"gauge": {"low": 0, "normal": 0}}, r"are all 0"),
    "a likelihood of nothing": ({"gauge": {"lo": 1}}, r"gauge cannot be 'lo'"),
}


@pytest.mark.parametrize("what", WRONG)
def test_what_is_wrong_is_told_with_what_is_right(what: str) -> None:
    observations, message = WRONG[what]
    with pytest.raises(UsageError, match=message):
        observed(MODEL, observations, MODEL.start)


def test_conditions_are_a_situation_and_what_differs() -> None:
    assert conditions_of(MODEL, {}) == dict(MODEL.start)
    assert conditions_of(MODEL, {"brake": "set"}, "driving") == IDLING


def test_wrong_conditions_are_told_with_what_is_right() -> None:
    with pytest.raises(UsageError, match=r"no condition is called 'moter'; nearest: motor"):
        conditions_of(MODEL, {"moter": "running"})
    with pytest.raises(UsageError, match=r"motor cannot be 'runing'; expected one of: stopped, running"):
        conditions_of(MODEL, {"motor": "runing"})
    with pytest.raises(UsageError, match=r"no situation is called 'idlin'; nearest: idling"):
        conditions_of(MODEL, {}, "idlin")


def test_the_others_are_normal_only_if_somebody_says_so() -> None:
    reasoner = Reasoner(MODEL)
    reported = {"gauge@idling": "low"}
    silent = reasoner.believe(reported)
    normal = reasoner.believe(reported, others="normal")
    assert [reading.sign for reading in silent.readings] == ["gauge"]
    assert [str(reading) for reading in normal.readings] == ["gauge = low", "pressure_light = out"]
    assert normal.faults["lamp.dead"] > silent.faults["lamp.dead"]
