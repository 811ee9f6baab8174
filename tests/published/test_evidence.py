"""Conflict among findings, and what information is worth."""

from __future__ import annotations

import math

import numpy as np
import pytest

from faultiso.engine.conflict import conflict_bits
from tests.published.records import Builder, agree, believe, by_name, published, records

RECORDS = records("evidence")


@pytest.mark.parametrize("name", ["EV-01", "EV-02"])
def test_conflict(name: str) -> None:
    network = published(RECORDS[name]["input"]["model"])
    for row in RECORDS[name]["expected"]:
        findings = {
            network.index[v]: network.states[network.index[v]].index(s) for v, s in row["evidence"].items()
        }
        bits = conflict_bits(network, findings)
        assert bits == pytest.approx(row["conf_log2"], abs=row["tol"])
        assert bits * math.log(2) == pytest.approx(row["conf_ln"], abs=row["tol"])
        log_p = believe(network, row["evidence"]).log_evidence[0]
        assert math.exp(log_p) == pytest.approx(row["p_evidence"], abs=row["tol"])


def test_conflict_of_nothing_and_of_a_contradiction() -> None:
    network = published("wet_grass")
    holmes, sprinkler, rain = (network.index[n] for n in ("holmes_wet", "sprinkler", "rain"))
    assert conflict_bits(network, {}) == 0.0
    assert conflict_bits(network, {holmes: 0}) == pytest.approx(0.0, abs=1e-12)
    assert conflict_bits(network, {holmes: 0, sprinkler: 1, rain: 1}) == math.inf
    soft = conflict_bits(network, {holmes: [1.0, 0.0], rain: [2.0, 2.0]})
    assert soft == pytest.approx(0.0, abs=1e-12)


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {"EV-01", "EV-02", "EV-03"}


def test_drill_or_not() -> None:
    """Posteriors of the hole come from the engine; money is counted here."""
    record = RECORDS["EV-03"]
    given = record["input"]
    states, results = tuple(given["prior"]), ("none", "open", "closed")
    chances = [[given["p_result_given_state"][s][r] for r in results] for s in states]
    build = Builder()
    build.add("hole", (), [given["prior"][s] for s in states], states)
    build.add("result", ("hole",), chances, results)
    network = build.network()
    payoff = np.array([given["payoff_drill"][s] for s in states])
    before = believe(network, {})
    p_result = dict(zip(results, before.marginal(1)[:, 0], strict=True))
    drill = {r: float(payoff @ believe(network, {"result": r}).marginal(0)[:, 0]) for r in results}
    without = max(float(payoff @ before.marginal(0)[:, 0]), given["payoff_no_drill"])
    perfect = float(before.marginal(0)[:, 0] @ np.maximum(payoff, given["payoff_no_drill"]))
    tested = sum(p_result[r] * max(drill[r], given["payoff_no_drill"]) for r in results)
    found = {
        "expected value without test": without,
        "expected value with test before its cost": tested,
        "expected value with test after its cost": tested - given["test_cost"],
        "value of the test information": tested - without,
        "expected value of perfect information": perfect - without,
    }
    found |= {f"P({r})": float(p_result[r]) for r in results}
    found |= {f"drill value given {r}": drill[r] for r in results}
    agree(by_name(record), found)
