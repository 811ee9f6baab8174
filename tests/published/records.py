"""Published worked examples as data: records with their source, and small networks of the literature."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import Propagation, propagate
from faultiso.network.network import Array, Network

FOLDER = Path(__file__).parent


@cache
def records(name: str) -> dict[str, Any]:
    """The records of one file by their id."""
    loaded = yaml.safe_load((FOLDER / f"{name}.yaml").read_text(encoding="utf-8"))
    return {record["id"]: record for record in loaded["records"]}


@cache
def published(model: str) -> Network:
    """A network of the literature."""
    loaded = yaml.safe_load((FOLDER / "networks.yaml").read_text(encoding="utf-8"))
    return from_tables(loaded[model])


def from_tables(model: Mapping[str, Any]) -> Network:
    """A network from rows of (parent states, probabilities)."""
    names = tuple(model)
    states = [tuple(model[name]["states"]) for name in names]
    parents = [tuple(names.index(p) for p in model[name]["parents"]) for name in names]
    tables = []
    for v, name in enumerate(names):
        table = np.zeros((*[len(states[p]) for p in parents[v]], len(states[v])))
        for row in model[name]["cpt"]:
            table[tuple(states[p].index(s) for p, s in zip(parents[v], row["given"], strict=True))] = row["p"]
        tables.append(table)
    return Network(names, tuple(states), tuple(parents), tuple(tables))


class Builder:
    """A network written down variable by variable."""

    def __init__(self) -> None:
        self.names: list[str] = []
        self.states: list[tuple[str, ...]] = []
        self.parents: list[tuple[int, ...]] = []
        self.tables: list[Array] = []

    def add(self, name: str, parents: tuple[str, ...], table: Any, states: tuple[str, ...] = ()) -> None:
        table = np.asarray(table, dtype=float)
        self.names.append(name)
        self.states.append(states or tuple(str(s) for s in range(table.shape[-1])))
        self.parents.append(tuple(self.names.index(p) for p in parents))
        self.tables.append(table)

    def network(self) -> Network:
        return Network(tuple(self.names), tuple(self.states), tuple(self.parents), tuple(self.tables))


def hot(network: Network, findings: Mapping[str, str]) -> dict[int, Array]:
    """Hard evidence by names of variables and states."""
    evidence = {}
    for name, state in findings.items():
        v = network.index[name]
        evidence[v] = np.eye(network.cards[v])[network.states[v].index(state)]
    return evidence


def believe(network: Network, findings: Mapping[str, str]) -> Propagation:
    """The engine's answer to findings."""
    return propagate(compile_plan(network), hot(network, findings))


def probability(run: Propagation, name: str, state: str) -> float:
    network = run.plan.network
    v = network.index[name]
    return float(run.marginal(v)[network.states[v].index(state), 0])


def entropy_bits(p: Array) -> float:
    p = np.asarray(p, dtype=float)
    return float(-(p[p > 0] * np.log2(p[p > 0])).sum())


def agree(expected: Mapping[str, Any], found: Mapping[str, float]) -> None:
    """Every expected value by name, within its own tolerance; nothing may be missing or left over."""
    assert set(found) == set(expected)
    for name, row in expected.items():
        assert found[name] == pytest.approx(row["value"], abs=row["tol"]), name


def by_name(record: Mapping[str, Any]) -> dict[str, Any]:
    return {row["name"]: row for row in record["expected"]}


def kinds(name: str) -> Iterator[str]:
    """The ids of a file, to be sure that each is used in a test."""
    yield from records(name)
