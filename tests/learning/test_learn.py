"""Figures learnt: in closed form where rows say everything, as another library learns them, and in between."""

from __future__ import annotations

import numpy as np
import pandas
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.learning.learn import Learnt, Proposal, learn
from faultiso.learning.problem import Strength
from faultiso.learning.rows import Counted, Evidence, Finding
from faultiso.learning.synthetic import drawn_truth, synthetic
from faultiso.model.system import Model
from tests.learning.shop import evidence, proved, read, rig, row

SURE = """
model: sure
title: sure
subject: generic
flight_hours_at_risk: 10
misread: 0
components: {pump: {faults: {worn: {rate: 1e-3}}}}
quantities:
  pressure: {levels: [normal, low], causes: [{fault: pump.worn, gives: {low: 0.7}}]}
  noise: {levels: [quiet, loud], causes: [{fault: pump.worn, gives: {loud: 0.4}}]}
indications: {gauge: {kind: gauge, reads: pressure}, ear: {kind: sound, reads: noise}}
"""
FREE = Strength(events=1e-7, rows=1e-7)  # the model's own figures count for nothing


def by_name(learnt: Learnt) -> dict[str, Proposal]:
    return {proposal.figure.name: proposal for proposal in learnt.proposals}


@settings(max_examples=20)
@given(st.integers(0, 30), st.integers(0, 30), st.floats(0, 1e5))
def test_rows_that_say_everything_are_counted(low: int, normal: int, quiet: float) -> None:
    model = read(SURE)
    rows = [
        Counted(row(model, proved("pump.worn"), gauge="low"), low),
        Counted(row(model, proved("pump.worn"), gauge="normal"), normal),
    ]
    rows = [each for each in rows if each.times]
    number = low + normal
    found = by_name(learn(model, Evidence(tuple(rows), number * 10 + quiet), Strength(events=2, rows=10)))
    strength = found["pump.worn gives pressure low"]
    assert strength.after == pytest.approx((7 + low) / (10 + number), rel=2e-3)
    assert (strength.yes, strength.no) == (pytest.approx(low), pytest.approx(normal))
    rate = found["pump.worn rate"]
    if quiet > number * 1000:  # the hours of the rows themselves hardly count
        assert rate.after == pytest.approx((2 + number) / (2000 + quiet), rel=0.02)
    assert found["pump.worn gives noise loud"].told is False
    assert found["pump.worn gives noise loud"].after == pytest.approx(0.4, rel=1e-3)


def test_no_rows_change_nothing() -> None:
    for proposal in learn(rig(), Evidence((), 0.0)).proposals:
        assert proposal.after == pytest.approx(proposal.before, rel=1e-3)
        assert proposal.interval == pytest.approx(proposal.before_interval, rel=0.01)
        assert not proposal.told


def test_hours_without_rows_lower_every_rate() -> None:
    for proposal in learn(rig(), Evidence((), 1e5)).proposals:
        if proposal.figure.kind == "rate":
            prior = proposal.prior.after(0, 1e5)  # type: ignore[union-attr]
            assert proposal.after == pytest.approx(prior.mean, rel=1e-3)
            assert proposal.interval == pytest.approx((prior.quantile(0.05), prior.quantile(0.95)), rel=0.01)
            assert proposal.told


def test_impossible_rows_are_set_aside() -> None:
    model = read(SURE)
    wrong = Counted(row(model, Finding("proved", ()), gauge="low"), 3, (7, 8, 9))
    right = Counted(row(model, proved("pump.worn"), gauge="low"), 4)
    learnt = learn(model, Evidence((wrong, right), 7000.0))
    assert learnt.impossible == (wrong,) and learnt.rows == 4
    assert by_name(learnt)["pump.worn gives pressure low"].yes == pytest.approx(4)


def test_a_unit_changed_without_proof_is_weak() -> None:
    model = read(SURE)

    def rate(finding: Finding, weak: float = 3.0) -> float:
        rows = (Counted(row(model, finding), 5),)
        return by_name(learn(model, Evidence(rows, 5000.0), Strength(weak=weak)))["pump.worn rate"].after

    none, changed = rate(Finding()), rate(Finding("weak", (), ("pump",)))
    assert none < changed < rate(proved("pump.worn")) / 3
    assert rate(Finding("weak", (), ("pump",)), weak=1.0) == pytest.approx(none)


def test_faults_that_look_alike_are_told() -> None:
    model = read(SURE.replace("{worn: {rate: 1e-3}}", "{worn: {rate: 1e-3}, cracked: {rate: 1e-3}}").replace(
        "causes: [{fault: pump.worn, gives: {low: 0.7}}]",
        "causes: [{fault: pump.worn, gives: {low: 0.7}}, {fault: pump.cracked, gives: {low: 0.7}}]",
    ))  # fmt: skip
    learnt = learn(model, Evidence((Counted(row(model, gauge="low"), 40),), 40_000.0))
    pairs = {frozenset((c.first.name, c.second.name)) for c in learnt.confused}
    assert frozenset(("pump.worn rate", "pump.cracked rate")) in pairs
    worn, cracked = (by_name(learnt)[f"pump.{name} rate"] for name in ("worn", "cracked"))
    assert worn.after == pytest.approx(cracked.after, rel=1e-3)
    alone = learn(read(SURE), Evidence((Counted(row(read(SURE), gauge="low"), 40),), 40_000.0))
    sure = by_name(alone)["pump.worn rate"]
    assert worn.interval[1] / worn.interval[0] > 1.5 * sure.interval[1] / sure.interval[0]


