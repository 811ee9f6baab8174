"""Plans: running intersection, families and groups covered, the same on every machine."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.engine.plan import Plan, compile_plan, estimate, readable
from faultiso.network.network import Network
from tests.engine.networks import networks, random_network


def check_tree(plan: Plan) -> None:
    """Each separator leads its clique and lies in the parent; each variable's cliques form one subtree."""
    tops = dict.fromkeys(plan.position, 0)
    for c, clique in enumerate(plan.cliques):
        assert clique.parent < c
        assert clique.variables[: len(clique.separator)] == clique.separator
        assert tuple(plan.ordered(clique.variables)) == clique.variables
        if clique.parent >= 0:
            assert set(clique.separator) <= set(plan.cliques[clique.parent].variables)
        for v in clique.variables[len(clique.separator) :]:
            tops[v] += 1
    assert set(tops.values()) <= {1}


@given(networks(most=12), st.integers(0, 2**32 - 1))
@settings(max_examples=100, deadline=None)
def test_tree_is_a_junction_tree(network: Network, seed: int) -> None:
    draw = np.random.default_rng(seed)
    count = len(network.names)
    group = tuple(int(v) for v in draw.choice(count, int(draw.integers(1, min(count, 4) + 1)), replace=False))
    plan = compile_plan(network, joint=[group], tries=2)
    check_tree(plan)
    for covered in [group, *[(*parents, v) for v, parents in enumerate(network.parents)]]:
        assert plan.clique_of(covered) is not None
    assert plan.entries <= estimate(network, joint=[group], tries=2) + 1e-6


def test_description_prices_the_plan() -> None:
    plan = compile_plan(random_network(3, 10, 3, 0.0, (2, 3)))
    text = plan.describe(columns=100)
    assert f"{len(plan.cliques)} cliques, {plan.entries} table entries" in text
    assert f"about {readable(plan.bytes(100))} for 100 columns" in text
    assert len(text.splitlines()) == len(plan.cliques) + 2


def test_same_network_same_plan() -> None:
    network = random_network(11, 40, 3, 0.0, (2, 3))
    assert compile_plan(network).cliques == compile_plan(network, tries=0).cliques
    assert compile_plan(network, tries=5).cliques == compile_plan(network, tries=5).cliques


def test_a_chain_needs_only_small_tables() -> None:
    parents = ((), *[(v,) for v in range(299)])
    tables = (np.array([0.5, 0.5]), *[np.full((2, 2), 0.5)] * 299)
    chain = Network(tuple(map(str, range(300))), (("a", "b"),) * 300, parents, tables)
    assert max(map(compile_plan(chain).size, range(299))) == 4


def test_planning_does_not_import_graph_libraries() -> None:
    code = "import sys, faultiso.engine.plan, faultiso.engine.propagate; print('networkx' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
