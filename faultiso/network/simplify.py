"""The same distribution over fewer variables: sum out what has a single reader."""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import Any

import numpy as np

from faultiso.network.network import Array, Network

LIMIT = 256  # entries up to which a table may grow when a parent is summed into it


def absorb(network: Network, keep: Collection[int], limit: int = LIMIT) -> tuple[Network, dict[int, int]]:
    """Sum every variable outside ``keep`` with exactly one child into that child, where that stays small.

    Variables outside ``keep`` without children are dropped (they are barren: their table sums to one).
    Returns the network and the map from old to new indices of what is left.
    """
    cards = network.cards
    parents = [list(p) for p in network.parents]
    tables: list[Array] = list(network.tables)
    children = [set(c) for c in network.children]
    gone: set[int] = set()
    kept = set(keep)
    _drop_barren(network, kept, parents, children, gone)
    for v in range(len(tables)):
        if v in gone or v in kept or len(children[v]) != 1:
            continue
        (child,) = children[v]
        merged = [p for p in parents[child] if p != v]
        merged += [p for p in parents[v] if p not in merged]
        size = math.prod(cards[p] for p in merged) * cards[child]
        if size > max(limit, tables[child].size):
            continue
        tables[child] = _summed(
            tables[v], [*parents[v], v], tables[child], [*parents[child], child], [*merged, child]
        )
        for p in parents[v]:
            children[p].discard(v)
            children[p].add(child)
        parents[child] = merged
        gone.add(v)
    return _rebuilt(network, parents, tables, gone)


def _summed(first: Array, axes: list[int], second: Array, others: list[int], kept: list[int]) -> Array:
    """The product of two tables summed over the variables that are not kept."""
    letter = {v: i for i, v in enumerate(dict.fromkeys((*axes, *others)))}
    operands: list[Any] = [first, [letter[v] for v in axes], second, [letter[v] for v in others]]
    return np.asarray(np.einsum(*operands, [letter[v] for v in kept]))


def _drop_barren(
    network: Network, kept: set[int], parents: list[list[int]], children: list[set[int]], gone: set[int]
) -> None:
    for v in reversed(range(len(network.names))):
        if v not in kept and not children[v]:
            gone.add(v)
            for p in parents[v]:
                children[p].discard(v)


def _rebuilt(
    network: Network, parents: list[list[int]], tables: list[Array], gone: set[int]
) -> tuple[Network, dict[int, int]]:
    order = [v for v in range(len(tables)) if v not in gone]
    new = {v: i for i, v in enumerate(order)}
    return (
        Network(
            names=tuple(network.names[v] for v in order),
            states=tuple(network.states[v] for v in order),
            parents=tuple(tuple(new[p] for p in parents[v]) for v in order),
            tables=tuple(tables[v] for v in order),
        ),
        new,
    )
