"""Random small networks and evidence for property tests."""

from __future__ import annotations

from typing import Any

import numpy as np
from hypothesis import strategies as st

from faultiso.network.network import Array, Network


def random_network(seed: int, count: int, most_parents: int, zeros: float, cards: tuple[int, ...]) -> Network:
    """A network of ``count`` variables; ``zeros`` is the share of table entries that are exactly zero."""
    draw = np.random.default_rng(seed)
    sizes = [int(draw.choice(cards)) for _ in range(count)]
    parents, tables = [], []
    for v in range(count):
        number = int(draw.integers(0, min(v, most_parents) + 1))
        chosen = tuple(int(p) for p in draw.choice(v, number, replace=False)) if number else ()
        parents.append(chosen)
        tables.append(random_table(draw, (*[sizes[p] for p in chosen], sizes[v]), zeros))
    states = tuple(tuple(f"s{i}" for i in range(size)) for size in sizes)
    return Network(tuple(f"v{v}" for v in range(count)), states, tuple(parents), tuple(tables))


def random_table(draw: np.random.Generator, shape: tuple[int, ...], zeros: float) -> Array:
    """A conditional distribution over the last axis with a share of exact zeros."""
    table = draw.gamma(0.7, size=shape) + 1e-9
    table[draw.random(shape) < zeros] = 0.0
    empty = table.sum(axis=-1) == 0
    table[empty, 0] = 1.0
    return table / table.sum(axis=-1, keepdims=True)


@st.composite
def networks(draw: Any, most: int = 8, cards: tuple[int, ...] = (1, 2, 2, 3)) -> Network:
    """Sparse, dense, deterministic and mixed networks."""
    return random_network(
        seed=draw(st.integers(0, 2**32 - 1)),
        count=draw(st.integers(1, most)),
        most_parents=draw(st.sampled_from((0, 1, 2, 3, 4))),
        zeros=draw(st.sampled_from((0.0, 0.0, 0.3, 0.8, 1.0))),
        cards=cards,
    )


def random_weights(draw: np.random.Generator, states: int, columns: int | None) -> Array:
    """Hard, soft, empty or impossible evidence on one variable."""
    shape = (states,) if columns is None else (states, columns)
    kind = draw.integers(5)
    if kind == 0:
        return np.ones(shape)
    if kind == 1:
        return draw.random(shape) * 3
    if kind == 2 and draw.random() < 0.2:
        return np.zeros(shape)
    if columns is None:
        return np.eye(states)[draw.integers(states)]
    return np.eye(states)[draw.integers(states, size=columns)].T
