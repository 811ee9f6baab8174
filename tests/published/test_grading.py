"""Statistics of a class and scoring rules, against worked examples of the literature."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from faultiso.assessment.statistics.agreement import kappa, kappa_of_table
from faultiso.assessment.statistics.confidence import (
    brier,
    brier_of_classes,
    brier_parts,
    log_score,
    log_score_of_classes,
)
from faultiso.assessment.statistics.figure import Figure
from faultiso.assessment.statistics.items import difficulty, item_total
from faultiso.assessment.statistics.marks import marks_of
from faultiso.assessment.statistics.reliability import alpha, kr20
from tests.published.records import agree, by_name, records

RECORDS = records("grading")


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {f"GR-0{n}" for n in range(1, 7)}


def said(figure: Figure) -> float:
    assert figure.value is not None, figure.note
    return figure.value


def test_a_quiz_of_ten_items() -> None:
    record = RECORDS["GR-01"]
    marks = marks_of(record["input"]["marks"])
    rows, k = marks.complete, marks.items
    shares = np.array([said(item) for item in difficulty(marks)])
    totals = rows.sum(axis=1)
    pq, variance, mean = float((shares * (1 - shares)).sum()), float(totals.var()), float(totals.mean())
    found: dict[str, Any] = {
        "difficulty": shares.tolist(),
        "totals": totals.tolist(),
        "sum of pq": pq,
        "variance of totals": variance,
        "kr20": said(kr20(marks)),
        "alpha": said(alpha(marks)),
        "mixed divisors": k / (k - 1) * (1 - pq / totals.var(ddof=1)),
        "kr21": k / (k - 1) * (1 - mean * (k - mean) / (k * variance)),
    }
    agree(by_name(record), found)
    assert found["kr20"] < found["mixed divisors"] - 0.01


def test_items_against_the_total() -> None:
    record = RECORDS["GR-02"]
    marks = marks_of(record["input"]["marks"])
    plain = [said(item) for item in item_total(marks, corrected=False)]
    corrected = [said(item) for item in item_total(marks)]
    agree(by_name(record), {"plain": plain, "corrected": corrected})
    assert [n for n, value in enumerate(corrected, 1) if value < -1e-9] == [7, 9]


def test_two_readers() -> None:
    record = RECORDS["GR-03"]
    table = np.array(record["input"]["table"])
    p = table / table.sum()
    first, second = zip(
        *[(i, j) for i in range(2) for j in range(2) for _ in range(table[i, j])], strict=True
    )
    found = {
        "observed": float(np.trace(p)),
        "chance": float(p.sum(axis=1) @ p.sum(axis=0)),
        "kappa": said(kappa(first, second, (0, 1))),
    }
    agree(by_name(record), found)
    assert kappa_of_table(table) == kappa(first, second, (0, 1))


def test_margins_matter() -> None:
    record = RECORDS["GR-04"]
    agree(by_name(record), {name: said(kappa_of_table(table)) for name, table in record["input"].items()})


def test_forecasts_of_rain() -> None:
    record = RECORDS["GR-05"]
    forecast, rain = record["input"]["forecast"], record["input"]["rain"]
    both = brier_of_classes([(p, 1 - p) for p in forecast], [1 - r for r in rain])
    agree(by_name(record), {"both classes": said(both), "one class": said(brier(forecast, rain))})
    parts = brier_parts(forecast, rain)
    assert parts is not None and parts.score == pytest.approx(0.095, abs=1e-12)


def test_five_forecasts_and_one_of_three_classes() -> None:
    record = RECORDS["GR-06"]
    given = record["input"]
    forecast, outcome, three = given["forecast"], given["outcome"], [given["three_way"]]
    found = {
        "log score in nats": said(log_score(forecast, outcome)) * math.log(2),
        "one class": said(brier(forecast, outcome)),
        "three-way if the first is true": said(brier_of_classes(three, [0])),
        "three-way if the third is true": said(brier_of_classes(three, [2])),
        "three-way log score in bits if the first is true": said(log_score_of_classes(three, [0])),
    }
    agree(by_name(record), found)
