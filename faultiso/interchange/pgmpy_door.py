"""The one door to pgmpy: a `Network` as its Bayesian network and back, and its readers and writers.

pgmpy takes seconds to import, so every import stands inside a function. Nothing here rounds: pgmpy's
tables, and the BIF and XMLBIF texts that its writers make, hold the shortest decimals that read back as
the same double.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from faultiso.interchange.tables import frozen, parents_first
from faultiso.network.network import Network


def to_pgmpy(network: Network, name: str = "") -> Any:
    """The network as a `pgmpy.models.DiscreteBayesianNetwork` with the same names, states and tables.

    A table of shape (states of each parent..., states of v) becomes pgmpy's of shape (states of v,
    product of the parents' states); the doubles are copied, not computed.
    """
    from pgmpy.models import DiscreteBayesianNetwork

    model = DiscreteBayesianNetwork()
    model.add_nodes_from(network.names)
    model.add_edges_from(
        (network.names[p], network.names[v]) for v in range(len(network.names)) for p in network.parents[v]
    )
    with quiet():
        model.add_cpds(*(_tabular(network, v) for v in range(len(network.names))))
    model.name = name
    return model


def _tabular(network: Network, v: int) -> Any:
    from pgmpy.factors.discrete import TabularCPD

    parents = network.parents[v]
    return TabularCPD(
        network.names[v],
        network.cards[v],
        network.tables[v].reshape(-1, network.cards[v]).T,
        evidence=[network.names[p] for p in parents],
        evidence_card=[network.cards[p] for p in parents],
        state_names={network.names[u]: list(network.states[u]) for u in (v, *parents)},
    )


def from_pgmpy(model: Any) -> Network:
    """The `Network` equal to a `DiscreteBayesianNetwork`, parents before children, else in its order.

    Raises ValueError if a variable has no table, or if the parents' states in a table are in another
    order than the parent's own (pgmpy allows it; such a table would be read wrongly).
    """
    tables = {table.variable: table for table in model.get_cpds()}
    missing = [name for name in model.nodes if name not in tables]
    if missing:
        raise ValueError(f"no table for {', '.join(map(str, missing))}")
    order = parents_first(list(model.nodes), {name: tables[name].variables[1:] for name in model.nodes})
    index = {name: v for v, name in enumerate(order)}
    states = {name: tuple(map(str, tables[name].state_names[name])) for name in order}
    for name in order:
        _same_states(tables[name], states)
    return Network(
        names=tuple(map(str, order)),
        states=tuple(states[name] for name in order),
        parents=tuple(tuple(index[p] for p in tables[name].variables[1:]) for name in order),
        tables=tuple(frozen(np.moveaxis(np.asarray(tables[name].values, float), 0, -1)) for name in order),
    )


def _same_states(table: Any, states: dict[str, tuple[str, ...]]) -> None:
    for parent in table.variables[1:]:
        listed = tuple(map(str, table.state_names[parent]))
        if listed != states[parent]:
            raise ValueError(
                f"the table of {table.variable} lists the states of {parent} as {', '.join(listed)}; "
                f"expected {', '.join(states[parent])}"
            )


def bif_text(model: Any) -> str:
    """What pgmpy's writer makes of the network, variables in alphabetical order."""
    from pgmpy.readwrite import BIFWriter

    return str(BIFWriter(model))


def bif_model(text: str) -> Any:
    """The network that pgmpy's reader finds in a BIF text.

    It drops, without a word, a last block that no newline follows, fills a missing row with zeros, merges
    names that differ in capitals alone, and took 12 s and 345 MB for 1,800 variables: it is here as a
    second opinion on `bif.read`, which is what reads a user's file.
    """
    from pgmpy.readwrite import BIFReader

    with quiet():
        return BIFReader(string=text).get_model()


def xmlbif_text(model: Any) -> str:
    """What pgmpy's writer makes of the network, variables in alphabetical order."""
    from pgmpy.readwrite import XMLBIFWriter

    with quiet():
        return str(XMLBIFWriter(model))


def xmlbif_model(text: str) -> Any:
    """The network that pgmpy's reader finds in an XMLBIF text."""
    from pgmpy.readwrite import XMLBIFReader

    with quiet():
        return XMLBIFReader(string=text).get_model()


@contextmanager
def quiet() -> Iterator[None]:
    """Without pgmpy's warnings about names and replaced tables: what is wrong is told by ours."""
    log = logging.getLogger("pgmpy")
    before = log.level
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(before)
