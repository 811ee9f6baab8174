"""P(complaint | truth) against sums by hand, on a model with a leak, a noisy cause and an intermittent fault."""

from __future__ import annotations

import math
from itertools import chain, combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.belief.evidence import Reading
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.chances import Given, chance_of_set
from faultiso.casebook.complaint import AT_WORK, complaint, with_pins
from faultiso.network.timeline import Timeline, moment
from tests.casebook.frame import DARK, case_of, lamp

MODEL = lamp()
REASONER = Reasoner(MODEL)
LIT = moment(MODEL.situations["lit"].values)
DRIVE = moment(MODEL.situations["drive"].values)
PARKED = moment(MODEL.situations["parked"].values)
SETS = [*chain.from_iterable(combinations(MODEL.faults, n) for n in range(len(MODEL.faults) + 1))]


def of_glow(shown: str, faults: tuple[str, ...], shaken: bool) -> float:
    """P(the light shows this | exactly these faults, power on), misread 1 in 100, evenly among the others."""
    if {"wire.broken", "switch.stuck"} & set(faults):
        true = {"none": 1.0}
    else:
        quiet = 0.98 * (0.3 if "bulb.aged" in faults else 1.0)
        quiet *= 0.5 if "bulb.loose" in faults and shaken else 1.0
        true = {"full": quiet, "low": 1.0 - quiet}
    return sum(p * (0.99 if level == shown else 0.005) for level, p in true.items())


def of_bulb_test(shown: str, faults: tuple[str, ...]) -> float:
    found = 0.95 if "bulb.aged" in faults else 0.02
    return found if shown == "present" else 1.0 - found


@given(
    st.sampled_from(SETS),
    st.sampled_from(["full", "low", "none"]),
    st.sampled_from(["absent", "present"]),
    st.booleans(),
)
def test_readings_given_faults(faults: tuple[str, ...], glow: str, bulb: str, shaken: bool) -> None:
    timeline = Timeline((DRIVE if shaken else LIT, PARKED))
    readings = (Reading("glow", glow, moment=0), Reading("bulb_test", bulb, moment=1))
    chance = math.exp(Given(REASONER, faults, timeline).log_chance(readings))
    assert chance == pytest.approx(of_glow(glow, faults, shaken) * of_bulb_test(bulb, faults), rel=1e-9)


@given(st.sampled_from(["full", "low", "none"]), st.sampled_from(["full", "low", "none"]))
def test_all_sets_together_give_the_chance_of_the_readings(first: str, second: str) -> None:
    timeline = Timeline((DRIVE, LIT))
    readings = (Reading("glow", first, moment=0), Reading("glow", second, moment=1))
    prior = REASONER.belief(timeline, ())
    total = sum(
        chance_of_set(prior, faults) * math.exp(Given(REASONER, faults, timeline).log_chance(readings))
        for faults in SETS
    )
    belief = REASONER.belief(timeline, readings)
    assert total == pytest.approx(math.exp(belief.now.log_evidence), rel=1e-9)
    assert sum(chance_of_set(belief, faults) for faults in SETS) == pytest.approx(1.0, abs=1e-9)


def test_a_complaint_has_a_moment_for_each_report_and_one_for_now() -> None:
    case, model = case_of(
        DARK,
        (
            "seen: {situation: lit, reports: {glow: none}}",
            "seen: [{situation: lit, reports: {glow: none}}, {situation: drive, reports: {glow: nk}, others: normal}]",
        ),
    )
    told = complaint(case, model)
    assert told.timeline.moments == (LIT, DRIVE, PARKED)
    assert told.readings == (
        Reading("glow", "none", moment=0),
    )  # what was not looked at is not normal either


def test_if_nothing_has_changed_now_is_the_last_report() -> None:
    case, model = case_of(DARK, ("now: {situation: parked}", "now: {situation: lit}"))
    assert complaint(case, model).timeline.moments == (LIT,)


def test_others_normal_are_as_they_are_there() -> None:
    case, model = case_of(DARK, ("{glow: none}", "{bulb_test: absent}, others: normal"))
    assert complaint(case, model).readings == (Reading("bulb_test", "absent"), Reading("glow", "full"))


def test_pins_are_read_by_the_person_at_work_and_share_a_visit() -> None:
    pins = "pins: [{situation: lit, shows: {glow: none}}, {shows: {bulb_test: absent}}, {differs: {power: on}, shows: {bulb_test: absent}}]"
    case, model = case_of(DARK, ('version: "1"', f'version: "1"\n{pins}'))
    timeline, pinned = with_pins(case, model, complaint(case, model))
    assert timeline.moments == (LIT, PARKED, LIT)
    assert [reading.moment for (reading,) in pinned] == [2, 1, 2]
    assert all(reading.draw == AT_WORK for (reading,) in pinned)
