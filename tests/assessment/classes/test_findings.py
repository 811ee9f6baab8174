"""Figures and findings of a class, against counting by hand."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.classes.figures import case_figures, confidence, reliability, tens
from faultiso.assessment.classes.findings import aims, missed_precautions, taken_for, wasted_checks
from faultiso.assessment.classes.people import people_of, sessions
from faultiso.assessment.outcome import Outcome
from tests.assessment.classes.made import OTHER, a_class, outcome

CLASSES = st.builds(a_class, st.integers(0, 25), st.integers(0, 10_000))


@given(CLASSES)
def test_every_case_has_the_marks_of_those_who_worked_it(work: list[Outcome]) -> None:
    people = people_of(work)
    cases = case_figures(people)
    assert [case.name for case in cases] == sorted({each.grade.case for each in work})
    for case in cases:
        totals = sorted(each.grade.total for each in work if each.grade.case == case.name)
        assert case.marks == pytest.approx(totals)
        assert case.passed == sum(each.grade.passed for each in work if each.grade.case == case.name)
        assert case.difficulty.value == pytest.approx(sum(totals) / len(totals) / 100)
        assert case.quartiles is not None and case.quartiles.count == len(totals)
    assert sum(tens(people)) == len(people)


@given(CLASSES)
def test_findings_count_people_times_and_minutes(work: list[Outcome]) -> None:
    people = people_of(work)
    for each in wasted_checks(people):
        found = [(o.grade.candidate, f.minutes) for o in work for f in o.wasted if f.title == each.title]
        assert (each.times, each.minutes) == (len(found), pytest.approx(sum(m for _, m in found)))
        assert each.people == len({who for who, _ in found})
    minutes = [each.minutes for each in wasted_checks(people)]
    assert minutes == sorted(minutes, reverse=True)
    counts = Counter(missed for o in work for missed in o.missed)
    assert {(each.title, each.critical): each.times for each in missed_precautions(people)} == counts
    assert sum(taken.count for taken in taken_for(people)) == len(work)
    for aim in aims(people):
        theirs = [o for o in work if aim.name in o.aims]
        assert aim.sessions == len(theirs) and 0 <= aim.well <= aim.sessions
        assert aim.mean == pytest.approx(sum(o.grade.total for o in theirs) / len(theirs))


@given(CLASSES)
def test_confidence_has_every_statement_in_one_band(work: list[Outcome]) -> None:
    people = people_of(work)
    stated = [pair for each in sessions(people) for pair in each.grade.stated]
    found = confidence(people)
    assert sum(band.count for band in found.bands) == len(stated)
    if stated:
        assert found.score.value == pytest.approx(sum((p - so) ** 2 for p, so in stated) / len(stated))


def test_critical_precautions_come_first_and_units_taken_for_others_too() -> None:
    work = [
        outcome("1", missed=[("fluid", False), ("fluid", False), ("arc", True)]),
        outcome("2", named=[OTHER]),
        outcome("3"),
    ]
    assert [each.title for each in missed_precautions(people_of(work))] == ["arc", "fluid"]
    first, second = taken_for(people_of(work))
    assert not first.right and first.named == (OTHER,) and second.right and second.count == 2


def test_an_aim_goes_well_only_without_a_unit_off_for_nothing_and_a_critical_precaution_left_out() -> None:
    work = [
        outcome("1"),
        outcome("2", good_unit=True),
        outcome("3", missed=[("arc", True)]),
        outcome("4", gates=["left open"]),
        outcome("5", named=[OTHER]),
        outcome("6", missed=[("fluid", False)]),
    ]
    (aim,) = aims(people_of(work))
    assert (aim.sessions, aim.well, aim.mastery) == (6, 2, pytest.approx(1 / 3))


def test_marks_at_the_ends_of_the_scale_have_a_place() -> None:
    people = people_of(
        [outcome("1", mark=0), outcome("2", mark=100), outcome("3", mark=9.99), outcome("4", mark=10)]
    )
    assert tens(people) == (2, 1, 0, 0, 0, 0, 0, 0, 0, 1)


def test_reliability_says_why_where_it_can_not_be_said() -> None:
    assert reliability(people_of([])).note == "too few to say (0 cases)"
    assert reliability(people_of(a_class(30))).note == "too few to say (3 cases)"
    six = [f"case-{n}" for n in range(6)]
    equal = [outcome(str(n), case, 70) for n in range(12) for case in six]
    assert reliability(people_of(equal)).note == "all have the same total"
    able = [outcome(str(n), case, 30 + 5 * n + k) for n in range(12) for k, case in enumerate(six)]
    found = reliability(people_of(able))
    assert found.value == pytest.approx(1) and "only 12 people" in found.note


def test_discrimination_is_with_the_other_cases() -> None:
    """One case goes against the others: those who are good elsewhere are bad there."""
    work = [outcome(str(n), case, 40 + 4 * n) for n in range(12) for case in ("a", "b")]
    work += [outcome(str(n), "c", 90 - 4 * n) for n in range(12)]
    values = {case.name: case.discrimination.value for case in case_figures(people_of(work))}
    assert values["c"] == pytest.approx(-1)
