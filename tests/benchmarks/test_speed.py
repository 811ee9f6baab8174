"""Benchmarks for ``pytest --benchmark-enable``; without it each runs once and only has to work."""

from __future__ import annotations

from typing import Any

import pytest

from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from faultiso.engine.rank_network import Ranker
from tests.benchmarks.make_network import make_network, plant


@pytest.mark.parametrize("subsystems", [3, 10])
def test_rank_all_checks(benchmark: Any, subsystems: int) -> None:
    network, roles = make_network(subsystems)
    observed = plant(network, roles, subsystems, count=1)[0].observed
    ranker = Ranker(network, roles)
    ranking = benchmark(ranker.rank, observed)
    assert len(ranking.checks) == len(roles.checks) - len(observed)


def test_compile(benchmark: Any) -> None:
    network, _ = make_network(10)
    plan = benchmark(compile_plan, network)
    assert set(plan.position) == set(range(len(network.names)))


def test_propagate_many_columns(benchmark: Any) -> None:
    network, roles = make_network(3)
    plan = compile_plan(network)
    evidence = {
        network.index[check]: network.tables[network.index[check]][..., 1].reshape(-1)[:2]
        for check in list(roles.checks)[:5]
    }
    result = benchmark(propagate, plan, evidence, 500)
    assert result.log_evidence.shape == (500,)