# a second library


def tables() -> pandas.DataFrame:
    """Fault and gauge of 60 visits, every one of them written down."""
    rows = [(1, "low")] * 14 + [(1, "normal")] * 5 + [(0, "normal")] * 41
    return pandas.DataFrame(rows, columns=["worn", "gauge"])


def counted(frame: pandas.DataFrame, model: Model, hidden: bool = False) -> Evidence:
    """The same visits as rows; ``hidden``: what was found is not said."""
    kinds = frame.value_counts()
    rows = []
    for values, times in kinds.items():
        shown = dict(zip(frame.columns, values, strict=True))
        worn = shown.pop("worn", None)
        finding = Finding() if hidden else proved(*(["pump.worn"] if worn else []))
        rows.append(Counted(row(model, finding, **shown), int(times)))
    return Evidence(tuple(rows), 10.0 * len(frame))


def test_complete_rows_as_pgmpy_learns_them() -> None:
    from pgmpy.models import DiscreteBayesianNetwork
    from pgmpy.parameter_estimator import DiscreteBayesianEstimator

    model = read(SURE)
    frame = tables()
    counts = {"worn": [[19], [1]], "gauge": [[0, 7], [10, 3]]}
    estimator = DiscreteBayesianEstimator(prior_type="dirichlet", pseudo_counts=counts)
    network = DiscreteBayesianNetwork([("worn", "gauge")]).fit(frame, estimator=estimator)
    table = network.get_cpds("gauge").get_values()
    found = by_name(learn(model, counted(frame, model), Strength(events=2, rows=10)))
    assert found["pump.worn gives pressure low"].after == pytest.approx(table[0, 1], rel=2e-3)


def test_hidden_faults_as_pgmpy_learns_them() -> None:
    """Both climb to the same likelihood: two signs of a fault that nobody named."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.models import DiscreteBayesianNetwork
    from pgmpy.parameter_estimator import DiscreteEM

    model = read(SURE)
    rows = (
        [("low", "loud")] * 12
        + [("low", "quiet")] * 9
        + [("normal", "loud")] * 3
        + [("normal", "quiet")] * 36
    )
    frame = pandas.DataFrame(rows, columns=["gauge", "ear"])
    found = by_name(learn(model, counted(frame, model, hidden=True), FREE))
    network = DiscreteBayesianNetwork([("worn", "gauge"), ("worn", "ear")], latents={"worn"})
    start = [
        TabularCPD("worn", 2, [[0.6], [0.4]], state_names={"worn": [0, 1]}),
        TabularCPD("gauge", 2, [[0.0, 0.5], [1.0, 0.5]], ["worn"], [2],
                   state_names={"gauge": ["low", "normal"], "worn": [0, 1]}),
        TabularCPD("ear", 2, [[0.0, 0.5], [1.0, 0.5]], ["worn"], [2],
                   state_names={"ear": ["loud", "quiet"], "worn": [0, 1]}),
    ]  # fmt: skip
    estimator = DiscreteEM(
        latent_card={"worn": 2}, max_iter=400, atol=1e-9, init_cpds={c.variable: c for c in start},
        show_progress=False,
    )  # fmt: skip
    learnt = estimator.fit(network, frame).parameters_
    table = {cpd.variable: cpd.get_values() for cpd in learnt}
    worn = float(table["worn"].ravel()[1])
    assert np.allclose(table["gauge"][:, 0], [0, 1])
    assert -np.expm1(-10 * mode(found["pump.worn rate"])) == pytest.approx(worn, rel=2e-3)
    assert mode(found["pump.worn gives pressure low"]) == pytest.approx(float(table["gauge"][0, 1]), rel=2e-3)
    assert mode(found["pump.worn gives noise loud"]) == pytest.approx(float(table["ear"][0, 1]), rel=2e-3)


def mode(proposal: Proposal) -> float:
    """The most probable value, to which the other library climbs."""
    return proposal.mode


# drawn histories


@pytest.mark.long
def test_intervals_hold_what_they_promise() -> None:
    """120 histories with truths drawn from the priors; pooled coverage of 90 % intervals, 5 standard errors."""
    model, inside = rig(), []
    for seed in range(120):
        truth = drawn_truth(model, Strength(), seed)
        learnt = learn(model, evidence(synthetic(model, 150, seed, truth), model))
        inside += [p.interval[0] <= truth[p.figure] <= p.interval[1] for p in learnt.proposals]
    error = (0.9 * 0.1 / len(inside)) ** 0.5
    assert abs(np.mean(inside) - 0.9) < 5 * error


def test_more_rows_come_nearer_to_the_truth() -> None:
    model = rig()
    truth = drawn_truth(model, Strength(), 5)

    def off(rows: int) -> float:
        found = learn(model, evidence(synthetic(model, rows, 5, truth), model))
        return float(np.mean([abs(np.log(p.after / truth[p.figure])) for p in found.proposals]))

    assert off(4000) < off(40) / 2
