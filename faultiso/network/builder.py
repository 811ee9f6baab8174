"""Builds a network node by node; identical nodes become one (hash-consing).

A ``Node`` is a view of one variable: ``labels[s]`` is what the variable's state ``s`` means to the
viewer. Several states may carry the same label, so a function of a single variable never needs a
variable of its own, and a constant is a node without a variable.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

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


class Builder:
    """Collects variables in an order in which parents come first."""

    def __init__(self) -> None:
        self._names: list[str] = []
        self._cards: list[int] = []
        self._parents: list[tuple[int, ...]] = []
        self._tables: list[Array] = []
        self._known: dict[Hashable, int] = {}
        self._used_names: dict[str, int] = {}

    def __len__(self) -> int:
        return len(self._names)

    def card(self, node: Node) -> int:
        return len(node.labels)

    def function(self, name: str, arguments: Sequence[Node], value: Callable[..., str]) -> Node:
        """A node that is ``value(*labels of the arguments)``, without any chance."""
        variables, shape = self._variables(arguments)
        if not variables:
            return constant(value(*(node.labels[0] for node in arguments)))
        flat = [value(*labels) for labels in self._rows(arguments, variables, shape)]
        order = list(dict.fromkeys(flat))
        code = np.array([order.index(label) for label in flat]).reshape(shape)
        return self._partition(name, variables, code, tuple(order))

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
        variables, shape = self._variables(arguments)
        rows = [spread(*labels) for labels in self._rows(arguments, variables, shape)]
        table = np.asarray(rows, dtype=np.float64).reshape(*shape, len(states))
        possible = np.flatnonzero(table.reshape(-1, len(states)).max(axis=0) > 0)
        labels = tuple(states[s] for s in possible)
        table = table[..., possible]
        if len(labels) == 1:
            return constant(labels[0])
        if np.all((table == 0) | (table == 1)):
            return self._partition(name, variables, table.argmax(axis=-1), labels)
        variables, table = self._without_idle(variables, table, trailing=1)
        return Node(self._variable((owner,), name, variables, table), labels)

    def freeze(self, variables: Sequence[int] | None = None) -> tuple[Network, dict[int, int]]:
        """The network of the given variables and all that feeds them, and old index -> new index."""
        keep = set(range(len(self))) if variables is None else self._closure(variables)
        order = sorted(keep)
        new = {v: i for i, v in enumerate(order)}
        network = Network(
            names=tuple(self._names[v] for v in order),
            states=tuple(tuple(str(s) for s in range(self._cards[v])) for v in order),
            parents=tuple(tuple(new[p] for p in self._parents[v]) for v in order),
            tables=tuple(self._tables[v] for v in order),
        )
        return network, new

    def _closure(self, variables: Sequence[int]) -> set[int]:
        found: set[int] = set()
        todo = list(variables)
        while todo:
            v = todo.pop()
            if v != CONSTANT and v not in found:
                found.add(v)
                todo.extend(self._parents[v])
        return found

    def _variables(self, arguments: Sequence[Node]) -> tuple[tuple[int, ...], tuple[int, ...]]:
        variables = tuple(sorted({node.variable for node in arguments if not node.constant}))
        return variables, tuple(self._cards[v] for v in variables)

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
        self, name: str, variables: tuple[int, ...], code: np.ndarray, labels: tuple[str, ...]
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
        table = np.eye(len(first_seen))[rank[code]]
        return Node(self._variable((), name, variables, table), tuple(labels[c] for c in first_seen))

    def _without_idle(
        self, variables: tuple[int, ...], table: np.ndarray, trailing: int
    ) -> tuple[tuple[int, ...], np.ndarray]:
        """Drop the parents that make no difference."""
        for axis in reversed(range(table.ndim - trailing)):
            first = table.take([0], axis=axis)
            if np.array_equal(np.broadcast_to(first, table.shape), table):
                table = first.squeeze(axis)
                variables = variables[:axis] + variables[axis + 1 :]
        return variables, table

    def _variable(self, owner: tuple[Hashable, ...], name: str, parents: tuple[int, ...], table: Array) -> int:
        key = (owner, parents, table.shape, table.tobytes())
        known = self._known.get(key)
        if known is None:
            table.setflags(write=False)
            known = self._known[key] = len(self._names)
            self._names.append(self._unique(name))
            self._cards.append(table.shape[-1])
            self._parents.append(parents)
            self._tables.append(table)
        return known

    def _unique(self, name: str) -> str:
        count = self._used_names[name] = self._used_names.get(name, 0) + 1
        return name if count == 1 else f"{name}#{count}"
