"""Alpha, KR-20 and the error of a total."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from faultiso.assessment.statistics.figure import LEAST_ITEMS, LEAST_PEOPLE, SURE_PEOPLE
from faultiso.assessment.statistics.marks import marks_of
from faultiso.assessment.statistics.reliability import alpha, interval, kr20, measurement_error
from tests.assessment.statistics.classes import able, rows, said


@given(rows(grades=(0.0, 1.0)))
def test_of_right_and_wrong_alpha_is_kr20(table: list[list[float]]) -> None:
    first, second = alpha(marks_of(table)), kr20(marks_of(table))
    assert (first.note, first.count) == (second.note, second.count)
    assert first.value == pytest.approx(second.value, abs=1e-9)
    assert first.interval == pytest.approx(second.interval, abs=1e-6)


@given(rows(), st.randoms())
def test_neither_order_nor_scale_matters(table: list[list[float]], random: np.random.Generator) -> None:
    other = [[7 * mark for mark in reversed(row)] for row in table]
    random.shuffle(other)
    first, second = alpha(marks_of(table)), alpha(marks_of(other, 7))
    assert first.note == second.note
    assert first.value == pytest.approx(second.value, abs=1e-9)


@given(rows(items=6))
def test_alpha_is_the_mean_of_all_split_halves(table: list[list[float]]) -> None:
    """Cronbach 1951: of Rulon's coefficient 4 cov(a, b) / var(total) over all ways to halve the set."""
    values = np.array(table)[:, : len(table[0]) // 2 * 2]
    total, k = values.sum(axis=1), values.shape[1]
    assume(np.ptp(total) > 0)
    halves = [values[:, list(half)].sum(axis=1) for half in combinations(range(k), k // 2)]
    split = [4 * np.mean((h - h.mean()) * ((total - h) - (total - h).mean())) / total.var() for h in halves]
    assert said(alpha(marks_of(values.tolist()))) == pytest.approx(np.mean(split), abs=1e-9)


def test_the_error_of_a_total_is_in_marks() -> None:
    table = (20 * able(10, 6, seed=5).complete).tolist()
    found, totals = alpha(marks_of(table, 20)), np.sum(table, axis=1)
    expected = (np.var(totals, ddof=1) * (1 - said(found))) ** 0.5
    assert said(measurement_error(marks_of(table, 20))) == pytest.approx(expected, rel=1e-12)


def test_equal_items_are_wholly_reliable() -> None:
    found = alpha(marks_of([[n % 2] * 6 for n in range(30)]))
    assert said(found) == pytest.approx(1.0, abs=1e-12)
    assert found.interval is None
    assert said(measurement_error(marks_of([[n % 2] * 6 for n in range(30)]))) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("people", "items", "note"),
    [
        (40, LEAST_ITEMS - 1, "too few to say (4 cases)"),
        (40, 1, "too few to say (1 case)"),
        (LEAST_PEOPLE - 1, 6, "too few to say (9 people)"),
        (LEAST_PEOPLE, LEAST_ITEMS, "uncertain: only 10 people"),
        (SURE_PEOPLE - 1, 6, "uncertain: only 29 people"),
        (SURE_PEOPLE, 6, ""),
    ],
)
def test_limits(people: int, items: int, note: str) -> None:
    marks = able(people, items, seed=5)
    for figure in (alpha(marks), kr20(marks), measurement_error(marks)):
        assert note in figure.note if note else figure.note == ""
        assert (figure.value is None) == note.startswith("too few")


def test_the_limits_are_worth_what_their_notes_say() -> None:
    """The interval of an alpha of 0.70 of ten items, as the limits quote it."""
    for people, low, high in ((LEAST_PEOPLE, 0.16, 0.89), (SURE_PEOPLE, 0.48, 0.83)):
        assert interval(0.7, people, 10) == pytest.approx((low, high), abs=0.005)


def test_people_who_did_not_work_everything_are_left_out_and_counted() -> None:
    marks = able(31, 6, seed=1)
    table: list[list[float | None]] = marks.complete.tolist()
    gaps = marks_of([[None, *table[0][1:]], *table[1:]])
    found, rest = alpha(gaps), alpha(marks_of(table[1:]))
    assert (found.value, found.count) == (rest.value, 30)
    assert found.note == "1 left out who did not work every case"


def test_contradictions_and_marks_in_between_are_said() -> None:
    found = alpha(marks_of([[n % 2, 1 - n % 2, n % 2, 1 - n % 2, n % 3 / 2] for n in range(30)]))
    assert said(found) < 0 and "contradict" in found.note
    assert kr20(marks_of([[0.5, 1, 0, 1, 1]] * 30)).note == "marks are not just right or wrong; alpha serves"
    assert alpha(marks_of([[1, 1, 0, 1, 1]] * 30)).note == "all have the same total"
    assert said(kr20(marks_of([[5 * (n % 2)] * 5 for n in range(30)], largest=5))) == pytest.approx(1)


def parallel(people: int, items: int, noise: float, seed: int) -> np.ndarray:
    """Marks about 50 of 100: one skill with deviation 4, and errors that know nothing of each other."""
    random = np.random.default_rng(seed)
    return 50 + 4 * random.normal(size=(people, 1)) + noise * random.normal(size=(people, items))


def test_alpha_and_error_of_a_class_whose_truth_is_known() -> None:
    marks = marks_of(parallel(20_000, 9, 6.0, seed=2).tolist(), largest=100)
    assert said(alpha(marks)) == pytest.approx(9 * 16 / (9 * 16 + 36), abs=0.01)
    assert said(measurement_error(marks)) == pytest.approx(6 * 9**0.5, rel=0.02)


def test_the_interval_is_near_the_exact_one_and_covers() -> None:
    """Exact for such marks: L. S. Feldt, Psychometrika 30:357-370 (1965), by the F distribution."""
    stats = pytest.importorskip("scipy.stats")
    people, items, truth, inside = 40, 8, 8 * 16 / (8 * 16 + 36), 0
    for seed in range(400):
        found = alpha(marks_of(parallel(people, items, 6.0, seed).tolist(), largest=100))
        assert found.interval is not None
        edges = stats.f.ppf((0.975, 0.025), people - 1, (people - 1) * (items - 1))
        assert found.interval == pytest.approx(1 - (1 - said(found)) * edges, abs=0.05)
        inside += found.interval[0] <= truth <= found.interval[1]
    assert 0.92 <= inside / 400 <= 0.98


def test_a_surer_interval_is_wider() -> None:
    marks = able(30, 8, seed=4)
    inner, outer = alpha(marks, 0.8).interval, alpha(marks, 0.99).interval
    assert inner is not None and outer is not None
    assert outer[0] < inner[0] < said(alpha(marks)) < inner[1] < outer[1] < 1
