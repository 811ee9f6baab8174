"""Rates and chances brought up to date, and expectation-maximisation, against worked examples."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from faultiso.learning.conjugate import JEFFREYS_CHANCE, JEFFREYS_RATE, Beta, Gamma
from tests.published.records import Builder, agree, believe, by_name, probability, records

RECORDS = records("learning")


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {f"RU-0{n}" for n in range(1, 5)}


def given(name: str) -> tuple[Any, dict[str, Any]]:
    record = RECORDS[name]
    return record["input"], by_name(record)


def test_failures_on_demand() -> None:
    data, expected = given("RU-01")
    prior = Beta(data["happened"], data["not"])
    after = prior.after(data["failures"], data["demands"] - data["failures"])
    found = {
        "prior mean": prior.mean,
        "prior 5 %": prior.quantile(0.05),
        "prior 95 %": prior.quantile(0.95),
        "happened": after.yes,
        "not": after.no,
    }
    agree(expected, found | {"mean": after.mean, "5 %": after.quantile(0.05), "95 %": after.quantile(0.95)})


def test_failures_in_hours() -> None:
    data, expected = given("RU-02")
    after = Gamma(data["events"], data["hours"]).after(data["failures"], data["exposure"])
    found = {"events": after.events, "hours": after.hours, "mean": after.mean}
    ends = {"5 %": after.quantile(0.05), "95 %": after.quantile(0.95)}
    agree(expected, found | ends | {"mission": math.exp(-after.mean * data["mission"])})


def test_priors_of_jeffreys() -> None:
    data, expected = given("RU-03")
    chance = JEFFREYS_CHANCE.after(data["failures"], data["demands"] - data["failures"])
    agree(expected, {"chance": chance.mean, "rate": JEFFREYS_RATE.after(data["events"], data["hours"]).mean})


def which_coin(heads: int, tosses: int, a: float, b: float) -> float:
    """P(coin A | tosses), by the engine."""
    net = Builder()
    net.add("coin", (), [0.5, 0.5])
    findings = {}
    for toss in range(tosses):
        net.add(f"toss {toss}", ("coin",), [[1 - a, a], [1 - b, b]])
        findings[f"toss {toss}"] = "1" if toss < heads else "0"
    return probability(believe(net.network(), findings), "coin", "0")


def test_two_coins() -> None:
    data, expected = given("RU-04")
    heads, tosses = np.array(data["heads"]), data["tosses"]
    coins, found = (data["start"]["A"], data["start"]["B"]), {}
    for step in range(1, 11):
        share = np.array([which_coin(int(n), tosses, *coins) for n in heads])
        told = [Beta(0, 0).after(of @ heads, of @ (tosses - heads)) for of in (share, 1 - share)]
        if step == 1:
            found = {"heads of A in step 1": told[0].yes, "tails of A in step 1": told[0].no}
        coins = (told[0].mean, told[1].mean)
        if step in (1, 10):
            found |= {f"A after {step}": coins[0], f"B after {step}": coins[1]}
    agree(expected, found)
