"""How well a model explains rows: likelihoods, ranks and calibration by hand; two versions of a model."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.models import Models
from faultiso.learning.comparing import compare, difference
from faultiso.learning.figures import figures, with_values
from faultiso.learning.fit import fit, share_interval
from faultiso.learning.held import cases_held
from faultiso.learning.minutes import repair_minutes
from faultiso.learning.rows import Counted, Evidence, Finding
from faultiso.learning.synthetic import synthetic
from tests.learning.shop import evidence, proved, read, rig, row
from tests.learning.test_learn import SURE
from tests.models.shipped import MODELS, model_of


def test_likelihoods_and_ranks_by_hand() -> None:
    model = rig()
    shown = {"gauge": "low", "port": "low", "puddle": "dry"}
    rows = [
        Counted(row(model, proved("pump.worn"), **shown), 3),
        Counted(row(model, proved("relief.open"), **shown), 1),
        Counted(row(model, **shown), 2),
    ]
    found = fit(model, Evidence(tuple(rows), 0.0))
    belief = Reasoner(model).believe(shown)
    sets = {frozenset(d.faults): d.probability for d in belief.diagnoses}
    readings = belief.now.log_evidence
    worn, relief = (math.log(sets[frozenset((name,))]) for name in ("pump.worn", "relief.open"))
    assert found.readings == pytest.approx(readings, abs=1e-9)
    assert found.finding == pytest.approx((3 * worn + relief) / 6, abs=1e-6)
    assert [each.rank for each in found.judged] == [1, 2, 0]
    assert (found.proved, found.within) == (4, (0.75, 1.0))
    assert dict(zip(model.faults, found.judged[0].present, strict=True)) == pytest.approx(belief.faults)
    stated = np.array([list(found.judged[0].present)] * 4)
    so = np.array([[1, 0, 0]] * 3 + [[0, 0, 1]])
    assert found.brier == pytest.approx(((stated - so) ** 2).mean())
    assert sum(band.number for band in found.bands) == 12
    assert sum(band.number * band.so for band in found.bands) == pytest.approx(4)
    assert sum(band.number * band.stated for band in found.bands) == pytest.approx(stated.sum())


def test_hours_without_a_row_count_by_all_rates() -> None:
    """Two rows in 1,000 hours with 100 at risk each: nothing came up in 800 hours."""
    model = rig()
    rows = (Counted(row(model, proved("pump.worn"), gauge="low"), 2),)
    rates = sum(fault.rate for fault in model.faults.values())
    assert fit(model, Evidence(rows, 1000.0)).quiet == pytest.approx(-800 * rates / 2)  # of a row
    assert fit(model, Evidence(rows, 0.0)).quiet == 0


def test_a_unit_stands_where_its_best_fault_stands() -> None:
    model = rig()
    rows = (Counted(row(model, Finding("proved", (), ("pump",)), gauge="low"), 1),)
    assert fit(model, Evidence(rows, 0.0)).judged[0].rank == 1


def test_impossible_rows_are_told_and_not_counted() -> None:
    model = read(SURE)  # nothing but a worn pump brings the pressure down
    rows = (
        Counted(row(model, gauge="low"), 2),
        Counted(row(model, Finding("proved"), gauge="low"), 3, (5, 6, 7)),
    )
    found = fit(model, Evidence(rows, 0.0))
    assert found.rows == 2 and [(each.times, each.lines) for each in found.impossible] == [(3, (5, 6, 7))]
    assert math.isfinite(found.log_likelihood)


@given(st.integers(0, 40), st.integers(1, 40))
def test_shares_have_the_interval_of_clopper_and_pearson(yes: int, more: int) -> None:
    found = stats.binomtest(yes, yes + more).proportion_ci(0.9, method="exact")
    assert share_interval(yes, yes + more) == pytest.approx((found.low, found.high), abs=1e-9)


@given(st.lists(st.floats(-3, 3), min_size=2, max_size=20))
def test_paired_differences_have_the_interval_of_student(values: list[float]) -> None:
    found = difference(np.array(values), np.ones(len(values)))
    assert found.mean == pytest.approx(np.mean(values), abs=1e-12)
    if np.std(values) > 1e-9:
        expected = stats.ttest_1samp(values, 0).confidence_interval(0.95)
        assert found.interval == pytest.approx((expected.low, expected.high))


def test_the_truth_explains_its_history_better() -> None:
    model = rig()
    rows = evidence(synthetic(model, 800, 1), model)
    other = with_values(
        model, {f: f.value / 5 for f in figures(model)[0] if f.kind == "rate" and f.of == "pump.worn"}
    )
    found = compare(fit(other, rows), fit(model, rows))
    assert found.log_likelihood.interval[0] > 0 and found.rows == 800
    same = compare(fit(model, rows), fit(model, rows))
    assert same.log_likelihood.mean == 0 and same.within[0].mean == 0


def test_quiet_hours_that_two_rates_see_otherwise_widen_the_interval() -> None:
    """Two alike rows: their difference is sure, that of the hours between them is not."""
    model = rig()
    more = with_values(model, {f: f.value * 2 for f in figures(model)[0] if f.of == "pump.seal"})
    rows = (Counted(row(model, proved("pump.worn"), gauge="low"), 2),)
    without = compare(fit(model, Evidence(rows, 0.0)), fit(more, Evidence(rows, 0.0))).log_likelihood
    assert without.interval == pytest.approx((without.mean, without.mean))
    shifted = compare(fit(model, Evidence(rows, 1000.0)), fit(more, Evidence(rows, 1000.0))).log_likelihood
    by = -400 * 0.0005  # hours before each row, and the rate that is added
    wide = 1.959964 * abs(by) / math.sqrt(2)
    assert shifted.mean == pytest.approx(without.mean + by)
    assert shifted.interval == pytest.approx((shifted.mean - wide, shifted.mean + wide))


def test_stated_chances_come_true() -> None:
    """Of rows drawn from the model itself, in bands with enough statements."""
    model = rig()
    found = fit(model, evidence(synthetic(model, 3000, 2), model))
    for band in found.bands:
        error = math.sqrt(band.stated * (1 - band.stated) / band.number)
        assert abs(band.so - band.stated) < 5 * error + 0.03


def test_minutes_follow_the_repair_order() -> None:
    model = rig()
    shown = {"gauge": "low", "port": "low", "puddle": "dry"}
    first, second = (repair_minutes(model, fit(model, Evidence((Counted(row(model, proved(name), **shown), 1),), 0.0)).judged)
                     for name in ("pump.worn", "relief.open"))  # fmt: skip
    assert first is not None and second is not None
    assert {first.mean, second.mean} in ({60, 90}, {30, 90})
    assert repair_minutes(model, ()) is None


def test_cases_as_rows(tmp_path: Path) -> None:
    model = model_of("workshop-power-cart")
    held = cases_held(MODELS.parent / "cases", model, Models())
    assert "hot-cart" in held.names and "first-light" in held.others
    found = fit(model, held.evidence)
    assert found.rows == len(held.names) and found.proved
