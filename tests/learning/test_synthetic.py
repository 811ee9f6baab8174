"""Histories drawn: the same seed the same, the model's own shares, and each bias doing what it says."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from faultiso.language.load import read_model
from faultiso.language.shipped import find_model
from faultiso.learning.figures import figures
from faultiso.learning.learn import learn
from faultiso.learning.problem import Strength
from faultiso.learning.synthetic import BIASES, Bias, Synthetic, _Shop, drawn_truth, synthetic
from faultiso.learning.wording import TOLD, understood
from faultiso.learning.writing import history_rows, truth_record
from faultiso.model.system import Model
from tests.learning.shop import evidence, levelled, read, rig
from tests.learning.test_history import MOTOR

ROWS = 1500


def drawn(model: Model | None = None, seed: int = 3, rows: int = ROWS, **biases: float) -> Synthetic:
    return synthetic(model or rig(), rows, seed, biases=biases)  # type: ignore[arg-type]


def test_the_same_seed_gives_the_same_history() -> None:
    assert drawn(rows=40) == drawn(rows=40)
    assert drawn(rows=40).orders != drawn(rows=40, seed=4).orders


def test_only_checks_that_can_be_made_from_there_are_made() -> None:
    """In the large model some need what no situation in flight can bring about."""
    model = read_model(find_model("whinchat-hydraulics"))
    shop = _Shop(model, np.random.default_rng(3), {}, 3.0)
    places = [(shop._here(situation), made) for situation, made in shop.procedures.items()]
    for here, made in places:
        for name in {name for procedure in made for name in procedure}:
            shop.rows.made_at(model.checks[name], here)  # UsageError if it cannot be
    possible = [shop.rows.can_be_made(check, here) for here, _ in places for check in model.checks.values()]
    assert not all(possible) and any(possible)


def test_levels_that_share_in_one_draw_never_come_to_over_one() -> None:
    model = levelled("low: 0.6, none: 0.4")
    drawn_levels = [
        [
            value
            for figure, value in drawn_truth(model, Strength(), seed).items()
            if figure.source == "pump.worn"
        ]
        for seed in range(200)
    ]
    assert all(len(values) == 2 and sum(values) <= 1 + 1e-9 for values in drawn_levels)
    assert np.mean(drawn_levels, axis=0) == pytest.approx([0.6, 0.4], abs=0.03)


@pytest.mark.parametrize("one_fault", [False, True])
def test_faults_come_as_often_as_the_model_says(one_fault: bool) -> None:
    history = drawn(replace(rig(), one_fault=one_fault))
    counts = Counter(name for written in history.orders for name in written.truth)
    for fault in rig().faults.values():
        expected = fault.rate * history.hours
        assert abs(counts[fault.name] - expected) < 5 * np.sqrt(expected) + 0.1 * expected


def test_what_is_written_can_be_read_back() -> None:
    for model in (rig(), read(MOTOR)):
        for written, row in zip(
            drawn(model, rows=50).orders, history_rows(drawn(model, rows=50).orders), strict=True
        ):
            cells = dict(zip(("visit", "hours", *TOLD), row, strict=True))
            found = understood(model, {name: str(cells[name]) for name in TOLD})
            assert found.remarks == () and found.order == written.order


def test_the_truth_is_told_beside_it() -> None:
    history = drawn(rows=20, popular=0.3)
    record = truth_record(history, rig())
    assert record["figures"] == {figure.name: figure.value for figure in figures(rig())[0]}
    assert record["biases"] == [{"name": "popular", "share": 0.3, "what": BIASES["popular"][0]}]
    assert len(record["faults"]) == 20  # type: ignore[arg-type]


def named(history: Synthetic, unit: str) -> float:
    """The share of proved findings that name the unit."""
    found = [w.order.finding for w in history.orders if w.order.finding.words == "proved"]
    return float(np.mean([any(name.startswith(unit) for name in (*f.faults, *f.units)) for f in found]))


def test_each_bias_does_what_it_says() -> None:
    plain = drawn()
    assert named(drawn(popular=0.5), "pump") > named(plain, "pump") + 0.1
    words = Counter(w.order.finding.words for w in drawn(unproved=0.9).orders)
    assert words["weak"] > 3 * Counter(w.order.finding.words for w in plain.orders)["weak"]
    assert not any(w.order.normal for w in drawn(unmentioned=1.0).orders)
    amiss = [np.mean([len(w.order.complaint) for w in h.orders]) for h in (plain, drawn(severe=1.0))]
    assert amiss[1] > amiss[0] + 0.5
    assert drawn(missing=0.5).hours > 1.7 * plain.hours


BIASED = ("missing", "severe", "unmentioned", "popular")


@pytest.mark.parametrize("bias", BIASED)
def test_bias_moves_what_is_learnt(bias: Bias) -> None:
    """What a biased history says wrongly: rates of what is not written up, strengths of what is not mentioned."""
    found = {
        p.figure.name: p for p in learn(rig(), evidence(drawn(**{bias: BIASES[bias][1]}), rig())).proposals
    }
    if bias in ("missing", "severe"):
        assert found["relief.open rate"].interval[1] < rig().faults["relief.open"].rate
    elif bias == "popular":
        assert found["relief.open rate"].after < rig().faults["relief.open"].rate
    else:
        assert found["pump.worn gives pressure low"].after > 0.8
