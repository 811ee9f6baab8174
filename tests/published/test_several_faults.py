"""Minimal conflicts, minimal fault sets and their probabilities."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.engine.hitting import minimal_hitting_sets
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import log_evidence
from tests.published import circuit
from tests.published.records import agree, believe, by_name, hot, probability, records

RECORDS = records("several_faults")


def as_sets(lists: list[list[object]]) -> set[frozenset[object]]:
    return {frozenset(one) for one in lists}


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {"MF-01", "MF-02", "MF-03", "MF-04"}


def test_conflicts_and_candidates() -> None:
    record = RECORDS["MF-01"]
    sets, count = record["expected"]
    known = circuit.equations(record["input"]["inputs"], record["input"]["observed"])
    conflicts = circuit.minimal_conflicts(known)
    assert set(conflicts) == as_sets(sets["minimal_conflicts"])
    assert set(minimal_hitting_sets(conflicts)) == as_sets(sets["minimal_candidates"])
    assert len(circuit.consistent_sets(known)) == count["value"]


def test_probabilities_of_fault_sets() -> None:
    record = RECORDS["MF-02"]
    inputs = record["input"]
    known = circuit.equations(inputs["inputs"], inputs["observed"])
    network = circuit.circuit_network(known, inputs["prior_fault_probability_each"])
    run = believe(network, {"agrees": "1"})
    found = {}
    for name in by_name(record):
        if name.startswith("{"):
            faulty = name.strip("{}").split(",")
            states = {part: str(int(part in faulty)) for part in circuit.COMPONENTS}
            logs = log_evidence(compile_plan(network), hot(network, {"agrees": "1", **states}))
            found[name] = math.exp(logs[0] - run.log_evidence[0])
        else:
            found[name] = probability(run, name[2:4], "1")
    agree(by_name(record), found)


@pytest.mark.parametrize("row", RECORDS["MF-03"]["expected"], ids=lambda row: str(row["extra"]))
def test_one_more_measurement(row: dict[str, object]) -> None:
    inputs = RECORDS["MF-03"]["input"]
    known = circuit.equations(inputs["inputs"], {**inputs["observed"], **row["extra"]})  # type: ignore[dict-item]
    found = minimal_hitting_sets(circuit.minimal_conflicts(known))
    assert set(found) == as_sets(row["minimal_candidates"])  # type: ignore[arg-type]


def test_seven_conflicts() -> None:
    record = RECORDS["MF-04"]
    found = minimal_hitting_sets(record["input"]["conflict_sets"])
    assert set(found) == as_sets(record["expected"][0]["minimal_hitting_sets"])
    assert len(found) == len(record["expected"][0]["minimal_hitting_sets"])


@given(st.lists(st.frozensets(st.integers(0, 5), max_size=4), max_size=6))
@settings(max_examples=150, deadline=None)
def test_hitting_sets_equal_the_definition(conflicts: list[frozenset[int]]) -> None:
    subsets = [frozenset(i for i in range(6) if mask >> i & 1) for mask in range(64)]
    hitting = [one for one in subsets if all(one & conflict for conflict in conflicts)]
    minimal = {one for one in hitting if not any(other < one for other in hitting)}
    assert set(minimal_hitting_sets(conflicts)) == minimal
