"""What is computed of a case is computed once, and only what is asked for."""

from __future__ import annotations

import math

import pytest

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.checking import check_case
from faultiso.casebook.findings import Numbers
from tests.casebook.frame import DARK, case_of, lamp


def test_numbers_are_those_of_the_findings() -> None:
    case, model = case_of(DARK)
    numbers = Numbers(case, model, Reasoner(model))
    found = check_case(case, model).findings
    assert found is not None and found.difficulty is not None
    assert math.exp(numbers.log_complaint) == pytest.approx(found.complaint_given_truth)
    assert numbers.alike == found.alike
    assert numbers.difficulty == found.difficulty and numbers.difficulty is numbers.difficulty
    assert numbers.unexplained == pytest.approx(found.unexplained)


def test_a_complaint_that_can_not_be_has_no_difficulty() -> None:
    case, _ = case_of(
        DARK, ("[wire.broken]", "[]"), ("[single]", "[nothing wrong]"), ("rectified", "no fault found")
    )
    sure = lamp(("misread: 0.01", "misread: 0"), ("    leak: {low: 0.02}\n", ""))
    assert Numbers(case, sure, Reasoner(sure)).difficulty is None
