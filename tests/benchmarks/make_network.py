"""Synthetic fault networks of any size, the same for the same arguments.

A chain of subsystems; each has 20 faults, 10 hidden states and 30 checks, all binary (0 normal, 1 abnormal):

* a fault is a root, its prior log-uniform between 1e-4 and 1e-2;
* a state is a leaky noisy-OR of two or three faults of its subsystem, one or two earlier states of it, and in
  the first two states one state of the subsystem before; with ``tangled``, that share of the states also
  depends on a state of any earlier subsystem;
* a check reads one state (70 %), two states (20 %) or one fault (10 %), with false alarms of 1-5 % and misses
  of 2-20 %, and costs 1-60 minutes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.network.network import Network, Roles
from faultiso.network.noisy import noisy_max_table

FAULTS, STATES, CHECKS = 20, 10, 30
READ, ABNORMAL = 5, 2
LABELS = ("normal", "abnormal")


@dataclass(frozen=True)
class Case:
    """One fault present, five checks of its subsystem read, at least two of them abnormal."""

    truth: str
    observed: Mapping[str, int]


@dataclass
class _Draft:
    """Variables in topological order while they are drawn."""

    prior: dict[str, float]
    parents: dict[str, list[str]]
    leak: dict[str, float]
    links: dict[str, Sequence[float]]
    minutes: dict[str, float]


def make_network(subsystems: int, seed: int = 1, tangled: float = 0.0) -> tuple[Network, Roles]:
    """The network and the roles of its variables."""
    draw = np.random.default_rng(seed)
    draft = _Draft({}, {}, {}, {}, {})
    for s in range(subsystems):
        _subsystem(draft, s, draw, tangled)
    return _network(draft), Roles(tuple(draft.prior), draft.minutes)


def _subsystem(draft: _Draft, s: int, draw: np.random.Generator, tangled: float) -> None:
    faults = [f"f{s}_{i}" for i in range(FAULTS)]
    states = [f"s{s}_{j}" for j in range(STATES)]
    for fault in faults:
        draft.prior[fault] = float(10 ** draw.uniform(-4, -2))
    for j, state in enumerate(states):
        parents = _causes(s, j, faults, states, draw, tangled)
        draft.parents[state], draft.leak[state] = parents, 0.001
        draft.links[state] = draw.uniform(0.6, 0.99, len(parents))
    for k in range(CHECKS):
        check = f"c{s}_{k}"
        parents = _looks_at(faults, states, draw)
        draft.parents[check], draft.leak[check] = parents, float(draw.uniform(0.01, 0.05))
        draft.links[check] = draw.uniform(0.80, 0.98, len(parents))
        draft.minutes[check] = int(draw.integers(1, 61))


def _causes(
    s: int, j: int, faults: list[str], states: list[str], draw: np.random.Generator, tangled: float
) -> list[str]:
    parents = [faults[2 * j], faults[2 * j + 1]]
    if draw.random() < 0.5:
        parents.append(faults[draw.integers(FAULTS)])
    for _ in range(draw.integers(1, 3)):
        if j:
            parents.append(states[draw.integers(max(0, j - 3), j)])
    if s and j < 2:
        parents.append(f"s{s - 1}_{draw.integers(STATES)}")
    if tangled and s and draw.random() < tangled:
        parents.append(f"s{draw.integers(s)}_{draw.integers(STATES)}")
    return list(dict.fromkeys(parents))


def _looks_at(faults: list[str], states: list[str], draw: np.random.Generator) -> list[str]:
    kind = draw.random()
    if kind < 0.7:
        return [states[draw.integers(STATES)]]
    if kind < 0.9:
        return [states[i] for i in draw.choice(STATES, 2, replace=False)]
    return [faults[draw.integers(FAULTS)]]


def _network(draft: _Draft) -> Network:
    names = (*draft.prior, *draft.parents)
    index = {name: v for v, name in enumerate(names)}
    tables = [np.array([1 - p, p]) for p in draft.prior.values()]
    for name in draft.parents:
        links = [np.array([[1.0, 0.0], [1 - p, p]]) for p in draft.links[name]]
        tables.append(noisy_max_table(links, np.array([1 - draft.leak[name], draft.leak[name]])))
    parents = [()] * len(draft.prior) + [tuple(index[p] for p in ps) for ps in draft.parents.values()]
    return Network(names, (LABELS,) * len(names), tuple(parents), tuple(tables))


def plant(network: Network, roles: Roles, subsystems: int, seed: int = 1, count: int = 20) -> list[Case]:
    """Cases: one fault present, everything else sampled; two abnormal and three normal readings kept."""
    draw = np.random.default_rng([seed, 7])
    cases: list[Case] = []
    while len(cases) < count:
        s = (subsystems // 2 + len(cases)) % subsystems
        truth = f"f{s}_{draw.integers(FAULTS)}"
        value = _sample(network, roles, truth, draw)
        local = [check for check in roles.checks if check.startswith(f"c{s}_")]
        bad = [check for check in local if value[check]]
        good = [check for check in local if not value[check]]
        if len(bad) >= ABNORMAL and len(good) >= READ - ABNORMAL:
            kept = bad[:ABNORMAL] + good[: READ - ABNORMAL]
            cases.append(Case(truth, {check: value[check] for check in kept}))
    return cases


def _sample(network: Network, roles: Roles, truth: str, draw: np.random.Generator) -> dict[str, int]:
    value = {fault: int(fault == truth) for fault in roles.faults}
    for v in range(len(roles.faults), len(network.names)):
        row = network.tables[v][tuple(value[network.names[p]] for p in network.parents[v])]
        value[network.names[v]] = int(draw.random() < row[1])
    return value
