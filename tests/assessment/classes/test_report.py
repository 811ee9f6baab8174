"""The whole report: a class of nobody, of one, of equals, and its record for programs."""

from __future__ import annotations

import json
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.classes.attention import Aside
from faultiso.assessment.classes.record import class_record
from faultiso.assessment.classes.report import class_report
from faultiso.assessment.outcome import Outcome
from faultiso.report.json_output import document
from tests.assessment.classes.made import RUBRIC, a_class, outcome
from tests.assessment.classes.test_findings import CLASSES

KEYS = {
    "class", "rubric", "pass_mark", "proposed", "graded", "passed", "mean", "confirmed", "people", "aside", "noted", "first", "teach",
    "talk", "spread", "tens", "cases", "reliability", "lost", "taken", "wasted", "missed", "aims", "confidence",
    "agreement", "earlier",
}  # fmt: skip


@given(CLASSES, st.randoms(use_true_random=False))
def test_the_order_of_the_logs_does_not_matter(work: list[Outcome], random: Random) -> None:
    other = list(work)
    random.shuffle(other)
    one, two = (document(class_record(class_report("Monday", each, RUBRIC))) for each in (work, other))
    assert one == two


@given(CLASSES)
def test_the_record_has_the_same_keys_always_and_its_figures_are_finite(work: list[Outcome]) -> None:
    data = json.loads(document(class_record(class_report("Monday", work, RUBRIC))))
    assert set(data) == KEYS | {"notice"}
    assert sum(len(person["cases"]) for person in data["people"]) == len(work) == data["graded"]
    low = [person["id"] for person in data["people"] if person["mark"] < 60]
    assert all(not person["passed"] for person in data["people"] if person["id"] in low)


def test_a_class_of_nobody() -> None:
    report = class_report("Monday", [], RUBRIC, aside=[Aside("a.jsonl", "altered", "line 3.")])
    assert (report.mean, report.spread, report.passed, report.graded) == (None, None, 0, 0)
    assert report.cases == report.lessons == report.talks == () and len(report.first) == 1
    assert report.reliability.value is None


def test_a_class_of_one() -> None:
    report = class_report("Monday", [outcome("14", mark=75)], RUBRIC)
    assert report.mean == pytest.approx(75) and report.passed == 1
    (case,) = report.cases
    assert case.discrimination.value is None and case.discrimination.note
    assert case.marks == pytest.approx((75,)) and report.spread is not None


def test_everybody_equal() -> None:
    report = class_report("Monday", [outcome(str(n), c, 70) for n in range(40) for c in "abcdef"], RUBRIC)
    assert report.reliability.note == "all have the same total"
    assert {case.discrimination.value for case in report.cases} == {None}
    assert report.tens[7] == 40 or report.tens[6] == 40


def test_names_are_those_of_the_roster_or_none() -> None:
    known = class_report("Monday", a_class(3), RUBRIC, lambda number: f"Name {number}")
    assert {person.name for person in known.people} == {"Name 1", "Name 2", "Name 3"}
    assert "Name" not in document(class_record(class_report("Monday", a_class(3), RUBRIC)))
