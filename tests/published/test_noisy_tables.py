"""Noisy-OR and noisy-MAX tables, and diagnosis in two-layer networks built of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import log_evidence
from faultiso.network.network import Array, Network
from faultiso.network.noisy import from_compound, noisy_max_table
from tests.published.records import Builder, agree, believe, by_name, hot, probability, records

RECORDS = records("noisy_tables")


def noisy_or(links: Mapping[str, float], leak: float) -> Array:
    """P(effect level | causes), every cause absent or present."""
    return noisy_max_table(
        [np.array([[1.0, 0.0], [1 - p, p]]) for p in links.values()], np.array([1 - leak, leak])
    )


def row(table: Array, links: Mapping[str, float], name: str) -> float:
    present = set() if name == "none" else set(name.split("+"))
    return float(table[(*[int(cause in present) for cause in links], 1)])


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {"NO-01", "NO-02", "NO-03", "NO-04", "NO-05"}


def test_fever() -> None:
    record = RECORDS["NO-01"]
    links = record["input"]["link"]
    table = noisy_or(links, record["input"]["leak"])
    agree(by_name(record), {name: row(table, links, name) for name in by_name(record)})


def test_net_and_compound_links() -> None:
    given = RECORDS["NO-02"]["input"]
    expected = by_name(RECORDS["NO-02"])
    wrong = "a+b if compound numbers are wrongly used as net numbers"
    compound = {cause: from_compound(p, given["leak"]) for cause, p in given["compound_link"].items()}
    for links in (given["net_link"], compound):
        table = noisy_or(links, given["leak"])
        found = {name: row(table, links, name) for name in expected if name != wrong}
        found[wrong] = row(noisy_or(given["compound_link"], given["leak"]), links, "a+b")
        agree(expected, found)


def test_highest_level_wins() -> None:
    given = RECORDS["NO-03"]["input"]
    absent = [1.0, 0.0, 0.0]
    table = noisy_max_table(
        [np.array([absent, given["cause_A_present"]]), np.array([absent, given["cause_B_present"]])],
        np.array(given["leak"]),
    )
    expected = by_name(RECORDS["NO-03"])
    found = {"P(effect | A and B)": table[1, 1], "P(effect | A only)": table[1, 0]}
    assert set(expected) == set(found)
    for name, values in expected.items():
        np.testing.assert_allclose(found[name], values["value"], atol=values["tol"])


def two_layers(given: Mapping[str, Any]) -> Network:
    build = Builder()
    for disease, p in given["priors"].items():
        build.add(disease, (), [1 - p, p], ("absent", "present"))
    for finding, how in given["findings"].items():
        build.add(finding, tuple(how["link"]), noisy_or(how["link"], how["leak"]), ("absent", "present"))
    return build.network()


@pytest.mark.parametrize("name", ["NO-04", "NO-05"])
def test_two_layers(name: str) -> None:
    record = RECORDS[name]
    given, expected = record["input"], by_name(record)
    network = two_layers(given)
    findings = dict.fromkeys(given["positive"], "present") | dict.fromkeys(given["negative"], "absent")
    run = believe(network, findings)
    found = {"evidence": math.exp(run.log_evidence[0])}
    found |= {disease: probability(run, disease, "present") for disease in given["priors"]}
    for label in set(expected) - set(found):
        chosen = label.split(": ")[1].removesuffix(" only").split(" and ")
        all_diseases = {d: "present" if d in chosen else "absent" for d in given["priors"]}
        logs = log_evidence(compile_plan(network), hot(network, findings | all_diseases))
        found[label] = math.exp(logs[0] - run.log_evidence[0])
    agree(expected, found)
