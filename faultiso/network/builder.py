"""Builds a network node by node; identical nodes become one (hash-consing).

A ``Node`` is a view of one variable: ``labels[s]`` is what the variable's state ``s`` means to the
viewer. Several states may carry the same label, so a function of a single variable never needs a
variable of its own, and a constant is a node without a variable.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from faultiso.network.network import Array, Network

CONSTANT = -1


@dataclass(frozen=True, slots=True)
class Node:
    """A view of variable ``variable``; ``labels`` has one entry for each of its states."""

    variable: int
    labels: tuple[str, ...]

    @property
    def constant(self) -> bool:
        return self.variable == CONSTANT

    def can_be(self, accepted: Sequence[str]) -> bool:
        return any(label in accepted for label in self.labels)

    def must_be(self, accepted: Sequence[str]) -> bool:
        return all(label in accepted for label in self.labels)


def constant(label: str) -> Node:
    """A node that always shows ``label``."""
    return Node(CONSTANT, (label,))


@dataclass(frozen=True, slots=True)
class Variable:
    """A variable as it was built: its parents in ascending order and its table, as in ``Network``.

    ``owner`` is empty for a plain function of the parents; else it has one entry, whose draw this is.
    """

    owner: tuple[Hashable, ...]
    parents: tuple[int, ...]
    table: Array


@dataclass(frozen=True)
class Layout:
    """Joint states of some variables, as an array with one axis for each variable, in ascending order."""

    variables: tuple[int, ...]
    shape: tuple[int, ...]

    def codes(self, node: Node, code: Mapping[str, int]) -> NDArray[np.intp]:
        """``code`` of what the node shows, in a shape that broadcasts over the joint states."""
        return self._spread(node, np.array([code[label] for label in node.labels], dtype=np.intp))

    def accepts(self, node: Node, accepted: Sequence[str]) -> NDArray[np.bool_]:
        """Whether what the node shows is accepted, in a shape that broadcasts over the joint states."""
        return self._spread(node, np.array([label in accepted for label in node.labels]))

    def _spread(self, node: Node, values: NDArray[Any]) -> NDArray[Any]:
        if node.constant:
            return values.reshape((1,) * len(self.shape))
        axis = self.variables.index(node.variable)
        return values.reshape((1,) * axis + (-1,) + (1,) * (len(self.shape) - axis - 1))


@lru_cache(maxsize=64)
def _one_hot(size: int) -> Array:
    return np.eye(size)


class Builder:
    """Collects variables in an order in which parents come first."""

    def __init__(self) -> None:
        self._names: list[str] = []
        self._owners: list[tuple[Hashable, ...]] = []
        self._cards: list[int] = []
        self._parents: list[tuple[int, ...]] = []
        self._tables: list[Array] = []
        self._known: dict[Hashable, int] = {}
        self._used_names: dict[str, int] = {}

    def __len__(self) -> int:
        return len(self._names)

    def layout(self, nodes: Iterable[Node]) -> Layout:
        """The joint states of all variables that the nodes view."""
        variables = tuple(sorted({node.variable for node in nodes} - {CONSTANT}))
        return Layout(variables, tuple(self._cards[v] for v in variables))

    def function(self, name: str, layout: Layout, codes: NDArray[np.intp], labels: Sequence[str]) -> Node:
        """A node without any chance: it shows ``labels[code]`` in each joint state of the layout."""
        return self._partition(name, layout.variables, np.broadcast_to(codes, layout.shape), tuple(labels))

    def chance(
        self,
        owner: Hashable,
        name: str,
        states: Sequence[str],
        arguments: Sequence[Node],
        spread: Callable[..., Sequence[float]],
    ) -> Node:
        """A node drawn from ``spread(*labels of the arguments)``; one draw for each ``owner``.

        Two calls with the same owner, parents and table are the same draw, other owners never are.
        """
        layout = self.layout(arguments)
        variables, shape = layout.variables, layout.shape
        rows = [spread(*labels) for labels in self._rows(arguments, variables, shape)]
        table = np.asarray(rows, dtype=np.float64).reshape(*shape, len(states))
        possible = np.flatnonzero(table.reshape(-1, len(states)).max(axis=0) > 0).tolist()
        labels = tuple(states[s] for s in possible)
        table = table[..., possible]
        if len(labels) == 1:
            return constant(labels[0])
        if np.all((table == 0) | (table == 1)):
            return self._partition(name, variables, table.argmax(axis=-1), labels)
        variables, table = self._without_idle(variables, table, trailing=1)
        return Node(self._variable((owner,), name, variables, table), labels)

    def variable(self, number: int) -> Variable:
        return Variable(self._owners[number], self._parents[number], self._tables[number])

    def is_coin(self, variable: int) -> bool:
        """Whether the variable is a root of two states, independent of all other roots."""
        return not self._parents[variable] and self._cards[variable] == 2

    def chance_of(self, node: Node, label: str) -> float:
        """P(node shows ``label``) before any reading, for a root or a node with few ancestors."""
        if node.constant:
            return float(node.labels[0] == label)
        network, new = self.freeze([node.variable])
        spread = marginal(network, new[node.variable])
        return float(sum(p for p, shown in zip(spread, node.labels, strict=True) if shown == label))

    def freeze(self, variables: Sequence[int] | None = None) -> tuple[Network, dict[int, int]]:
        """The network of the given variables and all that feeds them, and old index -> new index."""
        keep = set(range(len(self))) if variables is None else self.closure(variables)
        order = sorted(keep)
        new = {v: i for i, v in enumerate(order)}
        network = Network(
            names=tuple(self._names[v] for v in order),
            states=tuple(tuple(str(s) for s in range(self._cards[v])) for v in order),
            parents=tuple(tuple(new[p] for p in self._parents[v]) for v in order),
            tables=tuple(self._tables[v] for v in order),
        )
        return network, new

    def closure(self, variables: Iterable[int]) -> set[int]:
        """The variables and everything that feeds them."""
        found: set[int] = set()
        todo = list(variables)
        while todo:
            v = todo.pop()
            if v != CONSTANT and v not in found:
                found.add(v)
                todo.extend(self._parents[v])
        return found

    def _rows(
        self, arguments: Sequence[Node], variables: tuple[int, ...], shape: tuple[int, ...]
    ) -> list[tuple[str, ...]]:
        """What the arguments show, for every combination of the states of the variables."""
        place = {v: i for i, v in enumerate(variables)}
        at = [(node.labels, place.get(node.variable, -1)) for node in arguments]
        return [
            tuple(labels[combination[i]] if i >= 0 else labels[0] for labels, i in at)
            for combination in product(*(range(n) for n in shape))
        ]

    def _partition(
        self, name: str, variables: tuple[int, ...], code: NDArray[np.intp], labels: tuple[str, ...]
    ) -> Node:
        """A deterministic node; ``code`` has the index of its label for each combination of parents."""
        variables, code = self._without_idle(variables, code, trailing=0)
        if not variables:
            return constant(labels[int(code)])
        if len(variables) == 1:
            return Node(variables[0], tuple(labels[int(c)] for c in code))
        first_seen = list(dict.fromkeys(code.ravel().tolist()))
        rank = np.zeros(len(labels), dtype=np.intp)
        rank[first_seen] = np.arange(len(first_seen))
        table = _one_hot(len(first_seen))[rank[code]]
        return Node(self._variable((), name, variables, table), tuple(labels[c] for c in first_seen))

    def _without_idle(
        self, variables: tuple[int, ...], table: NDArray[Any], trailing: int
    ) -> tuple[tuple[int, ...], NDArray[Any]]:
        """Drop the parents that make no difference."""
        for axis in reversed(range(table.ndim - trailing)):
            first = table.take([0], axis=axis)
            if (table == first).all():
                table = first.squeeze(axis)
                variables = variables[:axis] + variables[axis + 1 :]
        return variables, table

    def _variable(
        self, owner: tuple[Hashable, ...], name: str, parents: tuple[int, ...], table: Array
    ) -> int:
        key = (owner, parents, table.shape, table.tobytes())
        known = self._known.get(key)
        if known is None:
            table.setflags(write=False)
            known = self._known[key] = len(self._names)
            self._names.append(self._unique(name))
            self._owners.append(owner)
            self._cards.append(table.shape[-1])
            self._parents.append(parents)
            self._tables.append(table)
        return known

    def _unique(self, name: str) -> str:
        count = self._used_names[name] = self._used_names.get(name, 0) + 1
        return name if count == 1 else f"{name}#{count}"


def marginal(network: Network, variable: int) -> Array:
    """P(variable) by multiplying out its ancestors: for networks of a few variables only."""
    axes = list(range(len(network.names)))
    operands: list[Any] = [part for v in axes for part in (network.tables[v], [*network.parents[v], v])]
    return np.asarray(np.einsum(*operands, [variable], optimize="greedy"))
