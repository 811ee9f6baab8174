"""Posteriors of published networks, through the engine."""

from __future__ import annotations

import math

import numpy as np
import pytest

from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from tests.published.records import Builder, agree, believe, by_name, probability, published, records

RECORDS = records("posteriors")
QUERIES = [name for name, record in RECORDS.items() if "model" in record["input"]]


@pytest.mark.parametrize("name", QUERIES)
def test_query(name: str) -> None:
    record = RECORDS[name]
    network = published(record["input"]["model"])
    for row in record["expected"]:
        run = believe(network, row["evidence"])
        if row["target"] == "evidence":
            found = math.exp(run.log_evidence[0])
        else:
            found = probability(run, *row["target"].split("="))
        assert found == pytest.approx(row["value"], abs=row["tol"]), row["target"]


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {*QUERIES, "PI-08", "PI-09", "PI-10"}


def test_heads_after_heads() -> None:
    record = RECORDS["PI-08"]
    prior, heads = record["input"]["prior"], record["input"]["likelihood_of_heads"]
    coins = tuple(prior)
    build = Builder()
    build.add("coin", (), [prior[coin] for coin in coins], coins)
    for toss in range(1, 6):
        build.add(f"toss {toss}", ("coin",), [[heads[c], 1 - heads[c]] for c in coins], ("heads", "tails"))
    network = build.network()
    found = {}
    for tosses in (1, 2, 5):
        run = believe(network, {f"toss {toss}": "heads" for toss in range(1, tosses + 1)})
        found[f"P(fair | {tosses} head{'s' * (tosses > 1)})"] = probability(run, "coin", "fair")
    agree(by_name(record), found)


def test_one_imperfect_test() -> None:
    record = RECORDS["PI-09"]
    given = record["input"]
    build = Builder()
    build.add("condition", (), [1 - given["prior"], given["prior"]], ("no", "yes"))
    rates = [given["p_positive_given_no_condition"], given["p_positive_given_condition"]]
    build.add("test", ("condition",), [[1 - p, p] for p in rates], ("negative", "positive"))
    run = believe(build.network(), {"test": "positive"})
    agree(by_name(record), {"P(condition | positive)": probability(run, "condition", "yes")})


def test_uncertain_alarm() -> None:
    record = RECORDS["PI-10"]
    given = record["input"]
    build = Builder()
    build.add("burglary", (), [1 - given["prior_burglary"], given["prior_burglary"]], ("no", "yes"))
    rates = [given["p_alarm_given_no_burglary"], given["p_alarm_given_burglary"]]
    build.add("alarm", ("burglary",), [[1 - p, p] for p in rates], ("no", "yes"))
    network = build.network()
    sure = {
        state: probability(believe(network, {"alarm": state}), "burglary", "yes") for state in ("no", "yes")
    }
    weights = np.array([1.0, given["virtual_likelihood_ratio_for_alarm"]])
    virtual = propagate(compile_plan(network), {network.index["alarm"]: weights})
    new = given["jeffrey_new_p_alarm"]
    agree(
        by_name(record),
        {
            "P(burglary | alarm surely sounded)": sure["yes"],
            "P(burglary) after virtual evidence 4:1 for alarm": probability(virtual, "burglary", "yes"),
            "P(burglary) after Jeffrey update to P(alarm)=0.8": new * sure["yes"] + (1 - new) * sure["no"],
        },
    )
