"""What to look at next: information gains of published examples, from the engine's distributions."""

from __future__ import annotations

import math

import numpy as np
import pytest

from faultiso.engine.features import Source
from faultiso.engine.pairs import rank_pairs
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from faultiso.network.network import Array, Network
from tests.published import circuit
from tests.published.records import Builder, agree, believe, by_name, entropy_bits, hot, records

RECORDS = records("next_check")


def test_every_record_is_used() -> None:
    assert set(RECORDS) == {"NT-01", "NT-02", "NT-03", "NT-04", "NT-05"}


def day_table(rows: list[list[str]], column: int) -> tuple[Array, list[str]]:
    """P(value | day), and the values in order of appearance, "no" first for the class."""
    values = sorted({row[column] for row in rows})
    return np.array([[float(row[column] == value) for value in values] for row in rows]), values


@pytest.mark.parametrize("name", ["NT-01", "NT-02"])
def test_weather(name: str) -> None:
    """A day drawn at random; the class is the "fault", the attributes are the checks."""
    given = RECORDS[name]["input"]
    columns, rows = given["columns"], given["rows"]
    build = Builder()
    build.add("day", (), np.full(len(rows), 1 / len(rows)))
    build.add("class", ("day",), day_table(rows, columns.index("class"))[0])
    plan = compile_plan(build.network())
    evidence: dict[int, Array] = {}
    for attribute, value in given.get("condition", {}).items():
        evidence[0] = np.array([float(row[columns.index(attribute)] == value) for row in rows])
    attributes = [c for c in columns if c != "class" and c not in given.get("condition", {})]
    sources = [Source((0,), day_table(rows, columns.index(a))[0]) for a in attributes]
    run = propagate(plan, evidence)
    result = rank_pairs(run, [1], sources)
    found = dict(zip(attributes, map(float, result.gain_bits_marginal), strict=True))
    found["entropy of class"] = entropy_bits(run.marginal(1)[:, 0])
    agree(by_name(RECORDS[name]), found)


def test_first_weighing() -> None:
    """Hypothesis 2 i + h: ball i is odd, heavier (h = 0) or lighter."""
    count = RECORDS["NT-03"]["input"]["hypotheses"]
    build = Builder()
    build.add("odd", (), np.full(count, 1 / count))
    sources = []
    for k in range(1, 7):
        table = np.zeros((count, 3))
        for ball in range(count // 2):
            for lighter in (0, 1):
                side = 2 if ball >= 2 * k else int(ball >= k) ^ lighter
                table[2 * ball + lighter, side] = 1.0
        sources.append(Source((0,), table))
    result = rank_pairs(propagate(compile_plan(build.network()), {}), [0], sources)
    expected = {name.split(" ")[0]: row for name, row in by_name(RECORDS["NT-03"]).items()}
    agree(expected, {f"k={k}": entropy_bits(result.p_outcome[k - 1]) for k in range(1, 7)})


def expected_entropy(network: Network, point: str) -> float:
    """Entropy over all fault sets that is left on average after a measurement."""
    seen = {"agrees": "1"}
    p_value = believe(network, seen).marginal(network.index[point])[:, 0]
    left = 0.0
    for value, p in zip(network.states[network.index[point]], p_value, strict=True):
        left += p * sets_entropy(network, {**seen, point: value})
    return left


def sets_entropy(network: Network, findings: dict[str, str]) -> float:
    group = tuple(range(len(circuit.COMPONENTS)))
    run = propagate(compile_plan(network, joint=[group]), hot(network, findings))
    return entropy_bits(run.joint(group).reshape(-1))


def test_where_to_measure() -> None:
    given = RECORDS["NT-04"]["input"]
    known = circuit.equations(given["inputs"], given["observed"])
    network = circuit.circuit_network(known, given["prior_fault_probability_each"])
    found = {f"expected entropy after {point}": expected_entropy(network, point) for point in circuit.POINTS}
    found["entropy before"] = sets_entropy(network, {"agrees": "1"})
    x = network.index["X"]
    p_x = dict(zip(network.states[x], believe(network, {"agrees": "1"}).marginal(x)[:, 0], strict=True))
    found |= {f"P(X={value})": float(p) for value, p in p_x.items()}
    agree(by_name(RECORDS["NT-04"]), found)


def test_imperfect_tests_of_three_states() -> None:
    given = RECORDS["NT-05"]["input"]
    build = Builder()
    build.add("fault", (), given["prior"])
    for test, rates in given["p_positive_given_state"].items():
        build.add(test, ("fault",), [[1 - p, p] for p in rates], ("negative", "positive"))
    network = build.network()
    prior = believe(network, {})
    found = {"prior entropy": entropy_bits(prior.marginal(0)[:, 0])}
    for test in given["p_positive_given_state"]:
        joint = prior.joint((0, network.index[test]))[..., 0]
        parts = entropy_bits(joint.sum(axis=1)) + entropy_bits(joint.sum(axis=0))
        found[f"gain {test}"] = parts - entropy_bits(joint.reshape(-1))
    after = believe(network, {"T1": "positive"})
    found["P(T1 positive)"] = float(prior.marginal(network.index["T1"])[1, 0])
    found["P(state 1 | T1 positive)"] = float(after.marginal(0)[0, 0])
    agree(by_name(RECORDS["NT-05"]), found)
    assert math.isclose(sum(given["prior"]), 1)
