"""What ``case check`` states and refuses: complaint, pins, what lies beyond the model, the way to the end."""

from __future__ import annotations

import math

import pytest

from faultiso.casebook.checking import Checked, check_case
from faultiso.casebook.repairing import Stuck, Way, repairs_for, sheet_for, unrepairable, way_out
from faultiso.model.effort import Standing
from tests.casebook.frame import DARK, SMALL, Change, case_of, lamp

_LAST = 'version: "1"'


def checked(*changes: Change) -> Checked:
    return check_case(*case_of(DARK, *changes))


def pinned(pins: str, *changes: Change) -> Checked:
    return checked((_LAST, f"{_LAST}\npins: {pins}"), *changes)


def codes(found: Checked) -> list[tuple[str, str]]:
    return [(problem.code, problem.severity) for problem in found.problems]


def test_a_right_case() -> None:
    found = checked()
    assert found.problems == ()
    findings = found.findings
    assert findings is not None
    assert findings.complaint_given_truth == pytest.approx(0.99)
    assert (findings.rank, findings.rank_is_exact) == (1, True)
    assert findings.way == Way(("replace_wire",), 24)  # cover 1, wire 20, power 1, proof 2


def test_the_truth_may_be_a_later_explanation() -> None:
    findings = checked(("[wire.broken]", "[switch.stuck]")).findings
    assert findings is not None and findings.rank == 2


def test_a_complaint_that_the_truth_does_not_give() -> None:
    """Misread once is 0.005; three times together are too few."""
    once = "{situation: lit, reports: {glow: none}}"
    often = f"seen: [{once}, {{situation: drive, reports: {{glow: none}}}}]"
    found = checked((f"seen: {once}", often), ("[wire.broken]", "[bulb.aged]"))
    assert ("complaint", "error") in codes(found)
    assert codes(checked(("[wire.broken]", "[bulb.aged]"))) == []


def test_a_pin_that_cannot_be() -> None:
    sure = lamp(("misread: 0.01", "misread: 0"))
    case, _ = case_of(DARK, (_LAST, f"{_LAST}\npins: {{situation: lit, shows: {{glow: full}}}}"))
    found = check_case(case, sure)
    assert ("pin", "error") in codes(found)
    assert found.findings is not None and found.findings.pins == (0.0,)


def test_an_improbable_pin_and_a_probable_one() -> None:
    found = pinned("[{situation: lit, shows: {glow: none}}, {situation: drive, shows: {glow: full}}]")
    assert codes(found) == [("unexplained", "warning"), ("pin", "warning")]
    assert found.findings is not None
    assert found.findings.pins == pytest.approx((0.99, 0.005))


def test_pins_that_cannot_be_together() -> None:
    """The same look in the same visit is one draw: it cannot show two things."""
    two = "[{shows: {bulb_test: absent}}, {shows: {bulb_test: present}}]"
    found = pinned(two)
    (problem,) = [p for p in found.problems if p.code == "pin"]
    assert problem.severity == "error" and "and the pins before it" in problem.message


def test_beyond_the_model_must_look_unexplained() -> None:
    beyond = (
        ("[wire.broken]", "[]"), ("[single]", "[beyond the model]"),
        ("right_end: rectified", "right_end: refer\nbeyond_model: yes"),
    )  # fmt: skip
    assert codes(checked(*beyond)) == [("beyond_model", "error")]
    strange = "[{situation: lit, shows: {glow: full}}, {situation: drive, shows: {glow: none}}]"
    found = pinned(strange, *beyond)
    assert found.problems == ()
    assert found.findings is not None and found.findings.unexplained > 0.5 and found.findings.way is None


def test_what_looks_unexplained_without_being_so_is_warned_of() -> None:
    """Dim, and the bulb is not aged: a leak, which is what the model does not know, or a check that missed."""
    found = checked(("{glow: none}", "{glow: low, bulb_test: absent}"), ("[wire.broken]", "[bulb.aged]"))
    assert codes(found) == [("unexplained", "warning")]


def test_reports_that_contradict_each_other() -> None:
    sure = lamp(("misread: 0.01", "misread: 0"))
    two = "seen: [{situation: parked, reports: {glow: full}}]"
    case, _ = case_of(DARK, ("seen: {situation: lit, reports: {glow: none}}", two))
    found = check_case(case, sure)
    assert found.findings is None and codes(found) == [("contradiction", "error")]


def test_an_end_that_cannot_be_reached() -> None:
    case, _ = case_of(DARK)
    fixed = lamp(("power: {values: [off, on]}", "power: {values: [off, on], settable: no}"))
    found = check_case(case, fixed)
    (problem,) = found.problems
    assert problem.code == "solvable" and "proof of replace_" in problem.message


def test_a_prescribed_check_that_cannot_be_made() -> None:
    case, _ = case_of(DARK, (_LAST, f"{_LAST}\nprescribed_order: [bulb_test, wire_check]"))
    assert check_case(case, lamp()).problems == ()
    closed = lamp(("{values: [closed, open], must_restore: yes}", "{values: [closed, open], settable: no}"))
    found = [problem for problem in check_case(case, closed).problems if problem.code == "solvable"]
    assert [problem.where for problem in found] == [case.place("prescribed_order", 1)]


def test_a_number_counts_as_its_level() -> None:
    by_number, by_word = (
        check_case(*case_of(SMALL, ("gauge_reading: 1900 psi", f"gauge_reading: {answer}"))).findings
        for answer in ("1900 psi", "normal")
    )
    assert by_number is not None and by_word is not None
    assert math.isclose(by_number.complaint_given_truth, by_word.complaint_given_truth, rel_tol=0.02)


def test_the_way_out() -> None:
    model = lamp()
    now = Standing(model.situations["parked"].values)
    assert [repair.name for repair in repairs_for(model, "wire.broken")] == ["replace_wire", "replace_all"]
    assert way_out(model, ("wire.broken", "bulb.aged"), now) == Way(("replace_wire", "replace_bulb"), 27)
    assert way_out(model, (), now) == Way((), 0.0)


def test_what_stands_against_it() -> None:
    model = lamp(("replace_switch: {clears: switch", "replace_switch: {clears: []"))
    now = Standing(model.situations["parked"].values)
    assert way_out(model, ("switch.stuck",), now) == Way(("replace_all",), 41)
    useless = lamp(("replace_switch: {clears: switch", "replace_switch: {clears: switch, fails: 1"))
    assert way_out(useless, ("switch.stuck",), now) == Way(("replace_all",), 41)
    without = lamp(("clears: switch,", "clears: [],"), ("clears: [wire, switch]", "clears: wire, fails: 1"))
    assert unrepairable(without, ("switch.stuck", "wire.broken")) == ["switch.stuck"]
    assert way_out(without, ("switch.stuck",), now) == Stuck("no repair clears switch.stuck")
    one_way = (
        "values: [closed, open], must_restore: yes",
        "values: [closed, open], must_restore: yes, to: {closed: {needs: {road: rough}}}",
    )
    stuck = way_out(lamp(one_way, ("clears: [wire, switch]", "clears: switch")), ("wire.broken",), now)
    assert stuck == Stuck("cover could not be restored at the end")


def test_the_sheet() -> None:
    model = lamp()
    line = sheet_for(model, ["bulb.aged"])
    assert line is not None and line.name == "dim"
    assert sheet_for(model, ["bulb.aged", "wire.broken"]) is None
    assert sheet_for(lamp(("covers: [bulb.aged]", "covers: [bulb.aged], allowed: no")), ["bulb.aged"]) is None
