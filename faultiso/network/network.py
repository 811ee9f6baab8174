"""A network: tables over discrete variables, parents before children."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Network:
    """Frozen tables of a Bayesian network.

    Variable ``v`` is an index. ``names[v]`` is unique, ``states[v]`` its state names, ``parents[v]``
    indices smaller than ``v``, ``tables[v]`` an array of shape (states of each parent..., states of v)
    that sums to 1 over its last axis. Arrays are read-only, and stay in double precision as given.
    """

    names: tuple[str, ...]
    states: tuple[tuple[str, ...], ...]
    parents: tuple[tuple[int, ...], ...]
    tables: tuple[Array, ...]

    @cached_property
    def index(self) -> Mapping[str, int]:
        return {name: v for v, name in enumerate(self.names)}

    @cached_property
    def cards(self) -> tuple[int, ...]:
        """Number of states of each variable."""
        return tuple(len(states) for states in self.states)

    @cached_property
    def children(self) -> tuple[tuple[int, ...], ...]:
        lists: list[list[int]] = [[] for _ in self.names]
        for v, parents in enumerate(self.parents):
            for parent in parents:
                lists[parent].append(v)
        return tuple(tuple(children) for children in lists)

    def ancestors(self, variables: Sequence[int]) -> set[int]:
        """The given variables and everything that feeds them."""
        found: set[int] = set()
        todo = list(variables)
        while todo:
            v = todo.pop()
            if v not in found:
                found.add(v)
                todo.extend(self.parents[v])
        return found

    def restricted(self, keep: set[int]) -> tuple[Network, dict[int, int]]:
        """The network on an ancestral set of variables, and the map from old to new indices."""
        order = sorted(keep)
        new = {v: i for i, v in enumerate(order)}
        network = Network(
            names=tuple(self.names[v] for v in order),
            states=tuple(self.states[v] for v in order),
            parents=tuple(tuple(new[p] for p in self.parents[v]) for v in order),
            tables=tuple(self.tables[v] for v in order),
        )
        return network, new


@dataclass(frozen=True)
class Roles:
    """What the variables of a network are: faults (state 1 = present), and checks with their minutes."""

    faults: tuple[str, ...]
    checks: Mapping[str, float] = field(default_factory=dict)
