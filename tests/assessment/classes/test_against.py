"""An instructor's own marks, and an earlier class, beside the proposed ones."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.classes.against import agreement
from faultiso.assessment.classes.earlier import read_earlier
from faultiso.assessment.classes.people import people_of
from faultiso.assessment.classes.record import class_record
from faultiso.assessment.classes.report import class_report
from faultiso.base.problems import UsageError
from faultiso.report.json_output import document
from tests.assessment.classes.made import RUBRIC, a_class, outcome


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), min_size=1, max_size=20))
def test_pairs_and_their_mean_difference(marks: list[tuple[float, float]]) -> None:
    people = people_of(outcome(str(n), "a", proposed) for n, (proposed, _) in enumerate(marks))
    blind = {(str(n), "a"): own for n, (_, own) in enumerate(marks)}
    found = agreement(people, {**blind, ("999", "a"): 50.0}, 60)
    assert found.missing == (("999", "a"),) and len(found.pairs) == len(marks)
    assert found.difference == pytest.approx(sum(p - own for p, own in marks) / len(marks), abs=1e-9)
    apart = sorted(abs(pair.difference) for pair in found.far)
    assert apart == pytest.approx(sorted(d for d in (abs(p - own) for p, own in marks) if d >= 10))


def test_the_same_marks_agree_fully_and_bands_part_at_the_pass_mark() -> None:
    people = people_of(outcome(str(n), "a", mark) for n, mark in enumerate((10, 50, 59.9, 60, 79.9, 80, 100)))
    found = agreement(people, {(p.id, "a"): p.mark for p in people}, 60)
    assert found.bands == ("0 to 40", "40 to 60", "60 to 80", "80 to 100")
    assert found.kappa.value == pytest.approx(1) and found.difference == 0 and found.far == ()


def test_a_mark_without_a_case_is_that_of_the_person() -> None:
    people = people_of([outcome("1", "a", 50), outcome("1", "b", 90), outcome("")])
    (pair,) = agreement(people, {("1", ""): 75.0, ("", "a"): 3.0}, 60).pairs
    assert (pair.case, pair.proposed) == ("", pytest.approx(70))


@pytest.mark.parametrize("pass_mark", [0, 100])
def test_any_pass_mark_has_bands(pass_mark: float) -> None:
    found = agreement(people_of([outcome("1", "a", 100)]), {("1", "a"): 0.0}, pass_mark)
    assert len(found.pairs) == 1 and found.kappa.note


def test_nobody_marked_is_said_not_computed() -> None:
    found = agreement(people_of([outcome("1")]), {}, 60)
    assert found.difference is None and found.kappa.value is None and found.kappa.note


def written(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def test_an_earlier_class_is_read_from_its_record(tmp_path: Path) -> None:
    report = class_report("Sunday", a_class(9), RUBRIC)
    found = read_earlier(written(tmp_path / "sunday.json", document(class_record(report))))
    assert (found.title, found.rubric, found.people) == ("Sunday", "default", len(report.people))
    assert found.passed == report.passed and found.mean == pytest.approx(report.mean, abs=0.06)
    assert {name: n for name, (n, _) in found.cases.items()} == {c.name: len(c.marks) for c in report.cases}


WRONG = [
    "", "[]", "{", "null", "7", '{"people": 3}', "[" * 100_000, '{"class": "x", "rubric": "y", "people": [{}], "cases": []}',
    '{"class": "x", "rubric": "y", "people": [{"mark": NaN, "passed": true}], "cases": []}',
    '{"class": "x", "rubric": "y", "people": [{"mark": 1e999, "passed": true}], "cases": []}',
    '{"class": "x", "rubric": "y", "people": [{"mark": "9", "passed": true}], "cases": []}',
    '{"class": "x", "rubric": "y", "people": [], "cases": [{"name": "a", "n": 1e999, "mean": 3}]}',
]  # fmt: skip


@pytest.mark.parametrize("text", WRONG)
def test_what_is_no_record_of_a_class_is_refused(text: str, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="no record of a class"):
        read_earlier(written(tmp_path / "wrong.json", text))


def test_an_earlier_class_that_is_not_there_is_a_plain_error(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="cannot be read"):
        read_earlier(tmp_path / "none.json")


def test_a_record_of_nobody_is_one(tmp_path: Path) -> None:
    text = json.dumps({"class": "x", "rubric": "y", "people": [], "cases": []})
    assert read_earlier(written(tmp_path / "empty.json", text)).mean is None
