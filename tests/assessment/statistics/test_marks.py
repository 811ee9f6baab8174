"""What goes in: missing marks are kept apart, slips are refused; what comes out is a number or a reason."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.statistics.figure import Figure, numbers, same_length, standard_normal
from faultiso.assessment.statistics.items import difficulty, item_total, upper_lower
from faultiso.assessment.statistics.marks import marks_of
from faultiso.assessment.statistics.reliability import alpha, kr20, measurement_error
from faultiso.base.problems import UsageError
from tests.assessment.statistics.classes import GRADES, rows


def test_who_did_not_work_every_item_is_kept_apart() -> None:
    marks = marks_of([[10, None], [5, 0], [None, None]], largest=10)
    assert marks.complete.tolist() == [[0.5, 0.0]]
    assert (marks.incomplete, marks.items) == (2, 2)
    assert marks.too_few == "too few to say (1 people who worked every case)"
    assert "2 left out" in marks.beside
    assert [(f.value, f.count) for f in difficulty(marks)] == [(0.75, 2), (0.0, 1)]


def test_a_class_of_nobody_and_a_set_of_nothing() -> None:
    for empty in (marks_of([]), marks_of([[]]), marks_of([[]] * 40)):
        assert difficulty(empty) == item_total(empty) == upper_lower(empty) == ()
        assert alpha(empty) == kr20(empty) == Figure(None, 0, "too few to say (0 cases)")
        assert measurement_error(empty).value is None
    assert difficulty(marks_of([[None], [None]])) == (Figure(None, 0, "nobody worked it"),)


@given(rows(grades=(*GRADES, None, None), people=0, items=0))
def test_every_figure_is_a_finite_number_or_says_why_not(table: list[list[float | None]]) -> None:
    marks = marks_of(table)
    single = [alpha(marks), kr20(marks), measurement_error(marks)]
    each = [*difficulty(marks), *item_total(marks), *item_total(marks, corrected=False), *upper_lower(marks)]
    for figure in [*single, *each]:
        assert figure.note if figure.value is None else math.isfinite(figure.value)
        assert 0 <= figure.count <= len(table)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ([[1, 0], [1]], "person 2 has 1 marks; expected 2"),
        ([[1, 0], [1, math.nan]], "person 2, mark 2 is nan; expected a number from 0 to 1, or None"),
        ([[math.inf]], "person 1, mark 1 is inf"),
        ([[-0.5]], "is -0.5"),
        ([[1, 1.5]], "person 1, mark 2 is 1.5"),
        ([["1"]], "is '1'"),
        ([[10**400]], "expected a number from 0 to 1"),
    ],
)
def test_slips_in_marks_are_named(table: Any, words: str) -> None:
    with pytest.raises(UsageError) as raised:
        marks_of(table)
    assert words in str(raised.value)


@pytest.mark.parametrize("largest", [0, -1, math.nan, math.inf])
def test_a_best_mark_is_above_nothing(largest: float) -> None:
    with pytest.raises(UsageError, match="best mark"):
        marks_of([[0]], largest)


def test_a_figure_never_holds_what_is_no_number() -> None:
    for value, note, interval in ((math.nan, "", None), (None, "", None), (0.5, "", (0.0, math.inf))):
        with pytest.raises(ValueError, match="finite"):
            Figure(value, 3, note, interval)


@given(st.lists(st.one_of(st.none(), st.integers(0, 5), st.floats(0, 5), st.booleans())))
def test_numbers_keep_their_places(values: list[float | None]) -> None:
    found = numbers(values, "value", 0, 5)
    assert [None if np.isnan(v) else v for v in found] == values


def test_lists_that_belong_together() -> None:
    with pytest.raises(UsageError, match="2 and 1"):
        same_length([1, 2], [1], "the two")
    assert standard_normal(0.95) == pytest.approx(1.959964, abs=1e-6)
    for level in (0, 1, -1, 95, math.nan):
        with pytest.raises(UsageError, match="level"):
            standard_normal(level)
